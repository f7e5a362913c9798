// Package solid holds triangulated solids: it mends what a file gives, cuts it
// into the outlines of printed layers, names its flat and round faces, and
// finds the terraces at which the outline changes with height.
//
// Lengths are mm, z points up the build direction. A triangle runs
// counter-clockwise seen from outside. The steps, each a pure function:
//
//	Mesh ── Mend ── Solid ── Cut ── sections ── Slabs ── slabs with regions
//	                  └──── Faces ── names ───────┘
//
// Mend welds equal corners, drops collapsed and doubled triangles, turns
// flipped ones, closes cracks and plain holes, and tells inside from outside.
// It notes each kind of repair with a place and refuses what it would have to
// guess. Cut decides on the heights of corners alone: a corner in the cutting
// plane counts as above it, as if the plane lay an unmeasurable step lower, so
// that every section of a closed solid consists of closed loops whatever the
// rounding (symbolic perturbation, after H. Edelsbrunner, E. P. Mücke,
// Simulation of simplicity, ACM Transactions on Graphics 9 (1990) 66–104).
// Where loops cross each other the surface cuts itself, or several bodies
// overlap: what is wound around at least once counts as inside, and a note says
// where.
//
// Guaranteed: the same input gives the same bytes for any number of workers.
// Not found: self-intersections that no cutting plane meets; they do not change
// any layer. Not done: curved layers, tilting the part (that is the caller's
// choice of axes).
//
// Cost: Mend grows like the number of triangles, Cut like that of triangles
// crossed; sections are checked for crossings with a grid. Method, limits and
// checks stand in docs/method/solid.md.
package solid

import (
	"fmt"
	"math"

	"sinew/geom"
)

// Point is a point or a vector of space, mm.
type Point struct{ X, Y, Z float64 }

// Sub returns p-q.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y, p.Z - q.Z} }

// Add returns p+q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y, p.Z + q.Z} }

// Scale returns s·p.
func (p Point) Scale(s float64) Point { return Point{s * p.X, s * p.Y, s * p.Z} }

// Dot returns the scalar product.
func (p Point) Dot(q Point) float64 { return p.X*q.X + p.Y*q.Y + p.Z*q.Z }

// Cross returns the vector product.
func (p Point) Cross(q Point) Point {
	return Point{p.Y*q.Z - p.Z*q.Y, p.Z*q.X - p.X*q.Z, p.X*q.Y - p.Y*q.X}
}

// Norm returns the length.
func (p Point) Norm() float64 { return math.Sqrt(p.Dot(p)) }

// plan returns the point as seen from above.
func (p Point) plan() geom.Point { return geom.Point{X: p.X, Y: p.Y} }

// String gives "(x, y, z)" to a micrometre: places in messages.
func (p Point) String() string {
	return fmt.Sprintf("(%s, %s, %s)", shown(p.X), shown(p.Y), shown(p.Z))
}

func shown(v float64) string {
	return fmt.Sprintf("%.6g", math.Round(v*1000)/1000+0) // +0: no negative zero
}

// Mesh is a surface as a file gives it: triangles by index into corners.
type Mesh struct {
	Points []Point
	Tris   [][3]int32
}

// Box is an axis-parallel box.
type Box struct{ Min, Max Point }

// Size returns the box's lengths.
func (b Box) Size() Point { return b.Max.Sub(b.Min) }

// with returns the box grown to hold p.
func (b Box) with(p Point) Box {
	return Box{
		Point{min(b.Min.X, p.X), min(b.Min.Y, p.Y), min(b.Min.Z, p.Z)},
		Point{max(b.Max.X, p.X), max(b.Max.Y, p.Y), max(b.Max.Z, p.Z)},
	}
}

// holds reports whether c lies in b.
func (b Box) holds(c Box) bool {
	return b.Min.X <= c.Min.X && b.Min.Y <= c.Min.Y && b.Min.Z <= c.Min.Z && b.Max.X >= c.Max.X && b.Max.Y >= c.Max.Y && b.Max.Z >= c.Max.Z
}

func emptyBox() Box {
	inf := math.Inf(1)
	return Box{Point{inf, inf, inf}, Point{-inf, -inf, -inf}}
}

// Bounds returns the smallest box around the triangles.
func (m *Mesh) Bounds() Box {
	b := emptyBox()
	for _, t := range m.Tris {
		for _, v := range t {
			b = b.with(m.Points[v])
		}
	}
	return b
}

// normal returns the triangle's normal, as long as twice its area.
func (m *Mesh) normal(t int) Point {
	a, b, c := m.corners(t)
	return b.Sub(a).Cross(c.Sub(a))
}

func (m *Mesh) corners(t int) (a, b, c Point) {
	i := m.Tris[t]
	return m.Points[i[0]], m.Points[i[1]], m.Points[i[2]]
}

// middle returns the triangle's centroid.
func (m *Mesh) middle(t int) Point {
	a, b, c := m.corners(t)
	return a.Add(b).Add(c).Scale(1. / 3)
}

// Volume returns the volume inside the surface, positive when its triangles
// run counter-clockwise seen from outside.
func (m *Mesh) Volume() float64 {
	if len(m.Tris) == 0 {
		return 0
	}
	o := m.Points[m.Tris[0][0]] // about a corner: far-off solids lose no digits
	sum := 0.0
	for t := range m.Tris {
		a, b, c := m.corners(t)
		sum += a.Sub(o).Dot(b.Sub(o).Cross(c.Sub(o)))
	}
	return sum / 6
}

// Area returns the area of the surface.
func (m *Mesh) Area() float64 {
	sum := 0.0
	for t := range m.Tris {
		sum += m.normal(t).Norm()
	}
	return sum / 2
}

// Map returns the mesh with every corner sent through the matrix (rows x, y, z
// of the image) and shifted. Where it mirrors, triangles are turned round so
// that the outside stays outside.
func (m *Mesh) Map(rows [3]Point, shift Point) *Mesh {
	out := &Mesh{Points: make([]Point, len(m.Points)), Tris: make([][3]int32, len(m.Tris))}
	for i, p := range m.Points {
		out.Points[i] = Point{rows[0].Dot(p), rows[1].Dot(p), rows[2].Dot(p)}.Add(shift)
	}
	mirrors := rows[0].Dot(rows[1].Cross(rows[2])) < 0
	for i, t := range m.Tris {
		if mirrors {
			t[1], t[2] = t[2], t[1]
		}
		out.Tris[i] = t
	}
	return out
}

// Repair is one kind of change that Mend made.
type Repair struct {
	What  string // "doubled triangles dropped"
	Count int
	At    Point // of the first
}

// String gives "3 doubled triangles dropped, the first at (1, 2, 3)".
func (r Repair) String() string {
	where := "the first at"
	if r.Count == 1 {
		where = "at"
	}
	return fmt.Sprintf("%d %s, %s %v", r.Count, r.What, where, r.At)
}

// Fault is one reason why a surface bounds no solid.
type Fault struct {
	What, Remedy string
	Count        int
	At           Point // of the first
}

// Error gives "3 open edges, the first at (1, 2, 3); what to do".
func (f *Fault) Error() string {
	return Repair{f.What, f.Count, f.At}.String() + "; " + f.Remedy
}
