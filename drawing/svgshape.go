package drawing

import (
	"fmt"
	"math"

	"sinew/geom"
)

// shape returns an element's edges in mm; ok is false if it is no shape.
func (n *svgNode) shape(tol float64, m affine) (edges []geom.Edge, ok bool, err error) {
	p := &pen{m: m, tol: tol}
	switch n.name {
	case "path":
		err = p.path(n.attrs["d"])
	case "polyline", "polygon":
		err = p.corners(n.attrs["points"], n.name == "polygon")
	case "line", "rect", "circle", "ellipse":
		err = n.basic(p)
	default:
		return nil, false, nil
	}
	if err == nil && p.broken() {
		err = fmt.Errorf("a coordinate is no finite number")
	}
	if err != nil {
		if _, done := err.(*Error); !done {
			err = n.fail(err.Error(), "redraw it, or export again")
		}
	}
	return p.edges, true, err
}

// basic draws the shapes that are given by lengths.
func (n *svgNode) basic(p *pen) error {
	names := map[string][]string{
		"line": {"x1", "y1", "x2", "y2"}, "rect": {"x", "y", "width", "height"},
		"circle": {"cx", "cy", "r"}, "ellipse": {"cx", "cy", "rx", "ry"},
	}[n.name]
	v, err := n.lengths(names...)
	if err != nil {
		return err
	}
	switch n.name {
	case "line":
		p.move(geom.Point{X: v[0], Y: v[1]})
		p.line(geom.Point{X: v[2], Y: v[3]})
		return nil
	case "rect":
		return n.rect(p, v)
	case "circle":
		v = append(v, v[2])
	}
	if !(v[2] > 0 && v[3] > 0) {
		return fmt.Errorf("its radius is not positive")
	}
	c := geom.Point{X: v[0], Y: v[1]}
	p.ellipse(affine{a: v[2], d: v[3], e: c.X, f: c.Y}, 0, 2*math.Pi)
	return nil
}

// rect draws a rectangle, its corners rounded by quarter ellipses.
func (n *svgNode) rect(p *pen, v []float64) error {
	x, y, w, h := v[0], v[1], v[2], v[3]
	if !(w > 0 && h > 0) {
		return fmt.Errorf("its width or height is not positive")
	}
	rx, err := n.length("rx", -1)
	if err != nil {
		return err
	}
	ry, err := n.length("ry", rx)
	if err != nil {
		return err
	}
	if rx < 0 {
		rx = ry
	}
	rx, ry = math.Min(math.Max(rx, 0), w/2), math.Min(math.Max(ry, 0), h/2)
	if rx == 0 || ry == 0 {
		rx, ry = 0, 0
	}
	for i, c := range [4]geom.Point{{X: x + w - rx, Y: y + ry}, {X: x + w - rx, Y: y + h - ry}, {X: x + rx, Y: y + h - ry}, {X: x + rx, Y: y + ry}} {
		a := float64(i-1) * math.Pi / 2
		s, co := math.Round(math.Sin(a)), math.Round(math.Cos(a))
		start := geom.Point{X: c.X + rx*co, Y: c.Y + ry*s}
		if i == 0 {
			p.move(start)
		} else {
			p.line(start)
		}
		if rx > 0 {
			p.ellipse(affine{a: rx, d: ry, e: c.X, f: c.Y}, a, math.Pi/2)
		}
	}
	p.close()
	return nil
}

// pen draws in user coordinates and gathers edges in mm.
type pen struct {
	m         affine
	tol       float64
	edges     []geom.Edge
	at, start geom.Point
}

func (p *pen) move(to geom.Point) { p.at, p.start = to, to }

func (p *pen) line(to geom.Point) {
	if to != p.at {
		p.edges = append(p.edges, geom.Edge{A: p.m.apply(p.at), B: p.m.apply(to)})
	}
	p.at = to
}

func (p *pen) close() {
	p.line(p.start)
}

// curve draws a smooth curve over t from 0 to 1.
func (p *pen) curve(f func(float64) geom.Point, to geom.Point) {
	p.edges = append(p.edges, fitArcs(func(t float64) geom.Point { return p.m.apply(f(t)) }, 0, 1, p.tol)...)
	p.at = to
}

// ellipse draws the part of the unit circle from angle a over a sweep, under
// the map axes.
func (p *pen) ellipse(axes affine, a, sweep float64) {
	for _, arc := range arcEdges(geom.Point{}, 1, a, sweep) {
		p.edges = append(p.edges, p.m.after(axes).mapEdge(arc, p.tol)...)
	}
	s, c := math.Sincos(a + sweep)
	p.at = axes.apply(geom.Point{X: c, Y: s})
}

// broken reports whether an edge is not finite.
func (p *pen) broken() bool {
	for _, e := range p.edges {
		if !isFinite(e.A.X, e.A.Y, e.B.X, e.B.Y, e.Bulge) {
			return true
		}
	}
	return false
}

func (p *pen) corners(text string, closed bool) error {
	v, err := numbers(text)
	if err != nil {
		return err
	}
	if len(v) < 4 || len(v)%2 != 0 {
		return fmt.Errorf("points has %d numbers", len(v))
	}
	p.move(geom.Point{X: v[0], Y: v[1]})
	for i := 2; i < len(v); i += 2 {
		p.line(geom.Point{X: v[i], Y: v[i+1]})
	}
	if closed {
		p.close()
	}
	return nil
}
