package kernel

import "math"

// SignedDepth is the most columns that the signed loops take at a time.
const SignedDepth = 96

// Signed is the scratch of the signed loops.
type Signed [Width * SignedDepth]float64

// signedStrip is a strip with the columns of B times their signs.
func (kn *Kernel) signedStrip(w, m, k int, a *float64, lda int, b []float64, ldb int, c *float64, ldc int, sign []float64, t *Signed) {
	for p, s := range sign[:k] {
		for r, v := range b[p*ldb : p*ldb+w] {
			t[r+p*Width] = v * s
		}
	}
	kn.strip[w](m, k, a, lda, &t[0], Width, c, ldc)
}

// signedSolve replaces X by X·L⁻ᵀ·S for one strip.
func (kn *Kernel) signedSolve(w, m int, x *float64, ldx int, l []float64, ldl int, inv, sign []float64, t *Signed) {
	for c := range w {
		for r := c; r < w; r++ {
			t[r+c*Width] = l[r+c*ldl] * sign[c]
		}
		t[Width*Width+c] = inv[c] * sign[c]
	}
	kn.solve[w](m, x, ldx, &t[0], Width, &t[Width*Width])
}

// PanelSigned is Panel for a matrix that need not be positive definite, n at
// most SignedDepth:
//
//	A[0:n, 0:n] = L·S·Lᵀ, S = diag(sign)
//
// It returns n, or the column whose pivot was below tiny, zero or not finite,
// with that pivot; the columns from there on are then spoiled.
func (kn *Kernel) PanelSigned(m, n int, a []float64, lda int, inv, sign []float64, tiny float64, t *Signed) (int, float64) {
	if n <= 0 {
		return n, 0
	}
	require(m, n, a, lda)
	for j := 0; j < n; j += Width {
		w := min(Width, n-j)
		if j > 0 {
			kn.signedStrip(w, m-j, j, &a[j], lda, a[j:], lda, &a[j+j*lda], lda, sign, t)
		}
		if bad, pivot := signedCorner(w, a[j+j*lda:], lda, inv[j:j+w], sign[j:j+w], tiny); bad < w {
			return j + bad, pivot
		}
		if m > j+w {
			kn.signedSolve(w, m-j-w, &a[j+w+j*lda], lda, a[j+j*lda:], lda, inv[j:], sign[j:], t)
		}
	}
	return n, 0
}

// signedCorner is corner with signs.
func signedCorner(n int, a []float64, lda int, inv, sign []float64, tiny float64) (int, float64) {
	for j := range n {
		d := a[j+j*lda]
		if !(math.Abs(d) >= tiny) || d == 0 || math.IsInf(d, 0) {
			return j, d
		}
		s := math.Copysign(1, d)
		root := math.Sqrt(math.Abs(d))
		r := 1 / root
		a[j+j*lda], inv[j], sign[j] = root, r, s
		col := a[j*lda : j*lda+n]
		for i := j + 1; i < n; i++ {
			col[i] *= r * s
		}
		for c := j + 1; c < n; c++ {
			to, f := a[c*lda:c*lda+n], col[c]*s
			for i := c; i < n; i++ {
				to[i] = math.FMA(-f, col[i], to[i])
			}
		}
	}
	return n, 0
}

// SubLowerSigned is SubLower with signs, k at most SignedDepth:
//
//	C[j:m, j] -= A[j:m, 0:k] · S · A[j, 0:k]ᵀ
func (kn *Kernel) SubLowerSigned(m, k, j0, j1 int, a []float64, lda int, c []float64, ldc int, sign []float64, t *Signed) {
	if j0 >= j1 || k <= 0 {
		return
	}
	require(m, k, a, lda)
	require(m, j1, c, ldc)
	for j := j0; j < j1; j += Width {
		kn.signedStrip(min(Width, j1-j), m-j, k, &a[j], lda, a[j:], lda, &c[j+j*ldc], ldc, sign, t)
	}
}

// SolveSigned replaces X by X·L⁻ᵀ·S, n at most SignedDepth.
func (kn *Kernel) SolveSigned(m, n int, x []float64, ldx int, l []float64, ldl int, inv, sign []float64, t *Signed) {
	if m <= 0 || n <= 0 {
		return
	}
	require(m, n, x, ldx)
	require(n, n, l, ldl)
	for j := 0; j < n; j += Width {
		w := min(Width, n-j)
		if j > 0 {
			kn.signedStrip(w, m, j, &x[0], ldx, l[j:], ldl, &x[j*ldx], ldx, sign, t)
		}
		kn.signedSolve(w, m, &x[j*ldx], ldx, l[j+j*ldl:], ldl, inv[j:], sign[j:], t)
	}
}
