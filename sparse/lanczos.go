package sparse

import (
	"fmt"
	"math"
	"slices"
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

const (
	// belowLast is how far below the last eigenvalue found, relative to it, the
	// count of those below it is taken: far enough for its own error, so that
	// copies of the last one are not counted.
	belowLast = 1e-6
	// leastSteps is how many vectors a new start makes, beside two for each
	// eigenvalue wanted, before it may count as converged.
	leastSteps = 10
)

// dependent is how much of a vector may be left after it was made orthogonal to
// the basis before it counts as inside its span: some thousand roundings.
const dependent = 1e-12

// Eigen returns the eigenvalues λ > 0 nearest zero of
//
//	A·x = λ·M·x
//
// ascending, and their vectors (columns of length N one after the other, scaled
// so that xᵀ·A·x = 1). f is the factor of the positive definite a; m is any
// symmetric matrix within the pattern of a: a mass matrix (λ: squared angular
// frequencies), or minus the geometric stiffness (λ: load factors at buckling).
//
// The method is that of Lanczos on A⁻¹·M in the scalar product of A, with every
// vector made orthogonal to all before it (T. Ericsson, A. Ruhe, Math. Comp. 35
// (1980) 1251–1268). It finds one vector of each eigenvalue; therefore the
// eigenvalues below the last are counted by the signs of the pivots of A − σ·M,
// and while some are missing the method starts anew beside all vectors before.
// The count takes a second factor for a while. Copies of the last one wanted may
// be left out. When M has fewer positive
// eigenvalues than wanted, that many are returned.
func Eigen(f *Factor, a, m *Symmetric, s Spectrum) (values, vectors []float64, err error) {
	if s.Tolerance == 0 {
		s.Tolerance = 1e-9
	}
	if s.Basis == 0 {
		s.Basis = 20*s.Count + 100
	}
	l := &lanczos{f: f, a: a, m: m, tolerance: s.Tolerance}
	most := min(s.Basis, a.N)
	for begin := 0; ; begin = len(l.q) {
		for l.extend(most) {
			if s.Cancel != nil && s.Cancel() {
				return nil, nil, ErrCancelled
			}
			if k := len(l.q); k%10 == 0 && k-begin >= 2*s.Count+leastSteps && l.converged(s.Count) {
				break
			}
		}
		if len(l.q) < a.N && !l.converged(s.Count) {
			return nil, nil, &NotConvergedError{len(l.q), l.worst}
		}
		values, vectors = l.result(s.Count)
		missing, err := l.missing(values)
		if err != nil || missing == 0 || len(l.q) == a.N {
			return values, vectors, err
		}
		if len(l.q) >= most {
			return nil, nil, &MissingError{missing, values[len(values)-1]}
		}
		l.start()
	}
}

// MissingError reports eigenvalues that are there, by count, and were not found.
type MissingError struct {
	Count int
	Below float64
}

// Error tells how many are missing.
func (e *MissingError) Error() string {
	return fmt.Sprintf("sparse: %d eigenvalues below %g were not found", e.Count, e.Below)
}

// missing returns how many eigenvalues lie below the last of those found, and are
// not among them. A being positive definite, A − σ·M has a negative eigenvalue
// for each λ between 0 and σ (Sylvester's law).
func (l *lanczos) missing(values []float64) (int, error) {
	if len(values) == 0 {
		return 0, nil
	}
	sigma := values[len(values)-1] * (1 - belowLast)
	shifted, err := l.a.minus(sigma, l.m)
	if err != nil {
		return 0, err
	}
	f, err := l.f.s.FactorizeIndefinite(shifted)
	if err != nil {
		return 0, err
	}
	_, below := f.Inertia()
	return max(0, below-sort.SearchFloat64s(values, sigma)), nil
}

// minus returns a − σ·m on the pattern of a.
func (a *Symmetric) minus(sigma float64, m *Symmetric) (*Symmetric, error) {
	out := &Symmetric{N: a.N, ColPtr: a.ColPtr, Row: a.Row, Val: slices.Clone(a.Val)}
	for j := range m.N {
		p := a.ColPtr[j]
		for q := m.ColPtr[j]; q < m.ColPtr[j+1]; q++ {
			for p < a.ColPtr[j+1] && a.Row[p] < m.Row[q] {
				p++
			}
			if p == a.ColPtr[j+1] || a.Row[p] != m.Row[q] {
				return nil, &PatternError{fmt.Sprintf("the second matrix couples unknowns %d and %d, the first does not", m.Row[q], j)}
			}
			out.Val[p] -= sigma * m.Val[q]
		}
	}
	return out, nil
}

// lanczos holds an A-orthonormal basis q, its products A·q, and the projection
// of A⁻¹·M on it. From one start that is tridiagonal; each further start widens
// its band by one.
type lanczos struct {
	f         *Factor
	a, m      *Symmetric
	q, aq     [][]float64
	h         [][]float64 // columns of the projection down to the diagonal
	pending   []image     // what is to extend the basis, in turn
	tolerance float64
	worst     float64 // largest relative error bound of the eigenvalues wanted
	starts    uint64  // numbers drawn
}

// image is what of A⁻¹·M·q lies outside the basis, q its vector at place at; or a
// new start, at −1.
type image struct {
	at          int
	w, aw       []float64 // it, and A times it
	whole, size float64   // A-norms of the whole image and of w
	seen        int       // vectors of the basis that w is orthogonal to
}

// extend adds one vector and reports whether there was one to add.
func (l *lanczos) extend(most int) bool {
	n, k := l.a.N, len(l.q)
	if k >= most {
		return false
	}
	var next image
	for next.size == 0 {
		if len(l.pending) == 0 {
			if !l.start() {
				return false
			}
		}
		next, l.pending = l.pending[0], l.pending[1:]
		if next.seen < k {
			l.settle(&next)
		}
	}
	divide(next.w, next.size)
	divide(next.aw, next.size)
	l.q, l.aq = append(l.q, next.w), append(l.aq, next.aw)
	p := image{at: k, w: make([]float64, n), aw: make([]float64, n)}
	l.m.MulVec(p.aw, next.w)
	copy(p.w, p.aw)
	l.f.Solve(p.w, 1)
	p.whole = math.Sqrt(math.Max(0, dot(p.w, p.aw)))
	l.h = append(l.h, l.settle(&p))
	l.pending = append(l.pending, p)
	return true
}

// settle makes an image orthogonal to the basis, and returns how much of each
// vector it held. Its size is zero when nothing but rounding is left.
func (l *lanczos) settle(p *image) []float64 {
	parts := l.orthogonal(p.w)
	l.a.MulVec(p.aw, p.w) // carried along it would lose a digit or two with every vector
	p.size, p.seen = math.Sqrt(math.Max(0, dot(p.w, p.aw))), len(l.q)
	if !(p.size > dependent*p.whole) {
		p.size = 0
	}
	return parts
}

// orthogonal removes from w what lies in the span of the basis; twice, which is
// enough. It returns how much of each vector that was.
func (l *lanczos) orthogonal(w []float64) []float64 {
	parts := make([]float64, len(l.q))
	for range 2 {
		for j, q := range l.q {
			c := dot(w, l.aq[j])
			parts[j] += c
			for i := range w {
				w[i] -= c * q[i]
			}
		}
	}
	return parts
}

// start puts a vector orthogonal to the basis before what is pending, and reports
// whether there is one. The numbers are the same in every run.
func (l *lanczos) start() bool {
	p := image{at: -1, w: make([]float64, l.a.N), aw: make([]float64, l.a.N)}
	for range 3 {
		for i := range p.w {
			l.starts++
			p.w[i] = float64(scramble(l.starts)>>11)*0x1p-52 - 1
		}
		l.a.MulVec(p.aw, p.w)
		p.whole = math.Sqrt(math.Max(0, dot(p.w, p.aw)))
		l.settle(&p)
		if p.size > 0 {
			l.pending = append([]image{p}, l.pending...)
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
	for c, column := range l.h {
		for r, v := range column {
			t.SetSym(r, c, v)
		}
	}
	var e mat.EigenSym
	if !e.Factorize(t, true) {
		panic("sparse: eigenvalues of the projection did not converge")
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
		outside := 0.0
		for _, p := range l.pending {
			if p.at >= 0 {
				outside += math.Abs(p.size * v.At(p.at, k-1-c))
			}
		}
		l.worst = math.Max(l.worst, outside/t)
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
