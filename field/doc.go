// Package field finds where fibre should run: for each family of strands a
// phase, a scalar function whose level lines are the strands, fitted to the
// stress of all load cases within what the printer can lay.
//
// # Method
//
// A steered family has one phase φ on six-node triangles. Its strands are the
// level lines φ = integer + 1/2, so that strands never cross, and |∇φ| is the
// number of strands per mm. Along stretches of boundary that no strand may cut
// φ is held to one constant each (tied); where load enters at an edge it is
// free. φ is found by weighted least squares of ∇φ against the direction of
// the dominant principal stress with a density in proportion to it, and is
// fitted anew to the stress of the laminate that it makes for a few rounds. A
// harmonic phase gives each family its topology and the sign of its gradient;
// several such first guesses are tried and the best is kept. At the end the
// phases of tied boundaries are brought to whole numbers, so that each band
// between two of them holds whole beads.
//
// Straight families run at an angle, loops and rims at equal distances from a
// hole, from the hull of two holes, or from the outline.
//
// # Conventions
//
// mm, N, MPa, rad. Strand direction is ∇φ turned by +90°. Fibre length of a
// layer is the integral of |∇φ|.
//
// # Guarantees
//
// The same input gives the same bits for any number of workers. A tow length
// that cannot pass the narrowest section is made smaller and reported, never
// over-packed.
//
// # Limits
//
// One phase cannot have a half-integer singularity or a spiral; where its
// gradient vanishes a pocket is left. What one family cannot carry (shear,
// bearing, a second direction of load) needs further families.
//
// Cost: a round is one factorisation of the plate and one of the phase.
package field
