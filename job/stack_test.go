package job

import (
	"errors"
	"math"
	"strings"
	"testing"

	"sinew/internal/near"
)

func askStack(t *testing.T, layers string, more ...func(*StackQuestion)) *StackAnswer {
	t.Helper()
	q := StackQuestion{CardQuestion: CardQuestion{Tow: "carbon-tow", Plastic: "polyamide", Printer: "twin-nozzle"}, Layers: layers}
	for _, m := range more {
		m(&q)
	}
	a, err := AskStack("", q)
	if err != nil {
		t.Fatalf("%s: %v", layers, err)
	}
	return a
}

// TestStackNotation: layers as the trade writes them.
func TestStackNotation(t *testing.T) {
	const half = math.Pi / 2
	for _, row := range []struct {
		text   string
		angles []float64
	}{
		{"0", []float64{0}},
		{"[0/90]", []float64{0, half}},
		{"[0/90]s", []float64{0, half, half, 0}},
		{"±45", []float64{half / 2, -half / 2}},
		{" -90° / 0*2 ", []float64{-half, 0, 0}},
		{"±45*2", []float64{half / 2, -half / 2, half / 2, -half / 2}},
	} {
		list, err := parseStack(row.text)
		if err != nil || len(list) != len(row.angles) {
			t.Errorf("%q: %+v, %v", row.text, list, err)
			continue
		}
		for i, y := range list {
			if math.Abs(y.angle-row.angles[i]) > 1e-15 || y.plastic {
				t.Errorf("%q: layer %d is %+v", row.text, i, y)
			}
		}
	}
	list, err := parseStack("plastic@30%+10%:0.3mm/plastic/0@0.8mm:0.25mm")
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []stackItem{{plastic: true, infill: 0.3, walls: 0.1, thickness: 0.3}, {plastic: true, infill: 1}, {spacing: 0.8, thickness: 0.25}} {
		if list[i] != want {
			t.Errorf("layer %d is %+v, want %+v", i, list[i], want)
		}
	}
	for text, want := range map[string]string{
		"": "neither plastic", "0/": "neither plastic", "[0/90": "bracket", "400": "neither plastic", "NaN": "neither plastic",
		"0*0": "number of layers", "0*99999": "number of layers", "0*2000/0": "more than", "0@-1mm": "above zero", "0@1": "unit", "0:0mm": "above zero",
		"plastic@130%": "above 100", "plastic@30%+200%": "above 100", "plastic@": "",
	} {
		if _, err := parseStack(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

// TestStackByHand: answers that a pencil gives.
func TestStackByHand(t *testing.T) {
	one := askStack(t, "0", func(q *StackQuestion) { q.Force = "10N/mm,0N/mm,0N/mm" })
	y := one.Laminate.Layers[0]
	q11 := y.E1 / (1 - y.Nu12*y.Nu12*y.E2/y.E1)
	if h := y.ThicknessMM; !near.Equal(one.Laminate.A[0], q11*h, 0, 1e-12) || !near.Equal(one.Laminate.D[0], q11*h*h*h/12, 0, 1e-12) {
		t.Errorf("A11 %g, D11 %g", one.Laminate.A[0], one.Laminate.D[0])
	}
	// One layer fails at its own strength, first and last, by every criterion.
	for _, f := range one.Load.First {
		if !near.Equal(f.Reserve, one.Load.Collapse.Load, 0, 1e-9) || !near.Equal(f.Reserve*10/y.ThicknessMM, one.Strengths.TensionX, 0, 1e-9) {
			t.Errorf("%s: reserve %g, collapse %g", f.Criterion, f.Reserve, one.Load.Collapse.Load)
		}
	}
	if k := one.Load.Collapse; k.FirstFibre != k.Load || k.FirstMatrix != 0 {
		t.Errorf("collapse %+v", k)
	}
	// The reference plane moves B by A·z, and no stress.
	low := askStack(t, "[0/90]s", func(q *StackQuestion) { q.Force = "10N/mm,0N/mm,0N/mm" })
	high := askStack(t, "[0/90]s", func(q *StackQuestion) { q.Offset = "1mm" })
	if !near.Equal(high.Laminate.B[0], low.Laminate.A[0], 0, 1e-12) || math.Abs(low.Laminate.B[0]) > 1e-9 || !high.Laminate.Symmetric {
		t.Errorf("B11 %g about 1 mm below the middle, A11 %g", high.Laminate.B[0], low.Laminate.A[0])
	}
	// Plain plastic: a peak of 3 at a hole, 1.5·V/h between layers, infill by
	// share/(3 - 2·share), walls whole.
	plastic := askStack(t, "plastic*10", func(q *StackQuestion) { q.Hole, q.Shear = "6mm", "8N/mm" })
	if !near.Equal(plastic.Hole.Kt, 3, 0, 1e-9) || !near.Equal(plastic.Hole.Front, -1, 0, 1e-9) {
		t.Errorf("hole in plastic %+v", plastic.Hole)
	}
	if !near.Equal(plastic.Shear.Stress, 1.5*8/plastic.Laminate.ThicknessMM, 0, 1e-9) {
		t.Errorf("short beam of plastic: %+v", plastic.Shear)
	}
	sparse := askStack(t, "plastic@40%+20%")
	if got, want := sparse.Laminate.Ex/plastic.Laminate.Ex, 0.2+0.8*0.4/(3-0.8); !near.Equal(got, want, 0, 1e-9) {
		t.Errorf("40 %% infill and 20 %% walls keep %g of the modulus, want %g", got, want)
	}
	// Fibre that warps: cooled, the stack bends towards the layer that shrinks
	// more across it, and not at all where it is symmetric.
	cold := func(q *StackQuestion) { q.Cooling = "60K" }
	if w := askStack(t, "0/90", cold).Warp; !near.Equal(w.Curvature[0], -w.Curvature[1], 0, 1e-9) || w.Curvature[0] == 0 {
		t.Errorf("[0/90] warps %+v", w)
	}
	if w := askStack(t, "[0/90]s", cold).Warp; math.Abs(w.Greatest) > 1e-12 {
		t.Errorf("[0/90]s warps %+v", w)
	}
	// Knock-downs multiply strengths, stiffness stays.
	down := askStack(t, "0", func(q *StackQuestion) { q.Knockdowns = []string{"impact-damage"} })
	if !(down.Strengths.CompressionX < one.Strengths.CompressionX) || down.Laminate.Ex != one.Laminate.Ex {
		t.Errorf("knocked down %+v, plain %+v", down.Strengths, one.Strengths)
	}
}

// TestPinOfStack: the trade's formulas by hand.
func TestPinOfStack(t *testing.T) {
	a := askStack(t, "[0/±45/90]s", func(q *StackQuestion) { q.Hole, q.Width, q.Pin, q.Edge = "6mm", "30mm", "500N", "12mm" })
	h := a.Laminate.ThicknessMM
	for i, want := range []struct {
		check            string
		stress, strength float64
	}{
		{"bearing", 500 / (6 * h), a.Strengths.CompressionX}, {"net section", 500 / (24 * h), a.Strengths.TensionX}, {"shear-out", 500 / (24 * h), a.Strengths.Shear},
	} {
		if g := a.Hole.Lug[i]; g.Check != want.check || !near.Equal(g.Stress, want.stress, 0, 1e-12) || !near.Equal(g.Reserve, want.strength/want.stress, 0, 1e-12) {
			t.Errorf("%+v, want %+v", g, want)
		}
	}
}

// TestStackRefuses: faults of a question name their flag.
func TestStackRefuses(t *testing.T) {
	base := CardQuestion{Tow: "carbon-tow", Plastic: "polyamide", Printer: "twin-nozzle"}
	for name, q := range map[string]StackQuestion{
		"--layers":  {CardQuestion: base, Layers: "x"},
		"--force":   {CardQuestion: base, Layers: "0", Force: "1 N/mm"},
		"--hole":    {CardQuestion: base, Layers: "0", Hole: "-1mm"},
		"--width":   {CardQuestion: base, Layers: "0", Hole: "6mm", Width: "5mm"},
		"--offset":  {CardQuestion: base, Layers: "0", Offset: "1 kg"},
		"--cooling": {CardQuestion: base, Layers: "0", Cooling: "cold"},
	} {
		var input *InputError
		if _, err := AskStack("", q); !errors.As(err, &input) || input.Faults[0].Key != name || input.Faults[0].Remedy == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}
