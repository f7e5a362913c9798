package mesh

import (
	"math"

	"sinew/geom"
)

// Shape returns the six shape functions at barycentric coordinates b.
func Shape(b [3]float64) [6]float64 {
	return [6]float64{
		b[0] * (2*b[0] - 1), b[1] * (2*b[1] - 1), b[2] * (2*b[2] - 1),
		4 * b[0] * b[1], 4 * b[1] * b[2], 4 * b[2] * b[0],
	}
}

// shapeSlopes returns the derivatives of the shape functions by the first two
// of the free coordinates xi = b[1], eta = b[2] (b[0] = 1 - xi - eta).
func shapeSlopes(b [3]float64) (dxi, deta [6]float64) {
	dxi = [6]float64{1 - 4*b[0], 4*b[1] - 1, 0, 4 * (b[0] - b[1]), 4 * b[2], -4 * b[2]}
	deta = [6]float64{1 - 4*b[0], 0, 4*b[2] - 1, -4 * b[1], 4 * b[1], 4 * (b[0] - b[2])}
	return dxi, deta
}

// At returns the point of triangle tri at barycentric coordinates b.
func (m *Mesh) At(tri int, b [3]float64) geom.Point {
	n := Shape(b)
	var p geom.Point
	for i, k := range m.Tris[tri] {
		p.X += n[i] * m.Nodes[k].X
		p.Y += n[i] * m.Nodes[k].Y
	}
	return p
}

// Gradient returns the gradients of the six shape functions at barycentric
// coordinates b, and the determinant of the map from the unit triangle (twice
// the area of a straight-sided triangle).
func (m *Mesh) Gradient(tri int, b [3]float64) (dN [6]geom.Point, detJ float64) {
	dxi, deta := shapeSlopes(b)
	u, v := m.columns(tri, &dxi, &deta)
	detJ = u.Cross(v)
	for i := range dN {
		dN[i].X = (v.Y*dxi[i] - u.Y*deta[i]) / detJ
		dN[i].Y = (u.X*deta[i] - v.X*dxi[i]) / detJ
	}
	return dN, detJ
}

// columns returns the derivatives of the position by xi and eta.
func (m *Mesh) columns(tri int, dxi, deta *[6]float64) (u, v geom.Point) {
	for i, k := range m.Tris[tri] {
		p := m.Nodes[k]
		u.X += dxi[i] * p.X
		u.Y += dxi[i] * p.Y
		v.X += deta[i] * p.X
		v.Y += deta[i] * p.Y
	}
	return u, v
}

// nodeAt are the barycentric coordinates of the six nodes.
var nodeAt = [6][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {.5, .5, 0}, {0, .5, .5}, {.5, 0, .5}}

// leastJacobian returns the least determinant over the six nodes, as a share of
// that of the triangle with straight sides.
func (m *Mesh) leastJacobian(tri int) float64 {
	n := m.Tris[tri]
	a, b, c := m.Nodes[n[0]], m.Nodes[n[1]], m.Nodes[n[2]]
	least := math.Inf(1)
	for _, at := range nodeAt {
		dxi, deta := shapeSlopes(at)
		u, v := m.columns(tri, &dxi, &deta)
		least = math.Min(least, u.Cross(v))
	}
	return least / b.Sub(a).Cross(c.Sub(a))
}

// gauss3 integrates quadratics over a triangle exactly: the mid-side rule's
// inner variant, weight 1/6 each on the unit triangle.
var gauss3 = [3][3]float64{{2. / 3, 1. / 6, 1. / 6}, {1. / 6, 2. / 3, 1. / 6}, {1. / 6, 1. / 6, 2. / 3}}

// triArea returns the area of a curved triangle. The determinant is a
// quadratic, so that three points are exact.
func (m *Mesh) triArea(tri int) float64 {
	sum := 0.0
	for _, b := range gauss3 {
		dxi, deta := shapeSlopes(b)
		u, v := m.columns(tri, &dxi, &deta)
		sum += u.Cross(v)
	}
	return sum / 6
}

// Bounds returns the box around the nodes.
func (m *Mesh) Bounds() geom.Box {
	b := geom.EmptyBox()
	for _, p := range m.Nodes {
		b = b.With(p)
	}
	return b
}

// Area returns the area of all triangles, curved sides included.
func (m *Mesh) Area() float64 {
	sum := 0.0
	for i := range m.Tris {
		sum += m.triArea(i)
	}
	return sum
}
