package field

import (
	"context"
	"errors"
	"math"
	"reflect"
	"slices"
	"testing"

	"sinew/geom"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
	"sinew/stress"
)

func carbonLaw(tb testing.TB) *material.Law {
	tb.Helper()
	fibre := material.Phase{E1: 230e3, E2: 15e3, G12: 15e3, G23: 7e3, Nu12: 0.2, Density: 1.8e-3, Alpha1: -0.5e-6, Alpha2: 1e-5}
	resin := material.IsotropicPhase(3000, 0.35)
	resin.Density, resin.Alpha1, resin.Alpha2 = 1.2e-3, 5.5e-5, 5.5e-5
	law, err := material.NewLaw(material.LawSettings{
		Tow:     material.Tow{ID: "tow", Fibre: fibre, Resin: resin, FibreArea: 0.057, Area: 0.103, FailureStrain: 0.0178},
		Plastic: material.Plastic{ID: "plastic", Density: 1.15e-3, Nu: 0.33, Alpha: 8e-5, Dry: material.Curves{Modulus: [][2]float64{{23, 2200}}, Tension: [][2]float64{{23, 50}}}},
		Height:  0.32, SpacingMin: 0.65, SpacingMax: 2,
		Explicit: &material.Explicit{
			FibreModulus: 230e3, Efficiency: 0.95, MatrixModulus: 2200, MatrixShear: 850, InclusionModulus: 15e3,
			Nu12: 0.33, FibreTension: 0.0132, FibreCompression: 0.0066, Yt: 25, Yc: 80, S: 35,
		},
	})
	if err != nil {
		tb.Fatal(err)
	}
	return law
}

// plate is a rectangle gripped at both ends, with a round hole in its middle
// when radius is above zero.
func plate(length, width, radius float64) *part.Part {
	p := &part.Part{
		Name: "strip", Thickness: 3.2,
		Region: geom.Region{Outer: geom.Polyline(geom.Point{}, geom.Point{X: length}, geom.Point{X: length, Y: width}, geom.Point{Y: width})},
		Features: []part.Feature{
			{Name: "left", Kind: part.Side, Loop: 0, Edges: []int{3}},
			{Name: "right", Kind: part.Side, Loop: 0, Edges: []int{1}},
		},
		Supports: []part.Support{{Feature: 0, Kind: part.Fixed}},
		Cases:    []part.Case{{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Grip, Force: geom.Point{X: 1000}}}}},
	}
	if radius > 0 {
		p.Region.Holes = []geom.Loop{geom.Circle(geom.Point{X: length / 2, Y: width / 2}, radius).Reverse()}
		p.Features = append(p.Features, part.Feature{Name: "hole", Kind: part.Hole, Loop: 1, Center: geom.Point{X: length / 2, Y: width / 2}, Diameter: 2 * radius})
	}
	return p
}

func input(tb testing.TB, p *part.Part, size float64, workers int) Input {
	tb.Helper()
	m, err := mesh.Generate(p.Region, mesh.Settings{Size: size, ArcSize: 0.2})
	if err != nil {
		tb.Fatal(err)
	}
	sys, err := stress.NewSystem(m, p, stress.Settings{Workers: workers})
	if err != nil {
		tb.Fatal(err)
	}
	plastic := material.Isotropic(2200, 0.33, 0, 1.15e-3)
	return Input{Part: p, System: sys, Stack: Stack{Law: carbonLaw(tb), Plastic: plastic.Reduced(), PlasticDensity: 1.15e-3}}
}

func plan(tb testing.TB, in Input, s Settings) *Layup {
	tb.Helper()
	l, err := Plan(context.Background(), in, s)
	if err != nil {
		tb.Fatal(err)
	}
	return l
}

// TestPlainStripIsStraight: pure tension wants straight, even strands, of which
// exactly as many fit as the width holds at the wanted spacing.
func TestPlainStripIsStraight(t *testing.T) {
	in := input(t, plate(80, 20, 0), 4, 1)
	l := plan(t, in, Settings{Families: []Request{{Kind: Steered, Layers: 4, Spacing: 1}}})
	f := &l.Families[0]
	g := f.Operator(in.System.Points())
	for i, p := range in.System.Points() {
		b := f.FibreAt(g, i)
		// The clamped end holds the strip's width, which turns and crowds the
		// field near it a little; the middle must be exact to the mesh.
		if p.X < 20 || p.X > 60 {
			continue
		}
		if !b.Covered || math.Abs(math.Sin(b.Theta)) > 0.02 || math.Abs(b.Rho-1) > 0.03 {
			t.Fatalf("at (%.3g, %.3g): %.4g strands per mm at %.4g rad, want 1 at 0", p.X, p.Y, b.Rho, b.Theta)
		}
	}
	if !slices.Equal(f.TiedPhases, []float64{0, 20}) && !slices.Equal(f.TiedPhases, []float64{-20, 0}) {
		t.Errorf("phases of the sides %v, want 20 strands between them", f.TiedPhases)
	}
	if got, want := f.Length(), 80*20*1.0; math.Abs(got/want-1) > 0.01 {
		t.Errorf("fibre length %g, want %g", got, want)
	}
}

