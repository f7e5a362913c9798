package strand

import (
	"math"
	"testing"

	"sinew/geom"
)

// Rows that end at both sides of a plate are joined there by half-turns: fewer
// cuts, no bend below the tow's radius, nothing crossed, nothing outside, and
// what stays between stops behind the innermost turn.
func TestHalfTurns(t *testing.T) {
	r, m := plate(120, 40, 2)
	rows := func(p geom.Point) float64 { return p.Y }
	anywhere := func(p geom.Point) bool { return p.X < 5 || p.X > 115 }
	for _, c := range []struct {
		name   string
		at     func(geom.Point) bool
		reach  float64
		strand int // at most
		turns  int // at least
	}{
		{"not allowed", nil, 0, 40, 0},
		{"at the left side only", func(p geom.Point) bool { return p.X < 5 }, 0, 31, 9},
		{"at both sides", anywhere, 0, 24, 14},
		{"as wide as the plate", anywhere, 40, 14, 24},
		{"too narrow for the tow", anywhere, 9, 40, 0},
	} {
		plain := lay(t, layupOf(r, m, 2, rows), Settings{Bare: true})
		pr := lay(t, layupOf(r, m, 2, rows), Settings{Bare: true, TurnAt: c.at, TurnReach: c.reach})
		hold(t, c.name, pr)
		for i := range pr.Layers {
			a, b := plain.Layers[i].Stats(plain), pr.Layers[i].Stats(pr)
			if b.Count > c.strand || b.Turned < c.turns || b.Count != a.Count-b.Turned {
				t.Errorf("%s, layer %d: %d strands with %d half-turns of %d, want at most %d and at least %d", c.name, i, b.Count, b.Turned, a.Count, c.strand, c.turns)
			}
			if b.MinRadius < 5 {
				t.Errorf("%s, layer %d: least radius %.3f mm at %v", c.name, i, b.MinRadius, b.MinAt)
			}
			// A half-turn wider than the arcs themselves saves no tow: what it
			// cuts off both strands is about what it adds.
			if math.Abs(a.Length-b.Length) > 0.1*a.Length {
				t.Errorf("%s, layer %d: %g mm of strand instead of %g", c.name, i, b.Length, a.Length)
			}
			for k := range pr.Layers[i].Strands {
				s := &pr.Layers[i].Strands[k]
				if b.Turned == 0 && (s.Start == AtTurn || s.End == AtTurn) {
					t.Errorf("%s: strand %d ends at a turn that is not there", c.name, k)
				}
			}
		}
	}
}
