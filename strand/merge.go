package strand

import (
	"math"

	"sinew/geom"
)

// Limits of joining two pieces of level lines end to end.
const (
	// mergeReach is the widest gap that is bridged, in greatest spacings.
	mergeReach = 2.0
	// mergeCosine is the cosine of the greatest turn (30 degrees) at either end
	// of the bridge.
	mergeCosine = 0.866
)

// piece is a stretch of a level line on its way to become a strand.
type piece struct {
	run
	level  float64
	length float64
}

// merge joins pieces shorter than least to others that go on where they end:
// the nearest such end within reach, by a straight bridge that keeps clear of
// the edge. What is joined is long enough to be laid, or waits for another
// partner. Pieces are neither reordered nor crossed: a bridge that would cross
// a piece is not built.
func (e fringe) merge(p []piece, least, spacingMax float64) []piece {
	for i := 0; i < len(p); i++ {
		for p[i].length < least && !p[i].closed {
			j, joined := e.partner(p, i, mergeReach*spacingMax)
			if j < 0 {
				break
			}
			lo, hi := min(i, j), max(i, j)
			p[lo] = joined
			p = append(p[:hi], p[hi+1:]...)
			i = lo
		}
	}
	return p
}

// partner returns the piece whose end lies nearest to an end of piece i and in
// line with it, and the two joined; -1 when there is none.
func (e fringe) partner(p []piece, i int, reach float64) (int, piece) {
	best, at := reach, -1
	var out piece
	for j := range p {
		if j == i || p[j].closed {
			continue
		}
		for _, turns := range [4][2]bool{{false, false}, {false, true}, {true, false}, {true, true}} {
			if p[i].tip(!turns[0]).Dist(p[j].tip(turns[1])) >= best {
				continue // before anything is copied
			}
			a, b := p[i].turned(turns[0]), p[j].turned(turns[1])
			from, to := a.pts[len(a.pts)-1], b.pts[0]
			if d := from.Dist(to); inLine(a, b) && e.bridge(from, to) && !blocked(p, from, to) {
				best, at, out = d, j, join(a, b)
			}
		}
	}
	return at, out
}

// tip returns the piece's last point, or its first.
func (p piece) tip(last bool) geom.Point {
	if last {
		return p.pts[len(p.pts)-1]
	}
	return p.pts[0]
}

func (p piece) turned(turn bool) piece {
	if !turn {
		return p
	}
	pts := make([]geom.Point, len(p.pts))
	for i, q := range p.pts {
		pts[len(pts)-1-i] = q
	}
	p.pts = pts
	p.start, p.end = p.end, p.start
	p.loops[0], p.loops[1] = p.loops[1], p.loops[0]
	return p
}

// inLine reports whether b goes on where a ends, without a sharp turn.
func inLine(a, b piece) bool {
	n := len(a.pts)
	out := unitVector(a.pts[n-1].Sub(a.pts[max(0, n-4)]))
	in := unitVector(b.pts[min(len(b.pts)-1, 3)].Sub(b.pts[0]))
	way := unitVector(b.pts[0].Sub(a.pts[n-1]))
	return out.Dot(way) > mergeCosine && way.Dot(in) > mergeCosine
}

// bridge reports whether the straight way keeps clear of the edge.
func (e fringe) bridge(a, b geom.Point) bool {
	n := int(math.Ceil(a.Dist(b) / traceStep))
	for i := 0; i <= n; i++ {
		if d, _ := e.place(a.Lerp(b, float64(i)/float64(max(1, n)))); d < e.clear-edgeTolerance {
			return false
		}
	}
	return true
}

// blocked reports whether the way crosses a piece.
func blocked(p []piece, a, b geom.Point) bool {
	way := segment{a: a, b: b}
	for _, q := range p {
		for k := 1; k < len(q.pts); k++ {
			s := segment{a: q.pts[k-1], b: q.pts[k]}
			if s.a != a && s.b != a && s.a != b && s.b != b && way.crosses(&s) {
				return true
			}
		}
	}
	return false
}

func join(a, b piece) piece {
	out := a
	out.pts = append(append([]geom.Point(nil), a.pts...), b.pts...)
	out.end, out.loops[1] = b.end, b.loops[1]
	out.length = polyLength(out.pts)
	return out
}
