package sparse

import "math"

// Refined reports a refined solution.
type Refined struct {
	BackwardError float64 // ‖b−Ax‖∞ / (‖A‖∞·‖x‖∞ + ‖b‖∞)
	Steps         int
}

const (
	// refineTarget is the backward error at which refinement stops: a few
	// roundings.
	refineTarget = 4 * 0x1p-53
	// refineSteps bounds the refinement; two steps do unless the matrix is
	// nearly singular.
	refineSteps = 5
)

// SolveRefined solves A·x = b for one right-hand side and improves the solution
// with the residual until its backward error is down to rounding or no longer
// halves. a must be the matrix that was factorised.
func (f *Factor) SolveRefined(a *Symmetric, x, b []float64) Refined {
	r := make([]float64, a.N)
	copy(x[:a.N], b)
	f.Solve(x, 1)
	norm := a.Norm()
	out := Refined{BackwardError: residual(a, r, x, b, norm)}
	trial := make([]float64, a.N)
	for out.Steps < refineSteps && out.BackwardError > refineTarget {
		f.Solve(r, 1)
		for i := range trial {
			trial[i] = x[i] + r[i]
		}
		e := residual(a, r, trial, b, norm)
		if !(e < out.BackwardError) {
			break
		}
		copy(x, trial)
		slow := e > out.BackwardError/2
		out.BackwardError = e
		out.Steps++
		if slow {
			break
		}
	}
	return out
}

// residual sets r = b − A·x and returns the backward error of x.
func residual(a *Symmetric, r, x, b []float64, norm float64) float64 {
	a.MulVec(r, x)
	for i := range r {
		r[i] = b[i] - r[i]
	}
	return ratio(largest(r), norm*largest(x)+largest(b[:a.N]))
}

// BackwardError returns how far, against the sizes of A, x and b, the solution
// x is from one of A·x = b: ‖b−Ax‖∞ / (‖A‖∞·‖x‖∞ + ‖b‖∞).
func (a *Symmetric) BackwardError(x, b []float64) float64 { return a.BackwardErrors(x, b, 1)[0] }

// BackwardErrors returns those of solutions and right sides that are columns one
// after the other.
func (a *Symmetric) BackwardErrors(x, b []float64, columns int) []float64 {
	norm, n := a.Norm(), a.N
	r, out := make([]float64, n), make([]float64, columns)
	for k := range out {
		out[k] = residual(a, r, x[k*n:(k+1)*n], b[k*n:(k+1)*n], norm)
	}
	return out
}

// ratio is p/q, and zero when both are.
func ratio(p, q float64) float64 {
	if p == 0 {
		return 0
	}
	return p / q
}

// largest returns the largest magnitude in x, NaN when x holds one.
func largest(x []float64) float64 {
	m := 0.0
	for _, v := range x {
		m = max(m, math.Abs(v))
	}
	return m
}

// Norm returns the largest sum of magnitudes in a row, ‖A‖∞ = ‖A‖₁.
func (a *Symmetric) Norm() float64 {
	sum := make([]float64, a.N)
	for j := range a.N {
		for p := a.ColPtr[j]; p < a.ColPtr[j+1]; p++ {
			v := math.Abs(a.Val[p])
			sum[j] += v
			if i := a.Row[p]; int(i) != j {
				sum[i] += v
			}
		}
	}
	return largest(sum)
}

// Condition estimates the condition number ‖A‖₁·‖A⁻¹‖₁ from below, nearly always
// within a factor of three, with a few solutions: N. J. Higham, ACM Trans. Math.
// Software 14 (1988) 381–396, after W. W. Hager.
func (f *Factor) Condition(a *Symmetric) float64 {
	n := a.N
	if n == 0 {
		return 1
	}
	x := make([]float64, n)
	for i := range x {
		x[i] = 1 / float64(n)
	}
	best, last := 0.0, -1
	for range 5 {
		f.Solve(x, 1)
		sum := 0.0
		for i, v := range x {
			sum += math.Abs(v)
			x[i] = math.Copysign(1, v)
		}
		if sum <= best {
			break
		}
		best = sum
		f.Solve(x, 1)
		at := 0
		for i, v := range x {
			if math.Abs(v) > math.Abs(x[at]) {
				at = i
			}
		}
		if at == last {
			break
		}
		last = at
		clear(x)
		x[at] = 1
	}
	return a.Norm() * math.Max(best, f.alternating(x))
}

// alternating is Higham's second guess, against matrices that defeat the first.
func (f *Factor) alternating(x []float64) float64 {
	n := len(x)
	for i := range x {
		x[i] = 1 + float64(i)/float64(max(1, n-1))
		if i%2 == 1 {
			x[i] = -x[i]
		}
	}
	f.Solve(x, 1)
	sum := 0.0
	for _, v := range x {
		sum += math.Abs(v)
	}
	return 2 * sum / (3 * float64(n))
}
