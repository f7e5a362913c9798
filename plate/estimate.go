package plate

import (
	"math"

	"sinew/stress"
)

// Estimate compares the strains of the elements with those recovered at the
// nodes, stretching, bending and shear together, in the energy norm:
//
//	error² = integral of (e* - e)·C·(e* - e)
//
// Zienkiewicz & Zhu, Int. J. Numer. Methods Eng. 33 (1992) 1365.
func (s *System) Estimate(c *CaseSolution, section *Section) stress.Estimate {
	star := s.smooth(c)
	est := stress.Estimate{Elements: make([]float64, len(s.elements.mesh.Tris))}
	sum, norm := 0.0, 0.0
	for p, w := range s.elements.weight {
		l := section.at(p)
		var d [strains]float64
		for k := range d {
			d[k] = star[p][k] - c.Strain[p][k]
		}
		est.Elements[p/PointsPerTri] += w * product(&l, &d)
		norm += w * product(&l, &star[p])
	}
	for t, e := range est.Elements {
		sum += e
		est.Elements[t] = math.Sqrt(e)
	}
	est.Norm = math.Sqrt(norm)
	if norm > 0 {
		est.Relative = math.Sqrt(sum / norm)
	}
	return est
}

func product(l *law, e *[strains]float64) float64 {
	r, sum := l.resultant(e), 0.0
	for k := range r {
		sum += r[k] * e[k]
	}
	return sum
}

// smooth returns the strains recovered at the nodes, back at the integration
// points.
func (s *System) smooth(c *CaseSolution) [][strains]float64 {
	out := make([][strains]float64, len(c.Strain))
	part := make([][3]float64, len(c.Strain))
	for from := 0; from < strains; from += 3 {
		n := min(3, strains-from)
		for p := range part {
			part[p] = [3]float64{}
			copy(part[p][:n], c.Strain[p][from:])
		}
		nodal := s.Nodal(part)
		for t, tri := range s.elements.mesh.Tris {
			for p := range PointsPerTri {
				for i, node := range tri {
					for k := range n {
						out[t*PointsPerTri+p][from+k] += constants.points[p].n[i] * nodal[node][k]
					}
				}
			}
		}
	}
	return out
}
