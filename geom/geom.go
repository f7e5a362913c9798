// Package geom holds the plane geometry that every other room stands on:
// points, straight and circular edges, closed loops, regions with holes, open
// and closed polylines; exact predicates, insets that keep arcs, booleans and
// offsets of polygons, clipping, level lines, nearest points.
//
// Lengths are millimetres, angles radians counter-clockwise from x. A region
// lies to the left of its edges. Methods and sources stand at the functions and
// in docs/method/geometry.md.
//
// Guaranteed: signs of Orient and InCircle are exact; polygon booleans decide
// on whole numbers; results depend on the input alone. Regions are checked by
// Validate at the door: the other methods take valid ones for granted. Points
// within Tolerance count as one. Points on a boundary, within rounding, may be
// told inside or outside.
package geom

import "math"

// Point is a point or a vector of the layer plane.
type Point struct{ X, Y float64 }

// Add returns p+q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub returns p-q.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Scale returns s·p.
func (p Point) Scale(s float64) Point { return Point{s * p.X, s * p.Y} }

// Dot returns the scalar product p·q.
func (p Point) Dot(q Point) float64 { return p.X*q.X + p.Y*q.Y }

// Cross returns the z component of p×q: positive when q lies left of p.
func (p Point) Cross(q Point) float64 { return p.X*q.Y - p.Y*q.X }

// Norm returns the length of p.
func (p Point) Norm() float64 { return math.Hypot(p.X, p.Y) }

// Dist returns the distance from p to q.
func (p Point) Dist(q Point) float64 { return math.Hypot(p.X-q.X, p.Y-q.Y) }

// Left returns p turned by +90 degrees.
func (p Point) Left() Point { return Point{-p.Y, p.X} }

// Lerp returns the point at parameter t on the way from p (0) to q (1).
func (p Point) Lerp(q Point, t float64) Point {
	return Point{p.X + t*(q.X-p.X), p.Y + t*(q.Y-p.Y)}
}

// Box is an axis-parallel rectangle.
type Box struct{ Min, Max Point }

// Edge is a straight segment or a circular arc from A to B. Bulge is
// tan(sweep/4): zero for a segment, positive for a counter-clockwise arc.
// Label is the drawing layer it came from.
type Edge struct {
	A, B  Point
	Bulge float64
	Label string
}

// Loop is a closed chain of edges: each edge starts where the one before ends,
// the first where the last ends.
type Loop []Edge

// Region is an area of the plane: the outer loop runs counter-clockwise, the
// holes clockwise, so that the area always lies to the left of an edge.
type Region struct {
	Outer Loop
	Holes []Loop
}

// Loops returns the outer loop followed by the holes: the numbering that
// features, meshes and findings use.
func (r Region) Loops() []Loop { return append([]Loop{r.Outer}, r.Holes...) }

// Path is a polyline; a closed one does not repeat its first point.
type Path struct {
	Points []Point
	Closed bool
}
