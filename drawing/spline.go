package drawing

import (
	"fmt"
	"math"
	"slices"

	"sinew/geom"
)

// bspline is a rational B-spline curve.
type bspline struct {
	degree  int
	knots   []float64
	points  []geom.Point
	weights []float64 // nil: all 1
}

// maxDegree bounds the degree of a spline; drawings have 3, at most 5.
const maxDegree = 25

// spline draws a SPLINE: by its control points, or through its fit points
// where it has no others.
func (d *dxfDrawer) spline(e record, f frame) ([]geom.Edge, error) {
	for _, code := range []int{72, 73, 74} {
		if n := e.number(code, 0); !(n >= 0 && n <= maxSplineSize) {
			return nil, d.fail(e, fmt.Sprintf("it announces %g points or knots", n), fmt.Sprintf("split it: at most %d are read", maxSplineSize))
		}
	}
	control, fit, knots, weights := splineValues(e)
	if max(len(control), len(fit), len(knots)) > maxSplineSize+maxDegree+1 {
		return nil, d.fail(e, fmt.Sprintf("it has %d points", max(len(control), len(fit))), fmt.Sprintf("split it: at most %d are read", maxSplineSize))
	}
	tol := d.tol / f.m.size()
	if len(control) == 0 && len(fit) >= 2 {
		d.notes.add("SPLINE without control points drawn through its fit points", d.file.in.place(e.at))
		return throughPoints(fit, tol), nil
	}
	s := bspline{int(e.number(71, 3)), knots, control, weights}
	if what := s.fault(); what != "" {
		return nil, d.fail(e, what, "redraw it, or export it as a polyline")
	}
	return s.edges(tol), nil
}

// splineValues gathers the repeated groups of a SPLINE.
func splineValues(e record) (control, fit []geom.Point, knots, weights []float64) {
	for _, g := range e.groups {
		v := toNumber
		switch g.code {
		case 10:
			control = append(control, geom.Point{X: v(g.value)})
		case 20:
			if n := len(control); n > 0 {
				control[n-1].Y = v(g.value)
			}
		case 11:
			fit = append(fit, geom.Point{X: v(g.value)})
		case 21:
			if n := len(fit); n > 0 {
				fit[n-1].Y = v(g.value)
			}
		case 40:
			knots = append(knots, v(g.value))
		case 41:
			weights = append(weights, v(g.value))
		}
	}
	return control, fit, knots, weights
}

// fault says what keeps the curve from being evaluated, or nothing.
func (s bspline) fault() string {
	n := len(s.points)
	switch {
	case s.degree < 1 || s.degree > maxDegree:
		return fmt.Sprintf("its degree is %d", s.degree)
	case n < s.degree+1:
		return fmt.Sprintf("it has %d control points, too few for degree %d", n, s.degree)
	case len(s.knots) != n+s.degree+1:
		return fmt.Sprintf("it has %d knots where %d control points of degree %d need %d", len(s.knots), n, s.degree, n+s.degree+1)
	case !isFinite(s.knots...) || !slices.IsSorted(s.knots):
		return "its knots do not rise"
	case s.knots[s.degree] >= s.knots[n]:
		return "its knots span nothing"
	case len(s.weights) != 0 && len(s.weights) != n:
		return fmt.Sprintf("it has %d weights for %d control points", len(s.weights), n)
	}
	for _, w := range s.weights {
		if !(w > 0) || math.IsInf(w, 0) {
			return fmt.Sprintf("a weight is %g", w)
		}
	}
	for _, p := range s.points {
		if !isFinite(p.X, p.Y) {
			return "a control point is no number"
		}
	}
	return ""
}

// edges fits arcs span by span: within one the curve is smooth.
func (s bspline) edges(tol float64) []geom.Edge {
	var edges []geom.Edge
	for i := s.degree; i < len(s.points); i++ {
		a, b := s.knots[i], s.knots[i+1]
		if b <= a {
			continue
		}
		if len(edges) > maxPieces {
			break // the drawer refuses so many
		}
		at := func(u float64) geom.Point { return s.at(i, u) }
		if s.degree == 1 {
			edges = append(edges, geom.Edge{A: at(a), B: at(b)})
			continue
		}
		edges = append(edges, fitArcs(at, a, b, tol)...)
	}
	for i := 1; i < len(edges); i++ {
		edges[i].A = edges[i-1].B // the same point, but for rounding
	}
	return edges
}

// at evaluates the curve at u in span i, by de Boor's algorithm (C. de Boor, A
// Practical Guide to Splines, 1978, ch. X), with weights as third coordinate.
func (s bspline) at(i int, u float64) geom.Point {
	p := s.degree
	var x, y, w [maxDegree + 1]float64
	for j := 0; j <= p; j++ {
		k := i - p + j
		w[j] = 1
		if s.weights != nil {
			w[j] = s.weights[k]
		}
		x[j], y[j] = w[j]*s.points[k].X, w[j]*s.points[k].Y
	}
	for r := 1; r <= p; r++ {
		for j := p; j >= r; j-- {
			lo, hi := s.knots[i-p+j], s.knots[i+1+j-r]
			t := (u - lo) / (hi - lo)
			x[j] += (1 - t) * (x[j-1] - x[j])
			y[j] += (1 - t) * (y[j-1] - y[j])
			w[j] += (1 - t) * (w[j-1] - w[j])
		}
	}
	return geom.Point{X: x[p] / w[p], Y: y[p] / w[p]}
}

// throughPoints returns the cubic through the points, smooth to the second
// derivative, without curvature at its ends, over the chord length (the
// natural cubic spline; tridiagonal equations for the second derivatives).
func throughPoints(pts []geom.Point, tol float64) []geom.Edge {
	pts = slices.CompactFunc(slices.Clone(pts), func(a, b geom.Point) bool { return a.Dist(b) < sameEnd })
	n := len(pts) - 1
	if n < 1 {
		return nil
	}
	h := make([]float64, n)
	for i := range h {
		h[i] = pts[i].Dist(pts[i+1])
	}
	m := secondDerivatives(pts, h)
	var edges []geom.Edge
	for i := range n {
		if len(edges) > maxPieces {
			break // the drawer refuses so many
		}
		at := func(t float64) geom.Point {
			a, b := (1-t)*h[i], t*h[i]
			bend := func(m geom.Point, s float64) geom.Point { return m.Scale((s*s*s/h[i] - s*h[i]) / 6) }
			return pts[i].Lerp(pts[i+1], t).Add(bend(m[i], a)).Add(bend(m[i+1], b))
		}
		edges = append(edges, fitArcs(at, 0, 1, tol)...)
	}
	return edges
}

func secondDerivatives(pts []geom.Point, h []float64) []geom.Point {
	n := len(h)
	m := make([]geom.Point, n+1)
	c := make([]float64, n+1)
	for i := 1; i < n; i++ {
		right := pts[i+1].Sub(pts[i]).Scale(6 / h[i]).Sub(pts[i].Sub(pts[i-1]).Scale(6 / h[i-1]))
		pivot := 2*(h[i-1]+h[i]) - h[i-1]*c[i-1]
		c[i] = h[i] / pivot
		m[i] = right.Sub(m[i-1].Scale(h[i-1])).Scale(1 / pivot)
	}
	for i := n - 1; i > 0; i-- {
		m[i] = m[i].Sub(m[i+1].Scale(c[i]))
	}
	return m
}
