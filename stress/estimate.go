package stress

import (
	"math"

	"sinew/mesh"
)

// Estimate says how well a solution is resolved by its mesh.
type Estimate struct {
	// Relative is the estimated error in the energy norm over the norm of the
	// solution: the share by which stresses are off on average.
	Relative float64
	Elements []float64 // the error of each element, energy norm, √(N mm)
	Norm     float64   // energy norm of the solution, √(N mm)
}

// Estimate compares the strains of the elements with those recovered at the
// nodes:
//
//	error² = integral of (e* - e)·A·(e* - e)
//
// Zienkiewicz & Zhu, Int. J. Numer. Methods Eng. 33 (1992) 1365. For six-node
// triangles the recovered field is the better one wherever the stress is
// smooth inside the patches.
func (s *System) Estimate(c *CaseSolution, sheet Sheet) Estimate {
	nodal := s.Nodal(c.Strain)
	est := Estimate{Elements: make([]float64, len(s.elements.mesh.Tris))}
	var shapes [PointsPerTri][nodesPerTri]float64
	for k, b := range pointAt {
		shapes[k] = mesh.Shape(b)
	}
	sum, norm := 0.0, 0.0
	for t, tri := range s.elements.mesh.Tris {
		for k := range PointsPerTri {
			p := t*PointsPerTri + k
			a := sheet.StiffnessAt(p)
			var star, d [3]float64
			for i, n := range tri {
				for j := range star {
					star[j] += shapes[k][i] * nodal[n][j]
				}
			}
			for j := range d {
				d[j] = star[j] - c.Strain[p][j]
			}
			w := s.elements.weight[p]
			est.Elements[t] += w * dot(d, a.Mul(d))
			norm += w * dot(star, a.Mul(star))
		}
		sum += est.Elements[t]
		est.Elements[t] = math.Sqrt(est.Elements[t])
	}
	est.Norm = math.Sqrt(norm)
	if norm > 0 {
		est.Relative = math.Sqrt(sum / norm)
	}
	return est
}
