package strand

import (
	"math"
	"slices"
	"testing"

	"sinew/geom"
)

func TestLevelsWithoutTiedEdges(t *testing.T) {
	_, m := plate(20, 4, 2)
	r, _ := plate(20, 4, 2)
	l := layupOf(r, m, 1, func(p geom.Point) float64 { return p.Y })
	for _, c := range []struct {
		shift float64
		want  []float64
	}{
		{0, []float64{0.5, 1.5, 2.5, 3.5}},
		{0.25, []float64{0.75, 1.75, 2.75, 3.75}},
		{0.5, []float64{1, 2, 3}},
	} {
		if got := levels(&l.Families[0], c.shift); !slices.Equal(got, c.want) {
			t.Errorf("shift %g: got %v, want %v", c.shift, got, c.want)
		}
	}
}

func TestLevelsBetweenTiedEdges(t *testing.T) {
	for _, c := range []struct {
		name  string
		a, b  float64
		count int
	}{
		{"whole number", 0, 17, 17},
		{"a little less", 0, 16.8, 17},
		{"a little more", -2, 14.3, 16},
		{"one strand", 0, 1, 1},
		{"no room", 0, 0.6, 0},
	} {
		for _, shift := range []float64{0, 0.5, -0.5} {
			got := between(c.a, c.b, shift)
			if len(got) != c.count {
				t.Errorf("%s, shift %g: %d levels, want %d", c.name, shift, len(got), c.count)
				continue
			}
			holdLevels(t, c.name, got, c.a, c.b)
		}
	}
}

// holdLevels demands that levels rise, keep at least (1 - shiftSlope) of the
// pitch from each other and 0.4 of it from the tied edges.
func holdLevels(t *testing.T, name string, v []float64, a, b float64) {
	t.Helper()
	if len(v) == 0 {
		return
	}
	pitch := (b - a) / float64(len(v))
	for i := range v {
		if d := math.Min(v[i]-a, b-v[i]); d < 0.4*pitch {
			t.Errorf("%s: level %g lies %g from a tied edge, pitch %g", name, v[i], d, pitch)
		}
		if i > 0 && v[i]-v[i-1] < (1-shiftSlope-1e-12)*pitch {
			t.Errorf("%s: levels %g and %g, pitch %g", name, v[i-1], v[i], pitch)
		}
	}
}

// Midway between tied edges far apart, a shifted layer lies half a spacing
// beside an unshifted one.
func TestShiftIsFullMidway(t *testing.T) {
	a, b := between(0, 30, 0), between(0, 30, 0.5)
	if d := b[15] - a[15]; math.Abs(d-0.5) > shiftSlope {
		t.Errorf("shift midway %g, want 0.5", d)
	}
}

func TestTurnsBoundTheLevels(t *testing.T) {
	got := withinTurns([]float64{-3.5, -0.5, 0.5, 1.5, 2.5, 3.5, 9.5}, []float64{0, 10}, 2)
	if want := []float64{-0.5, 0.5, 1.5, 9.5}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestTiedPhasesJoinCloseOnes(t *testing.T) {
	r, m := holed(60, 40, 6, 48, 8)
	l := layupOf(r, m, 1, around(6), 1)
	if got := tiedPhases(&l.Families[0]); len(got) != 1 || math.Abs(got[0]) > 1e-12 {
		t.Errorf("got %v, want 0", got)
	}
	l.Families[0].TiedPhases = []float64{9, 0, 17, 0.2}
	if got := tiedPhases(&l.Families[0]); !slices.Equal(got, []float64{0.1, 9, 17}) {
		t.Errorf("got %v, want 0.1, 9, 17", got)
	}
}
