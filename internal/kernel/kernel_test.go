package kernel

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// block returns an m by n block in storage of leading dimension lda whose
// unused places are NaN.
func block(r *rand.Rand, m, n, lda int) []float64 {
	a := make([]float64, lda*n)
	for i := range a {
		a[i] = math.NaN()
	}
	for j := range n {
		for i := range m {
			a[i+j*lda] = r.NormFloat64()
		}
	}
	return a
}

// sizes has every remainder of rows and columns at least once.
func sizes() [][3]int {
	var list [][3]int
	for m := 1; m <= 50; m++ {
		list = append(list, [3]int{m, 1 + m%17, 1 + m%13})
	}
	return append(list, [3]int{100, 40, 96}, [3]int{24, 8, 200}, [3]int{7, 16, 0}, [3]int{121, 3, 1})
}

func TestSubAgreesWithDirectSum(t *testing.T) {
	for _, kn := range All() {
		for _, s := range sizes() {
			for _, transposed := range []bool{true, false} {
				m, n, k := s[0], s[1], s[2]
				r := rand.New(rand.NewPCG(uint64(m), uint64(n)))
				a := block(r, m, k, m+3)
				b, ldb := block(r, n, k, n+1), n+1
				if !transposed {
					b, ldb = block(r, k, n, k+2), k+2
				}
				c := block(r, m, n, m+5)
				before := append([]float64(nil), c...)
				if transposed {
					kn.Sub(m, n, k, a, m+3, b, ldb, c, m+5)
				} else {
					kn.SubN(m, n, k, a, m+3, b, ldb, c, m+5)
				}
				for j := range n {
					for i := range m + 5 {
						at := i + j*(m+5)
						want, scale := before[at], 0.0
						for p := range k {
							if i < m {
								f := b[(j+p*ldb)%max(1, len(b))]
								if !transposed {
									f = b[p+j*ldb]
								}
								want -= a[i+p*(m+3)] * f
								scale += math.Abs(a[i+p*(m+3)] * f)
							}
						}
						if i >= m {
							if !math.IsNaN(c[at]) {
								t.Fatalf("%s %v: wrote outside the block at row %d", kn.Name(), s, i)
							}
							continue
						}
						// one rounding of each product and sum
						if bound := 1e-15 * (1 + scale) * 4; !(math.Abs(c[at]-want) <= bound) {
							t.Fatalf("%s %v transposed %v: (%d,%d) got %g, want %g", kn.Name(), s, transposed, i, j, c[at], want)
						}
					}
				}
			}
		}
	}
}

// positive returns the lower triangle of a positive definite matrix; the upper
// one is NaN.
func positive(r *rand.Rand, n, lda int) []float64 {
	a := block(r, 0, n, lda)
	for j := range n {
		for i := j; i < n; i++ {
			a[i+j*lda] = r.NormFloat64()
		}
		a[j+j*lda] = 3 * float64(n)
	}
	return a
}

func TestPanelGivesBackTheMatrix(t *testing.T) {
	for _, kn := range All() {
		for _, s := range [][2]int{{1, 1}, {5, 5}, {8, 8}, {9, 9}, {40, 16}, {61, 37}, {150, 96}} {
			m, n := s[0], s[1]
			r := rand.New(rand.NewPCG(uint64(m), 7))
			lda := m + 2
			a := positive(r, m, lda)[:lda*n]
			before := append([]float64(nil), a...)
			inv := make([]float64, n)
			if done, pivot := kn.Panel(m, n, a, lda, inv); done != n {
				t.Fatalf("%s %v: stopped at %d, pivot %g", kn.Name(), s, done, pivot)
			}
			for j := range n {
				for i := j; i < m; i++ {
					sum := 0.0
					for p := range j + 1 {
						sum += a[i+p*lda] * a[j+p*lda]
					}
					if want := before[i+j*lda]; !(math.Abs(sum-want) <= 1e-13*float64(m)) {
						t.Fatalf("%s %v: (%d,%d) got %g, want %g", kn.Name(), s, i, j, sum, want)
					}
				}
			}
		}
	}
}

func TestPanelNamesTheBadPivot(t *testing.T) {
	for _, kn := range All() {
		for _, bad := range []int{0, 3, 8, 20} {
			a := positive(rand.New(rand.NewPCG(3, 4)), 30, 30)
			a[bad+bad*30] = -1
			if col, pivot := kn.Panel(30, 30, a, 30, make([]float64, 30)); col != bad || !(pivot < 0) {
				t.Errorf("%s: column %d pivot %g, want column %d below zero", kn.Name(), col, pivot, bad)
			}
		}
	}
}

func TestImplementationsReturnTheSameBits(t *testing.T) {
	all := All()
	for _, s := range [][2]int{{30, 11}, {100, 64}, {77, 40}} {
		m, n := s[0], s[1]
		var first []float64
		for _, kn := range all {
			a := positive(rand.New(rand.NewPCG(uint64(m), 9)), m, m)
			inv := make([]float64, n)
			kn.Panel(m, n, a[:m*n], m, inv)
			kn.SubLower(m-n, n, 0, m-n, a[n:], m, a[n+n*m:], m)
			if first == nil {
				first = a
				continue
			}
			for j := range m {
				for i := j; i < m; i++ {
					if a[i+j*m] != first[i+j*m] {
						t.Fatalf("%s and %s differ at (%d,%d): %g and %g", kn.Name(), all[0].Name(), i, j, a[i+j*m], first[i+j*m])
					}
				}
			}
		}
	}
}

