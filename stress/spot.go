package stress

import (
	"sinew/geom"
	"sinew/mesh"
)

// Spot is a point of the mesh by element and area coordinates.
type Spot struct {
	Tri int
	B   [3]float64
}

// Locate returns the spots of points; ok is false for one outside the mesh.
func (s *System) Locate(points []geom.Point) (places []Spot, ok []bool) {
	find := mesh.NewLocator(s.elements.mesh)
	places, ok = make([]Spot, len(points)), make([]bool, len(points))
	for i, p := range points {
		places[i].Tri, places[i].B, ok[i] = find.Find(p)
	}
	return places, ok
}

// StrainsAt returns the strain of displacements u at places: 11, 22,
// engineering 12. Between the integration points, and the more the nearer the
// element's edge, it is less exact than StrainsOf by one order of the element
// size.
func (s *System) StrainsAt(places []Spot, u []float64) [][3]float64 {
	e := make([][3]float64, len(places))
	m := s.elements.mesh
	for i, p := range places {
		g, _ := m.Gradient(p.Tri, p.B)
		for k, n := range m.Tris[p.Tri] {
			x, y := u[2*n], u[2*n+1]
			e[i][0] += g[k].X * x
			e[i][1] += g[k].Y * y
			e[i][2] += g[k].Y*x + g[k].X*y
		}
	}
	return e
}
