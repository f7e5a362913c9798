package field

import (
	"math"
	"slices"
	"testing"
)

func TestRibsFitTheOutline(t *testing.T) {
	p := plate(80, 30, 5)
	for _, c := range []struct {
		name   string
		angle  float64
		pitch  float64
		bundle int
		ribs   int
	}{
		{"along", 0, 8, 1, 4},
		{"along, bundles", 0, 8, 3, 4},
		{"across", math.Pi / 2, 21, 2, 4},
		{"wider than the part", 0, 90, 1, 1},
	} {
		l := plan(t, input(t, p, 4, 1), Settings{Families: []Request{{Kind: Rib, Layers: 2, Angle: c.angle, Pitch: c.pitch, Bundle: c.bundle}}})
		f := l.Families[0]
		if len(f.Levels) != c.ribs*c.bundle || !slices.IsSorted(f.Levels) {
			t.Errorf("%s: levels %v, want %d", c.name, f.Levels, c.ribs*c.bundle)
			continue
		}
		for i := 1; i < c.bundle; i++ {
			if d := f.Levels[i] - f.Levels[i-1]; math.Abs(d-1) > 1e-9 {
				t.Errorf("%s: strands of a bundle %g spacings apart", c.name, d)
			}
		}
		lo, hi := slices.Min(f.Phase), slices.Max(f.Phase)
		if a, b := f.Levels[0]-lo, hi-f.Levels[len(f.Levels)-1]; math.Abs(a-b) > 1e-9 || a < 0.5 {
			t.Errorf("%s: %g and %g spacings to the edges", c.name, a, b)
		}
	}
}

// The length of ribs is that of their strands: the plan lays fibre on them and
// nowhere else.
func TestRibsHoldFibreOnlyWhereTheyRun(t *testing.T) {
	p := plate(80, 30, 5)
	l := plan(t, input(t, p, 1.5, 1), Settings{Families: []Request{{Kind: Rib, Layers: 2, Pitch: 10, Bundle: 2}}})
	f := l.Families[0]
	if n := f.Length(); math.Abs(n/(6*80)-1) > 0.1 { // the hole takes some of the middle ones
		t.Errorf("six strands of 80 mm come to %g mm", n)
	}
	points := input(t, p, 1.5, 1).System.Points()
	g := f.Operator(points)
	for i, q := range points {
		near := f.nearLevel(g.value(i, f.Phase))
		if b := f.FibreAt(g, i); b.Covered != near || near && math.Abs(b.Rho-1) > 1e-9 {
			t.Fatalf("fibre %+v at %v, near a rib: %v", b, q, near)
		}
	}
}

// A cantilever bends: ribs along it at top and bottom carry most.
func TestRibsSizedByLoad(t *testing.T) {
	p := plate(80, 30, 5)
	p.Cases[0].Loads[0].Force.X, p.Cases[0].Loads[0].Force.Y = 0, 500
	p.Cases[0].Loads[0].Kind = 1
	l := plan(t, input(t, p, 3, 1), Settings{Families: []Request{{Kind: Rib, Layers: 2, Pitch: 6, Bundle: 3, ByLoad: true}}})
	counts := make([]int, 5)
	lo, hi := slices.Min(l.Families[0].Phase), slices.Max(l.Families[0].Phase)
	for _, v := range l.Families[0].Levels {
		counts[int(5*(v-lo)/(hi-lo))]++
	}
	if n := len(l.Families[0].Levels); n != 15 {
		t.Errorf("%d strands in all, want 15", n)
	}
	if counts[0] <= counts[2] || counts[4] <= counts[2] || math.Abs(float64(counts[0]-counts[4])) > 1 {
		t.Errorf("strands of the ribs %v: the outer ones should have most", counts)
	}
}

func TestShareOut(t *testing.T) {
	for _, c := range []struct {
		weights     []float64
		total, most int
		want        []int
	}{
		{[]float64{1, 1, 2}, 8, 9, []int{2, 2, 4}},
		{[]float64{0, 0, 1}, 6, 9, []int{1, 1, 4}},
		{[]float64{1, 5}, 12, 4, []int{4, 4}},
		{[]float64{0, 0}, 4, 9, []int{2, 2}},
	} {
		if got := shareOut(c.weights, c.total, c.most); !slices.Equal(got, c.want) {
			t.Errorf("shareOut(%v, %d, %d) = %v, want %v", c.weights, c.total, c.most, got, c.want)
		}
	}
}