// TestHoleCutsNoStrand: the phase is constant along the hole and the sides.
func TestHoleCutsNoStrand(t *testing.T) {
	in := input(t, plate(80, 30, 5), 3, 1)
	l := plan(t, in, Settings{Families: []Request{{Kind: Steered, Layers: 4, Spacing: 1.2}}})
	f := &l.Families[0]
	if !slices.Contains(f.TiedLoops, 1) {
		t.Fatalf("tied loops %v do not hold the hole", f.TiedLoops)
	}
	for _, e := range f.Mesh.Boundary {
		// The ends may cut strands, the rest must not.
		if x := f.Mesh.Nodes[e.Mid].X; x < 1e-9 || x > 80-1e-9 {
			continue
		}
		if a, m, b := f.Phase[e.A], f.Phase[e.Mid], f.Phase[e.B]; a != m || a != b {
			t.Fatalf("phase changes along the boundary at %v: %g %g %g", f.Mesh.Nodes[e.Mid], a, m, b)
		}
		if v := f.Phase[e.Mid]; v != math.Round(v) {
			t.Fatalf("tied phase %g is not a whole number", v)
		}
	}
	// By symmetry as many strands pass above the hole as below.
	if n := f.TiedPhases; len(n) != 3 || n[0]+n[2] != 2*n[1] {
		t.Errorf("phases of sides and hole %v are not symmetric", n)
	}
}

// TestSameBitsForAnyWorkers plans twice, with one worker and with three.
func TestSameBitsForAnyWorkers(t *testing.T) {
	p := plate(80, 30, 5)
	s := Settings{Families: []Request{{Kind: Steered, Layers: 4}, {Kind: Loop, Around: []int{2}, Turns: 3, Layers: 2}, {Kind: Straight, Angle: 0.7, Layers: 2}}}
	s.Refine = Refine{Steps: 2}
	with := func(workers int) *Layup {
		in := input(t, p, 4, workers)
		s.Workers, s.Draw = workers, func(_ context.Context, l *Layup) ([]Ply, error) { return l.plies(&in), nil }
		return plan(t, in, s)
	}
	a, b := with(1), with(3)
	if !reflect.DeepEqual(a.Choices, b.Choices) || !reflect.DeepEqual(a.Rounds, b.Rounds) || !reflect.DeepEqual(a.Steps, b.Steps) {
		t.Error("the ways to the answer differ")
	}
	for k := range a.Families {
		if !slices.Equal(a.Families[k].Phase, b.Families[k].Phase) {
			t.Errorf("family %d differs", k)
		}
	}
	if !slices.Equal(a.Layers, b.Layers) {
		t.Errorf("layers %v and %v", a.Layers, b.Layers)
	}
}

// TestBands: straight, loop and rim have unit distance between strands.
func TestBands(t *testing.T) {
	in := input(t, plate(60, 40, 6), 3, 1)
	l := plan(t, in, Settings{Families: []Request{
		{Kind: Straight, Angle: 0.4, Spacing: 0.8, Layers: 1}, {Kind: Loop, Around: []int{2}, Turns: 4, Layers: 1}, {Kind: Rim, Turns: 3, Layers: 1},
	}})
	points := in.System.Points()
	for k, want := range []float64{1 / 0.8, 1, 1} {
		f := &l.Families[k]
		g := f.Operator(points)
		sum, area := 0.0, 0.0
		for i, w := range in.System.Weights() {
			if b := f.FibreAt(g, i); b.Covered {
				sum += w * b.Rho
				area += w
				if k == 0 && math.Abs(math.Sin(b.Theta-0.4)) > 1e-9 {
					t.Fatalf("straight strands at %g rad, want 0.4", b.Theta)
				}
			}
		}
		// Quadratic shape functions meet a circle's distance to some percent on
		// this mesh; a corner's ridge costs as much.
		if got := sum / area; math.Abs(got/want-1) > 0.05 {
			t.Errorf("family %s: %g strands per mm, want %g", f.Name, got, want)
		}
	}
	if f := l.Families[1]; !slices.Equal(f.TiedLoops, []int{1}) || f.Turns != 4 {
		t.Errorf("loop: tied %v, %d turns", f.TiedLoops, f.Turns)
	}
}

// TestLoopTakesTheTurnsThatFit asks for more turns than there is room.
func TestLoopTakesTheTurnsThatFit(t *testing.T) {
	in := input(t, plate(60, 20, 5), 3, 1)
	l := plan(t, in, Settings{Families: []Request{{Kind: Loop, Around: []int{2}, Turns: 9, Layers: 1}}})
	if got := l.Families[0].Turns; got != 5 || len(l.Notes) != 1 {
		t.Errorf("%d turns with notes %q; 5 mm hold 5", got, l.Notes)
	}
}

