package strand

import (
	"math"
	"slices"
)

// SharpShare is the share of the tow's least bend radius below which a strand
// is not laid round a bend but ended before it: a tow bent that tightly leaves
// the line, one bent a little too tightly creases.
const SharpShare = 0.5

// fillet rounds bends below the tow's limit into the room that the neighbours
// leave on the inner side: beside saddles of the phase, where lines turn
// sharply, they lie far apart. A strand that would then cross another stays as
// it was.
func (m *layer) fillet(strands []Strand) []Strand {
	out := slices.Clone(strands)
	for i, h := range HalfBeads(strands, m.layup.Region, m.limits.most) {
		if s := &out[i]; !m.given(s) && tightest(s.Radii()) < m.limits.radius {
			*s = m.filleted(*s, h)
		}
	}
	for {
		crossed := Crossings(out)
		changed := false
		for _, c := range crossed {
			for _, k := range [2]int{c.A, c.B} {
				if !slices.Equal(out[k].Points, strands[k].Points) {
					out[k], changed = strands[k], true
				}
			}
		}
		if !changed {
			return out
		}
	}
}

func tightest(radii []float64) float64 {
	least := math.Inf(1)
	for _, r := range radii {
		least = math.Min(least, r)
	}
	return least
}

// filleted smooths the strand where it bends too tightly, each point by at most
// what the nearer neighbour leaves beyond the least spacing.
func (m *layer) filleted(s Strand, h Halves) Strand {
	drift := all(len(s.Points), driftShare*m.limits.least)
	for i := range drift {
		room := 2*math.Min(h.Left[i], h.Right[i]) - m.limits.least
		drift[i] = math.Max(drift[i], room)
	}
	step := polyLength(s.Points) / float64(max(1, len(s.Points)-1))
	s.Points = slices.Clone(fair(s.Points, s.Closed, step, m.limits.radius, drift))
	m.fringe.hold(s.Points, s.Closed)
	s.Points, _ = even(s.Points, s.Closed, m.set.Step)
	return s
}

// cutSharp ends strands before bends that the tow cannot follow, and leaves out
// what is then too short. It returns the strands and how many bends were cut.
func (m *layer) cutSharp(strands []Strand, dropped *Layer) ([]Strand, int) {
	cuts := 0
	for {
		var chosen []stretch
		for i := range strands {
			if m.given(&strands[i]) {
				continue
			}
			radii := strands[i].Radii()
			if k := slices.Index(radii, tightest(radii)); k >= 0 && radii[k] < SharpShare*m.limits.radius {
				n := len(strands[i].Points)
				chosen = append(chosen, stretch{strand: i, from: max(0, k-1), to: min(n-1, k+1)})
			}
		}
		if len(chosen) == 0 {
			return strands, cuts
		}
		cuts += len(chosen)
		strands = m.open(strands, chosen, dropped)
	}
}
