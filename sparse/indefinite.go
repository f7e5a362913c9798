package sparse

import (
	"math"

	"sinew/internal/kernel"
)

// indefinite is what a Factor keeps for a matrix that need not be positive
// definite.
type indefinite struct {
	sign     []float64       // ±1 for each pivot of a front without exchanges
	signed   []kernel.Signed // of each worker
	pivoted  []*pivoted      // of each front: its pivots were exchanged, or nil
	pivoting []pivoting      // of each worker
	tiny     float64         // what counts as no pivot
	ones     []float64       // diagonal of the pivoted fronts' L
	widest   int             // most candidates and rows of a pivoted front
	scale    []float64       // of each unknown, powers of two; nil: all one
	scaled   []float64       // values of the scaled matrix
	share    func(*pivoting) // loop of the trunk over the team
	alone    func(*pivoting) // loop of a branch
}

// FactorizeIndefinite factorises a symmetric matrix that need not be positive
// definite (a saddle point, a shifted stiffness):
//
//	P·S·A·S·Pᵀ = L·D·Lᵀ
//
// S scales rows that differ much in size, by powers of two. A front whose pivots
// are stable in the order of the analysis keeps that order, D = ±1; otherwise
// pivots are exchanged within the front, in blocks of one and two, and what is
// stable nowhere in it is passed on to its parent (threshold pivoting: I. S.
// Duff, J. K. Reid, 1983), so that no entry of L exceeds 100. Memory beyond
// Stats is taken for such fronts alone. Only a column of zeros, to rounding,
// keeps no pivot: it is replaced by the rounding, and Perturbed counts it.
func (y *Symbolic) FactorizeIndefinite(a *Symmetric) (*Factor, error) {
	f := y.newFactor()
	f.sign = make([]float64, y.n)
	f.signed = make([]kernel.Signed, y.workers)
	f.pivoted = make([]*pivoted, y.fronts())
	f.pivoting = make([]pivoting, y.workers)
	f.alone = func(w *pivoting) {
		for i := range w.blocks() {
			w.update(i)
		}
	}
	f.share = func(w *pivoting) {
		f.phase = exchangePhase
		f.team.loop(w.blocks())
	}
	if err := f.Refactorize(a); err != nil {
		return nil, err
	}
	return f, nil
}

// Inertia returns the numbers of positive and negative eigenvalues, as D tells
// (Sylvester's law). The pivots that Perturbed counts are in neither: as many
// eigenvalues are zero to rounding.
func (f *Factor) Inertia() (positive, negative int) {
	for s, q := range f.pivoted {
		if q != nil {
			negative += q.negative
			continue
		}
		for _, v := range f.sign[f.s.first[s]:f.s.first[s+1]] {
			if v < 0 {
				negative++
			}
		}
	}
	return f.s.n - negative - f.Perturbed(), negative
}

// Perturbed returns how many pivots of an indefinite matrix were replaced: how
// often it is singular to rounding.
func (f *Factor) Perturbed() int {
	count := 0
	for _, q := range f.pivoted {
		if q != nil {
			count += q.replaced
		}
	}
	return count
}

const (
	// likeRows is how far the largest entries of the rows may differ before the
	// matrix is scaled: far enough for the units of displacements and turns.
	likeRows = 0x1p10
	// scaleSweeps is the most rounds of scaling; each halves the differences in
	// the exponent.
	scaleSweeps = 6
)

// prepareIndefinite scales the matrix where its rows differ much in size (D.
// Ruiz, Rutherford Appleton Laboratory report RAL-TR-2001-034, 2001).
func (f *Factor) prepareIndefinite(a *Symmetric) {
	f.scale = nil
	f.given = a.Val
	most := make([]float64, a.N)
	for range scaleSweeps {
		clear(most)
		a.rowMaxima(most, f.given)
		low, high := math.Inf(1), 0.0
		for _, v := range most {
			if v > 0 {
				low, high = math.Min(low, v), math.Max(high, v)
			}
		}
		if high <= likeRows*low || math.IsInf(high, 0) {
			break
		}
		if f.scale == nil {
			f.scale = make([]float64, a.N)
			for i := range f.scale {
				f.scale[i] = 1
			}
			f.scaled = resize(f.scaled, len(a.Val))
		}
		for i, v := range most {
			if v > 0 && !math.IsInf(v, 0) {
				_, e := math.Frexp(v)
				f.scale[i] = math.Ldexp(f.scale[i], -e/2)
			}
		}
		a.scaleTo(f.scaled, f.scale)
		f.given = f.scaled
	}
	f.tiny = noPivot * largest(f.given)
	clear(f.pivoted)
}

// rowMaxima raises most to the largest magnitude in each row of the matrix with
// the values given.
func (a *Symmetric) rowMaxima(most, val []float64) {
	for j := range a.N {
		mj := most[j]
		for p := a.ColPtr[j]; p < a.ColPtr[j+1]; p++ {
			v := math.Abs(val[p])
			if v > mj {
				mj = v
			}
			if i := a.Row[p]; v > most[i] {
				most[i] = v
			}
		}
		most[j] = max(mj, most[j])
	}
}

// scaleTo writes the values scaled on both sides.
func (a *Symmetric) scaleTo(val, scale []float64) {
	for j := range a.N {
		for p := a.ColPtr[j]; p < a.ColPtr[j+1]; p++ {
			val[p] = a.Val[p] * scale[a.Row[p]] * scale[j]
		}
	}
}

// finishIndefinite makes the work space of Solve fit the pivoted fronts.
func (f *Factor) finishIndefinite() {
	f.widest = 0
	for s, q := range f.pivoted {
		if q != nil {
			f.widest = max(f.widest, len(q.cols)+f.s.below(int32(s)))
		}
	}
	for len(f.ones) < f.widest {
		f.ones = append(f.ones, 1)
	}
}

// grows reports whether an entry below the diagonal of a panel of L, m rows and n
// columns, exceeds what the threshold allows.
func grows(m, n int, a []float64, ld int, inv []float64) bool {
	for c := range n {
		if tall(a[c*ld+c+1:c*ld+m], inv[c]) {
			return true
		}
	}
	return false
}

// tall reports whether an entry of a column of L exceeds its diagonal, whose
// reciprocal is given, by more than the threshold allows.
func tall(col []float64, inv float64) bool {
	limit := 1 / (threshold * inv)
	for _, v := range col {
		if v > limit || v < -limit {
			return true
		}
	}
	return false
}

// panel factorises a panel whose first pivot has number at.
func (f *Factor) panel(worker, m, n int, a []float64, lda, at int) (int, float64) {
	if f.sign == nil {
		return f.kernel.Panel(m, n, a, lda, f.inv[at:])
	}
	done, pivot := f.kernel.PanelSigned(m, n, a, lda, f.inv[at:], f.sign[at:], f.tiny, &f.signed[worker])
	if done == n && grows(m, n, a, lda, f.inv[at:]) {
		return 0, pivot
	}
	return done, pivot
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
