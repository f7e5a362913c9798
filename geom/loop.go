package geom

import "math"

// Area returns the area the loop encloses: positive when it runs
// counter-clockwise. It is exact for arcs: the polygon of chords plus the
// circular segment of each arc.
func (l Loop) Area() float64 {
	if len(l) == 0 {
		return 0
	}
	o := l[0].A // about a point of the loop: far-off outlines lose no digits
	sum := 0.0
	for _, e := range l {
		sum += e.A.Sub(o).Cross(e.B.Sub(o))/2 + e.segmentArea()
	}
	return sum
}

// segmentArea returns the signed area between the chord and the arc,
// r²(s - sin s)/2, positive for a counter-clockwise arc.
func (e Edge) segmentArea() float64 {
	if !e.IsArc() {
		return 0
	}
	r := e.Radius()
	return r * r * sweepMinusSine(e.Sweep()) / 2
}

// flatSweep is where s - sin s changes to its series: there the fifth term of
// the series, s¹¹/11!, is below one rounding of the sum.
const flatSweep = 0.2

func sweepMinusSine(s float64) float64 {
	if math.Abs(s) > flatSweep {
		return s - math.Sin(s)
	}
	q := s * s
	return s * q / 6 * (1 - q/20*(1-q/42*(1-q/72)))
}

// Length returns the length of the whole loop.
func (l Loop) Length() float64 {
	sum := 0.0
	for _, e := range l {
		sum += e.Length()
	}
	return sum
}

// Bounds returns the smallest box around the loop.
func (l Loop) Bounds() Box {
	b := EmptyBox()
	for _, e := range l {
		b = b.Union(e.Bounds())
	}
	return b
}

// Reverse returns the loop run the other way.
func (l Loop) Reverse() Loop {
	r := make(Loop, len(l))
	for i, e := range l {
		r[len(l)-1-i] = e.Reverse()
	}
	return r
}

// Contains reports whether p lies inside the loop, whichever way it runs. For
// points on the loop, within rounding, the answer may be either.
//
// A loop is the polygon of its chords, exclusive-or the circular segments
// between each arc and its chord.
func (l Loop) Contains(p Point) bool {
	in := false
	for _, e := range l {
		if crossesRay(e.A, e.B, p) {
			in = !in
		}
		if e.IsArc() && e.inSegment(p) {
			in = !in
		}
	}
	return in
}

// crossesRay reports whether a–b crosses the ray from p towards +x. The lower
// end of a–b counts, the upper does not, so that a vertex is counted once.
func crossesRay(a, b, p Point) bool {
	if (a.Y > p.Y) == (b.Y > p.Y) {
		return false
	}
	up := b.Y > a.Y
	return (Orient(a, b, p) > 0) == up
}

// inSegment reports whether p lies between the arc and its chord: inside the
// disc, on the arc's side of the chord. A point on the chord counts as on the
// side that crossesRay takes it to be: the right, or above a level chord.
func (e Edge) inSegment(p Point) bool {
	side := Orient(e.A, e.B, p)
	right := side < 0 || side == 0 && (e.A.Y != e.B.Y || e.B.X < e.A.X)
	return right == (e.Bulge > 0) && e.Center().Dist(p) <= e.Radius()
}

// Flatten returns the loop as a polygon whose sides stay within tol of it.
// The polygon's vertices lie on the loop.
func (l Loop) Flatten(tol float64) []Point {
	var pts []Point
	for _, e := range l {
		n := e.chords(tol)
		for i := range n {
			pts = append(pts, e.At(float64(i)/float64(n)))
		}
	}
	return pts
}

// Polyline returns the closed loop of straight edges through the points.
func Polyline(points ...Point) Loop {
	l := make(Loop, len(points))
	for i, p := range points {
		l[i] = Edge{A: p, B: points[(i+1)%len(points)]}
	}
	return l
}

// Circle returns a circle as two half arcs, counter-clockwise, starting at
// its rightmost point.
func Circle(center Point, radius float64) Loop {
	a, b := center.Add(Point{radius, 0}), center.Sub(Point{radius, 0})
	return Loop{{A: a, B: b, Bulge: 1}, {A: b, B: a, Bulge: 1}}
}
