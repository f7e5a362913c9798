package sparse

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"
)

// Spectrum steers Eigen.
type Spectrum struct {
	Count     int     // eigenvalues wanted
	Tolerance float64 // relative, on an eigenvalue; 0 means 1e-9
	Basis     int     // most vectors kept; 0 means 20·Count + 100
	Cancel    func() bool
}

// dependent is how much of a vector may be left after it was made orthogonal to
// the basis before it counts as inside its span: some thousand roundings.
const dependent = 1e-12

// Eigen returns the eigenvalues λ > 0 nearest zero of
//
//	A·x = λ·M·x
//
// ascending, and their vectors (columns of length N one after the other, scaled
// so that xᵀ·A·x = 1). f is the factor of the positive definite a; m is any
// symmetric matrix: a mass matrix (λ: squared angular frequencies), or minus
// the geometric stiffness (λ: load factors at buckling). For eigenvalues near a
// shift σ below the least one, pass A − σM and its factor and add σ to each λ.
//
// The method is that of Lanczos on A⁻¹·M in the scalar product of A, with every
// vector made orthogonal to all before it (T. Ericsson, A. Ruhe, Math. Comp. 35
// (1980) 1251–1268). Of an eigenvalue of several vectors it may find fewer. When
// M has fewer positive eigenvalues than wanted, that many are returned.
func Eigen(f *Factor, a, m *Symmetric, s Spectrum) (values, vectors []float64, err error) {
	if s.Tolerance == 0 {
		s.Tolerance = 1e-9
	}
	if s.Basis == 0 {
		s.Basis = 20*s.Count + 100
	}
	l := &lanczos{f: f, a: a, m: m, tolerance: s.Tolerance}
	most := min(s.Basis, a.N)
	for l.extend(most) {
		if s.Cancel != nil && s.Cancel() {
			return nil, nil, ErrCancelled
		}
		if k := len(l.q); k%10 == 0 && k >= 2*s.Count && l.converged(s.Count) {
			break
		}
	}
	if len(l.q) < a.N && !l.converged(s.Count) {
		return nil, nil, &NotConvergedError{len(l.q), l.worst}
	}
	values, vectors = l.result(s.Count)
	return values, vectors, nil
}

// lanczos holds an A-orthonormal basis q, its products A·q, and the projection
// of A⁻¹·M on it, a tridiagonal matrix.
type lanczos struct {
	f         *Factor
	a, m      *Symmetric
	q, aq     [][]float64
	diag, off []float64
	next, an  []float64 // the vector that would extend the basis, and A times it
	tolerance float64
	worst     float64 // largest relative error bound of the eigenvalues wanted
	restarts  uint64
}

// extend adds one vector and reports whether there was one to add.
func (l *lanczos) extend(most int) bool {
	n, k := l.a.N, len(l.q)
	if k >= most {
		return false
	}
	if l.next == nil || l.off[k-1] == 0 {
		if !l.random() {
			return false
		}
	}
	q, aq := l.next, l.an
	l.q, l.aq = append(l.q, q), append(l.aq, aq)
	w, aw := make([]float64, n), make([]float64, n)
	l.m.MulVec(aw, q)
	scale := largest(aw)
	l.diag = append(l.diag, dot(q, aw))
	copy(w, aw)
	l.f.Solve(w, 1)
	whole := math.Sqrt(math.Max(0, dot(w, aw)))
	l.orthogonal(w, aw)
	beta := math.Sqrt(math.Max(0, dot(w, aw)))
	if scale == 0 || !(beta > dependent*whole) {
		beta = 0
	}
	l.off = append(l.off, beta)
	if beta > 0 {
		divide(w, beta)
		divide(aw, beta)
	}
	l.next, l.an = w, aw
	return true
}

// orthogonal removes from w, and from aw = A·w, what lies in the span of the
// basis; twice, which is enough.
func (l *lanczos) orthogonal(w, aw []float64) {
	for range 2 {
		for j, q := range l.q {
			c := dot(w, l.aq[j])
			for i := range w {
				w[i] -= c * q[i]
				aw[i] -= c * l.aq[j][i]
			}
		}
	}
}

// random starts anew with a vector orthogonal to the basis. The numbers are the
// same in every run.
func (l *lanczos) random() bool {
	n := l.a.N
	w, aw := make([]float64, n), make([]float64, n)
	for range 3 {
		for i := range w {
			l.restarts++
			w[i] = float64(scramble(l.restarts)>>11)*0x1p-52 - 1
		}
		l.a.MulVec(aw, w)
		whole := math.Sqrt(math.Max(0, dot(w, aw)))
		l.orthogonal(w, aw)
		l.a.MulVec(aw, w)
		if size := math.Sqrt(math.Max(0, dot(w, aw))); size > dependent*whole {
			divide(w, size)
			divide(aw, size)
			l.next, l.an = w, aw
			return true
		}
	}
	return false
}

func divide(x []float64, by float64) {
	for i := range x {
		x[i] /= by
	}
}

// ritz solves the projected problem: values θ = 1/λ ascending, and the matrix of
// their vectors.
func (l *lanczos) ritz() ([]float64, *mat.Dense) {
	k := len(l.q)
	t := mat.NewSymDense(k, nil)
	for i := range k {
		t.SetSym(i, i, l.diag[i])
		if i > 0 {
			t.SetSym(i-1, i, l.off[i-1])
		}
	}
	var e mat.EigenSym
	if !e.Factorize(t, true) {
		panic("sparse: eigenvalues of a tridiagonal matrix did not converge")
	}
	var v mat.Dense
	e.VectorsTo(&v)
	return e.Values(nil), &v
}

// converged reports whether the count largest θ are within tolerance.
func (l *lanczos) converged(count int) bool {
	theta, v := l.ritz()
	k := len(theta)
	l.worst = 0
	for c := range min(count, k) {
		t := theta[k-1-c]
		if t <= 0 {
			break
		}
		l.worst = math.Max(l.worst, math.Abs(l.off[k-1]*v.At(k-1, k-1-c))/t)
	}
	return k >= count && l.worst <= l.tolerance
}

// result forms the eigenvalues and vectors.
func (l *lanczos) result(count int) (values, vectors []float64) {
	theta, v := l.ritz()
	k, n := len(theta), l.a.N
	floor := dependent * math.Max(math.Abs(theta[0]), math.Abs(theta[k-1]))
	positive := k - sort.SearchFloat64s(theta, floor)
	for c := range min(count, positive) {
		values = append(values, 1/theta[k-1-c])
		x := make([]float64, n)
		for j, q := range l.q {
			s := v.At(j, k-1-c)
			for i := range x {
				x[i] += s * q[i]
			}
		}
		vectors = append(vectors, x...)
	}
	return values, vectors
}
