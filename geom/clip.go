package geom

import (
	"math"
	"slices"
)

// Clipper cuts paths to an area; it indexes the area once.
type Clipper struct {
	cells
	area  Polygons
	box   Box
	sides []Edge
}

// NewClipper indexes the area.
func NewClipper(area Polygons) *Clipper {
	c := &Clipper{area: area, box: area.Bounds()}
	for _, p := range area {
		for i, a := range p {
			c.sides = append(c.sides, Edge{A: a, B: p[(i+1)%len(p)]})
		}
	}
	c.frame(c.box, cellsPerEdge*len(c.sides)+16)
	c.fill(len(c.sides), func(i int) Box { return c.sides[i].Bounds() })
	return c
}

// ClipPath returns the pieces of the path inside the area, in the path's order
// and sense. A closed path that lies wholly inside stays closed; one that is
// cut gives open pieces, the piece over its first point unbroken and last.
func ClipPath(p Path, area Polygons) []Path { return NewClipper(area).Clip(p) }

// Clip is ClipPath for the indexed area.
func (c *Clipper) Clip(p Path) []Path {
	pts := p.ring()
	if len(pts) < 2 {
		return nil
	}
	var out []Path
	var piece []Point
	end := func() {
		if len(piece) > 1 {
			out = append(out, Path{Points: piece})
		}
		piece = nil
	}
	whole := true
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		cuts := c.cuts(a, b)
		for k := 1; k < len(cuts); k++ {
			u, v := a.Lerp(b, cuts[k-1]), a.Lerp(b, cuts[k])
			if u == v && a != b {
				continue
			}
			if !c.inside(u.Lerp(v, 0.5)) {
				whole = false
				end()
				continue
			}
			if piece == nil {
				piece = []Point{u}
			}
			if v != piece[len(piece)-1] {
				piece = append(piece, v)
			}
		}
	}
	if p.Closed && whole {
		return []Path{{append([]Point(nil), p.Points...), true}}
	}
	end()
	return joinAround(out, p)
}

// joinAround joins the last piece of a cut closed path to the first where both
// touch the path's first point.
func joinAround(out []Path, p Path) []Path {
	n := len(out)
	if !p.Closed || n < 2 {
		return out
	}
	last := out[n-1].Points
	if out[0].Points[0] != p.Points[0] || last[len(last)-1] != p.Points[0] {
		return out
	}
	out[n-1].Points = append(last, out[0].Points[1:]...)
	return out[1:]
}

// cuts returns the parameters at which a–b meets sides of the area, rising,
// with 0 and 1.
func (c *Clipper) cuts(a, b Point) []float64 {
	cuts := []float64{0, 1}
	box := Box{a, a}.With(b)
	x0, y0 := c.cell(box.Min)
	x1, y1 := c.cell(box.Max)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			for _, i := range c.at(x, y) {
				if t, ok := meet(a, b, c.sides[i].A, c.sides[i].B); ok {
					cuts = append(cuts, t)
				}
			}
		}
	}
	slices.Sort(cuts)
	return slices.Compact(cuts)
}

// meet returns the parameter on a–b where the closed segment c–d meets it, by
// exact signs; overlaps on one line are not reported.
func meet(a, b, c, d Point) (float64, bool) {
	oc, od := Orient(a, b, c), Orient(a, b, d)
	oa, ob := Orient(c, d, a), Orient(c, d, b)
	if oc > 0 && od > 0 || oc < 0 && od < 0 || oa > 0 && ob > 0 || oa < 0 && ob < 0 {
		return 0, false
	}
	if oa == 0 && ob == 0 {
		return 0, false
	}
	return math.Max(0, math.Min(1, oa/(oa-ob))), true
}

// inside is Contains with the sides found by the grid: only the cells right of
// q in its row are looked at, each side once, in the cell of its crossing.
func (c *Clipper) inside(q Point) bool {
	if len(c.sides) <= fewSides {
		return c.area.Contains(q)
	}
	if !c.box.Contains(q) {
		return false
	}
	w := 0
	x0, y := c.cell(q)
	for x := x0; x < c.nx; x++ {
		for _, i := range c.at(x, y) {
			e := c.sides[i]
			// A side spans several cells of the row: count it in the first.
			sx, _ := c.cell(e.Bounds().Min)
			if x != max(sx, x0) || !crossesRay(e.A, e.B, q) {
				continue
			}
			if e.B.Y > e.A.Y {
				w++
			} else {
				w--
			}
		}
	}
	return w != 0
}

// fewSides: below it the plain loop over all sides is quicker than the grid.
const fewSides = 32
