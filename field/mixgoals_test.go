package field

import (
	"context"
	"math"
	"testing"
)

// search returns the mix that a goal finds, with its settings.
func search(t *testing.T, in Input, s Settings, m MixSettings) *Mix {
	t.Helper()
	out, err := FindMix(context.Background(), in, s, m)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// A plain family holds no fibre anywhere: it adds the stiffness of plastic and
// no tow.
func TestPlainFamilyIsPlastic(t *testing.T) {
	in := input(t, plate(60, 20, 0), 5, 1)
	l := plan(t, in, Settings{Families: []Request{{Kind: Plain, Layers: 3}}})
	if got := l.Families[0].Length(); got != 0 {
		t.Errorf("%g mm of tow in plain plastic", got)
	}
	a, plain := l.Sheet(in.Stack, in.System.Points()), in.Stack.Plastic.Turn(0)
	for i := range a.A {
		for c, q := range a.A[i] {
			if want := 3 * in.Stack.Law.Height() * plain[c]; math.Abs(q-want) > 1e-9*math.Abs(plain[0]) {
				t.Fatalf("point %d, component %d: %g, plastic has %g", i, c, q, want)
			}
		}
	}
	for y := range l.Layers {
		if l.Layers[y].Shift != 0 {
			t.Errorf("plain layer %d is shifted", y)
		}
	}
}

// A strip that two layers of fibre along the load hold for certain needs no
// more: the rest becomes plain plastic, and what is required still holds.
func TestLeastTowTakesPlainPlastic(t *testing.T) {
	in := input(t, plate(60, 20, 0), 5, 1)
	s := Settings{Mask: 10, Families: []Request{{Kind: Straight, Layers: 8}, {Kind: Straight, Angle: math.Pi / 4}, {Kind: Plain}}}
	all := search(t, in, s, MixSettings{})
	need := all.Reserve() / 2.5 // of eight layers; four suffice, two do not
	least := search(t, in, s, MixSettings{Goal: LeastTow, NeedFibre: need, NeedMatrix: need})
	if least.Layers[0] != 4 || least.Layers[2] != 4 {
		t.Errorf("mix %v for a reserve of %.3g, want 4 along the load and 4 plain", least.Layers, need)
	}
	if least.Reserve() < need || least.Length > 0.51*all.Length {
		t.Errorf("reserve %.3g of %.3g needed, %.0f mm of tow of %.0f", least.Reserve(), need, least.Length, all.Length)
	}
	// What no mix reaches is missed by as little as can be.
	if short := search(t, in, s, MixSettings{Goal: LeastTow, NeedFibre: 10 * need, NeedMatrix: 10 * need}); short.Layers[0] != 8 {
		t.Errorf("mix %v where nothing suffices", short.Layers)
	}
}

// The ratio goal raises the least of the ratios to quasi-isotropic fibre of all
// modes and cases; what it reports of that fibre is what four straight families
// come to.
func TestRatioLooksAtEveryCase(t *testing.T) {
	in := input(t, twoCases(4), 4, 1)
	s := Settings{Mask: 8, Families: []Request{{Kind: Straight, Layers: 8}, {Kind: Straight, Angle: math.Pi / 2}, {Kind: Straight, Angle: math.Pi / 4}, {Kind: Straight, Angle: -math.Pi / 4}}}
	least := func(m *Mix, layers []int) (float64, *exchange) {
		x := &exchange{ctx: context.Background(), in: &in, set: s.withDefaults(), mix: MixSettings{Goal: BestRatio}.withDefaults(4), seen: map[string]tried{}}
		x.judge = newJudge(&in, x.set)
		if err := x.makePlies(); err != nil {
			t.Fatal(err)
		}
		if err := x.judgeEven(); err != nil {
			t.Fatal(err)
		}
		got, err := x.try(layers)
		if err != nil {
			t.Fatal(err)
		}
		return math.Exp(-x.lag(got.score)), x
	}
	m := search(t, in, s, MixSettings{Goal: BestRatio})
	found, x := least(m, m.Layers)
	start, _ := least(m, []int{8, 0, 0, 0})
	if found <= start || found < 1 {
		t.Errorf("least ratio %.3f of mix %v, %.3f at the start", found, m.Layers, start)
	}
	two, err := x.try([]int{2, 2, 2, 2})
	if err != nil {
		t.Fatal(err)
	}
	for c, want := range x.even {
		for mode, v := range two.score.Cases[c] {
			if math.Abs(v-want[mode]) > 0.02*want[mode] {
				t.Errorf("case %d, mode %d: quasi-isotropic fibre %.4g, two layers of each direction %.4g", c, mode, want[mode], v)
			}
		}
	}
}
