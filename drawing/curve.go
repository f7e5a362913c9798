package drawing

import (
	"math"

	"sinew/geom"
)

// affine maps (x, y) to (a·x + c·y + e, b·x + d·y + f).
type affine struct{ a, b, c, d, e, f float64 }

func identity() affine { return affine{a: 1, d: 1} }

func (m affine) apply(p geom.Point) geom.Point {
	return geom.Point{X: m.a*p.X + m.c*p.Y + m.e, Y: m.b*p.X + m.d*p.Y + m.f}
}

// after returns the map that applies n first, then m.
func (m affine) after(n affine) affine {
	return affine{
		m.a*n.a + m.c*n.b, m.b*n.a + m.d*n.b,
		m.a*n.c + m.c*n.d, m.b*n.c + m.d*n.d,
		m.a*n.e + m.c*n.f + m.e, m.b*n.e + m.d*n.f + m.f,
	}
}

func scaling(x, y float64) affine     { return affine{a: x, d: y} }
func shifting(x, y float64) affine    { return affine{a: 1, d: 1, e: x, f: y} }
func (m affine) determinant() float64 { return m.a*m.d - m.b*m.c }

func turning(angle float64) affine {
	s, c := math.Sincos(angle)
	return affine{a: c, b: s, c: -s, d: c}
}

// sameShape bounds the relative difference of a map from a similarity below
// which circles are taken to stay circles: a circle of 1 m is then 1 nm off.
const sameShape = 1e-9

// isSimilarity reports whether circles stay circles.
func (m affine) isSimilarity() bool {
	size := math.Hypot(m.a, m.b) + math.Hypot(m.c, m.d)
	sign := 1.0
	if m.determinant() < 0 {
		sign = -1
	}
	return math.Hypot(m.a-sign*m.d, m.b+sign*m.c) <= sameShape*size
}

// mapEdge returns an edge under a map, as arcs within tol where it is no
// circle any more.
func (m affine) mapEdge(e geom.Edge, tol float64) []geom.Edge {
	if !e.IsArc() || m.isSimilarity() {
		bulge := e.Bulge
		if m.determinant() < 0 {
			bulge = -bulge
		}
		return []geom.Edge{{A: m.apply(e.A), B: m.apply(e.B), Bulge: bulge}}
	}
	return fitArcs(func(t float64) geom.Point { return m.apply(e.At(t)) }, 0, 1, tol)
}

// Fitting: an interval is halved until the arc through its ends and its middle
// lies within the tolerance at the places in between that are looked at.
const (
	fitStart  = 4  // pieces at least, so that no symmetric wiggle is missed
	fitDepth  = 14 // halvings at most
	fitProbes = 8  // places looked at on each piece
)

// fitArcs returns arcs and segments along the curve f from t0 to t1.
func fitArcs(f func(float64) geom.Point, t0, t1, tol float64) []geom.Edge {
	var edges []geom.Edge
	a := f(t0)
	for i := range fitStart {
		u := t0 + (t1-t0)*float64(i)/fitStart
		v := t0 + (t1-t0)*float64(i+1)/fitStart
		b := f(v)
		edges = fitPiece(edges, f, [2]float64{u, v}, [2]geom.Point{a, b}, tol, fitDepth)
		a = b
	}
	return edges
}

func fitPiece(edges []geom.Edge, f func(float64) geom.Point, t [2]float64, ends [2]geom.Point, tol float64, depth int) []geom.Edge {
	mid := (t[0] + t[1]) / 2
	m := f(mid)
	e := through(ends[0], m, ends[1])
	if depth == 0 || fits(e, f, t, tol) {
		if ends[0] == ends[1] {
			return edges
		}
		return append(edges, e)
	}
	edges = fitPiece(edges, f, [2]float64{t[0], mid}, [2]geom.Point{ends[0], m}, tol, depth-1)
	return fitPiece(edges, f, [2]float64{mid, t[1]}, [2]geom.Point{m, ends[1]}, tol, depth-1)
}

// fits reports whether the curve stays near the edge.
func fits(e geom.Edge, f func(float64) geom.Point, t [2]float64, tol float64) bool {
	if math.Abs(e.Bulge) > 1 {
		return false // more than half a turn: too coarse to judge
	}
	for i := 1; i < fitProbes; i++ {
		p := f(t[0] + (t[1]-t[0])*float64(i)/fitProbes)
		if _, d := e.Nearest(p); !(d <= tol) {
			return false
		}
	}
	return true
}

// flatBulge is the bulge below which an arc is a segment: its height is then
// under 5e-10 of its chord.
const flatBulge = 1e-9

// through returns the arc from a through m to b. The bulge is the tangent of
// half the angle between chord and a–m plus that at b: for a circle the angle
// at m is π - sweep/2.
func through(a, m, b geom.Point) geom.Edge {
	u, v := m.Sub(a), b.Sub(m)
	half := math.Atan2(u.Cross(v), u.Dot(v)) // sweep/2
	bulge := math.Tan(half / 2)
	if math.Abs(bulge) < flatBulge || math.IsNaN(bulge) {
		bulge = 0
	}
	return geom.Edge{A: a, B: b, Bulge: bulge}
}

// arcEdges returns the circular arc about c from angle a over a sweep, in
// pieces of at most half a turn.
func arcEdges(c geom.Point, r, a, sweep float64) []geom.Edge {
	n := 1
	if math.Abs(sweep) > math.Pi {
		n = 2
	}
	at := func(i int) geom.Point {
		s, co := math.Sincos(a + sweep*float64(i)/float64(n))
		return geom.Point{X: c.X + r*co, Y: c.Y + r*s}
	}
	edges := make([]geom.Edge, n)
	for i := range edges {
		edges[i] = geom.Edge{A: at(i), B: at(i + 1), Bulge: math.Tan(sweep / float64(n) / 4)}
	}
	if math.Abs(sweep) == 2*math.Pi {
		edges[n-1].B = edges[0].A
	}
	return edges
}
