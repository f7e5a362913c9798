package plate

import (
	"fmt"
	"math"

	"sinew/material"
)

// Section is what the plate is made of at each integration point, summed up
// over its thickness about the reference plane z = 0. A slice of length one
// holds everywhere; a nil one of those that may be missing means none.
type Section struct {
	Stiff []material.ABD
	Shear [][3]float64 // transverse shear 44, 45, 55, N/mm, correction factor included
	Mass  [][3]float64 // density times 1, z, z², over the thickness: g/mm², g/mm, g
	// Force and moment per width of a fully held plate: per kelvin of an even
	// change of temperature, and per K/mm of one that grows with z.
	ThermalForce, ThermalMoment   [][3]float64
	GradientForce, GradientMoment [][3]float64
	Foundation                    []float64 // N/mm³: force per area and deflection
}

// FromLaminate returns the section of one stack all over the plan.
func FromLaminate(l *material.Laminate) Section {
	s := Section{Stiff: []material.ABD{l.Stiff}, Shear: [][3]float64{l.Shear},
		ThermalForce: [][3]float64{l.ThermalForce}, ThermalMoment: [][3]float64{l.ThermalMoment}, GradientForce: [][3]float64{l.ThermalMoment}}
	var mass, second [3]float64
	for i, y := range l.Layers {
		low, high := l.Heights[i], l.Heights[i+1]
		h, m, d := high-low, (high*high-low*low)/2, (high*high*high-low*low*low)/3
		mass[0] += h * y.Ply.Lamina.Density
		mass[1] += m * y.Ply.Lamina.Density
		mass[2] += d * y.Ply.Lamina.Density
		sn, c := math.Sincos(y.Theta)
		q := y.Ply.Q.TurnBy(c, sn)
		heat := q.Mul(material.TurnStrainBy([3]float64{y.Ply.Lamina.Alpha1, y.Ply.Lamina.Alpha2, 0}, c, -sn))
		for k := range second {
			second[k] += d * heat[k]
		}
	}
	s.Mass, s.GradientMoment = [][3]float64{mass}, [][3]float64{second}
	return s
}

// Homogeneous returns the section of one orthotropic material of thickness t
// whose middle lies in the reference plane.
func Homogeneous(l material.Lamina, t float64) Section {
	q := l.Reduced().Turn(0)
	s := Section{Stiff: make([]material.ABD, 1)}
	s.Stiff[0].A = s.Stiff[0].A.Add(q, t)
	s.Stiff[0].D = s.Stiff[0].D.Add(q, t*t*t/12)
	s.Shear = [][3]float64{{shearCorrection * t * l.G23, 0, shearCorrection * t * l.G13}}
	s.Mass = [][3]float64{{l.Density * t, 0, l.Density * t * t * t / 12}}
	heat := q.Mul([3]float64{l.Alpha1, l.Alpha2, 0})
	s.ThermalForce = [][3]float64{scaled(heat, t)}
	s.GradientMoment = [][3]float64{scaled(heat, t*t*t/12)}
	return s
}

// shearCorrection is the factor of first-order shear theory for a parabola of
// shear stress over the thickness: Reissner, J. Appl. Mech. 12 (1945) A69.
const shearCorrection = 5.0 / 6

func scaled(v [3]float64, s float64) [3]float64 { return [3]float64{s * v[0], s * v[1], s * v[2]} }

// pick returns the entry of a point.
func pick[T any](list []T, point int) (v T) {
	switch len(list) {
	case 0:
		return v
	case 1:
		return list[0]
	}
	return list[point]
}

// law is the relation of strains and resultants at a point.
type law struct {
	abd   *material.ABD
	shear [3]float64
}

func (s *Section) at(point int) law {
	l := law{&s.Stiff[0], s.Shear[0]}
	if len(s.Stiff) > 1 {
		l.abd = &s.Stiff[point]
	}
	if len(s.Shear) > 1 {
		l.shear = s.Shear[point]
	}
	return l
}

// row returns row r of a plane stiffness.
func row(k *material.Stiffness, r int8) [3]float64 {
	switch r {
	case 0:
		return [3]float64{k[0], k[1], k[2]}
	case 1:
		return [3]float64{k[1], k[3], k[4]}
	}
	return [3]float64{k[2], k[4], k[5]}
}

