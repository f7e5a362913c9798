package stress

import (
	"fmt"
	"math"

	"sinew/material"
	"sinew/part"
)

// PointsPerTri is the number of integration points of an element: index
// PointsPerTri*tri+k, k = 0..2 at area coordinates (2/3,1/6,1/6) and its
// cyclic permutations, weight 1/3 each.
const PointsPerTri = 3

// Sheet is what the plate is made of at each integration point. A slice of
// length one holds everywhere.
type Sheet struct {
	A    []material.Stiffness // thickness-integrated membrane stiffness, N/mm
	Mass []float64            // mass per area, g/mm²; nil means none
	// Thermal is the force per width and kelvin of a fully held plate,
	// sum of Q·alpha·h: 11, 22, 12. Nil means none.
	Thermal [][3]float64
}

// Isotropic returns the sheet of a material that is alike in all directions:
// modulus e (MPa), Poisson's ratio nu, thickness t (mm).
func Isotropic(e, nu, t float64) Sheet {
	q := material.Isotropic(e, nu, 0, 0).Reduced().Turn(0)
	return Sheet{A: []material.Stiffness{material.Stiffness{}.Add(q, t)}}
}

// WithThermal returns the sheet with an isotropic expansion alpha (1/K) at
// every point and a density (g/mm³) over thickness t (mm). It serves plates
// of one material; a laminate fills the fields itself.
func (s Sheet) WithThermal(alpha, density, t float64) Sheet {
	s.Thermal = make([][3]float64, len(s.A))
	for i, a := range s.A {
		s.Thermal[i] = a.Mul([3]float64{alpha, alpha, 0})
	}
	s.Mass = []float64{density * t}
	return s
}

// StiffnessAt returns the stiffness at an integration point.
func (s *Sheet) StiffnessAt(point int) material.Stiffness {
	if len(s.A) == 1 {
		return s.A[0]
	}
	return s.A[point]
}

func (s *Sheet) massAt(point int) float64 {
	switch len(s.Mass) {
	case 0:
		return 0
	case 1:
		return s.Mass[0]
	}
	return s.Mass[point]
}

func (s *Sheet) thermalAt(point int) [3]float64 {
	switch len(s.Thermal) {
	case 0:
		return [3]float64{}
	case 1:
		return s.Thermal[0]
	}
	return s.Thermal[point]
}

// Validate reports the first point whose stiffness would give back more
// energy than was put in, or a slice of the wrong length, for a mesh with so
// many integration points.
func (s *Sheet) Validate(points int) error {
	for _, l := range []struct {
		name string
		n    int
		must bool
	}{{"stiffnesses", len(s.A), true}, {"masses", len(s.Mass), false}, {"thermal forces", len(s.Thermal), false}} {
		if l.n != points && l.n != 1 && (l.must || l.n != 0) {
			return fmt.Errorf("sheet has %d %s: give one, or one for each of the %d integration points", l.n, l.name, points)
		}
	}
	for i, a := range s.A {
		if _, ok := a.Inverse(); !ok || math.IsInf(a[0]+a[3]+a[5], 0) {
			return fmt.Errorf("stiffness at integration point %d is not positive definite: %g", i, a)
		}
	}
	for i, m := range s.Mass {
		if !(m >= 0) || math.IsInf(m, 0) {
			return fmt.Errorf("mass per area at integration point %d is %g g/mm²: it must be finite and not negative", i, m)
		}
	}
	return nil
}

// CaseSolution is the answer for one load case, factor included.
type CaseSolution struct {
	U         []float64    // displacement, 2*node and 2*node+1, mm
	Strain    [][3]float64 // at the integration points: 11, 22, engineering 12, part axes; mechanical + thermal
	Heat      part.Heat    // change of temperature
	Reactions [][3]float64 // per support of the part: Fx, Fy (N), moment about the feature's centre (N mm)
	Applied   [3]float64   // resultant of the loads: Fx, Fy (N), moment about the origin (N mm)
	Energy    float64      // strain energy, N mm; of a layered sheet without what the layers lock up among themselves
	Stiffness float64      // |F| over the displacement along the loads, N/mm: sizes of all loads squared over their work; 0 without loads, or where weight or temperature act too
	Work      float64      // of the case's loads along their displacements, N mm
	Imbalance float64      // |applied + reactions| over the sum of nodal force sizes; moments over half the diagonal of the part
	Residual  float64      // |K u - f| / (|K||u| + |f|), infinity norm
	// GripMove is the displacement of each Grip load along its force, in the order of the case's loads (0 for others), mm.
	GripMove []float64
}

// Solution holds the answers for all cases of the part.
type Solution struct {
	Cases []CaseSolution
}
