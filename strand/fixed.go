package strand

import (
	"cmp"
	"math"
	"slices"

	"sinew/geom"
)

// Beads of fixed width.
const (
	// fixedPacked is packedBelow for beads of fixed width: what is pressed out of
	// one has no nozzle that would lay less.
	fixedPacked = 0.95
	// fixedRounds bounds how often strands are added between strands: each round
	// halves the room between them.
	fixedRounds = 4
	// fixedClear is the share of the bead's width that an added strand keeps from
	// its neighbours' centre lines.
	fixedClear = 0.97
)

// packedShare is the share of the least spacing below which beads are packed.
func (m *layer) packedShare() float64 {
	if m.limits.fixed > 0 {
		return fixedPacked
	}
	return packedBelow
}

// add lays further strands where those of the family lie so far apart that beads
// of fixed width leave room for another: stretches of the level lines and of
// those midway, long enough to be laid, a bead's width off all others. It returns all strands
// and how many were added.
func (m *layer) add(strands []Strand, family int, shift float64, dropped *Layer) ([]Strand, int) {
	if m.limits.fixed == 0 {
		return strands, 0
	}
	f := &m.layup.Families[family]
	lv := levels(f, shift)
	added := 0
	try := lv // first where strands were ended
	for range fixedRounds {
		if len(lv) == 0 {
			break
		}
		fine := m.fine[family]
		there := newSegments(strandSegments(strands))
		var fresh []Strand
		for i, paths := range geom.LevelLines(fine.nodes, fine.tris, fine.values, try) {
			for _, p := range paths {
				fresh = append(fresh, m.between(there, fresh, p, try[i], family)...)
			}
		}
		fresh = m.longEnough(m.fillet(fresh), dropped)
		fresh, _ = m.cutSharp(fresh, dropped)
		added += len(fresh)
		strands = append(strands, fresh...)
		try = midway(lv)
		lv = slices.Concat(lv, try)
		slices.Sort(lv)
	}
	strands, _ = m.uncross(strands, dropped)
	return strands, added
}

// midway returns the levels between those given, and half a step beyond them.
func midway(lv []float64) []float64 {
	out := []float64{lv[0] - 0.5}
	for i := 1; i < len(lv); i++ {
		out = append(out, (lv[i-1]+lv[i])/2)
	}
	return append(out, lv[len(lv)-1]+0.5)
}

// between returns the stretches of a level line that have room for a bead.
func (m *layer) between(there *segments, fresh []Strand, p geom.Path, level float64, family int) []Strand {
	added := newSegments(strandSegments(fresh))
	clear := fixedClear * m.limits.fixed
	var out []Strand
	for _, r := range m.fringe.clip(p) {
		n := len(r.pts)
		free := make([]bool, n)
		for i, q := range r.pts {
			free[i] = !there.within(q, clear) && !added.within(q, clear)
		}
		if r.closed && slices.Contains(free, false) { // begin where it is cut
			k := slices.Index(free, false)
			r.pts = append(slices.Concat(r.pts[k:n-1], r.pts[:k]), r.pts[k])
			free = append(slices.Concat(free[k:n-1], free[:k]), false)
			r.closed = false
		}
		for i := 0; i < n; {
			j := i
			for j < n && free[j] {
				j++
			}
			if s := r.part(i, j); j-i > 1 && polyLength(s.pts) >= m.limits.cutter {
				st := m.strand(s, level)
				st.Family = family
				out = append(out, st)
			}
			i = j + 1
		}
	}
	return out
}

// part returns the points i to j-1 of a run; ends inside of it keep a limit.
func (r run) part(i, j int) run {
	s := r
	s.pts = r.pts[i:j]
	if r.closed && j-i == len(r.pts) {
		return s
	}
	s.closed = false
	if i > 0 || r.closed {
		s.start, s.loops[0] = AtLimit, -1
	}
	if j < len(r.pts) || r.closed {
		s.end, s.loops[1] = AtLimit, -1
	}
	return s
}

