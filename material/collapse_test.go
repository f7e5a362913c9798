package material

import (
	"math"
	"strings"
	"testing"

	"sinew/internal/near"
)

// TestCollapseOfCrossPly follows a cross-ply pulled along x: the matrix of the
// 90 layers goes first, then the fibres of the 0 layers; between the two the
// load rises and the stack has become softer.
func TestCollapseOfCrossPly(t *testing.T) {
	p := exercise[2].ply(t)
	l := stackOf(t, p, 0.25, 0, 90, 90, 0)
	way, err := l.Collapse(Degrade{Criterion: Puck}, Load{Force: [3]float64{1, 0, 0}})
	if err != nil {
		t.Fatal(err)
	}
	if len(way.Steps) < 3 {
		t.Fatalf("only %d steps: %+v", len(way.Steps), way.Steps)
	}
	first, last := way.Steps[0], way.Steps[len(way.Steps)-1]
	if first.Mode != InterFibreA || (first.Layer != 1 && first.Layer != 2) {
		t.Errorf("first: %v in layer %d", first.Mode, first.Layer)
	}
	if want := p.Strength.Xt * 0.5; !near.Equal(way.Load, want, 0, 0.01) {
		t.Errorf("collapse at %g N/mm, the 0 layers alone stand %g", way.Load, want)
	}
	if last.Mode != FibreTension || !math.IsInf(last.After, 1) {
		t.Errorf("last: %v, after %g", last.Mode, last.After)
	}
	for i := 1; i < len(way.Curve); i++ {
		a, b := way.Curve[i-1], way.Curve[i]
		if b[0] < a[0]-1e-12 || b[1] < a[1] {
			t.Errorf("curve turns back from %v to %v", a, b)
		}
	}
	stiff := way.Curve[1][1] / way.Curve[1][0]
	if want := 1 / l.Comply.A[0]; !near.Equal(stiff, want, 0, 1e-9) {
		t.Errorf("slope of the curve %g, stiffness %g", stiff, want)
	}
}

// TestCollapseProperties: scaling the load scales the answer back, the first
// step is the first failure, no stack collapses below it.
func TestCollapseProperties(t *testing.T) {
	r := newRand(12)
	for i := range 200 {
		layers := randomStack(t, r)
		l, err := NewLaminate(layers, 0)
		if err != nil {
			t.Fatal(err)
		}
		load := Load{Force: randomVector(r, 10)}
		for _, c := range []Criterion{Hashin, TsaiWu, Puck} {
			way, err := l.Collapse(Degrade{Criterion: c}, load)
			if err != nil {
				t.Fatalf("case %d %v: %v", i, c, err)
			}
			first := l.First(c, load)
			if !near.Equal(way.Steps[0].Load, first.Reserve, 0, 1e-9) || way.Load < first.Reserve*(1-1e-9) {
				t.Fatalf("case %d %v: first step %g, first failure %g, collapse %g", i, c, way.Steps[0].Load, first.Reserve, way.Load)
			}
			twice, err := l.Collapse(Degrade{Criterion: c}, Load{Force: times(2, load.Force)})
			if err != nil || !near.Equal(2*twice.Load, way.Load, 0, 1e-6) || len(twice.Steps) != len(way.Steps) {
				t.Fatalf("case %d %v: collapse %g, of twice the load %g (%v)", i, c, way.Load, twice.Load, err)
			}
		}
	}
}

// TestCollapseWithoutLoad ends at once.
func TestCollapseWithoutLoad(t *testing.T) {
	l := stackOf(t, kawCarbon().ply(t), 1, 0, 90)
	way, err := l.Collapse(Degrade{}, Load{DeltaT: -50})
	if err != nil || len(way.Steps) != 0 || way.Load != 0 {
		t.Errorf("%+v %v", way, err)
	}
}

