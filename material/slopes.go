package material

import "math"

// IndexSlopes is Indices (fibre tension, fibre compression, matrix) with the
// derivatives by the three strains and by rho, for optimisers. Where an index
// has a kink (a fibre without strain, a layer without stress across it) one
// side's slope is returned. It allocates nothing.
func (l *Law) IndexSlopes(rho float64, strain [3]float64) (v [3]float64, slope [3][4]float64) {
	x, dx := l.capped(rho)
	var p, d [nProperties]float64
	l.table.slopes(x, &p, &d)
	for k := range d {
		d[k] *= dx
	}
	if rho >= hiddenShare*l.rhoMin {
		v[0], v[1], slope[0], slope[1] = l.fibreSlopes(strain[0], &p, &d)
	}
	v[2], slope[2] = matrixSlopes(strain, &p, &d)
	return v, slope
}

func (l *Law) fibreSlopes(e float64, p, d *[nProperties]float64) (ft, fc float64, dt, dc [4]float64) {
	if e > 0 {
		dt[0] = 1 / l.et
		return e / l.et, 0, dt, dc
	}
	e1, xc := p[0], p[4]
	dc[0] = -e1 / xc
	dc[3] = -e * (d[0]*xc - e1*d[4]) / (xc * xc)
	return 0, -e * e1 / xc, dt, dc
}

func matrixSlopes(e [3]float64, p, d *[nProperties]float64) (m float64, dm [4]float64) {
	e1, e2, g, nu := p[0], p[1], p[2], p[3]
	ratio := e2 / e1
	full := 1 - nu*nu*ratio
	dFull := -(2*nu*d[3]*ratio + nu*nu*(d[1]-ratio*d[0])/e1)
	across, sum := e2/full, nu*e[0]+e[1]
	s2 := across * sum
	y, dy := p[5], d[5]
	if s2 < 0 {
		y, dy = p[6], d[6]
	}
	a, b := s2/y, g*e[2]/p[7]
	m = math.Hypot(a, b)
	if m == 0 {
		return 0, dm
	}
	ds2 := (d[1]-across*dFull)/full*sum + across*d[3]*e[0]
	dm[0] = a / m * across * nu / y
	dm[1] = a / m * across / y
	dm[2] = b / m * g / p[7]
	dm[3] = a/m*(ds2-a*dy)/y + b/m*(d[2]*e[2]-b*d[7])/p[7]
	return m, dm
}

// slopes writes all properties and their derivatives at x.
func (t *table) slopes(x float64, p, d *[nProperties]float64) {
	i, u := t.locate(x)
	for k := range p {
		c := &t.pieces[i][k]
		p[k] = c[0] + u*(c[1]+u*(c[2]+u*c[3]))
		d[k] = (c[1] + u*(2*c[2]+3*u*c[3])) / t.step
	}
}
