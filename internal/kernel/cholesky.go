package kernel

import "math"

// Panel factorises the first n columns of a symmetric matrix of which a holds
// the first n columns, m rows each (lower triangle): L of the leading n by n
// block and, below it, the rows of L that go with them.
//
//	A[0:n, 0:n] = L·Lᵀ,  A[n:m, 0:n] := A[n:m, 0:n]·L⁻ᵀ
//
// inv receives the reciprocals of the diagonal of L. It returns n, or the
// column whose pivot was not above zero, with that pivot; the columns from
// there on are then spoiled.
func (kn *Kernel) Panel(m, n int, a []float64, lda int, inv []float64) (int, float64) {
	if n <= 0 {
		return n, 0
	}
	require(m, n, a, lda)
	for j := 0; j < n; j += Width {
		w := min(Width, n-j)
		if j > 0 {
			kn.strip[w](m-j, j, &a[j], lda, &a[j], lda, &a[j+j*lda], lda)
		}
		if bad, pivot := corner(w, a[j+j*lda:], lda, inv[j:j+w]); bad < w {
			return j + bad, pivot
		}
		if m > j+w {
			kn.solve[w](m-j-w, &a[j+w+j*lda], lda, &a[j+j*lda], lda, &inv[j])
		}
	}
	return n, 0
}

// corner factorises a block of at most Width columns in place.
func corner(n int, a []float64, lda int, inv []float64) (int, float64) {
	for j := range n {
		d := a[j+j*lda]
		if !(d > 0) || d > math.MaxFloat64 {
			return j, d
		}
		root := math.Sqrt(d)
		r := 1 / root
		a[j+j*lda], inv[j] = root, r
		col := a[j*lda : j*lda+n]
		for i := j + 1; i < n; i++ {
			col[i] *= r
		}
		for c := j + 1; c < n; c++ {
			to, f := a[c*lda:c*lda+n], col[c]
			for i := c; i < n; i++ {
				to[i] = math.FMA(-f, col[i], to[i])
			}
		}
	}
	return n, 0
}
