package geom

import "math"

// IsArc reports whether the edge is a circular arc.
func (e Edge) IsArc() bool { return e.Bulge != 0 }

// Chord returns the vector from A to B.
func (e Edge) Chord() Point { return e.B.Sub(e.A) }

// Sweep returns the signed angle the edge turns through, in (-2π, 2π):
// positive counter-clockwise, zero for a segment.
func (e Edge) Sweep() float64 { return 4 * math.Atan(e.Bulge) }

// Center returns the centre of an arc. A segment has none: NaN.
func (e Edge) Center() Point {
	if !e.IsArc() {
		return Point{math.NaN(), math.NaN()}
	}
	// The apothem over the chord is (1-bulge²)/(4·bulge), to the left of the
	// chord for a counter-clockwise arc under half a turn.
	k := (1 - e.Bulge*e.Bulge) / (4 * e.Bulge)
	return e.A.Lerp(e.B, 0.5).Add(e.Chord().Left().Scale(k))
}

// Radius returns the radius of an arc, +Inf for a segment.
func (e Edge) Radius() float64 {
	if !e.IsArc() {
		return math.Inf(1)
	}
	b := math.Abs(e.Bulge)
	return e.A.Dist(e.B) * (1 + b*b) / (4 * b)
}

// Length returns the length along the edge.
func (e Edge) Length() float64 {
	c := e.A.Dist(e.B)
	if !e.IsArc() {
		return c
	}
	half := 2 * math.Atan(math.Abs(e.Bulge))
	return c * half / math.Sin(half)
}

// At returns the point at parameter t, the share of the edge's length from A.
//
// The chord from A to that point is the whole chord turned by (t-1)·sweep/2
// and shortened by sin(t·sweep/2)/sin(sweep/2): no centre is formed, so flat
// arcs lose no digits.
func (e Edge) At(t float64) Point {
	switch {
	case t == 0:
		return e.A
	case t == 1:
		return e.B
	case !e.IsArc():
		return e.A.Lerp(e.B, t)
	}
	half := 2 * math.Atan(e.Bulge)
	s, c := math.Sincos((t - 1) * half)
	k := math.Sin(t*half) / math.Sin(half)
	v := e.Chord()
	return e.A.Add(Point{c*v.X - s*v.Y, s*v.X + c*v.Y}.Scale(k))
}

// Tangent returns the unit direction of travel at parameter t.
func (e Edge) Tangent(t float64) Point {
	v := e.Chord()
	n := v.Norm()
	if n == 0 {
		return Point{}
	}
	v = v.Scale(1 / n)
	if !e.IsArc() {
		return v
	}
	s, c := math.Sincos((2*t - 1) * 2 * math.Atan(e.Bulge))
	return Point{c*v.X - s*v.Y, s*v.X + c*v.Y}
}

// Nearest returns the parameter of the point of the edge nearest to p, and its
// distance from p.
func (e Edge) Nearest(p Point) (t, d float64) {
	if !e.IsArc() {
		t = nearestOnSegment(e.A, e.B, p)
		return t, e.A.Lerp(e.B, t).Dist(p)
	}
	if t, ok := e.footOnArc(p); ok {
		return t, math.Abs(e.Center().Dist(p) - e.Radius())
	}
	if da, db := e.A.Dist(p), e.B.Dist(p); da <= db {
		return 0, da
	} else {
		return 1, db
	}
}

// nearestOnSegment returns the parameter in [0, 1] of the nearest point of a–b.
func nearestOnSegment(a, b, p Point) float64 {
	v := b.Sub(a)
	n := v.Dot(v)
	if n == 0 {
		return 0
	}
	return max(0, min(1, p.Sub(a).Dot(v)/n))
}

// footOnArc returns the parameter at which the ray from the centre through p
// meets the arc, if it does.
func (e Edge) footOnArc(p Point) (float64, bool) {
	c := e.Center()
	a, q := e.A.Sub(c), p.Sub(c)
	turn := math.Atan2(a.Cross(q), a.Dot(q)) // (-π, π]
	sweep := e.Sweep()
	if sweep < 0 {
		turn, sweep = -turn, -sweep
	}
	if turn < 0 {
		turn += 2 * math.Pi
	}
	return turn / sweep, turn <= sweep
}

// Bounds returns the smallest box around the edge.
func (e Edge) Bounds() Box {
	b := Box{e.A, e.A}.With(e.B)
	if !e.IsArc() {
		return b
	}
	c, r := e.Center(), e.Radius()
	for _, v := range [4]Point{{r, 0}, {0, r}, {-r, 0}, {0, -r}} {
		if _, ok := e.footOnArc(c.Add(v)); ok {
			b = b.With(c.Add(v))
		}
	}
	return b
}

// Reverse returns the edge run from B to A.
func (e Edge) Reverse() Edge { return Edge{e.B, e.A, -e.Bulge, e.Label} }

// Split cuts the edge at parameter t.
func (e Edge) Split(t float64) (Edge, Edge) {
	return e.Part(0, t), e.Part(t, 1)
}

// Part returns the piece of the edge between parameters t0 < t1.
func (e Edge) Part(t0, t1 float64) Edge {
	p := Edge{A: e.At(t0), B: e.At(t1), Label: e.Label}
	if e.IsArc() {
		p.Bulge = math.Tan((t1 - t0) * math.Atan(e.Bulge))
	}
	return p
}

// Flatten returns points on the edge from A to B, both included, such that the
// chords between them stay within tol of the edge.
func (e Edge) Flatten(tol float64) []Point {
	n := e.chords(tol)
	pts := make([]Point, n+1)
	for i := range pts {
		pts[i] = e.At(float64(i) / float64(n))
	}
	return pts
}

// maxChords bounds the chords of one arc, so that a tolerance of zero or an
// arc of enormous radius cannot ask for unbounded memory.
const maxChords = 1 << 16

// chords returns how many equal chords stay within tol of the edge: a chord
// over the angle q lies r·(1-cos(q/2)) off its arc.
func (e Edge) chords(tol float64) int {
	if !e.IsArc() {
		return 1
	}
	c := math.Max(0, 1-tol/e.Radius())
	n := math.Abs(e.Sweep()) / (2 * math.Acos(c))
	if !(n < maxChords) {
		return maxChords
	}
	return max(1, int(math.Ceil(n)))
}
