package strand

import "sinew/geom"

// Crossing is a place where two strands of a layer, or one with itself, cross.
type Crossing struct {
	A, B int // strands
	At   geom.Point
}

// Crossings returns where strands of one layer cross, one place for each pair
// of pieces, by strand and piece. The overlap of a closed strand over its own
// start does not count. Decided by exact predicates; a point that lies on
// another strand counts as lying to its left, so that a crossing through a
// sampled point is found once and strands that run on one another do not cross.
func Crossings(strands []Strand) []Crossing {
	index := newSegments(strandSegments(strands))
	var out []Crossing
	for i := range index.list {
		s := &index.list[i]
		last := int32(len(strands[s.owner].Once()) - 2) // the piece before piece 0 of a closed strand
		seen := map[int32]bool{}
		index.near(geom.Box{Min: s.a, Max: s.a}.With(s.b), func(j int32, t *segment) {
			if j <= int32(i) || seen[j] {
				return
			}
			seen[j] = true
			joined := t.owner == s.owner && (t.at == s.at+1 || s.at == 0 && t.at == last && strands[s.owner].Closed)
			if !joined && s.crosses(t) {
				out = append(out, Crossing{int(s.owner), int(t.owner), s.meeting(t)})
			}
		})
	}
	return out
}

// crosses reports whether each piece has its ends on both sides of the other.
func (s *segment) crosses(t *segment) bool {
	return s.left(t.a) != s.left(t.b) && t.left(s.a) != t.left(s.b)
}

func (s *segment) left(p geom.Point) bool { return geom.Orient(s.a, s.b, p) >= 0 }

// meeting returns the point at which two pieces that cross do so.
func (s *segment) meeting(t *segment) geom.Point {
	v, w := s.b.Sub(s.a), t.b.Sub(t.a)
	den := v.Cross(w)
	if den == 0 {
		return s.a
	}
	return s.a.Lerp(s.b, t.a.Sub(s.a).Cross(w)/den)
}
