// Package plate analyses parts that bend: laminated plates of any outline, by
// six-node triangles, with what their layers couple of stretching and bending.
//
// It answers: how far does a printed plate move, tilt and warp under forces in
// and across its plane, pressure, temperature, its own weight; what do the
// supports take; at which load does it buckle, at which frequencies does it
// swing?
//
// # Method
//
// Reissner–Mindlin theory: u(z) = u + z·tilt, a deflection w, and transverse
// shear strains w,x + tilt. Membrane, coupling and bending stiffness A, B, D
// and the transverse shear stiffness are given at each integration point
// (Section), about a reference plane z = 0 that may lie anywhere; so layers may
// end inside the part. The element is the six-node triangle with a bubble of
// tilt and tied shear strains of Bathe, Brezzi & Cho, Comput. Struct. 32 (1989)
// 797, which is proven free of locking: Brezzi, Fortin & Stenberg, Math. Models
// Methods Appl. Sci. 1 (1991) 125. Supports and loads are those of package
// hold; one factorisation (package sparse) serves all cases that are held alike.
//
// # Conventions
//
// mm, N, MPa, g, s, K, rad; z up. Tilts are displacements of the point at z = 1
// against that at z = 0: tiltX turns about y, tiltY about -x. Strains of the
// reference plane 11, 22, 12, curvatures alike (tiltX,x; tiltY,y; tiltX,y +
// tiltY,x), transverse shear xz, yz. Resultants are per width. Integration
// points are numbered PointsPerTri·triangle + k.
//
// # Guarantees
//
// Applied loads, reactions, residual and balance come with every case. Results
// are the same bits for any number of workers. A part that is free to move is
// an error that names the motion.
//
// # Limits
//
// Plane sections stay plane over the whole thickness: stacks whose layers
// differ by orders of magnitude in shear stiffness bend more than this says. A
// pin's clearance, contact and friction are not followed.
package plate
