// Package kernel holds the dense loops under package sparse: products and
// triangular solutions on strips of up to eight columns, and the Cholesky
// factorisation of a tall panel built from them.
//
// Storage is by columns throughout: entry (i, j) of a block a with leading
// dimension lda is a[i+j*lda].
//
// Three implementations exist: AVX-512, AVX2 with fused multiply-add, and
// portable Go. Each computes an entry as the same chain of fused operations in
// the same order, so that all three return the same bits; [Best] picks the
// fastest one the processor runs. Entries above the diagonal of a factor's
// blocks of eight are scratch: they are written and never read.
//
// The assembly is written by the generator in the folder gen.
package kernel

import "unsafe"

// Width is the number of columns of a full strip.
const Width = 8

type (
	// stripFunc subtracts a product from n columns of C, n fixed by the function:
	//	C[0:m, 0:n] -= A[0:m, 0:k] · Bᵀ
	stripFunc func(m, k int, a *float64, lda int, b *float64, ldb int, c *float64, ldc int)
	// solveFunc replaces X[0:m, 0:n] by X·L⁻ᵀ, n fixed by the function.
	solveFunc func(m int, x *float64, ldx int, l *float64, ldl int, inv *float64)
	// dotsFunc subtracts a transposed product from n numbers, n fixed by the
	// function: x[0:n] -= A[0:m, 0:n]ᵀ · w[0:m].
	dotsFunc func(m int, a *float64, lda int, w *float64, x *float64)
)

// Kernel is one implementation of the dense loops.
type Kernel struct {
	name   string
	strip  [Width + 1]stripFunc // by number of columns; B by rows: entry (k, j) at b[j+k*ldb]
	stripN [Width + 1]stripFunc // B by columns: entry (k, j) at b[k+j*ldb]
	solve  [Width + 1]solveFunc
	dots   [Width + 1]dotsFunc
}

// Name tells which implementation this is.
func (k *Kernel) Name() string { return k.name }

// Best returns the fastest implementation that this processor runs.
func Best() *Kernel { return available[0] }

// All returns every implementation that this processor runs, the fastest first.
func All() []*Kernel { return append([]*Kernel(nil), available...) }

// available is set once and never changed.
var available = append(detect(), portable())

// at is the address of element i of the array that starts at p.
func at(p *float64, i int) *float64 {
	return (*float64)(unsafe.Add(unsafe.Pointer(p), 8*i))
}

// require panics when a block of m rows and n columns does not fit its slice.
func require(m, n int, a []float64, lda int) {
	if m > lda || (n > 0 && len(a) < (n-1)*lda+m) {
		panic("kernel: block is larger than its storage")
	}
}

// Sub subtracts a product with a transposed right factor:
//
//	C[0:m, 0:n] -= A[0:m, 0:k] · B[0:n, 0:k]ᵀ
//
// C must not overlap A or B.
func (kn *Kernel) Sub(m, n, k int, a []float64, lda int, b []float64, ldb int, c []float64, ldc int) {
	if m <= 0 || n <= 0 || k <= 0 {
		return
	}
	require(m, k, a, lda)
	require(n, k, b, ldb)
	require(m, n, c, ldc)
	for j := 0; j < n; j += Width {
		w := min(Width, n-j)
		kn.strip[w](m, k, &a[0], lda, &b[j], ldb, &c[j*ldc], ldc)
	}
}

// SubN subtracts a product:
//
//	C[0:m, 0:n] -= A[0:m, 0:k] · B[0:k, 0:n]
//
// C must not overlap A or B.
func (kn *Kernel) SubN(m, n, k int, a []float64, lda int, b []float64, ldb int, c []float64, ldc int) {
	if m <= 0 || n <= 0 || k <= 0 {
		return
	}
	require(m, k, a, lda)
	require(k, n, b, ldb)
	require(m, n, c, ldc)
	for j := 0; j < n; j += Width {
		w := min(Width, n-j)
		kn.stripN[w](m, k, &a[0], lda, &b[j*ldb], ldb, &c[j*ldc], ldc)
	}
}

// SubLower is the lower triangle of Sub with B = A, for the columns j0..j1 of
// C only (j0 a multiple of Width): rows j.. of each, in whole strips.
//
//	C[j:m, j] -= A[j:m, 0:k] · A[j, 0:k]ᵀ
func (kn *Kernel) SubLower(m, k, j0, j1 int, a []float64, lda int, c []float64, ldc int) {
	kn.SubLowerWith(m, k, j0, j1, a, lda, a, lda, c, ldc)
}

// SubLowerWith is SubLower with a right factor of its own:
//
//	C[j:m, j] -= A[j:m, 0:k] · B[j, 0:k]ᵀ
func (kn *Kernel) SubLowerWith(m, k, j0, j1 int, a []float64, lda int, b []float64, ldb int, c []float64, ldc int) {
	if j0 >= j1 || k <= 0 {
		return
	}
	require(m, k, a, lda)
	require(j1, k, b, ldb)
	require(m, j1, c, ldc)
	for j := j0; j < j1; j += Width {
		w := min(Width, j1-j)
		kn.strip[w](m-j, k, &a[j], lda, &b[j], ldb, &c[j+j*ldc], ldc)
	}
}

// Solve replaces X by X·L⁻ᵀ, L the lower triangle of order n with reciprocals
// inv of its diagonal:
//
//	X[0:m, 0:n] := X[0:m, 0:n] · L⁻ᵀ
//
// X may be rows of the array that holds L, below it.
func (kn *Kernel) Solve(m, n int, x []float64, ldx int, l []float64, ldl int, inv []float64) {
	if m <= 0 || n <= 0 {
		return
	}
	require(m, n, x, ldx)
	require(n, n, l, ldl)
	_ = inv[n-1]
	for j := 0; j < n; j += Width {
		w := min(Width, n-j)
		if j > 0 {
			kn.strip[w](m, j, &x[0], ldx, &l[j], ldl, &x[j*ldx], ldx)
		}
		kn.solve[w](m, &x[j*ldx], ldx, &l[j+j*ldl], ldl, &inv[j])
	}
}

// Reversed is the scratch of SolveN.
type Reversed [Width*Width + Width]float64

// SolveN replaces X by X·L⁻¹, L and inv as for Solve; X must not overlap L.
//
//	X[0:m, 0:n] := X[0:m, 0:n] · L⁻¹
func (kn *Kernel) SolveN(m, n int, x []float64, ldx int, l []float64, ldl int, inv []float64, t *Reversed) {
	if m <= 0 || n <= 0 {
		return
	}
	require(m, n, x, ldx)
	require(n, n, l, ldl)
	_ = inv[n-1]
	for j := (n - 1) / Width * Width; j >= 0; j -= Width {
		w := min(Width, n-j)
		if rest := n - j - w; rest > 0 {
			kn.stripN[w](m, rest, &x[(j+w)*ldx], ldx, &l[j+w+j*ldl], ldl, &x[j*ldx], ldx)
		}
		// the same triangle with rows and columns in reverse is one for solve
		for c := range w {
			for r := c; r < w; r++ {
				t[r+c*Width] = l[j+w-1-c+(j+w-1-r)*ldl]
			}
			t[Width*Width+c] = inv[j+w-1-c]
		}
		kn.solve[w](m, &x[(j+w-1)*ldx], -ldx, &t[0], Width, &t[Width*Width])
	}
}
