// Package material knows what the bead is made of and worth: composition,
// micromechanics, laminates, failure criteria.
//
// # What it answers
//
//   - Which shares of fibre, resin, plastic and void a tow, a plastic and a
//     section give, what they weigh, how much plastic to feed; and which spacing
//     gives a wanted share, modulus or strength ([Bead], [Law]).
//   - What such a bead is worth: elastic constants, expansion, conductivity,
//     strengths ([Method], [Estimate]); a stated law ([Explicit]) or measured
//     figures ([MeasuredBead]) may take the estimate's place, knock-downs multiply
//     it, and [Law.Provenance] says of each figure which it is.
//   - What a stack of layers does under force, moment, heat and moisture
//     ([Laminate]), where and how it fails first ([Criterion], [Failure]), and how
//     it goes on to collapse ([Laminate.Collapse]).
//   - What holes and pins cost by the trade's formulas ([PointStress],
//     [AverageStress], [Lug], [ShortBeam]).
//   - What metals and plain plastics would do instead ([Metal], [Plastic]).
//
// # Method
//
// The bead is made in two steps: filaments in their resin are the tow, the tow
// in the plastic is the bead; each step by a method named in [Method], with the
// bounds of [HashinRosen] beside it. [Law] puts the result into a table of
// cubics over the number of strands per mm, rho, so that the stiffness and its
// exact derivative cost some 20 ns in the inner loops of other rooms. Laminates
// follow classical theory with first-order shear. Equations, sources and limits
// stand in docs/method/material.md, laminate.md and failure.md; every comparison
// with the published record in docs/checks.md.
//
// # Units and signs
//
// Moduli and stresses are MPa, lengths mm, densities g/mm³, temperatures °C,
// conductivity W/(m·K), angles rad counter-clockwise from x. 1 is the fibre
// direction, 2 across it in the layer, 3 through the thickness; order 11, 22, 12
// with engineering shear strain. Tension is positive, strengths are positive
// numbers. Layers are listed bottom first; z points up.
//
// # Guarantees
//
// Constants that would make a stiffness non-positive are refused with the
// inequality named ([Lamina.Validate]). [Law] and [Ply] and [Laminate] never
// change after they are made. [Law.Reduced], [Law.Indices] and
// [Evaluation.Evaluate] allocate nothing.
//
// # Limits
//
// Linear elasticity up to failure; perfect bond between layers; no creep,
// rate, curved fibre inside a layer or residual stress of printing. Strengths
// of estimated beads rest on assumed factors ([Estimate]) until coupons
// replace them: they rank designs, they do not certify parts.
package material
