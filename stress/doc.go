// Package stress analyses plates in their own plane by finite elements: six-node
// triangles, any stiffness per integration point, all load cases at once.
//
// It answers: how far does the part move, how is it strained, what do its
// supports take, and how well are these figures known?
//
// # Method
//
// Plane-stress triangles with six nodes and three integration points (Strang
// & Fix, An Analysis of the Finite Element Method, 1973; Zienkiewicz & Taylor,
// The Finite Element Method). The sheet gives the thickness-integrated
// stiffness A at each integration point, so a laminate whose fibres turn from
// place to place is analysed as it is. Supports and loads are those of package
// hold: what is left is a symmetric positive definite system, factorised once
// for all cases that are held alike (package sparse). Nodal stresses by patch recovery, errors by Zienkiewicz &
// Zhu, Int. J. Numer. Methods Eng. 33 (1992) 1331 and 1365.
//
// # Conventions
//
// mm, N, MPa, g, s, K, rad. Strains and stresses in the order 11, 22, 12 of the
// part's axes with engineering shear; tension positive. Integration points are
// numbered PointsPerTri·triangle + k. Reactions are what the supports do to
// the part.
//
// # Guarantees
//
// Applied loads, reactions, residual and balance come with every case. Results
// are the same bits for any number of workers. A part that is free to move is
// an error that names the motion.
//
// # Limits
//
// Small displacements, linear material, no bending: the stack must be
// symmetric or held flat. Stress at a sharp inner corner is infinite in this
// theory and grows with each refinement.
//
// Cost: assembly is linear in the elements; see package sparse for the rest.
package stress
