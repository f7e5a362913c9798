package solid

import (
	"math"

	"sinew/geom"
)

// crossGrid finds whether sides of loops meet other than at corners they
// share. Its memory is used again from section to section.
type crossGrid struct {
	sides  []side
	origin geom.Point
	cell   float64
	nx, ny int
	first  []int32
	item   []int32
	fill   []int32
}

// side runs from a to b; prev and next are its neighbours along the loop.
type side struct {
	a, b       geom.Point
	prev, next int32
}

// meet returns a place where two sides meet that are not neighbours.
func (g *crossGrid) meet(loops []Chain) (geom.Point, bool) {
	g.collect(loops)
	if len(g.sides) == 0 {
		return geom.Point{}, false
	}
	g.index()
	for c := range g.nx * g.ny {
		list := g.item[g.first[c]:g.first[c+1]]
		for i, p := range list {
			for _, q := range list[i+1:] {
				if g.touch(p, q) {
					return g.sides[q].a, true
				}
			}
		}
	}
	return geom.Point{}, false
}

func (g *crossGrid) collect(loops []Chain) {
	g.sides = g.sides[:0]
	for _, l := range loops {
		base, n := int32(len(g.sides)), int32(len(l.Points))
		for i, p := range l.Points {
			k := int32(i)
			g.sides = append(g.sides, side{p, l.Points[(k+1)%n], base + (k+n-1)%n, base + (k+1)%n})
		}
	}
}

// index sorts the sides into square cells, about as many as sides.
func (g *crossGrid) index() {
	box := geom.EmptyBox()
	for _, s := range g.sides {
		box = box.With(s.a)
	}
	size := box.Size()
	g.origin = box.Min
	g.cell = max(math.Sqrt(size.X*size.Y/float64(len(g.sides))), max(size.X, size.Y)/float64(len(g.sides)), geom.Tolerance)
	g.nx, g.ny = int(size.X/g.cell)+1, int(size.Y/g.cell)+1
	n := g.nx*g.ny + 1
	g.first = append(g.first[:0], make([]int32, n)...)
	for i := range g.sides {
		g.cells(&g.sides[i], func(c int) { g.first[c+1]++ })
	}
	for c := range n - 1 {
		g.first[c+1] += g.first[c]
	}
	g.item = append(g.item[:0], make([]int32, g.first[n-1])...)
	g.fill = append(g.fill[:0], g.first...)
	for i := range g.sides {
		g.cells(&g.sides[i], func(c int) {
			g.item[g.fill[c]] = int32(i)
			g.fill[c]++
		})
	}
}

// cells calls f for the cells that a side passes: row by row, those between
// where it enters and leaves the row, one more on either side for rounding.
func (g *crossGrid) cells(s *side, f func(c int)) {
	lo, hi := s.a, s.b
	if lo.Y > hi.Y {
		lo, hi = hi, lo
	}
	y0, y1 := g.row(lo.Y), g.row(hi.Y)
	slope := 0.0
	if hi.Y > lo.Y {
		slope = (hi.X - lo.X) / (hi.Y - lo.Y)
	}
	left, right := min(s.a.X, s.b.X), max(s.a.X, s.b.X)
	for y := y0; y <= y1; y++ {
		from, to := left, right
		if y1 > y0 && slope != 0 {
			bottom, top := g.origin.Y+float64(y)*g.cell, g.origin.Y+float64(y+1)*g.cell
			p, q := lo.X+slope*(bottom-lo.Y), lo.X+slope*(top-lo.Y)
			from, to = max(left, min(p, q)), min(right, max(p, q))
		}
		rounding := g.cell * cellSlack
		for x := g.column(from - rounding); x <= g.column(to+rounding); x++ {
			f(y*g.nx + x)
		}
	}
}

// cellSlack, in cells, covers the rounding of where a side enters a row.
const cellSlack = 1e-6

func (g *crossGrid) row(y float64) int {
	return max(0, min(g.ny-1, int((y-g.origin.Y)/g.cell)))
}

func (g *crossGrid) column(x float64) int {
	return max(0, min(g.nx-1, int((x-g.origin.X)/g.cell)))
}

// touch reports whether two sides that are not neighbours have a point in
// common.
func (g *crossGrid) touch(i, k int32) bool {
	p, q := &g.sides[i], &g.sides[k]
	if i == k || p.next == k || p.prev == k {
		return false
	}
	if max(p.a.X, p.b.X) < min(q.a.X, q.b.X) || max(q.a.X, q.b.X) < min(p.a.X, p.b.X) ||
		max(p.a.Y, p.b.Y) < min(q.a.Y, q.b.Y) || max(q.a.Y, q.b.Y) < min(p.a.Y, p.b.Y) {
		return false
	}
	return !sameSide(geom.Orient(p.a, p.b, q.a), geom.Orient(p.a, p.b, q.b)) && !sameSide(geom.Orient(q.a, q.b, p.a), geom.Orient(q.a, q.b, p.b))
}

func sameSide(a, b float64) bool { return a > 0 && b > 0 || a < 0 && b < 0 }
