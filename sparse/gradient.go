package sparse

import (
	"fmt"
	"math"
)

// Iteration steers ConjugateGradient; the zero value is a good choice.
type Iteration struct {
	Tolerance float64 // on ‖b−Ax‖₂/‖b‖₂; 0 means 1e-10
	Steps     int     // most steps; 0 means ten for each unknown
	Cancel    func() bool
}

// NotConvergedError reports an iteration that ran out of steps or met a matrix
// that is not positive definite.
type NotConvergedError struct {
	Steps    int
	Residual float64 // ‖b−Ax‖₂/‖b‖₂ reached
}

// Error tells how far the iteration came.
func (e *NotConvergedError) Error() string {
	return fmt.Sprintf("sparse: no convergence in %d steps: residual %g", e.Steps, e.Residual)
}

// Incomplete is an incomplete Cholesky factor on the pattern of the matrix, a
// preconditioner for what is too large to factorise.
type Incomplete struct {
	l *Symmetric
}

// shiftStart is the first diagonal shift tried, relative to the diagonal, when
// an incomplete factorisation breaks down; it is multiplied by four until one
// works (T. A. Manteuffel, Math. Comp. 34 (1980) 473–497).
const shiftStart = 1e-3

// NewIncomplete factorises a incompletely. It fails when a diagonal entry is not
// above zero.
func NewIncomplete(a *Symmetric) (*Incomplete, error) {
	if err := a.validate(); err != nil {
		return nil, err
	}
	for j := range a.N {
		p := a.ColPtr[j]
		if p == a.ColPtr[j+1] || int(a.Row[p]) != j || !(a.Val[p] > 0) {
			return nil, &NotPositiveDefiniteError{Column: j}
		}
	}
	l := &Symmetric{N: a.N, ColPtr: a.ColPtr, Row: a.Row, Val: make([]float64, len(a.Val))}
	for shift := 0.0; ; shift = math.Max(shiftStart, 4*shift) {
		copy(l.Val, a.Val)
		for j := range a.N {
			l.Val[l.ColPtr[j]] *= 1 + shift
		}
		if l.incomplete() {
			return &Incomplete{l}, nil
		}
		if shift > 1e9 {
			return nil, &NotPositiveDefiniteError{Column: 0, Pivot: math.NaN()}
		}
	}
}

// incomplete replaces the values by those of the factor and reports success.
func (l *Symmetric) incomplete() bool {
	place := make([]int, l.N)
	for i := range place {
		place[i] = -1
	}
	for j := range l.N {
		p0, p1 := l.ColPtr[j], l.ColPtr[j+1]
		d := l.Val[p0]
		if !(d > 0) || math.IsInf(d, 0) {
			return false
		}
		root := math.Sqrt(d)
		l.Val[p0] = root
		for p := p0 + 1; p < p1; p++ {
			l.Val[p] /= root
		}
		for p := p0 + 1; p < p1; p++ {
			k, f := l.Row[p], l.Val[p]
			q0, q1 := l.ColPtr[k], l.ColPtr[k+1]
			for q, at := p, q0; q < p1 && at < q1; {
				switch {
				case l.Row[q] == l.Row[at]:
					l.Val[at] -= f * l.Val[q]
					q++
					at++
				case l.Row[q] < l.Row[at]:
					q++
				default:
					at++
				}
			}
		}
	}
	return true
}

// Apply replaces x by the solution with the incomplete factor.
func (c *Incomplete) Apply(x []float64) {
	l := c.l
	for j := range l.N {
		p := l.ColPtr[j]
		x[j] /= l.Val[p]
		for p++; p < l.ColPtr[j+1]; p++ {
			x[l.Row[p]] -= l.Val[p] * x[j]
		}
	}
	for j := l.N - 1; j >= 0; j-- {
		p := l.ColPtr[j]
		sum := x[j]
		for q := p + 1; q < l.ColPtr[j+1]; q++ {
			sum -= l.Val[q] * x[l.Row[q]]
		}
		x[j] = sum / l.Val[p]
	}
}

// IterationBytes is the memory that ConjugateGradient takes with an incomplete
// factor of a, beside a itself.
func IterationBytes(a *Symmetric) int { return 8 * (len(a.Val) + 6*a.N) }

// ConjugateGradient solves A·x = b from the x given, with a preconditioner or
// nil, and returns the steps taken.
func ConjugateGradient(a *Symmetric, x, b []float64, c *Incomplete, s Iteration) (int, error) {
	if s.Tolerance == 0 {
		s.Tolerance = 1e-10
	}
	if s.Steps == 0 {
		s.Steps = 10 * a.N
	}
	n := a.N
	r, z, p, q := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	a.MulVec(r, x)
	for i := range r {
		r[i] = b[i] - r[i]
	}
	scale := math.Sqrt(dot(b[:n], b))
	rho := 0.0
	for step := 0; ; step++ {
		size := ratio(math.Sqrt(dot(r, r)), scale)
		if size <= s.Tolerance {
			return step, nil
		}
		if s.Cancel != nil && s.Cancel() {
			return step, ErrCancelled
		}
		copy(z, r)
		if c != nil {
			c.Apply(z)
		}
		before := rho
		rho = dot(r, z)
		for i := range p {
			if step > 0 {
				z[i] += rho / before * p[i]
			}
			p[i] = z[i]
		}
		a.MulVec(q, p)
		curve := dot(p, q)
		if step == s.Steps || !(curve > 0) {
			return step, &NotConvergedError{step, size}
		}
		alpha := rho / curve
		for i := range p {
			x[i] += alpha * p[i]
			r[i] -= alpha * q[i]
		}
	}
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i, v := range a {
		s += v * b[i]
	}
	return s
}