// loadOf is how highly a stretch of a strand is stressed on average, 0 where
// nobody knows.
func (m *layer) loadOf(pts []geom.Point) float64 {
	if m.set.Quiet == nil {
		return 0
	}
	sum := 0.0
	for _, p := range pts {
		sum += math.Max(0, m.set.Quiet(p))
	}
	return sum / float64(max(1, len(pts)))
}

// regrow takes back what thinning ended too early: gaps of strands are closed
// again, those that carry most first, as far as a bead has room there. before
// holds the strands as they were, after what thinning left of them.
func (m *layer) regrow(before, after []Strand) []Strand {
	out := slices.Clone(after)
	var gaps []gap
	for i := range before {
		if !before[i].Closed && !m.given(&before[i]) {
			gaps = append(gaps, m.gapsOf(i, &before[i], piecesIn(&before[i], after))...)
		}
	}
	slices.SortStableFunc(gaps, func(a, b gap) int { return cmp.Compare(b.load, a.load) })
	joined := map[int]int{}
	for _, g := range gaps {
		m.closeGap(g, before, out, joined)
	}
	return slices.DeleteFunc(out, func(s Strand) bool { return len(s.Points) == 0 })
}

// pieceOf is a strand that is left of another: points from to to of it.
type pieceOf struct{ strand, from, to int }

// gap lies between pieces of one strand, or a piece and its end: points from+1
// to to-1 are missing. left and right are the pieces beside it, -1: none.
type gap struct {
	of, from, to, left, right int
	load                      float64
}

// piecesIn finds what is left of a strand, in its order.
func piecesIn(s *Strand, after []Strand) []pieceOf {
	var out []pieceOf
	for k := range after {
		t := &after[k]
		if t.Level != s.Level || t.Closed {
			continue
		}
		if i := slices.Index(s.Points, t.Points[0]); i >= 0 && i+len(t.Points) <= len(s.Points) {
			out = append(out, pieceOf{k, i, i + len(t.Points) - 1})
		}
	}
	slices.SortFunc(out, func(a, b pieceOf) int { return cmp.Compare(a.from, b.from) })
	return out
}

func (m *layer) gapsOf(i int, s *Strand, kept []pieceOf) []gap {
	if len(kept) == 0 {
		return nil
	}
	var out []gap
	last := pieceOf{strand: -1, to: -1}
	for _, p := range append(slices.Clone(kept), pieceOf{strand: -1, from: len(s.Points)}) {
		if p.from > last.to+1 {
			out = append(out, gap{i, last.to, p.from, last.strand, p.strand, m.loadOf(s.Points[last.to+1 : p.from])})
		}
		last = p
	}
	return out
}

// closeGap lengthens the pieces beside a gap into it, as far as there is room,
// and makes one of them where they meet: the right one then has no points, and
// joined names the left one in its place.
func (m *layer) closeGap(g gap, before, out []Strand, joined map[int]int) {
	s := &before[g.of]
	left := g.left
	for to, ok := joined[left]; ok; to, ok = joined[left] {
		left = to
	}
	var others []Strand
	for k := range out {
		if k != left && k != g.right && len(out[k].Points) > 0 {
			others = append(others, out[k])
		}
	}
	index := newSegments(strandSegments(others))
	free := func(k int) bool { return !index.within(s.Points[k], fixedClear*m.limits.fixed) }
	lo, hi := g.from, g.to
	for left >= 0 && lo+1 < hi && free(lo+1) {
		lo++
	}
	for g.right >= 0 && hi-1 > lo && free(hi-1) {
		hi--
	}
	if left >= 0 {
		t := &out[left]
		t.Points = slices.Concat(t.Points, s.Points[g.from+1:lo+1])
		if lo == len(s.Points)-1 {
			t.End, t.EndLoop = s.End, s.EndLoop
		}
	}
	if g.right < 0 {
		return
	}
	t := &out[g.right]
	t.Points = slices.Concat(s.Points[hi:g.to], t.Points)
	if hi == 0 {
		t.Start, t.StartLoop = s.Start, s.StartLoop
	}
	if left >= 0 && hi == lo+1 {
		l := &out[left]
		l.Points, l.End, l.EndLoop = slices.Concat(l.Points, t.Points), t.End, t.EndLoop
		t.Points, joined[g.right] = nil, left
	}
}
