// Package sparse solves large sparse symmetric systems.
//
//	A·x = b,  A·x = λ·M·x
//
// [NewPattern] makes the matrix of a mesh; [Analyze] orders its unknowns by
// minimum degree or nested dissection and plans the factorisation; [Symbolic.Factorize] computes
// L·Lᵀ by fronts on dense kernels; [Factor.Refactorize] does so again for other
// values in the same memory; [Factor.Solve] takes any number of right-hand
// sides, [Factor.SolveRefined] improves one to rounding and reports the backward
// error; [Symbolic.FactorizeIndefinite] does saddle points and shifted matrices;
// [Factor.Condition] estimates how much errors grow. [Eigen] finds the
// least eigenvalues, [ConjugateGradient] solves what is too large to factorise,
// [ReadMarket] and [Symmetric.WriteMarket] exchange matrices.
//
// Units are the caller's. Values are doubles; the triangle stored is the lower
// one with the diagonal.
//
// Guaranteed: the same input gives the same bits for any number of workers and
// on any of the dense kernels; a matrix that is not positive definite gives a
// [NotPositiveDefiniteError] with the unknown at which that showed; Cancel stops
// the work. Not guaranteed: that a matrix singular but for rounding is noticed
// (see Condition), and that a factor serves several goroutines at once.
//
// Cost for n unknowns of a plane mesh: memory about n·log n, factorisation
// n^1.5. Methods and sources: docs/method/sparse.md.
package sparse
