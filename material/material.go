// Package material knows what the bead is made of and worth: composition,
// micromechanics, laminates, failure criteria.
//
// Moduli and stresses are MPa, lengths mm, densities g/mm³; 1 is the fibre
// direction, 2 across it in the layer, engineering shear strain.
package material

// Lamina is the elastic behaviour of one layer in its own axes.
type Lamina struct {
	E1, E2, G12, Nu12 float64
	G13, G23, Nu23    float64
	Alpha1, Alpha2    float64 // 1/K
	Beta1, Beta2      float64 // swelling strain per mass share of moisture
	Density           float64 // g/mm³
}

// Strength holds the strengths of a layer in its own axes, all positive, MPa.
type Strength struct {
	Xt, Xc, Yt, Yc, S float64
	Sis, Zt           float64 // interlaminar shear, through-thickness tension
}

// Reduced is the plane-stress stiffness Q of a layer in its own axes, MPa.
type Reduced struct{ Q11, Q12, Q22, Q66 float64 }

// Stiffness is a plane-stress stiffness in part axes in the order
// 11, 12, 16, 22, 26, 66: MPa for a layer, N/mm when summed over a thickness.
type Stiffness [6]float64
