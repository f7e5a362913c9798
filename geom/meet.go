package geom

import "math"

// Meeting is a common point of two edges, with its parameter on each.
type Meeting struct {
	At   Point
	T, U float64
}

// Meet returns the points that e and f have in common within tol: crossings,
// touching points, and for edges that run along each other the ends of the
// stretch. Points closer together than tol are given once. At most four.
func (e Edge) Meet(f Edge, tol float64) []Meeting {
	var out []Meeting
	for _, p := range e.candidates(f, tol) {
		t, d := e.Nearest(p)
		u, g := f.Nearest(p)
		if d > tol || g > tol || known(out, p, tol) {
			continue
		}
		out = append(out, Meeting{p, t, u})
	}
	return out
}

func known(list []Meeting, p Point, tol float64) bool {
	for _, m := range list {
		if m.At.Dist(p) <= tol {
			return true
		}
	}
	return false
}

// candidates returns points among which the common points are: intersections
// of the carrying lines and circles, and the ends of both edges.
func (e Edge) candidates(f Edge, tol float64) []Point {
	var pts []Point
	switch {
	case !e.IsArc() && !f.IsArc():
		pts = lineLine(e, f)
	case !e.IsArc():
		pts = lineCircle(e, f, tol)
	case !f.IsArc():
		pts = lineCircle(f, e, tol)
	default:
		pts = circleCircle(e, f, tol)
	}
	return append(pts, e.A, e.B, f.A, f.B)
}

func lineLine(e, f Edge) []Point {
	u, v := e.Chord(), f.Chord()
	d := u.Cross(v)
	if d == 0 {
		return nil
	}
	t := f.A.Sub(e.A).Cross(v) / d
	if !(math.Abs(t) < farOff) {
		return nil // as good as parallel
	}
	return []Point{e.A.Lerp(e.B, t)}
}

// farOff: crossings this many edge lengths away are of no interest.
const farOff = 1e6

func lineCircle(e, arc Edge, tol float64) []Point {
	c, r := arc.Center(), arc.Radius()
	u := e.Chord()
	n := u.Norm()
	if n == 0 {
		return nil
	}
	u = u.Scale(1 / n)
	foot := e.A.Add(u.Scale(c.Sub(e.A).Dot(u)))
	d := c.Dist(foot)
	if d > r+tol {
		return nil
	}
	h := math.Sqrt(math.Max(0, (r-d)*(r+d)))
	return []Point{foot.Add(u.Scale(h)), foot.Sub(u.Scale(h)), foot}
}

func circleCircle(e, f Edge, tol float64) []Point {
	c, r := e.Center(), e.Radius()
	k, s := f.Center(), f.Radius()
	v := k.Sub(c)
	d := v.Norm()
	if d == 0 || d > r+s+tol || d < math.Abs(r-s)-tol {
		return nil
	}
	u := v.Scale(1 / d)
	// Distance from c to the line through the crossings.
	x := (d + (r-s)*(r+s)/d) / 2
	h := math.Sqrt(math.Max(0, (r-x)*(r+x)))
	foot := c.Add(u.Scale(x))
	if r < math.Abs(x) { // touching within tol: the point on the first circle
		foot = c.Add(u.Scale(math.Copysign(r, x)))
	}
	return []Point{foot.Add(u.Left().Scale(h)), foot.Sub(u.Left().Scale(h)), foot}
}
