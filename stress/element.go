package stress

import (
	"fmt"

	"sinew/geom"
	"sinew/material"
	"sinew/mesh"
)

const (
	nodesPerTri = 6
	dofsPerTri  = 2 * nodesPerTri
	// packed is the number of entries of the lower triangle of an element matrix.
	packed = dofsPerTri * (dofsPerTri + 1) / 2
	// slopesPerTri counts the derivatives kept of an element: by x and y, of
	// each shape function, at each integration point.
	slopesPerTri = PointsPerTri * nodesPerTri * 2
)

// pointAt holds the area coordinates of the integration points: the rule that
// is exact for quadratics, Strang & Fix, An Analysis of the Finite Element
// Method (1973), table 4.1. Its own permutation fits the node order.
var pointAt = [PointsPerTri][3]float64{
	{2.0 / 3, 1.0 / 6, 1.0 / 6},
	{1.0 / 6, 2.0 / 3, 1.0 / 6},
	{1.0 / 6, 1.0 / 6, 2.0 / 3},
}

// Places returns the area coordinates of the integration points of an element.
func Places() [PointsPerTri][3]float64 { return pointAt }

// elements holds what the integration over a mesh needs, computed once.
type elements struct {
	mesh   *mesh.Mesh
	slope  []float64 // [tri][point][node][x,y]
	weight []float64 // area of each integration point, mm²
	at     []geom.Point
}

func newElements(m *mesh.Mesh) (*elements, error) {
	n := len(m.Tris)
	e := &elements{
		mesh:   m,
		slope:  make([]float64, n*slopesPerTri),
		weight: make([]float64, n*PointsPerTri),
		at:     make([]geom.Point, n*PointsPerTri),
	}
	for t := range m.Tris {
		for k, b := range pointAt {
			g, det := m.Gradient(t, b)
			if !(det > 0) {
				at := m.Nodes[m.Tris[t][0]]
				return nil, fmt.Errorf("element %d at (%g, %g) is folded or empty: refine the mesh there", t, at.X, at.Y)
			}
			out := e.slope[t*slopesPerTri+k*2*nodesPerTri:]
			for i := range g {
				out[2*i], out[2*i+1] = g[i].X, g[i].Y
			}
			e.weight[t*PointsPerTri+k] = det / 6
			e.at[t*PointsPerTri+k] = m.At(t, b)
		}
	}
	return e, nil
}

// stiffnessTo fills k with the lower triangle, by rows, of element t:
//
//	K = sum over points of w·Bᵀ·A·B
//
// with B of each node [dx 0; 0 dy; dy dx].
func (e *elements) stiffnessTo(k *[packed]float64, t int, sheet *Sheet) {
	*k = [packed]float64{}
	for p := range PointsPerTri {
		point := t*PointsPerTri + p
		from := point * 2 * nodesPerTri
		g := (*[2 * nodesPerTri]float64)(e.slope[from : from+2*nodesPerTri])
		a := sheet.StiffnessAt(point)
		addStiffness(k, g, &a, e.weight[point])
	}
}

func addStiffness(k *[packed]float64, g *[2 * nodesPerTri]float64, a *material.Stiffness, w float64) {
	a11, a12, a16, a22, a26, a66 := w*a[0], w*a[1], w*a[2], w*a[3], w*a[4], w*a[5]
	for j := range nodesPerTri {
		x, y := g[2*j], g[2*j+1]
		// Columns of A·B of node j: for its x and its y displacement.
		x1, x2, x6 := a11*x+a16*y, a12*x+a26*y, a16*x+a66*y
		y1, y2, y6 := a12*y+a16*x, a22*y+a26*x, a26*y+a66*x
		for i := j; i < nodesPerTri; i++ {
			u, v := g[2*i], g[2*i+1]
			row := i*(2*i+1) + 2*j // start of row 2i, column 2j
			next := row + 2*i + 1  // start of row 2i+1, column 2j
			k[row] += u*x1 + v*x6
			k[next] += v*x2 + u*x6
			k[next+1] += v*y2 + u*y6
			if i != j {
				k[row+1] += u*y1 + v*y6
			}
		}
	}
}

// strain returns the strain at an integration point: 11, 22, engineering 12.
func (e *elements) strain(point int, u []float64) [3]float64 {
	tri := &e.mesh.Tris[point/PointsPerTri]
	g := e.slope[point*2*nodesPerTri : (point+1)*2*nodesPerTri]
	var s [3]float64
	for i, n := range tri {
		x, y := g[2*i], g[2*i+1]
		ux, uy := u[2*n], u[2*n+1]
		s[0] += x * ux
		s[1] += y * uy
		s[2] += y*ux + x*uy
	}
	return s
}

// addInternal adds to f the nodal forces of a stress resultant (N/mm) at an
// integration point: w·Bᵀ·resultant.
func (e *elements) addInternal(f []float64, point int, resultant [3]float64) {
	tri := &e.mesh.Tris[point/PointsPerTri]
	g := e.slope[point*2*nodesPerTri : (point+1)*2*nodesPerTri]
	w := e.weight[point]
	for i, n := range tri {
		x, y := g[2*i], g[2*i+1]
		f[2*n] += w * (x*resultant[0] + y*resultant[2])
		f[2*n+1] += w * (y*resultant[1] + x*resultant[2])
	}
}

// addBody adds to f the nodal forces of a force per area (N/mm²) at an
// integration point.
func (e *elements) addBody(f []float64, point int, force geom.Point) {
	w := e.weight[point]
	s := mesh.Shape(pointAt[point%PointsPerTri])
	for i, n := range e.mesh.Tris[point/PointsPerTri] {
		f[2*n] += w * s[i] * force.X
		f[2*n+1] += w * s[i] * force.Y
	}
}
