package geom

import "math"

// Length returns the length of the path, closing side included.
func (p Path) Length() float64 {
	sum := 0.0
	for i := 1; i < len(p.Points); i++ {
		sum += p.Points[i].Dist(p.Points[i-1])
	}
	if n := len(p.Points); p.Closed && n > 1 {
		sum += p.Points[0].Dist(p.Points[n-1])
	}
	return sum
}

// Reverse returns the path run the other way; a closed one keeps its first point.
func (p Path) Reverse() Path {
	n := len(p.Points)
	r := Path{make([]Point, n), p.Closed}
	for i, q := range p.Points {
		r.Points[n-1-i] = q
	}
	if p.Closed && n > 1 {
		last := r.Points[n-1]
		copy(r.Points[1:], r.Points[:n-1])
		r.Points[0] = last
	}
	return r
}

// ring returns the points with the first repeated at the end of a closed path.
func (p Path) ring() []Point {
	if !p.Closed || len(p.Points) == 0 {
		return p.Points
	}
	return append(p.Points[:len(p.Points):len(p.Points)], p.Points[0])
}

// At returns the point at arc length s from the start, held to the path's ends
// (a closed path is gone round).
func (p Path) At(s float64) Point {
	pts := p.ring()
	if len(pts) == 0 {
		return Point{math.NaN(), math.NaN()}
	}
	if l := p.Length(); p.Closed && l > 0 {
		s = math.Mod(math.Mod(s, l)+l, l)
	}
	for i := 1; i < len(pts); i++ {
		d := pts[i].Dist(pts[i-1])
		if s <= d && d > 0 {
			return pts[i-1].Lerp(pts[i], math.Max(0, s/d))
		}
		s -= d
	}
	return pts[len(pts)-1]
}

// Resample returns the path with points at equal arc length, at most step
// apart. Ends of an open path are kept. Corners between the new points are cut,
// so that the length shrinks where the path bends sharply within a step.
func (p Path) Resample(step float64) Path {
	total := p.Length()
	if len(p.Points) < 2 || !(total > 0) || !(step > 0) {
		return Path{append([]Point(nil), p.Points...), p.Closed}
	}
	n := max(1, int(math.Ceil(total/step*(1-resampleSlack))))
	if p.Closed {
		n = max(3, n)
	}
	out := Path{make([]Point, 0, n+1), p.Closed}
	pts := p.ring()
	gone, seg := 0.0, 1 // length before pts[seg-1]
	for i := range n {
		s := total * float64(i) / float64(n)
		for seg < len(pts)-1 && gone+pts[seg].Dist(pts[seg-1]) < s {
			gone += pts[seg].Dist(pts[seg-1])
			seg++
		}
		d := pts[seg].Dist(pts[seg-1])
		out.Points = append(out.Points, pts[seg-1].Lerp(pts[seg], math.Min(1, safeRatio(s-gone, d))))
	}
	if !p.Closed {
		out.Points = append(out.Points, pts[len(pts)-1])
	}
	return out
}

// resampleSlack keeps a length that is a whole number of steps, but for
// rounding, from getting one piece more.
const resampleSlack = 1e-12

func safeRatio(a, b float64) float64 {
	if b == 0 {
		return 0
	}
	return a / b
}

// Turns returns the signed turning angle at each point, positive to the left:
// zero at the ends of an open path.
func (p Path) Turns() []float64 {
	n := len(p.Points)
	t := make([]float64, n)
	for i := range t {
		if !p.Closed && (i == 0 || i == n-1) {
			continue
		}
		a, b, c := p.Points[(i+n-1)%n], p.Points[i], p.Points[(i+1)%n]
		u, v := b.Sub(a), c.Sub(b)
		t[i] = math.Atan2(u.Cross(v), u.Dot(v))
	}
	return t
}

// TotalTurning returns the sum of the sizes of all turning angles: 2π for a
// convex closed path, more for any other.
func (p Path) TotalTurning() float64 {
	sum := 0.0
	for _, t := range p.Turns() {
		sum += math.Abs(t)
	}
	return sum
}

// Curvatures returns the signed curvature at each point, positive to the left:
// that of the circle through the point and its two neighbours, 4·area/(product
// of the sides), exact for points sampled from a circle. Ends of an open path
// take their neighbour's value.
func (p Path) Curvatures() []float64 {
	n := len(p.Points)
	k := make([]float64, n)
	if n < 3 {
		return k
	}
	for i := range k {
		if p.Closed || i > 0 && i < n-1 {
			k[i] = curvature(p.Points[(i+n-1)%n], p.Points[i], p.Points[(i+1)%n])
		}
	}
	if !p.Closed {
		k[0], k[n-1] = k[1], k[n-2]
	}
	return k
}

func curvature(a, b, c Point) float64 {
	u, v := b.Sub(a), c.Sub(b)
	d := u.Norm() * v.Norm() * c.Dist(a)
	switch {
	case d > 0:
		return 2 * u.Cross(v) / d
	case u.Dot(v) < 0: // straight back
		return math.Inf(1)
	}
	return 0
}

// LeastRadius returns the smallest radius of curvature of the sampled path and
// the index of the point that has it: +Inf and -1 for a straight path.
func (p Path) LeastRadius() (radius float64, at int) {
	radius, at = math.Inf(1), -1
	for i, k := range p.Curvatures() {
		if r := 1 / math.Abs(k); r < radius {
			radius, at = r, i
		}
	}
	return radius, at
}

// Simplify returns the path with points dropped whose loss moves it by no more
// than tol (D. H. Douglas, T. K. Peucker, Algorithms for the reduction of the
// number of points required to represent a digitized line, Cartographica 10
// (1973) 112–122). A closed path is cut at its first point and at the point
// farthest from it.
func (p Path) Simplify(tol float64) Path {
	pts := p.ring()
	if len(pts) < 3 {
		return Path{append([]Point(nil), p.Points...), p.Closed}
	}
	keep := make([]bool, len(pts))
	keep[0], keep[len(pts)-1] = true, true
	stack := [][2]int{{0, len(pts) - 1}}
	if p.Closed {
		far := farthest(pts, 0, len(pts)-1)
		keep[far] = true
		stack = [][2]int{{0, far}, {far, len(pts) - 1}}
	}
	for len(stack) > 0 {
		s := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if s[1]-s[0] < 2 {
			continue
		}
		m := farthest(pts, s[0], s[1])
		if footOnSegment(pts[s[0]], pts[s[1]], pts[m]).Dist(pts[m]) > tol {
			keep[m] = true
			stack = append(stack, [2]int{s[0], m}, [2]int{m, s[1]})
		}
	}
	out := Path{Closed: p.Closed}
	for i, q := range p.Points {
		if keep[i] {
			out.Points = append(out.Points, q)
		}
	}
	return out
}

// farthest returns the index between i and j of the point farthest from the
// segment from point i to point j.
func farthest(pts []Point, i, j int) int {
	best, at := -1.0, i
	for m := i + 1; m < j; m++ {
		d := footOnSegment(pts[i], pts[j], pts[m]).Sub(pts[m])
		if d2 := d.Dot(d); d2 > best {
			best, at = d2, m
		}
	}
	return at
}

func footOnSegment(a, b, p Point) Point { return a.Lerp(b, nearestOnSegment(a, b, p)) }
