package kernel

import "math"

// SubColumn subtracts a product with one column:
//
//	y[0:m] -= A[0:m, 0:n] · x[0:n]
//
// A is read once, Width columns at a time; an entry of y does not depend on
// which other rows are given.
func (kn *Kernel) SubColumn(m, n int, a []float64, lda int, x, y []float64) {
	if m <= 0 || n <= 0 {
		return
	}
	require(m, n, a, lda)
	_, _ = x[n-1], y[m-1]
	for j := 0; j < n; j += Width {
		kn.strip[1](m, min(Width, n-j), &a[j*lda], lda, &x[j], 1, &y[0], m)
	}
}

// SubColumnT subtracts a product of a transposed block with one column:
//
//	x[0:n] -= A[0:m, 0:n]ᵀ · y[0:m]
//
// An entry of x does not depend on which other columns are given.
func (kn *Kernel) SubColumnT(m, n int, a []float64, lda int, y, x []float64) {
	if m <= 0 || n <= 0 {
		return
	}
	require(m, n, a, lda)
	_, _ = x[n-1], y[m-1]
	for j := 0; j < n; j += Width {
		kn.dots[min(Width, n-j)](m, &a[j*lda], lda, &y[0], &x[j])
	}
}

// SolveColumn replaces x by L⁻¹·x, L and inv as for Solve.
func (kn *Kernel) SolveColumn(n int, l []float64, ldl int, inv, x []float64) {
	for j := 0; j < n; j += Width {
		w := min(Width, n-j)
		for c := j; c < j+w; c++ {
			x[c] *= inv[c]
			f, col := x[c], l[c*ldl:]
			for i := c + 1; i < j+w; i++ {
				x[i] = math.FMA(-f, col[i], x[i])
			}
		}
		if j+w < n {
			kn.SubColumn(n-j-w, w, l[j+w+j*ldl:], ldl, x[j:], x[j+w:])
		}
	}
}

// SolveColumnT replaces x by L⁻ᵀ·x.
func (kn *Kernel) SolveColumnT(n int, l []float64, ldl int, inv, x []float64) {
	for j := (n - 1) / Width * Width; j >= 0; j -= Width {
		w := min(Width, n-j)
		if j+w < n {
			kn.SubColumnT(n-j-w, w, l[j+w+j*ldl:], ldl, x[j+w:], x[j:])
		}
		for c := j + w - 1; c >= j; c-- {
			f, col := x[c], l[c*ldl:]
			for i := c + 1; i < j+w; i++ {
				f = math.FMA(-col[i], x[i], f)
			}
			x[c] = f * inv[c]
		}
	}
}
