// Package material knows what the bead is made of and worth: composition,
// micromechanics, laminates, failure criteria.
//
// Moduli and stresses are MPa, lengths mm, densities g/mm³; 1 is the fibre
// direction, 2 across it in the layer, engineering shear strain.
package material