// TestNotch: no hole costs nothing, a huge one costs 1/Kt, nothing gains, and
// more distance never costs more.
func TestNotch(t *testing.T) {
	for _, kt := range []float64{2.02, 3, 4.9, 6.75, 12} {
		for name, f := range map[string]func(kt, r, d float64) float64{"point": PointStress, "average": AverageStress} {
			if v := f(kt, 0, 1); !near.Equal(v, 1, 1e-12, 0) {
				t.Errorf("%s Kt %g: no hole keeps %g", name, kt, v)
			}
			if v := f(kt, 1e9, 1); !near.Equal(v, 1/kt, 1e-6, 0) {
				t.Errorf("%s Kt %g: a huge hole keeps %g, want %g", name, kt, v, 1/kt)
			}
			for r := 0.01; r < 1e4; r *= 1.1 {
				if v := f(kt, r, 1); !(v <= 1 && v >= 1/kt-1e-12) {
					t.Errorf("%s Kt %g radius %g: keeps %g", name, kt, r, v)
				}
			}
		}
	}
	if f := FiniteWidth(3, 0); f != 1 {
		t.Errorf("wide plate: factor %g", f)
	}
}

// TestLug: the three checks, equilibrium, and what cannot be.
func TestLug(t *testing.T) {
	g := Lug{Force: 1200, Diameter: 10, Width: 30, Edge: 15, Thickness: 4}
	list, err := g.Reserves(LugStrength{Bearing: 300, Tension: 60, Shear: 40})
	if err != nil || len(list) != 3 {
		t.Fatal(list, err)
	}
	for i, want := range []LugReserve{
		{"bearing", 30, 300, 10}, {"net section", 15, 60, 4}, {"shear-out", 10, 40, 4},
	} {
		if list[i] != want {
			t.Errorf("%+v, want %+v", list[i], want)
		}
	}
	if list, err = g.Reserves(LugStrength{Tension: 60}); err != nil || len(list) != 1 || list[0].Check != "net section" {
		t.Errorf("one strength known: %v %v", list, err)
	}
	for _, row := range []struct {
		name, want string
		spoil      func(*Lug)
	}{
		{"hole wider than the plate", "leaves nothing", func(g *Lug) { g.Diameter = 30; g.Edge = 40 }},
		{"breaks out", "breaks out", func(g *Lug) { g.Edge = 5 }},
		{"no thickness", "thickness", func(g *Lug) { g.Thickness = 0 }},
	} {
		bad := g
		row.spoil(&bad)
		if _, err := bad.Reserves(LugStrength{}); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v", row.name, err)
		}
	}
}

// TestUltimateOfStack: the stack's own strengths by collapse, with the greater
// shear strength where fibres run at 45 degrees; a single layer stands those of
// its material. Kept flat, an unsymmetric stack stands what its symmetric twin
// does.
func TestUltimateOfStack(t *testing.T) {
	p := exercise[2].ply(t)
	along, across, slide := [3]float64{1, 0, 0}, [3]float64{0, -1, 0}, [3]float64{0, 0, 1}
	of := func(l *Laminate, force [3]float64) float64 {
		s, err := l.Ultimate(Degrade{Criterion: Puck}, force)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	quasi, cross, one := stackOf(t, p, 0.25, 0, 45, -45, 90, 90, -45, 45, 0), stackOf(t, p, 0.25, 0, 90, 90, 0), stackOf(t, p, 0.25, 0)
	if !(of(quasi, slide) > 2*of(cross, slide) && of(cross, along) > of(quasi, along)) {
		t.Errorf("shear %g and %g, tension %g and %g", of(quasi, slide), of(cross, slide), of(quasi, along), of(cross, along))
	}
	for _, row := range []struct{ got, want float64 }{{of(one, along), p.Strength.Xt}, {of(one, across), p.Strength.Yc}, {of(one, slide), p.Strength.S}} {
		if !near.Equal(row.got, row.want, 0, 1e-9) {
			t.Errorf("one layer stands %g MPa, its material %g", row.got, row.want)
		}
	}
	flat, err := stackOf(t, p, 0.5, 0, 90).Flat()
	if err != nil {
		t.Fatal(err)
	}
	if got, want := of(flat, along), of(cross, along); !flat.Balance().Symmetric || !near.Equal(got, want, 0, 1e-9) {
		t.Errorf("[0/90] kept flat stands %g MPa, [0/90]s %g", got, want)
	}
}
