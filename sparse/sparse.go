// Package sparse solves large sparse symmetric systems: orderings, supernodal
// factorisation, iterative refinement, eigenvalues.
package sparse

// Symmetric is a symmetric matrix of order N: the lower triangle with its
// diagonal, by columns; the row indices of a column ascend.
type Symmetric struct {
	N      int
	ColPtr []int   // length N+1
	Row    []int32 // length ColPtr[N]
	Val    []float64
}
