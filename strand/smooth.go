package strand

import (
	"math"

	"sinew/geom"
)

// Smoothing of sampled lines.
const (
	// smoothWeight damps waves shorter than about three steps: with points h
	// apart the wave of length L keeps 1/(1+w(2-2cos(2πh/L))²) of its height,
	// nine tenths at 10 steps and a seventeenth at 3; a circle of 12 steps'
	// radius shrinks by less than 1e-4 of it.
	smoothWeight = 0.7
	// bendRounds bounds how often a place that bends too tightly is smoothed
	// again, with bendGrowth times the weight.
	bendRounds = 8
	bendGrowth = 4
)

// smooth returns the points that minimise
//
//	Σ |q_i - p_i|² + Σ w_i |q_{i-1} - 2 q_i + q_{i+1}|²
//
// (E. T. Whittaker, On a new method of graduation, Proceedings of the
// Edinburgh Mathematical Society 41 (1923) 63–75). Ends of an open line stay; a
// closed one repeats its first point at its end.
func smooth(p []geom.Point, closed bool, w []float64) []geom.Point {
	if len(p) < 5 {
		return p
	}
	if !closed {
		return smoothOpen(p, w)
	}
	// A closed line is laid out with enough of itself on either side that the
	// held ends no longer matter: the influence of a point falls by e within
	// w^(1/4) steps.
	n := len(p) - 1
	pad := min(n, 40)
	long := make([]geom.Point, 0, n+2*pad+1)
	weight := make([]float64, 0, n+2*pad+1)
	for i := -pad; i <= n+pad; i++ {
		k := ((i % n) + n) % n
		long = append(long, p[k])
		weight = append(weight, w[k])
	}
	out := append([]geom.Point(nil), smoothOpen(long, weight)[pad:pad+n]...)
	return append(out, out[0])
}

// smoothOpen solves the five-banded normal equations by Cholesky's method;
// the first and the last point are held.
func smoothOpen(p []geom.Point, w []float64) []geom.Point {
	n := len(p)
	// Upper bands of A = I + DᵀWD, held rows decoupled below.
	d0, d1, d2 := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range d0 {
		d0[i] = 1
	}
	for i := 1; i < n-1; i++ {
		c := [3]float64{1, -2, 1}
		for a := range 3 {
			d0[i-1+a] += w[i] * c[a] * c[a]
		}
		d1[i-1] += w[i] * c[0] * c[1]
		d1[i] += w[i] * c[1] * c[2]
		d2[i-1] += w[i] * c[0] * c[2]
	}
	b := append([]geom.Point(nil), p...)
	first, last := p[0], p[n-1]
	b[1] = b[1].Sub(first.Scale(d1[0]))
	b[2] = b[2].Sub(first.Scale(d2[0]))
	b[n-2] = b[n-2].Sub(last.Scale(d1[n-2]))
	b[n-3] = b[n-3].Sub(last.Scale(d2[n-3]))
	solveBands(d0[1:n-1], d1[1:n-2], d2[1:n-3], b[1:n-1])
	return b
}

// solveBands solves a symmetric positive definite system with two bands beside
// its diagonal in place (LDLᵀ); d1 and d2 are the first and second band.
func solveBands(d0, d1, d2 []float64, b []geom.Point) {
	n := len(d0)
	for i := range n {
		if i+1 < n {
			l := d1[i] / d0[i]
			d0[i+1] -= l * d1[i]
			b[i+1] = b[i+1].Sub(b[i].Scale(l))
			if i+2 < n {
				d1[i+1] -= l * d2[i]
			}
		}
		if i+2 < n {
			l := d2[i] / d0[i]
			d0[i+2] -= l * d2[i]
			b[i+2] = b[i+2].Sub(b[i].Scale(l))
		}
	}
	for i := n - 1; i >= 0; i-- {
		if i+1 < n {
			b[i] = b[i].Sub(b[i+1].Scale(d1[i]))
		}
		if i+2 < n {
			b[i] = b[i].Sub(b[i+2].Scale(d2[i]))
		}
		b[i] = b[i].Scale(1 / d0[i])
	}
}

// fair smooths a line and, where it bends below the least radius, smooths on
// with more weight there, as long as no point moves by more than its drift.
func fair(p []geom.Point, closed bool, step, radius float64, drift []float64) []geom.Point {
	w := make([]float64, len(p))
	for i := range w {
		w[i] = smoothWeight
	}
	best := smooth(p, closed, w)
	for range bendRounds {
		tight := false
		for i, k := range bends(best, closed, step) {
			if math.Abs(k)*radius > 1 {
				tight = true
				grow(w, i, closed)
			}
		}
		if !tight {
			break
		}
		next := smooth(p, closed, w)
		if farther(next, p, drift) {
			break
		}
		best = next
	}
	return best
}

// grow raises the weights around point i, so that the bend is spread.
func grow(w []float64, i int, closed bool) {
	const reach = 3
	n := len(w)
	for k := i - reach; k <= i+reach; k++ {
		j := k
		if closed {
			j = ((k % (n - 1)) + n - 1) % (n - 1)
		}
		if j >= 0 && j < n && w[j] < 1e4 {
			w[j] *= math.Pow(bendGrowth, 1/float64(reach))
		}
	}
}

func farther(a, b []geom.Point, limit []float64) bool {
	for i := range a {
		if a[i].Dist(b[i]) > limit[i] {
			return true
		}
	}
	return false
}

// all returns n times v.
func all(n int, v float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
}

// bendWindow is how far before and after a point, along the line, the points
// lie that define its radius, mm. It is longer than the steps of sampling,
// whose noise would else be read as bends, and short against the radii that
// matter (above 3 mm, where the arc rises 0.17 mm over it).
const bendWindow = 1.0

// bends returns the signed curvature at each point of a line sampled at equal
// steps: that of the circle through the point and the points bendWindow before
// and after it, positive to the left. Nearer than that to the ends of an open
// line it is zero.
func bends(p []geom.Point, closed bool, step float64) []float64 {
	k := make([]float64, len(p))
	m := max(1, int(math.Round(bendWindow/step)))
	n := len(p)
	for i := range p {
		a, b := i-m, i+m
		if closed && n > 2*m+1 {
			a, b = ((a%(n-1))+n-1)%(n-1), b%(n-1)
		}
		if a < 0 || b >= n {
			continue
		}
		k[i] = threePoint(p[a], p[i], p[b])
	}
	return k
}

// threePoint returns the signed curvature of the circle through three points:
// four times their area over the product of their distances.
func threePoint(a, b, c geom.Point) float64 {
	u, v := b.Sub(a), c.Sub(b)
	den := u.Norm() * v.Norm() * c.Dist(a)
	if den == 0 {
		return 0
	}
	return 2 * u.Cross(v) / den
}
