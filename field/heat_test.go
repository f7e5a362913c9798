package field

import (
	"context"
	"math"
	"testing"

	"sinew/geom"
	"sinew/part"
)

// A free plate of as many layers along x as along y grows alike both ways, and
// its layers hold one another back:
//
//	e = ΔT·[(Q11 + Q12)·α1 + (Q12 + Q22)·α2] / (Q11 + 2·Q12 + Q22)
//
// What strains a layer is e less its own growth.
func TestCrossedLayersHoldOneAnotherBack(t *testing.T) {
	const warm = -60.0
	p := plate(60, 24, 0)
	p.Cases = []part.Case{{Name: "cooled", Factor: 1.5, Heat: part.Heat{Change: warm / 1.5}}}
	p.Features = append(p.Features, part.Feature{Name: "bottom", Kind: part.Side, Edges: []int{0}})
	p.Supports = []part.Support{{Feature: 0, Kind: part.Sliding}, {Feature: 2, Kind: part.Sliding, Angle: math.Pi / 2}}
	in := input(t, p, 4, 1)
	if err := in.complete(); err != nil {
		t.Fatal(err)
	}
	s := Settings{Families: []Request{{Kind: Straight, Layers: 2}, {Kind: Straight, Angle: math.Pi / 2, Layers: 2}}}
	l := plan(t, in, s)
	m := newMeasure(newFitter(context.Background(), &in, s.withDefaults()), l.Families, []int{2, 2}, nil, Balanced)
	state, err := m.at(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	q, _ := in.Stack.Law.Reduced(1)
	a1, a2 := in.Stack.Law.Expansion(1)
	e := warm * ((q.Q11+q.Q12)*a1 + (q.Q12+q.Q22)*a2) / (q.Q11 + 2*q.Q12 + q.Q22)
	_, fc, mx := in.Stack.Law.Indices(1, [3]float64{e - warm*a1, e - warm*a2, 0})
	if fc < 1e-3 || mx < 0.1 {
		t.Fatalf("closed form: fibre %g, matrix %g: nothing is tested", fc, mx)
	}
	h, _ := m.fade(1)
	for i, at := range in.System.Points() {
		if at.Dist(geom.Point{X: 30, Y: 12}) > 5 {
			continue
		}
		for k := range 2 {
			if got := state.mean[k][0][0][i] / h; math.Abs(got/fc-1) > 1e-6 {
				t.Errorf("family %d at %v: fibre index %g, want %g", k, at, got, fc)
			}
			if got := state.mean[k][1][0][i] / h; math.Abs(got/mx-1) > 1e-6 {
				t.Errorf("family %d at %v: matrix index %g, want %g", k, at, got, mx)
			}
		}
	}
	// Drawn strands are judged alike, and the energy of such a case by nobody.
	drawn, err := m.f.judge.printed(context.Background(), l.plies(&in), nil)
	if err != nil {
		t.Fatal(err)
	}
	if drawn.M < mx*(1-1e-6) || drawn.Flexibility != 0 {
		t.Errorf("as drawn: matrix index %g, want %g or more; flexibility %g", drawn.M, mx, drawn.Flexibility)
	}
	in.Part.Cases[0].Heat = part.Heat{}
	if err := in.complete(); err != nil || in.Stack.Warm {
		t.Errorf("%v, warm without a change of temperature: %v", err, in.Stack.Warm)
	}
}
