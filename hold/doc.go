// Package hold is how a part on a mesh is held and loaded, the same for a part
// that stays in its plane and for a plate that bends: features as element
// sides, supports and loads as equations and nodal forces, what is left to
// solve for, and the matrix over it.
//
// # Method
//
// A node has InPlane displacements (u, v) or Bending ones (w and the tilts of
// the normal besides). What holds the part is a list of equations between the
// displacements of one node and motions that many nodes share, such as the turn
// of a pinned hole. Each node takes as many of its equations as are independent
// for its displacements, what they leave restricts the shared motions; so all
// displacements are d = C·x + shift with unknowns x, and what remains is a
// symmetric positive definite system Cᵀ·K·C. Elastic spokes are springs between
// nodes and shared motions. Cases that are held alike form a Set: one matrix,
// one factorisation.
//
// # Conventions
//
// mm, N, MPa, g, s, K, rad; z up. Displacements are numbered count·node + U…TiltY,
// shared motions follow after all nodes as one displacement each. Tilts are
// displacements of the point at z = 1 against that at z = 0: TiltX turns about
// y, TiltY about -x. Reactions are what the supports do to the part.
//
// # Guarantees
//
// Results are the same bits for any number of workers. Motions of the whole
// part that nothing stops are a *FreeMotionError that names them; supports that
// contradict each other are an error with the place.
package hold
