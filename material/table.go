package material

// nProperties counts what the table holds: E1, E2, G12, nu12, Xc, Yt, Yc, S.
const nProperties = 8

// nIntervals of the table. With 256 cubics the constants of a stated law are
// met to rounding, E1 of any law to 1e-9 and estimated constants across to 1e-5
// of their value, the worst next to no tow at all, where they bend most.
const nIntervals = 256

// table holds cubics c0 + c1·u + c2·u² + c3·u³, u = 0..1 in each interval.
type table struct {
	step   float64
	pieces [][nProperties][4]float64
}

// newTable samples f at equal steps from 0 to end and joins the samples by
// cubic Hermite pieces: continuous with their first derivative.
func newTable(f func(x float64) ([nProperties]float64, error), end float64) (table, error) {
	t := table{step: end / nIntervals, pieces: make([][nProperties][4]float64, nIntervals)}
	samples := make([][nProperties]float64, nIntervals+1)
	for i := range samples {
		v, err := f(end * float64(i) / nIntervals)
		if err != nil {
			return table{}, err
		}
		samples[i] = v
	}
	for k := range nProperties {
		for i := range t.pieces {
			y0, y1 := samples[i][k], samples[i+1][k]
			d0, d1 := slope(samples, k, i), slope(samples, k, i+1)
			t.pieces[i][k] = [4]float64{y0, d0, 3*(y1-y0) - 2*d0 - d1, 2*(y0-y1) + d0 + d1}
		}
	}
	return t, nil
}

// slope is the derivative per step at sample i from the five samples around
// it: fourth order, shifted at the ends.
func slope(s [][nProperties]float64, k, i int) float64 {
	n := len(s) - 1
	y := func(j int) float64 { return s[j][k] }
	switch {
	case i == 0:
		return (-25*y(0) + 48*y(1) - 36*y(2) + 16*y(3) - 3*y(4)) / 12
	case i == 1:
		return (-3*y(0) - 10*y(1) + 18*y(2) - 6*y(3) + y(4)) / 12
	case i == n:
		return (25*y(n) - 48*y(n-1) + 36*y(n-2) - 16*y(n-3) + 3*y(n-4)) / 12
	case i == n-1:
		return (3*y(n) + 10*y(n-1) - 18*y(n-2) + 6*y(n-3) - y(n-4)) / 12
	}
	return (y(i-2) - 8*y(i-1) + 8*y(i+1) - y(i+2)) / 12
}

// locate returns the piece of x and the place within it.
func (t *table) locate(x float64) (i int, u float64) {
	r := x / t.step
	i = min(max(int(r), 0), len(t.pieces)-1)
	return i, r - float64(i)
}

// at writes all properties at x.
func (t *table) at(x float64, p *[nProperties]float64) {
	i, u := t.locate(x)
	for k := range p {
		c := &t.pieces[i][k]
		p[k] = c[0] + u*(c[1]+u*(c[2]+u*c[3]))
	}
}

// elastic writes the first four properties and their slopes at x.
func (t *table) elastic(x float64, p, d *[4]float64) {
	i, u := t.locate(x)
	for k := range p {
		c := &t.pieces[i][k]
		p[k] = c[0] + u*(c[1]+u*(c[2]+u*c[3]))
		d[k] = (c[1] + u*(2*c[2]+3*u*c[3])) / t.step
	}
}
