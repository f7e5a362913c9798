package strand

import (
	"math"

	"sinew/geom"
)

// apartStarts is how far apart the start places of closed strands of one print
// are wanted, mm: a start is a cut fibre, a restart and an overlap at once.
const apartStarts = 15.0

// starts remembers where closed strands began.
type starts struct {
	taken []geom.Point
	quiet func(geom.Point) float64
	ends  *endings
}

// choose returns the index of the point at which the closed line starts: where
// it is quiet, and far from the starts chosen before. Without a measure of
// what is quiet, wide gaps beside the line stand for it, as strands lie apart
// where the load is small.
func (s *starts) choose(p []geom.Point, gap []float64) int {
	n := len(p) - 1
	cost := make([]float64, n)
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range n {
		if s.quiet != nil {
			cost[i] = s.quiet(p[i])
		} else {
			cost[i] = -gap[i]
		}
		lo, hi = math.Min(lo, cost[i]), math.Max(hi, cost[i])
	}
	dir := tangents(p, true)
	best, at := math.Inf(1), 0
	for i := range n {
		c := s.crowding(p[i]) + s.ends.cost(p[i], dir[i])
		if hi > lo {
			c += (cost[i] - lo) / (hi - lo)
		}
		if c < best-startMargin {
			best, at = c, i
		}
	}
	s.taken = append(s.taken, p[at])
	return at
}

// startMargin keeps rounding from choosing between equal places.
const startMargin = 1e-9

// crowding is 1 at an earlier start and falls off over apartStarts; many
// starts nearby add up.
func (s *starts) crowding(p geom.Point) float64 {
	sum := 0.0
	for _, q := range s.taken {
		d := p.Dist(q) / apartStarts
		if d < 4 {
			sum += math.Exp(-d * d)
		}
	}
	return sum
}

// rotate returns the closed line (last point = first) beginning at point i.
func rotate(p []geom.Point, i int) []geom.Point {
	n := len(p) - 1
	out := make([]geom.Point, 0, n+1)
	out = append(out, p[i:n]...)
	out = append(out, p[:i]...)
	return append(out, out[0])
}

// overlap lengthens the closed line over its own start by about length, to
// whole points, and returns how far.
func overlap(p []geom.Point, length float64) ([]geom.Point, float64) {
	n := len(p) - 1
	out, got := append([]geom.Point(nil), p...), 0.0
	for i := 1; i < n && got < length-overlapSlack; i++ {
		got += p[i].Dist(p[i-1])
		out = append(out, p[i])
	}
	return out, got
}

// overlapSlack, mm, keeps rounding from adding a point to an overlap that was
// whole points already.
const overlapSlack = 1e-6