// stiff is a law as a matrix over the eight strains.
type stiff [strains][strains]float64

// matrix returns w times the law.
func (l *law) matrix(w float64) (m stiff) {
	for r := range int8(3) {
		a, b, d := row(&l.abd.A, r), row(&l.abd.B, r), row(&l.abd.D, r)
		for c := range 3 {
			m[r][c], m[r][3+c] = w*a[c], w*b[c]
			m[3+r][c], m[3+r][3+c] = w*b[c], w*d[c]
		}
	}
	m[6][6], m[6][7], m[7][6], m[7][7] = w*l.shear[2], w*l.shear[1], w*l.shear[1], w*l.shear[0]
	return m
}

// times returns the resultants of a column.
func (m *stiff) times(c *column) (f [strains]float64) {
	for k := range c.n {
		v, r := c.value[k], &m[c.index[k]]
		for i := range f {
			f[i] += v * r[i]
		}
	}
	return f
}

// resultant returns forces, moments and shear forces per width of strains.
func (l *law) resultant(e *[strains]float64) (f [strains]float64) {
	eps, kap := [3]float64{e[0], e[1], e[2]}, [3]float64{e[3], e[4], e[5]}
	n, nb := l.abd.A.Mul(eps), l.abd.B.Mul(kap)
	m, mb := l.abd.D.Mul(kap), l.abd.B.Mul(eps)
	for d := range 3 {
		f[d], f[3+d] = n[d]+nb[d], m[d]+mb[d]
	}
	f[6] = l.shear[2]*e[6] + l.shear[1]*e[7]
	f[7] = l.shear[1]*e[6] + l.shear[0]*e[7]
	return f
}

// heat returns the resultants of a fully held plate at a point.
func (s *Section) heat(point int, deltaT, gradient float64) (f [strains]float64) {
	n, m := pick(s.ThermalForce, point), pick(s.ThermalMoment, point)
	gn, gm := pick(s.GradientForce, point), pick(s.GradientMoment, point)
	for d := range 3 {
		f[d] = deltaT*n[d] + gradient*gn[d]
		f[3+d] = deltaT*m[d] + gradient*gm[d]
	}
	return f
}

// Validate reports the first point whose stiffness would give back more
// energy than was put in, or a slice of the wrong length, for a mesh with so
// many integration points.
func (s *Section) Validate(points int) error {
	for _, l := range []struct {
		name string
		n    int
		must bool
	}{
		{"stiffnesses", len(s.Stiff), true}, {"shear stiffnesses", len(s.Shear), true}, {"masses", len(s.Mass), false},
		{"thermal forces", len(s.ThermalForce), false}, {"thermal moments", len(s.ThermalMoment), false},
		{"gradient forces", len(s.GradientForce), false}, {"gradient moments", len(s.GradientMoment), false},
		{"foundations", len(s.Foundation), false},
	} {
		if l.n != points && l.n != 1 && (l.must || l.n != 0) {
			return fmt.Errorf("section has %d %s: give one, or one for each of the %d integration points", l.n, l.name, points)
		}
	}
	for i := range s.Stiff {
		if _, ok := s.Stiff[i].Inverse(); !ok || math.IsInf(s.Stiff[i].A[0]+s.Stiff[i].D[0], 0) {
			return fmt.Errorf("stiffness at integration point %d is not positive definite", i)
		}
	}
	for i, k := range s.Shear {
		if !(k[0] > 0 && k[2] > 0 && k[0]*k[2] > k[1]*k[1]) {
			return fmt.Errorf("transverse shear stiffness at integration point %d is not positive definite: %g", i, k)
		}
	}
	for i, m := range s.Mass {
		if !(m[0] >= 0 && m[2] >= 0) {
			return fmt.Errorf("mass at integration point %d is negative: %g", i, m)
		}
	}
	for i, k := range s.Foundation {
		if !(k >= 0) || math.IsInf(k, 0) {
			return fmt.Errorf("foundation at integration point %d is %g N/mm³: it must be finite and not negative", i, k)
		}
	}
	return nil
}