func TestSignedLoopsOnPositiveMatricesReturnTheSameBits(t *testing.T) {
	for _, kn := range All() {
		const m, n = 70, 45
		a := positive(rand.New(rand.NewPCG(1, 5)), m, m)
		b := append([]float64(nil), a...)
		inv, sign, scratch := make([]float64, n), make([]float64, n), new(Signed)
		kn.Panel(m, n, a, m, inv)
		kn.SubLower(m-n, n, 0, m-n, a[n:], m, a[n+n*m:], m)
		if done, _ := kn.PanelSigned(n, n, b, m, inv, sign, 1e-9, scratch); done != n {
			t.Fatalf("%s: stopped at %d", kn.Name(), done)
		}
		kn.SolveSigned(m-n, n, b[n:], m, b, m, inv, sign, scratch)
		kn.SubLowerSigned(m-n, n, 0, m-n, b[n:], m, b[n+n*m:], m, sign, scratch)
		for j := range m {
			for i := j; i < m; i++ {
				if a[i+j*m] != b[i+j*m] {
					t.Fatalf("%s: (%d,%d) %g and %g", kn.Name(), i, j, a[i+j*m], b[i+j*m])
				}
			}
		}
	}
}

// TestColumnLoops compares the loops for one right-hand side with plain sums.
func TestColumnLoops(t *testing.T) {
	for _, kn := range All() {
		for _, s := range sizes() {
			m, n := s[0], s[1]
			r := rand.New(rand.NewPCG(uint64(m), uint64(n)))
			a := block(r, m, n, m+3)
			x, y := block(r, n, 1, n+1), block(r, m, 1, m+2)
			down, up := append([]float64(nil), y...), append([]float64(nil), x...)
			kn.SubColumn(m, n, a, m+3, x, down)
			kn.SubColumnT(m, n, a, m+3, y, up)
			for i := range m {
				want := y[i]
				for j := range n {
					want -= a[i+j*(m+3)] * x[j]
				}
				if !(math.Abs(down[i]-want) <= 1e-13) { // some roundings of sums of a few dozen
					t.Fatalf("%s %v: row %d got %g, want %g", kn.Name(), s, i, down[i], want)
				}
			}
			for j := range n {
				want := x[j]
				for i := range m {
					want -= a[i+j*(m+3)] * y[i]
				}
				if !(math.Abs(up[j]-want) <= 1e-13) {
					t.Fatalf("%s %v: column %d got %g, want %g", kn.Name(), s, j, up[j], want)
				}
			}
			if !math.IsNaN(down[m]) || !math.IsNaN(up[n]) {
				t.Fatalf("%s %v: wrote past the end", kn.Name(), s)
			}
		}
	}
}

// TestColumnSolutions solves with a factor and its transpose, and compares the
// implementations bit for bit.
func TestColumnSolutions(t *testing.T) {
	for _, n := range []int{1, 7, 8, 9, 30, 61} {
		var first []float64
		for _, kn := range All() {
			r := rand.New(rand.NewPCG(uint64(n), 3))
			l := positive(r, n, n+1)
			b, inv := block(r, n, 1, n), make([]float64, n)
			if done, _ := kn.Panel(n, n, l, n+1, inv); done != n {
				t.Fatal("not definite")
			}
			x := append([]float64(nil), b...)
			kn.SolveColumn(n, l, n+1, inv, x)
			kn.SolveColumnT(n, l, n+1, inv, x)
			up, sum := make([]float64, n), make([]float64, n) // Lᵀx, L·Lᵀx
			for j := range n {
				for i := j; i < n; i++ {
					up[j] += l[i+j*(n+1)] * x[i]
				}
			}
			for j := range n {
				for i := j; i < n; i++ {
					sum[i] += l[i+j*(n+1)] * up[j]
				}
			}
			for i := range n {
				if !(math.Abs(sum[i]-b[i]) <= 1e-13) {
					t.Fatalf("%s %d: row %d got %g, want %g", kn.Name(), n, i, sum[i], b[i])
				}
			}
			if first == nil {
				first = x
			}
			for i := range x {
				if x[i] != first[i] {
					t.Fatalf("%s and %s differ at %d of %d", kn.Name(), All()[0].Name(), i, n)
				}
			}
		}
	}
}

func BenchmarkSub(b *testing.B) {
	r := rand.New(rand.NewPCG(5, 6))
	for _, kn := range All() {
		for _, n := range []int{16, 48, 96, 192, 480} {
			k := min(n, 96)
			x, c := block(r, n, k, n+8), block(r, n, n, n+8)
			b.Run(fmt.Sprintf("%s/%d", kn.Name(), n), func(b *testing.B) {
				for b.Loop() {
					kn.Sub(n, n, k, x, n+8, x, n+8, c, n+8)
				}
				b.ReportMetric(2*float64(n*n*k)*float64(b.N)/b.Elapsed().Seconds()/1e9, "GFLOP/s")
			})
		}
	}
}

func BenchmarkPanel(b *testing.B) {
	r := rand.New(rand.NewPCG(5, 6))
	for _, kn := range All() {
		for _, s := range [][2]int{{40, 16}, {120, 32}, {400, 64}, {1400, 96}} {
			m, n := s[0], s[1]
			from := positive(r, m, m)[:m*n]
			a, inv := make([]float64, m*n), make([]float64, n)
			b.Run(fmt.Sprintf("%s/%dx%d", kn.Name(), m, n), func(b *testing.B) {
				for b.Loop() {
					copy(a, from)
					kn.Panel(m, n, a, m, inv)
				}
				work := 0.0
				for j := range n {
					work += float64((m - j) * (n - j))
				}
				b.ReportMetric(2*work*float64(b.N)/b.Elapsed().Seconds()/1e9, "GFLOP/s")
			})
		}
	}
}
