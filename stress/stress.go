// Package stress analyses plates by finite elements: six-node triangles, any
// orthotropic stack per integration point, all load cases at once.
package stress

import (
	"sinew/material"
)

// PointsPerTri is the number of integration points of an element: index
// PointsPerTri*tri+k, k = 0..2 at area coordinates (2/3,1/6,1/6) and its
// cyclic permutations, weight 1/3 each.
const PointsPerTri = 3

// Sheet is what the plate is made of at each integration point. A slice of
// length one holds everywhere.
type Sheet struct {
	A    []material.Stiffness // thickness-integrated membrane stiffness, N/mm
	Mass []float64            // mass per area, g/mm²
	// Thermal is the force per width and kelvin of a fully held plate,
	// sum of Q·alpha·h: 11, 22, 12. Nil means none.
	Thermal [][3]float64
}

// CaseSolution is the answer for one load case, factor included.
type CaseSolution struct {
	U         []float64    // displacement, 2*node and 2*node+1, mm
	Strain    [][3]float64 // at the integration points: 11, 22, engineering 12, part axes; mechanical + thermal
	DeltaT    float64
	Reactions [][3]float64 // per support of the part: Fx, Fy (N), moment about the feature's centre (N mm)
	Energy    float64      // strain energy, N mm
	Imbalance float64      // |applied + reactions| / |applied|
	Residual  float64      // |K u - f| / (|K||u| + |f|), infinity norm
	// GripMove is the displacement of each Grip load along its force, in the order of the case's loads (0 for others), mm.
	GripMove []float64
}

// Solution holds the answers for all cases of the part.
type Solution struct {
	Cases []CaseSolution
}
