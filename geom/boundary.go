package geom

import "math"

// Boundary answers nearest-point queries on the loops of a region.
type Boundary struct {
	cells
	loops []Loop
	edges []Edge
	ref   []EdgeRef
}

// EdgeRef names an edge: the loop's index in Region.Loops() and the edge's in
// that loop.
type EdgeRef struct{ Loop, Edge int }

// Near is the point of a boundary nearest to a given one.
type Near struct {
	Point    Point
	Distance float64 // +Inf when the boundary is empty
	Loop     int     // index into Region.Loops()
	Edge     int     // index into that loop
	T        float64 // parameter on the edge
	Tangent  Point   // unit direction of the loop there: the region lies to its left
}

// NewBoundary indexes the loops of the region.
func NewBoundary(r Region) *Boundary {
	b := &Boundary{loops: r.Loops()}
	for i, l := range b.loops {
		for j, e := range l {
			b.edges = append(b.edges, e)
			b.ref = append(b.ref, EdgeRef{i, j})
		}
	}
	b.index()
	return b
}

// cellsPerEdge: long edges pass through many cells, so that a finer grid than
// one cell an edge pays.
const cellsPerEdge = 4

func (b *Boundary) index() {
	boxes := make([]Box, len(b.edges))
	all := EmptyBox()
	for i, e := range b.edges {
		boxes[i] = e.Bounds()
		all = all.Union(boxes[i])
	}
	b.frame(all, cellsPerEdge*len(b.edges)+16)
	b.fillEdges(boxes)
}

// fillEdges puts each edge into the cells it comes near, not into all of its
// box: a cell is left out when the edge passes its centre farther off than
// half its diagonal.
func (b *Boundary) fillEdges(boxes []Box) {
	reach := b.size * math.Sqrt2 / 2 * (1 + 1e-9) // outward against rounding
	n := b.nx * b.ny
	lists := make([][]int32, n)
	for i, e := range b.edges {
		x0, y0 := b.cell(boxes[i].Min)
		x1, y1 := b.cell(boxes[i].Max)
		for y := y0; y <= y1; y++ {
			for x := x0; x <= x1; x++ {
				if _, d := e.Nearest(b.cellBox(x, y).Middle()); d <= reach {
					lists[y*b.nx+x] = append(lists[y*b.nx+x], int32(i))
				}
			}
		}
	}
	b.first = make([]int32, n+1)
	for k, l := range lists {
		b.item = append(b.item, l...)
		b.first[k+1] = int32(len(b.item))
	}
}

// Nearest returns the point of the boundary nearest to p. Of equals the edge
// first in order wins.
func (b *Boundary) Nearest(p Point) Near {
	return b.nearest(p, math.Inf(1), nil)
}

func (b *Boundary) nearest(p Point, limit float64, skip func(loop, edge int) bool) Near {
	best, t, dist := int32(-1), 0.0, limit
	b.rings(p, func(x, y int, least float64) bool {
		if least > dist {
			return false
		}
		for _, i := range b.at(x, y) {
			if skip != nil && skip(b.ref[i].Loop, b.ref[i].Edge) {
				continue
			}
			if et, d := b.edges[i].Nearest(p); d < dist || d == dist && i < best {
				best, t, dist = i, et, d
			}
		}
		return true
	})
	if best < 0 {
		return Near{Distance: math.Inf(1), Loop: -1, Edge: -1}
	}
	e := b.edges[best]
	return Near{e.At(t), dist, b.ref[best].Loop, b.ref[best].Edge, t, e.Tangent(t)}
}

// NearestExcept is Nearest over the edges that skip does not rule out, looking
// no farther than limit: where there is none, Loop and Edge are -1 and Distance
// is +Inf.
func (b *Boundary) NearestExcept(p Point, limit float64, skip func(loop, edge int) bool) Near {
	return b.nearest(p, limit, skip)
}

// Contains reports whether p lies in the region, by the side of the nearest
// edge it lies on; at a corner by the bisector, which every point that has the
// corner as its nearest keeps within 90°. Much quicker than Region.Contains for
// outlines of many edges.
func (b *Boundary) Contains(p Point) bool { return b.holds(b.Nearest(p), p) }

func (b *Boundary) holds(n Near, p Point) bool {
	if n.Edge < 0 {
		return false
	}
	normal := n.Tangent.Left()
	if n.T == 0 || n.T == 1 {
		normal = normal.Add(b.across(n).Left())
	}
	return p.Sub(n.Point).Dot(normal) > 0
}

// across returns the tangent of the edge on the other side of the corner that n
// names.
func (b *Boundary) across(n Near) Point {
	l := b.loops[n.Loop]
	if n.T == 0 {
		return l[(n.Edge+len(l)-1)%len(l)].Tangent(1)
	}
	return l[(n.Edge+1)%len(l)].Tangent(0)
}
