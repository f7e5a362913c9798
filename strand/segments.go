package strand

import (
	"math"

	"sinew/geom"
)

// edgeOwner marks segments that belong to the edge of the area, not a strand.
const edgeOwner = -1

// segment is one straight piece of a strand's centre line or of the area's
// edge.
type segment struct {
	a, b  geom.Point
	owner int32 // strand, or edgeOwner
	at    int32 // index of a in that strand's points; for an edge: the loop
}

// segments finds the pieces near a point or along a ray: square cells, the
// pieces of each cell stored together in rising order.
type segments struct {
	list   []segment
	origin geom.Point
	size   float64
	nx, ny int
	first  []int32
	item   []int32
}

// segmentCell is the side of a cell, mm: about the distance of strands, so
// that a cell holds a handful of half-millimetre pieces.
const segmentCell = 1.0

// maxCells bounds the cells of one index; larger areas get larger cells.
const maxCells = 1 << 21

func newSegments(list []segment) *segments {
	g := &segments{list: list, size: segmentCell}
	box := geom.EmptyBox()
	for _, s := range list {
		box = box.With(s.a).With(s.b)
	}
	if len(list) == 0 {
		box = geom.Box{}
	}
	g.origin = box.Min
	size := box.Size()
	for (size.X/g.size+1)*(size.Y/g.size+1) > maxCells {
		g.size *= 2
	}
	g.nx = int(size.X/g.size) + 1
	g.ny = int(size.Y/g.size) + 1
	g.fill()
	return g
}

func (g *segments) fill() {
	g.first = make([]int32, g.nx*g.ny+1)
	for _, s := range g.list {
		g.each(geom.Box{Min: s.a, Max: s.a}.With(s.b), func(c int) { g.first[c+1]++ })
	}
	for c := range g.nx * g.ny {
		g.first[c+1] += g.first[c]
	}
	g.item = make([]int32, g.first[g.nx*g.ny])
	next := append([]int32(nil), g.first...)
	for i, s := range g.list {
		g.each(geom.Box{Min: s.a, Max: s.a}.With(s.b), func(c int) {
			g.item[next[c]] = int32(i)
			next[c]++
		})
	}
}

// each calls f for all cells the box meets, held to the index.
func (g *segments) each(b geom.Box, f func(cell int)) {
	x0, y0 := g.cell(b.Min)
	x1, y1 := g.cell(b.Max)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			f(y*g.nx + x)
		}
	}
}

func (g *segments) cell(p geom.Point) (x, y int) {
	x = int(math.Max(0, math.Min(float64(g.nx-1), (p.X-g.origin.X)/g.size)))
	y = int(math.Max(0, math.Min(float64(g.ny-1), (p.Y-g.origin.Y)/g.size)))
	return x, y
}

// near calls visit for the pieces in all cells that meet the box; a piece in
// several cells is seen several times.
func (g *segments) near(b geom.Box, visit func(i int32, s *segment)) {
	g.each(b, func(c int) {
		for _, i := range g.item[g.first[c]:g.first[c+1]] {
			visit(i, &g.list[i])
		}
	})
}

// parallelSine is the sine of the angle below which a ray counts as parallel
// to a piece and misses it: a neighbour that a normal ray meets at less than
// 3 degrees is no neighbour on that side.
const parallelSine = 0.05

// ray returns the distance from p along the unit direction d to the first
// piece within reach that skip does not leave out; reach and nil when there is
// none.
func (g *segments) ray(p, d geom.Point, reach float64, skip func(s *segment) bool) (float64, *segment) {
	best, hit := reach, (*segment)(nil)
	box := geom.Box{Min: p, Max: p}.With(p.Add(d.Scale(reach)))
	g.near(box, func(_ int32, s *segment) {
		t, ok := s.meets(p, d)
		if ok && (t < best || t == best && hit != nil && before(s, hit)) && !skip(s) {
			best, hit = t, s
		}
	})
	return best, hit
}

// before orders pieces that are hit at the same distance.
func before(s, t *segment) bool {
	return s.owner < t.owner || s.owner == t.owner && s.at < t.at
}

// meets returns the distance along the ray at which it crosses the piece.
func (s *segment) meets(p, d geom.Point) (float64, bool) {
	v := s.b.Sub(s.a)
	den := d.Cross(v)
	if math.Abs(den) <= parallelSine*v.Norm() {
		return 0, false
	}
	w := s.a.Sub(p)
	t := w.Cross(v) / den
	u := w.Cross(d) / den
	return t, t >= 0 && u >= 0 && u <= 1
}

// foot returns the parameter in [0, 1] of the point of the piece nearest to p
// and its distance.
func (s *segment) foot(p geom.Point) (u, dist float64) {
	v := s.b.Sub(s.a)
	n := v.Dot(v)
	if n > 0 {
		u = math.Max(0, math.Min(1, p.Sub(s.a).Dot(v)/n))
	}
	return u, s.a.Lerp(s.b, u).Dist(p)
}
