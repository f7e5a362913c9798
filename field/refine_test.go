package field

import (
	"context"
	"math"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/material"
	"sinew/part"
)

// twoCases is a plate with a hole pulled by one case and sheared by another,
// which also weighs something.
func twoCases(radius float64) *part.Part {
	p := plate(60, 24, radius)
	p.Cases = []part.Case{
		{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Even, Force: geom.Point{X: 1000}}}},
		{Name: "shear", Factor: 1.5, Loads: []part.Load{{Feature: 1, Kind: part.Even, Force: geom.Point{Y: 60}}}, Acceleration: geom.Point{X: 3e7, Y: 5e6}},
	}
	return p
}

// prepared returns a refiner of a planned lay-up of two steered families and a
// straight one, on request with strands locked in the first.
func prepared(t testing.TB, goal Goal, change func(in *Input), locked ...geom.Path) *refiner {
	t.Helper()
	in := input(t, twoCases(4), 4, 1)
	if change != nil {
		change(&in)
	}
	if err := in.complete(); err != nil {
		t.Fatal(err)
	}
	s := Settings{Families: []Request{{Name: "along", Kind: Steered, Layers: 4, Spacing: 1.2}, {Kind: Steered, Layers: 2, Fit: Nearest}, {Kind: Straight, Angle: 0.7, Layers: 2}}, Refine: Refine{Goal: goal}}
	for _, p := range locked {
		s.Families = append(s.Families, Request{Kind: Drawn, Paths: []geom.Path{p}, Into: "along"})
	}
	s = s.withDefaults()
	p := &planner{fitter: newFitter(context.Background(), &in, s), list: stretches(in.Mesh, in.Part), layup: &Layup{Region: in.Region}}
	if err := p.place(); err != nil {
		t.Fatal(err)
	}
	if err := p.steer(); err != nil {
		t.Fatal(err)
	}
	r, err := p.newRefiner([]int{0, 1})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// stepped takes three of four layers away from a part's right end.
func stepped(in *Input) {
	for i, p := range in.System.Points() {
		in.Stack.Share = append(in.Stack.Share, 1)
		if p.X > 40 {
			in.Stack.Share[i] = 0.25
		}
	}
}

// weakPlastic gives covers, and plastic that fails before all else.
func weakPlastic(in *Input) {
	in.Stack.Covers = 0.4
	in.Stack.PlasticIndex = material.PlasticState{Tension: 4, Compression: 7, Shear: 3}.Index
}

// warmed heats one of two cases, more at one end than at the other.
func warmed(in *Input) {
	in.Stack.Covers = 0.4
	in.Stack.PlasticIndex = material.PlasticState{Tension: 6, Compression: 6, Shear: 3}.Index // no step where the mean stress changes its sign
	in.Stack.PlasticExpansion = 8e-5
	in.Part.Cases[1].Heat = part.Heat{Change: 40, Slope: geom.Point{X: 0.5, Y: -0.2}}
}

// spun turns the part about a point outside of it.
func spun(in *Input) {
	in.Part.Cases[0].Spin = part.Spin{Center: geom.Point{X: -20, Y: 12}, Rate: 800}
}

// TestTotalDerivative compares the adjoint's derivative along random smooth
// directions with central differences of the whole chain: phase, stiffness,
// solution, indices, discs, norms. Costs are compared apart, since they would
// drown the measure.
func TestTotalDerivative(t *testing.T) {
	for _, row := range []struct {
		name   string
		goal   Goal
		change func(in *Input)
		locked []geom.Path
	}{
		{"balanced", Balanced, nil, nil}, {"weakest", Weakest, nil, nil}, {"stiffest", Stiffest, nil, nil},
		{"with a terrace", Balanced, stepped, nil}, {"weak plastic", Weakest, weakPlastic, nil},
		{"warmed", Balanced, warmed, nil}, {"warmed, weakest", Weakest, warmed, nil}, {"spun", Stiffest, spun, nil},
		{"beside a locked strand", Balanced, nil, []geom.Path{{Points: []geom.Point{{X: 5, Y: 4}, {X: 30, Y: 5}, {X: 55, Y: 3}}}}},
	} {
		r := prepared(t, row.goal, row.change, row.locked...)
		random := rng(7)
		for range 3 {
			dir := make([]float64, len(r.x))
			for i := range dir {
				dir[i] = random()
			}
			scale := 0.4 / r.move(dir)
			for i := range dir {
				dir[i] *= scale
			}
			at := func(step float64) *trial {
				x := make([]float64, len(dir))
				axpy(x, 1+step, dir) // away from the start, so that every cost is alive
				n, err := r.try(x)
				if err != nil {
					t.Fatal(err)
				}
				return n
			}
			mid := at(0)
			whole, err := r.slope(mid)
			if err != nil {
				t.Fatal(err)
			}
			at(0) // the factorisation that the adjoint needs is that of the last trial
			own, err := r.m.gradient(mid.state)
			if err != nil {
				t.Fatal(err)
			}
			measured := dot(r.pullBack(own), dir)
			slack := 0.0
			if strings.HasPrefix(row.name, "warmed") {
				slack = tableKinks
			}
			compare(t, row.name+", measure", measured, slack, func(h float64) float64 { return at(h).state.value })
			compare(t, row.name+", costs", dot(whole, dir)-measured, 0, func(h float64) float64 { n := at(h); return n.value - n.state.value })
		}
	}
}

// tableKinks is by how much differences may miss a slope where the growth of a
// layer counts: it is linear between the values of a table, and some of the
// thousands of points pass from piece to piece within the step.
const tableKinks = 3e-7

// compare holds a slope to differences of fourth order, whose error falls with
// h⁴ until rounding: some 1e-13 of a value of about one, over h.
func compare(t *testing.T, name string, got, slack float64, f func(h float64) float64) {
	t.Helper()
	const h = 2e-4
	want := (8*(f(h)-f(-h)) - (f(2*h) - f(-2*h))) / (12 * h)
	t.Logf("%s: slope %.6g, off by %.2g", name, got, math.Abs(got/want-1))
	if math.Abs(got-want) > 1e-6*math.Abs(want)+1e-12/h+slack {
		t.Errorf("%s: slope %.10g, by differences %.10g", name, got, want)
	}
}

// rng is a small fixed generator of numbers in -1 … 1 (Marsaglia's xorshift).
func rng(seed uint64) func() float64 {
	x := seed*0x9E3779B97F4A7C15 + 1
	return func() float64 {
		x ^= x << 13
		x ^= x >> 7
		x ^= x << 17
		return float64(x>>11)/(1<<52) - 1
	}
}
