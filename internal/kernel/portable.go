package kernel

import (
	"math"
	"unsafe"
)

// portable returns the implementation in plain Go. It multiplies and adds with
// one rounding, as the assembly does.
func portable() *Kernel {
	k := &Kernel{name: "portable"}
	for n := 1; n <= Width; n++ {
		k.strip[n] = func(m, kk int, a *float64, lda int, b *float64, ldb int, c *float64, ldc int) {
			stripGo(m, n, kk, a, lda, b, 1, ldb, c, ldc)
		}
		k.stripN[n] = func(m, kk int, a *float64, lda int, b *float64, ldb int, c *float64, ldc int) {
			stripGo(m, n, kk, a, lda, b, ldb, 1, c, ldc)
		}
		k.solve[n] = func(m int, x *float64, ldx int, l *float64, ldl int, inv *float64) {
			solveGo(m, n, x, ldx, l, ldl, inv)
		}
		k.dots[n] = func(m int, a *float64, lda int, w *float64, x *float64) {
			dotsGo(m, n, a, lda, w, x)
		}
	}
	return k
}

// chunk is how many rows stripGo sums at a time, in memory near the processor.
const chunk = 24

// stripGo is a strip with entry (p, j) of B at b[j*bj+p*bk].
func stripGo(m, n, k int, a *float64, lda int, b *float64, bj, bk int, c *float64, ldc int) {
	for i0 := 0; i0 < m; i0 += chunk {
		rows := min(chunk, m-i0)
		for j := range n {
			var sum [chunk]float64
			for p := range k {
				f := *at(b, j*bj+p*bk)
				for i, v := range unsafe.Slice(at(a, p*lda+i0), rows) {
					sum[i] = math.FMA(f, v, sum[i])
				}
			}
			for i := range unsafe.Slice(at(c, j*ldc+i0), rows) {
				*at(c, j*ldc+i0+i) -= sum[i]
			}
		}
	}
}

func solveGo(m, n int, x *float64, ldx int, l *float64, ldl int, inv *float64) {
	for j := range n {
		xj := unsafe.Slice(at(x, j*ldx), m)
		r := *at(inv, j)
		for i := range xj {
			xj[i] *= r
		}
		for c := j + 1; c < n; c++ {
			f := *at(l, c+j*ldl)
			for i, v := range unsafe.Slice(at(x, c*ldx), m) {
				*at(x, c*ldx+i) = math.FMA(-f, xj[i], v)
			}
		}
	}
}

func dotsGo(m, n int, a *float64, lda int, w *float64, x *float64) {
	v := unsafe.Slice(w, m)
	for j := range n {
		var sum, last [Width]float64
		col := unsafe.Slice(at(a, j*lda), m)
		i := 0
		for ; i+Width <= m; i += Width {
			for l := range sum {
				sum[l] = math.FMA(col[i+l], v[i+l], sum[l])
			}
		}
		if i < m {
			// the rows missing count as zeros, as they do behind a mask
			copy(last[:], col[i:])
			for l := range sum {
				f := 0.0
				if i+l < m {
					f = v[i+l]
				}
				sum[l] = math.FMA(last[l], f, sum[l])
			}
		}
		s := sum
		*at(x, j) -= ((s[0] + s[4]) + (s[2] + s[6])) + ((s[1] + s[5]) + (s[3] + s[7]))
	}
}
