package program

import (
	"math"

	"sinew/geom"
)

// Limits of looking for crossings, so that time and memory stay bounded for any
// text.
const (
	// crossCell, mm, is the side of the squares in which pieces of strand are
	// kept: a few spacings, a few pieces.
	crossCell = 2.0
	// crossEntries is how many pieces by squares of one layer are kept: a square
	// metre of tow at the least spacings.
	crossEntries = 4 << 20
	// crossTests is how many pairs are looked at for each piece of a layer, on
	// average: in a layer that can be printed there are about twenty.
	crossTests = 400
	// crossBuckets is the size of the hash table of squares, a power of two.
	crossBuckets = 1 << 15
	// selfCross, mm, is by how much pieces of one strand must pass each other to
	// cross: where a closed strand overlaps its start they lie on one another up
	// to rounding.
	selfCross = 0.01
)

// crossings finds where strands of one layer cross, strand by strand, and
// forgets a layer when the next begins.
type crossings struct {
	layer   int
	strands int32
	pieces  []crossPiece
	head    []int32 // by bucket: entry + 1
	entries []crossEntry
	tests   int
	full    bool // the layer holds more than can be looked through
}

// crossPiece is one move of a strand.
type crossPiece struct {
	a, b   geom.Point
	strand int32
	at     int32 // of the strand
	line   int32 // of the strand's restart
}

type crossEntry struct {
	piece, next int32
	bucket      int32
}

// crossing is where a strand meets one laid before, or itself.
type crossing struct {
	move  int // of the strand
	at    geom.Point
	other int // line of the other strand
}

// add looks for the first crossing of a strand with those of its layer laid
// before, and with itself, and keeps the strand. overflow is true once a layer,
// when it holds too much to go on looking.
func (c *crossings) add(layer, line int, pts []geom.Point, reach float64) (found crossing, crosses, overflow bool) {
	if c.head == nil {
		c.head = make([]int32, crossBuckets)
		c.layer = -1
	}
	if layer != c.layer {
		c.forget(layer)
	}
	if c.full {
		return found, false, false
	}
	c.strands++
	for i := 1; i < len(pts); i++ {
		p := crossPiece{pts[i-1], pts[i], c.strands, int32(i), int32(line)}
		if p.a == p.b || dist(p.a, p.b) > reach {
			continue // no way at all, or off the bed: said elsewhere
		}
		hit, ok := c.keep(p, crosses)
		if ok && !crosses {
			found, crosses = crossing{i, meeting(p, c.pieces[hit]), int(c.pieces[hit].line)}, true
		}
		if len(c.entries) > crossEntries || c.tests > crossTests*(len(c.pieces)+crossTests) {
			c.full = true
			return found, crosses, true
		}
	}
	return found, crosses, false
}

// forget empties the table for a new layer.
func (c *crossings) forget(layer int) {
	for _, e := range c.entries {
		c.head[e.bucket] = 0
	}
	c.layer, c.full, c.tests = layer, false, 0
	c.pieces, c.entries = c.pieces[:0], c.entries[:0]
}

// keep enters a piece into the squares it passes and returns a piece that it
// crosses; with blind it only enters.
func (c *crossings) keep(p crossPiece, blind bool) (hit int32, found bool) {
	id := int32(len(c.pieces))
	c.pieces = append(c.pieces, p)
	n := int(math.Ceil(dist(p.a, p.b) / crossCell))
	last := int32(-1)
	for k := range n {
		from, to := p.a.Lerp(p.b, float64(k)/float64(n)), p.a.Lerp(p.b, float64(k+1)/float64(n))
		x0, x1 := ordered(from.X, to.X)
		y0, y1 := ordered(from.Y, to.Y)
		for y := y0; y <= y1; y++ {
			for x := x0; x <= x1; x++ {
				b := bucketOf(x, y)
				if b == last {
					continue // entered a moment ago
				}
				last = b
				if !blind && !found {
					hit, found = c.search(p, b)
				}
				c.entries = append(c.entries, crossEntry{id, c.head[b], b})
				c.head[b] = int32(len(c.entries))
			}
		}
	}
	return hit, found
}

func ordered(a, b float64) (int32, int32) {
	if a > b {
		a, b = b, a
	}
	return int32(math.Floor(a / crossCell)), int32(math.Floor(b / crossCell))
}

func bucketOf(x, y int32) int32 {
	h := uint32(x)*2654435761 ^ uint32(y)*2246822519 // odd constants near the golden ratio spread neighbours
	return int32(h >> 17)
}

// search returns a piece in the bucket that p crosses.
func (c *crossings) search(p crossPiece, bucket int32) (int32, bool) {
	for e := c.head[bucket]; e > 0; e = c.entries[e-1].next {
		c.tests++
		q := &c.pieces[c.entries[e-1].piece]
		if q.strand == p.strand && (q.at == p.at || p.selfMeets(q)) {
			continue
		}
		if p.crosses(q) {
			return c.entries[e-1].piece, true
		}
	}
	return 0, false
}

// selfMeets reports whether two pieces of one strand only meet or lie on one
// another.
func (p *crossPiece) selfMeets(q *crossPiece) bool {
	if p.a == q.a || p.a == q.b || p.b == q.a || p.b == q.b {
		return true
	}
	v, w := p.b.Sub(p.a), q.b.Sub(q.a)
	off := max(math.Abs(v.Cross(q.a.Sub(p.a))), math.Abs(v.Cross(q.b.Sub(p.a)))) / v.Norm()
	return off < selfCross && max(math.Abs(w.Cross(p.a.Sub(q.a))), math.Abs(w.Cross(p.b.Sub(q.a))))/w.Norm() < selfCross
}

// crosses reports whether each piece has its ends on both sides of the other,
// by exact signs; a point on the other counts as lying to its left.
func (p *crossPiece) crosses(q *crossPiece) bool {
	if max(p.a.X, p.b.X) < min(q.a.X, q.b.X) || max(q.a.X, q.b.X) < min(p.a.X, p.b.X) ||
		max(p.a.Y, p.b.Y) < min(q.a.Y, q.b.Y) || max(q.a.Y, q.b.Y) < min(p.a.Y, p.b.Y) {
		return false
	}
	left := func(s *crossPiece, r geom.Point) bool { return geom.Orient(s.a, s.b, r) >= 0 }
	return left(p, q.a) != left(p, q.b) && left(q, p.a) != left(q, p.b)
}

// meeting returns where two pieces that cross do so.
func meeting(p, q crossPiece) geom.Point {
	v, w := p.b.Sub(p.a), q.b.Sub(q.a)
	den := v.Cross(w)
	if den == 0 {
		return p.a
	}
	return p.a.Lerp(p.b, q.a.Sub(p.a).Cross(w)/den)
}

// checkCrossing looks for crossings of the strand that ends.
func (m *machine) checkCrossing() {
	s := &m.strand
	size := m.card.Bed
	hit, crosses, overflow := m.cross.add(s.Layer, s.Line, s.Points, 2*(size.X+size.Y))
	line := m.in.line
	if crosses {
		m.in.line = int(s.Lines[hit.move])
		what := "a strand laid before"
		if hit.other == s.Line {
			what = "itself"
		}
		m.find("crossing", "lay one of them elsewhere, or in another layer", "the strand of line %d crosses %s (line %d) at (%.2f, %.2f) mm on the bed", s.Line, what, hit.other, hit.at.X, hit.at.Y)
	}
	if overflow {
		m.in.line = s.Line
		m.warn("crossing-unknown", "divide the layer, or check it by eye", "layer %d holds more than can be searched for crossings", s.Layer+1)
	}
	m.in.line = line
}
