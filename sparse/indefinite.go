package sparse

import (
	"math"

	"sinew/internal/kernel"
)

// leastPivot is the least pivot of an indefinite factorisation, relative to the
// largest entry: half the digits, which refinement gives back.
const leastPivot = 0x1p-26

// FactorizeIndefinite factorises a symmetric matrix that need not be positive
// definite (a saddle point, a shifted stiffness):
//
//	P·A·Pᵀ = L·S·Lᵀ, S = diag(±1)
//
// Pivots keep the order of the analysis; one too small is replaced by the least
// allowed, with its sign, as O. Schenk and K. Gärtner do (Electron. Trans. Numer.
// Anal. 23 (2006) 158–179). Solutions then need SolveRefined, whose backward
// error tells whether that was enough; Inertia and Perturbed report what was
// met.
func (y *Symbolic) FactorizeIndefinite(a *Symmetric) (*Factor, error) {
	f := y.newFactor()
	f.sign = make([]float64, y.n)
	f.signed = make([]kernel.Signed, y.workers)
	if err := f.Refactorize(a); err != nil {
		return nil, err
	}
	return f, nil
}

// Inertia returns the numbers of positive and negative eigenvalues, as the signs
// of the pivots tell (Sylvester's law).
func (f *Factor) Inertia() (positive, negative int) {
	for _, s := range f.sign {
		if s < 0 {
			negative++
		}
	}
	return f.s.n - negative, negative
}

// Perturbed returns how many pivots of an indefinite matrix were replaced.
func (f *Factor) Perturbed() int {
	if f.sign == nil {
		return 0
	}
	count := 0
	limit := 1 / math.Sqrt(f.tiny)
	for _, r := range f.inv {
		if r >= limit {
			count++
		}
	}
	return count
}

// panel factorises a panel whose first pivot has number at.
func (f *Factor) panel(worker, m, n int, a []float64, lda, at int) (int, float64) {
	if f.sign == nil {
		return f.kernel.Panel(m, n, a, lda, f.inv[at:])
	}
	return f.kernel.PanelSigned(m, n, a, lda, f.inv[at:], f.sign[at:], f.tiny, &f.signed[worker])
}

// sub subtracts the product of a panel, whose first pivot has number at, from
// the columns j0..j1.
func (f *Factor) sub(worker, m, k, j0, j1 int, a []float64, lda int, c []float64, ldc, at int) {
	if f.sign == nil {
		f.kernel.SubLower(m, k, j0, j1, a, lda, c, ldc)
		return
	}
	f.kernel.SubLowerSigned(m, k, j0, j1, a, lda, c, ldc, f.sign[at:], &f.signed[worker])
}

// turn multiplies the right-hand sides of the pivots by their signs.
func (f *Factor) turn(first, pivots, from, width int) {
	v := &f.solver
	for i := first; i < first+pivots; i++ {
		if f.sign[i] < 0 {
			row := v.x[i*v.width+from:][:width]
			for c := range row {
				row[c] = -row[c]
			}
		}
	}
}
