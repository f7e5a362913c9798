package field

import "math"

// descent is the limited-memory method of Broyden, Fletcher, Goldfarb and
// Shanno: Nocedal, Math. Comput. 35 (1980) 773, the two-loop recursion.
type descent struct {
	s, y   [][]float64
	rho    []float64
	memory int
}

// curvatureLeast is the least cosine between step and change of gradient that
// is taken up; below it the pair says nothing about curvature.
const curvatureLeast = 1e-10

// direction returns -H·g.
func (d *descent) direction(g []float64) []float64 {
	q := append([]float64(nil), g...)
	alpha := make([]float64, len(d.s))
	for i := len(d.s) - 1; i >= 0; i-- {
		alpha[i] = d.rho[i] * dot(d.s[i], q)
		axpy(q, -alpha[i], d.y[i])
	}
	if k := len(d.s) - 1; k >= 0 {
		scale := 1 / (d.rho[k] * dot(d.y[k], d.y[k]))
		for i := range q {
			q[i] *= scale
		}
	}
	for i := range d.s {
		axpy(q, alpha[i]-d.rho[i]*dot(d.y[i], q), d.s[i])
	}
	for i := range q {
		q[i] = -q[i]
	}
	return q
}

// learn takes up a step and the change of the gradient along it.
func (d *descent) learn(s, y []float64) {
	sy := dot(s, y)
	if sy <= curvatureLeast*math.Sqrt(dot(s, s)*dot(y, y)) {
		return
	}
	if len(d.s) == d.memory {
		d.s, d.y, d.rho = d.s[1:], d.y[1:], d.rho[1:]
	}
	d.s, d.y, d.rho = append(d.s, s), append(d.y, y), append(d.rho, 1/sy)
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}

func axpy(y []float64, a float64, x []float64) {
	for i, v := range x {
		y[i] += a * v
	}
}
