package mesh

import (
	"math"

	"sinew/geom"
)

// Quality describes the shapes of a mesh's triangles. Angles are those of the
// straight-sided triangles through the corners, in degrees.
type Quality struct {
	Triangles int
	Nodes     int
	LeastAngle,
	MostAngle float64
	MeanLeastAngle float64 // mean over the triangles of their least angle
	Worst          int     // triangle with the least angle; -1 of an empty mesh
	// LeastJacobian is the least determinant of the six-node map at any node,
	// as a share of the straight triangle's: positive when no element folds.
	LeastJacobian float64
	ShortestSide  float64
	LongestSide   float64
}

// Quality measures the mesh.
func (m *Mesh) Quality() Quality {
	q := Quality{
		Triangles: len(m.Tris), Nodes: len(m.Nodes), LeastAngle: math.Inf(1),
		LeastJacobian: math.Inf(1), ShortestSide: math.Inf(1), Worst: -1,
	}
	sum := 0.0
	for i, t := range m.Tris {
		p := [3]geom.Point{m.Nodes[t[0]], m.Nodes[t[1]], m.Nodes[t[2]]}
		least, most := angles(p)
		sum += least
		if least < q.LeastAngle {
			q.LeastAngle, q.Worst = least, i
		}
		q.MostAngle = math.Max(q.MostAngle, most)
		q.LeastJacobian = math.Min(q.LeastJacobian, m.leastJacobian(i))
		for k := range 3 {
			l := p[k].Dist(p[(k+1)%3])
			q.ShortestSide = math.Min(q.ShortestSide, l)
			q.LongestSide = math.Max(q.LongestSide, l)
		}
	}
	q.MeanLeastAngle = sum / float64(len(m.Tris))
	return q
}

// angles returns the least and the greatest angle of a triangle in degrees.
func angles(p [3]geom.Point) (least, most float64) {
	least = math.Inf(1)
	for k := range 3 {
		u, v := p[(k+1)%3].Sub(p[k]), p[(k+2)%3].Sub(p[k])
		a := math.Atan2(u.Cross(v), u.Dot(v)) * 180 / math.Pi
		least, most = math.Min(least, a), math.Max(most, a)
	}
	return least, most
}

// Under returns the triangles with an angle under the given one, in degrees.
func (m *Mesh) Under(angle float64) []int {
	var list []int
	for i, t := range m.Tris {
		least, _ := angles([3]geom.Point{m.Nodes[t[0]], m.Nodes[t[1]], m.Nodes[t[2]]})
		if least < angle {
			list = append(list, i)
		}
	}
	return list
}