func TestWholeNumbers(t *testing.T) {
	caps := func(n, c int) [][]int {
		out := make([][]int, n)
		for i := range out {
			out[i] = slices.Repeat([]int{c}, n)
		}
		return out
	}
	for _, row := range []struct {
		name string
		v    []float64
		cap  int
		want []float64
	}{
		{"already whole", []float64{0, 17, 34}, 99, []float64{0, 17, 34}},
		{"symmetric band scaled", []float64{-17.3, 17.3, 0}, 99, []float64{0, 34, 17}},
		{"falling", []float64{3, -7.1}, 99, []float64{0, -10}},
		{"capped", []float64{0, 20.3}, 18, []float64{0, 18}},
	} {
		if got := wholeNumbers(row.v, caps(len(row.v), row.cap)); !slices.Equal(got, row.want) {
			t.Errorf("%s: %v, want %v", row.name, got, row.want)
		}
	}
}

func TestStackIsSymmetricAndSpread(t *testing.T) {
	for _, row := range []struct {
		counts, want []int
		symmetric    bool
	}{
		{[]int{4}, []int{0, 0, 0, 0}, true},
		{[]int{6, 2, 2}, []int{0, 1, 2, 0, 0, 0, 0, 2, 1, 0}, true},
		{[]int{3, 2}, []int{0, 1, 0, 1, 0}, true},
		{[]int{3, 1}, []int{0, 0, 1, 0}, false},
	} {
		got, symmetric := StackUp(row.counts)
		if symmetric != row.symmetric || len(got) != len(row.want) {
			t.Errorf("%v: %v %v", row.counts, got, symmetric)
		}
		have := make([]int, len(row.counts))
		for i, k := range got {
			have[k]++
			if symmetric && got[len(got)-1-i] != k {
				t.Errorf("%v: %v is not symmetric", row.counts, got)
			}
		}
		if !slices.Equal(have, row.counts) {
			t.Errorf("%v: %v holds %v", row.counts, got, have)
		}
	}
}

// TestFirstGuesses names the topologies of four kinds of part.
func TestFirstGuesses(t *testing.T) {
	pinned := plate(80, 30, 5)
	pinned.Cases[0].Loads = []part.Load{{Feature: 2, Kind: part.Bearing, Force: geom.Point{X: 100}}}
	for _, row := range []struct {
		name string
		part *part.Part
		want []string
	}{
		{"gripped at both ends", plate(80, 30, 0), []string{"strip"}},
		{"with a hole", plate(80, 30, 5), []string{"strip", "closed"}},
		{"one end held, a pin loaded", pinned, []string{"loops"}},
	} {
		m, err := mesh.Generate(row.part.Region, mesh.Settings{Size: 4})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, g := range guesses(stretches(m, row.part)) {
			got = append(got, g.name)
		}
		if !slices.Equal(got, row.want) {
			t.Errorf("%s: %q, want %q", row.name, got, row.want)
		}
	}
}

func TestBadRequests(t *testing.T) {
	in := input(t, plate(60, 20, 0), 5, 1)
	for _, row := range []struct {
		name string
		r    Request
	}{
		{"no layers", Request{}},
		{"too dense", Request{Layers: 1, Spacing: 0.5}},
		{"too wide", Request{Layers: 1, Spacing: 3}},
		{"loop around nothing", Request{Kind: Loop, Layers: 1}},
		{"loop around a side", Request{Kind: Loop, Layers: 1, Around: []int{0}}},
		{"angle not a number", Request{Kind: Straight, Layers: 1, Angle: math.NaN()}},
	} {
		if _, err := Plan(context.Background(), in, Settings{Families: []Request{row.r}}); err == nil {
			t.Errorf("%s: no error", row.name)
		}
	}
}

func TestCancelledPlanStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	s := Settings{Progress: func(string, float64) { cancel() }}
	if _, err := Plan(ctx, input(t, plate(60, 20, 4), 4, 1), s); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want %v", err, context.Canceled)
	}
}

// TestMixFindsTheLoad: a plain strip in tension wants no layer across the
// load; a layer count that is kept stays.
func TestMixFindsTheLoad(t *testing.T) {
	in := input(t, plate(60, 20, 0), 5, 1)
	s := Settings{Mask: 10, Families: []Request{
		{Kind: Straight, Layers: 2}, {Kind: Straight, Angle: math.Pi / 2, Layers: 4}, {Kind: Straight, Angle: math.Pi / 4, Layers: 2},
	}}
	free, err := FindMix(context.Background(), in, s, MixSettings{})
	if err != nil {
		t.Fatal(err)
	}
	if want := []int{8, 0, 0}; !slices.Equal(free.Layers, want) {
		t.Errorf("mix %v, want %v", free.Layers, want)
	}
	kept, err := FindMix(context.Background(), in, s, MixSettings{Keep: []bool{false, false, true}})
	if err != nil {
		t.Fatal(err)
	}
	if kept.Layers[2] != 2 || kept.Reserve() > free.Reserve() {
		t.Errorf("kept mix %v reserves %g, free %v %g", kept.Layers, kept.Reserve(), free.Layers, free.Reserve())
	}
	if _, err := FindMix(context.Background(), in, s, MixSettings{Keep: []bool{true}}); err == nil {
		t.Error("no error for a missing mark")
	}
}
