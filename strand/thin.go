package strand

import (
	"cmp"
	"slices"

	"sinew/geom"
)

// Limits of ending strands where too many would pass.
const (
	// packedBelow is the share of the least spacing below which beads pile up
	// on one another instead of pressing into their neighbours' edges.
	packedBelow = 0.85
	// packedLength, mm, is the shortest such stretch that is opened: over a
	// shorter one the pile is a bump, and a cut fibre the greater harm.
	packedLength = 5.0
	// thinRounds bounds the rounds; each opens stretches that lie apart, and
	// half of the strands of a neck go in the first two.
	thinRounds = 40
)

// stretch is a part of a strand, points from to to, both included.
type stretch struct {
	strand, from, to int
	length, load     float64
}

// thin ends strands where more lie side by side than fit: the packed stretch
// of every second strand or so is taken out, longest first, until none is
// left. What is left of a strand and too short to be laid goes too. It returns
// the strands and how many stretches were opened.
func (m *layer) thin(strands []Strand, dropped *Layer) ([]Strand, int) {
	opened, before := 0, strands
	for range thinRounds {
		all := m.packed(strands)
		if len(all) == 0 {
			break
		}
		chosen := apart(strands, all, 1.5*m.limits.least)
		opened += len(chosen)
		strands = m.open(strands, chosen, dropped)
	}
	if m.limits.fixed > 0 && opened > 0 {
		strands = m.regrow(before, strands)
	}
	return strands, opened
}

// packed returns the stretches in which beads are too narrow, longest first; of
// fixed width, where many strands end, the least loaded first.
func (m *layer) packed(strands []Strand) []stretch {
	var out []stretch
	for i, h := range HalfBeads(strands, m.layup.Region, m.limits.most) {
		if m.given(&strands[i]) {
			continue
		}
		p := strands[i].Points
		for k := 0; k < len(p); {
			if h.Width(k) >= m.packedShare()*m.limits.least {
				k++
				continue
			}
			s := stretch{strand: i, from: k, to: k}
			for s.to+1 < len(p) && h.Width(s.to+1) < m.packedShare()*m.limits.least {
				s.to++
				s.length += p[s.to].Dist(p[s.to-1])
			}
			if s.length >= packedLength {
				s.load = m.loadOf(p[k : s.to+1])
				out = append(out, s)
			}
			k = s.to + 1
		}
	}
	slices.SortStableFunc(out, func(a, b stretch) int {
		if m.limits.fixed > 0 && a.load != b.load {
			return cmp.Compare(a.load, b.load)
		}
		return cmp.Compare(b.length, a.length)
	})
	return out
}

// apart returns the stretches, in order, that lie farther than reach from all
// chosen before them and on other strands.
func apart(strands []Strand, all []stretch, reach float64) []stretch {
	var out []stretch
	var taken []geom.Point
	used := map[int]bool{}
	for _, s := range all {
		pts := strands[s.strand].Points[s.from : s.to+1]
		if used[s.strand] || touches(pts, taken, reach) {
			continue
		}
		used[s.strand] = true
		taken = append(taken, pts...)
		out = append(out, s)
	}
	return out
}

func touches(a, b []geom.Point, reach float64) bool {
	if len(b) == 0 {
		return false
	}
	grid := geom.NewGrid(b)
	return slices.ContainsFunc(a, func(p geom.Point) bool {
		_, d := grid.Nearest(p)
		return d < reach
	})
}

// open takes the stretches out of their strands.
func (m *layer) open(strands []Strand, chosen []stretch, dropped *Layer) []Strand {
	cut := map[int]stretch{}
	for _, s := range chosen {
		cut[s.strand] = s
	}
	var out []Strand
	for i, s := range strands {
		c, ok := cut[i]
		if !ok {
			out = append(out, s)
			continue
		}
		for _, rest := range s.without(c) {
			if n := rest.Length(); n < m.limits.cutter {
				if len(rest.Points) > 1 {
					dropped.drop(rest.Points, n)
				}
				continue
			}
			out = append(out, rest)
		}
	}
	return out
}

// without returns what is left of the strand before and after the stretch; of
// a closed one the rest in one piece.
func (s Strand) without(c stretch) []Strand {
	if s.Closed {
		once := s.Points[:len(s.Points)-1]
		rest := s
		rest.Points = append(slices.Clone(s.Points[c.to:len(s.Points)-1]), once[:min(c.from+1, len(once))]...)
		rest.Closed, rest.Start, rest.End = false, AtLimit, AtLimit
		return []Strand{rest}
	}
	head, tail := s, s
	head.Points, head.End, head.EndLoop = s.Points[:c.from+1], AtLimit, -1
	tail.Points, tail.Start, tail.StartLoop = s.Points[c.to:], AtLimit, -1
	return []Strand{head, tail}
}
