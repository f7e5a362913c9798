package strand

import (
	"math"
	"testing"

	"sinew/geom"
)

// Loops around a hole become one strand that keeps the limits, as long as the
// loops but for the steps.
func TestLinkedLoops(t *testing.T) {
	r, m := holed(80, 80, 10, 96, 24)
	ring := func(p geom.Point) float64 { return p.Norm() - 10 }
	l := layupOf(r, m, 2, ring, 1)
	for i := range l.Families {
		l.Families[i].Turns = 8
	}
	apart := lay(t, l, Settings{Bare: true})
	linked := lay(t, l, Settings{Bare: true, Link: true})
	for i := range linked.Layers {
		a, b := apart.Layers[i].Stats(apart), linked.Layers[i].Stats(linked)
		if a.Count < 7 || b.Count != 1 {
			t.Fatalf("layer %d: %d loops became %d strands", i, a.Count, b.Count)
		}
		overlaps := 0.0
		for _, s := range apart.Layers[i].Strands {
			overlaps += s.Overlap
		}
		if lost := a.Length - overlaps - b.Length; lost < 0 || lost > 20 {
			t.Errorf("layer %d: %g mm of %g were lost to the steps", i, lost, a.Length)
		}
		if b.MinRadius < 5 || len(Crossings(linked.Layers[i].Strands)) > 0 || b.WithinLimits < 0.97 {
			t.Errorf("layer %d: radius %g mm, %d crossings, %.3f within limits", i, b.MinRadius, len(Crossings(linked.Layers[i].Strands)), b.WithinLimits)
		}
		s := &linked.Layers[i].Strands[0]
		if s.Start != AtStep || s.End != AtStep || s.Closed {
			t.Errorf("layer %d: starts %s, ends %s", i, s.Start, s.End)
		}
		wound := 0.0
		for k := 1; k < len(s.Points); k++ {
			p, q := s.Points[k-1], s.Points[k]
			wound += math.Atan2(p.Cross(q), p.Dot(q))
		}
		if turns := math.Abs(wound) / (2 * math.Pi); turns < float64(a.Count)-0.3 || turns > float64(a.Count) {
			t.Errorf("layer %d: %.2f turns, want nearly %d", i, turns, a.Count)
		}
	}
	if a, b := linked.Layers[0].Strands[0].Points[0], linked.Layers[1].Strands[0].Points[0]; a.Dist(b) < 5 {
		t.Errorf("both layers step over at %v", a)
	}
}
