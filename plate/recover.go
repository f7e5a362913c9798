package plate

import (
	"math"

	"sinew/geom"
	"sinew/stress"
)

// Resultants returns forces N (11, 22, 12), moments M (11, 22, 12) and shear
// forces Q (xz, yz) per width at the integration points, growth by temperature
// taken off.
func (s *System) Resultants(c *CaseSolution, section *Section) [][8]float64 {
	out := make([][strains]float64, len(c.Strain))
	warm := s.warmth(section, c.Heat)
	for p := range c.Strain {
		l := section.at(p)
		h := warm.resultant(p)
		out[p] = l.resultant(&c.Strain[p])
		for i := range h {
			out[p][i] -= h[i]
		}
	}
	return out
}

// PlaneForces returns the forces per width in the plane, 11, 22, 12, at the
// integration points.
func (s *System) PlaneForces(c *CaseSolution, section *Section) [][3]float64 {
	all := s.Resultants(c, section)
	out := make([][3]float64, len(all))
	for p := range all {
		out[p] = [3]float64(all[p][:3])
	}
	return out
}

// Nodal recovers values at the nodes from values at the integration points by
// patch recovery (Zienkiewicz & Zhu, Int. J. Numer. Methods Eng. 33 (1992)
// 1331).
func (s *System) Nodal(values [][3]float64) [][3]float64 {
	if s.recovery == nil {
		s.recovery = stress.NewRecovery(s.elements.mesh, s.elements.at, PointsPerTri)
	}
	return s.recovery.Nodal(values, s.workers)
}

// Bow says how far a face is from flat.
type Bow struct {
	// Height is the distance of the two parallel planes that hold the deflected
	// face between them, tilted as the least-squares plane; mm.
	Height    float64
	Up, Down  geom.Point // places of the highest and the lowest point
	Curvature [3]float64 // mean over the plan: 11, 22, 12 (engineering), 1/mm
}

// Bow returns the bow of a case's deflection w, rigid motion taken off.
func (s *System) Bow(c *CaseSolution) Bow {
	var a [3][3]float64
	var b [3]float64
	center := s.elements.mesh.Bounds().Middle()
	for p, w := range s.elements.weight {
		at := s.elements.at[p].Sub(center)
		v := [3]float64{1, at.X, at.Y}
		for i := range v {
			for j := range v {
				a[i][j] += w * v[i] * v[j]
			}
			b[i] += w * v[i] * s.deflection(p, c.D)
		}
	}
	plane := solve3(a, b)
	out := Bow{Curvature: s.meanCurvature(c)}
	low, high := math.Inf(1), math.Inf(-1)
	for n, p := range s.elements.mesh.Nodes {
		at := p.Sub(center)
		h := c.D[dofsPerNode*n+dispW] - plane[0] - plane[1]*at.X - plane[2]*at.Y
		if h > high {
			high, out.Up = h, p
		}
		if h < low {
			low, out.Down = h, p
		}
	}
	out.Height = high - low
	return out
}

func (s *System) meanCurvature(c *CaseSolution) (k [3]float64) {
	area := 0.0
	for p, w := range s.elements.weight {
		area += w
		for i := range k {
			k[i] += w * c.Strain[p][3+i]
		}
	}
	return scaled(k, 1/area)
}

// solve3 solves a symmetric positive definite system of three.
func solve3(a [3][3]float64, b [3]float64) (x [3]float64) {
	for c := range 3 {
		for r := c + 1; r < 3; r++ {
			m := a[r][c] / a[c][c]
			for k := c; k < 3; k++ {
				a[r][k] -= m * a[c][k]
			}
			b[r] -= m * b[c]
		}
	}
	for r := 2; r >= 0; r-- {
		x[r] = b[r]
		for k := r + 1; k < 3; k++ {
			x[r] -= a[r][k] * x[k]
		}
		x[r] /= a[r][r]
	}
	return x
}
