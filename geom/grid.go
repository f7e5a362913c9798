package geom

import "math"

// Grid answers neighbour queries over fixed points: square cells, the points
// of each cell stored together.
type Grid struct {
	cells
	points []Point
}

// cells is a compressed list of items by square cell: the items of cell c are
// item[first[c]:first[c+1]].
type cells struct {
	origin Point
	size   float64
	nx, ny int
	first  []int32
	item   []int32
}

// pointsPerCell balances cells visited against points tested.
const pointsPerCell = 2

// NewGrid indexes the points. It keeps the slice: leave it unchanged.
func NewGrid(points []Point) *Grid {
	box := EmptyBox()
	for _, p := range points {
		box = box.With(p)
	}
	g := &Grid{points: points}
	g.frame(box, len(points)/pointsPerCell)
	g.fill(len(points), func(i int) Box { return Box{points[i], points[i]} })
	return g
}

// frame lays about n square cells over the box.
func (c *cells) frame(box Box, n int) {
	if !(box.Min.X <= box.Max.X) {
		box = Box{}
	}
	n = max(1, n)
	s := box.Size()
	c.origin = box.Min
	c.size = math.Sqrt(s.X * s.Y / float64(n))
	// A box that is nearly a line gets cells along the line only.
	c.size = math.Max(c.size, box.Extent()/float64(n))
	if !(c.size > 0) {
		c.size = 1
	}
	c.nx = int(s.X/c.size) + 1
	c.ny = int(s.Y/c.size) + 1
}

// fill sorts items 0..n-1 into all cells their boxes meet (counting sort, so
// that the items of a cell stand in rising order).
func (c *cells) fill(n int, bounds func(int) Box) {
	c.first = make([]int32, c.nx*c.ny+1)
	each := func(i int, f func(cell int)) {
		b := bounds(i)
		x0, y0 := c.cell(b.Min)
		x1, y1 := c.cell(b.Max)
		for y := y0; y <= y1; y++ {
			for x := x0; x <= x1; x++ {
				f(y*c.nx + x)
			}
		}
	}
	for i := range n {
		each(i, func(k int) { c.first[k+1]++ })
	}
	for k := range c.nx * c.ny {
		c.first[k+1] += c.first[k]
	}
	c.item = make([]int32, c.first[c.nx*c.ny])
	next := append([]int32(nil), c.first...)
	for i := range n {
		each(i, func(k int) {
			c.item[next[k]] = int32(i)
			next[k]++
		})
	}
}

// cell returns the cell of p, held to the grid.
func (c *cells) cell(p Point) (x, y int) {
	x = int(math.Max(0, math.Min(float64(c.nx-1), (p.X-c.origin.X)/c.size)))
	y = int(math.Max(0, math.Min(float64(c.ny-1), (p.Y-c.origin.Y)/c.size)))
	return x, y
}

// at returns the items of cell (x, y).
func (c *cells) at(x, y int) []int32 {
	k := y*c.nx + x
	return c.item[c.first[k]:c.first[k+1]]
}

// cellBox returns the square of cell (x, y).
func (c *cells) cellBox(x, y int) Box {
	min := c.origin.Add(Point{float64(x), float64(y)}.Scale(c.size))
	return Box{min, min.Add(Point{c.size, c.size})}
}

// rings calls visit for the cells around p, nearest square ring first, with a
// lower bound on the distance from p to anything in that ring or beyond, until
// visit returns false or the grid is exhausted.
func (c *cells) rings(p Point, visit func(x, y int, least float64) bool) {
	px := int(math.Floor(math.Max(-1, math.Min(float64(c.nx), (p.X-c.origin.X)/c.size))))
	py := int(math.Floor(math.Max(-1, math.Min(float64(c.ny), (p.Y-c.origin.Y)/c.size))))
	for r := 0; r <= max(c.nx, c.ny)+1; r++ {
		least := math.Max(0, float64(r-1)) * c.size
		for y := max(0, py-r); y <= min(c.ny-1, py+r); y++ {
			step := 1
			if y != py-r && y != py+r {
				step = max(1, 2*r)
			}
			for x := px - r; x <= px+r; x += step {
				if x >= 0 && x < c.nx && !visit(x, y, least) {
					return
				}
			}
		}
	}
}

// Within calls visit with the index of each point no farther than radius from
// p, in an order that depends on the points alone, until visit returns false.
func (g *Grid) Within(p Point, radius float64, visit func(i int) bool) {
	x0, y0 := g.cell(p.Sub(Point{radius, radius}))
	x1, y1 := g.cell(p.Add(Point{radius, radius}))
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			for _, i := range g.at(x, y) {
				if g.points[i].Dist(p) <= radius && !visit(int(i)) {
					return
				}
			}
		}
	}
}

// Nearest returns the index of the point nearest to p (the lowest of equals)
// and its distance; -1 and +Inf of no points.
func (g *Grid) Nearest(p Point) (int, float64) {
	best, dist := -1, math.Inf(1)
	g.rings(p, func(x, y int, least float64) bool {
		if least > dist {
			return false
		}
		for _, i := range g.at(x, y) {
			if d := g.points[i].Dist(p); d < dist || d == dist && int(i) < best {
				best, dist = int(i), d
			}
		}
		return true
	})
	return best, dist
}
