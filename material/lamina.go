package material

import (
	"fmt"
	"math"
)

// Lamina is the elastic behaviour of one layer in its own axes.
type Lamina struct {
	E1, E2, G12, Nu12 float64
	G13, G23, Nu23    float64
	Alpha1, Alpha2    float64 // 1/K
	Beta1, Beta2      float64 // swelling strain per mass share of moisture
	K1, K2            float64 // heat conductivity along and across, W/(m K)
	Density           float64 // g/mm³
}

// Strength holds the strengths of a layer in its own axes, all positive, MPa.
type Strength struct {
	Xt, Xc, Yt, Yc, S float64
	Sis, Zt           float64 // interlaminar shear, through-thickness tension
}

// Reduced is the plane-stress stiffness Q of a layer in its own axes, MPa.
type Reduced struct{ Q11, Q12, Q22, Q66 float64 }

// Stiffness is a plane-stress stiffness in part axes in the order
// 11, 12, 16, 22, 26, 66: MPa for a layer, N/mm when summed over a thickness.
type Stiffness [6]float64

// Isotropic returns the lamina of a material that is alike in all directions.
func Isotropic(e, nu, alpha, density float64) Lamina {
	g := e / (2 * (1 + nu))
	return Lamina{
		E1: e, E2: e, G12: g, Nu12: nu, G13: g, G23: g, Nu23: nu,
		Alpha1: alpha, Alpha2: alpha, Density: density,
	}
}

// broken is a rule that one constant breaks: which, how, and what to do.
type broken struct{ of, what, remedy string }

// Error says what is broken and what to do.
func (b broken) Error() string {
	if b.remedy == "" {
		return b.what
	}
	return b.what + "; " + b.remedy
}

// Validate reports the first inequality that the elastic constants break, so
// that a stiffness that would give back more energy than was put in is
// refused by name. G13, G23 and Nu23 are judged only where they are given.
//
//	E1, E2, G12 > 0
//	nu12² < E1/E2                      (plane stress)
//	|nu23| < 1
//	1 - nu23 - 2·nu12²·E2/E1 > 0       (body, alike in 2 and 3)
func (l Lamina) Validate() error {
	for _, m := range []struct {
		name  string
		value float64
		must  bool
	}{
		{"E1", l.E1, true}, {"E2", l.E2, true}, {"G12", l.G12, true},
		{"G13", l.G13, false}, {"G23", l.G23, false},
	} {
		given := m.must || m.value != 0
		if given && !(m.value > 0 && m.value < math.Inf(1)) {
			return broken{m.name, fmt.Sprintf("%s = %g MPa breaks %s > 0: a modulus must be positive and finite", m.name, m.value, m.name), ""}
		}
	}
	if !(l.Nu12*l.Nu12 < l.E1/l.E2) {
		return broken{"nu12", fmt.Sprintf("nu12 = %.4g breaks nu12² < E1/E2 = %.4g: the plane stiffness would not be positive", l.Nu12, l.E1/l.E2),
			fmt.Sprintf("lower nu12 below %.4g", math.Sqrt(l.E1/l.E2))}
	}
	if !(math.Abs(l.Nu23) < 1) {
		return broken{"nu23", fmt.Sprintf("nu23 = %.4g breaks |nu23| < 1: the stiffness across the fibres would not be positive", l.Nu23), ""}
	}
	if l.G23 == 0 && l.Nu23 == 0 {
		return nil
	}
	if room := 1 - l.Nu23 - 2*l.Nu12*l.Nu12*l.E2/l.E1; !(room > 0) {
		return broken{"nu23", fmt.Sprintf("nu12 = %.4g and nu23 = %.4g break 1 - nu23 - 2·nu12²·E2/E1 > 0 (it is %.4g): the stiffness of the body would not be positive",
			l.Nu12, l.Nu23, room), "lower nu23 or nu12"}
	}
	return nil
}

// Validate reports a strength that is not positive; Sis and Zt may be zero,
// which means not known.
func (s Strength) Validate() error {
	for _, v := range []struct {
		name  string
		value float64
	}{{"Xt", s.Xt}, {"Xc", s.Xc}, {"Yt", s.Yt}, {"Yc", s.Yc}, {"S", s.S}} {
		if !(v.value > 0 && v.value < math.Inf(1)) {
			return fmt.Errorf("%s = %g MPa: a strength must be positive and finite", v.name, v.value)
		}
	}
	return nil
}

// Reduced returns the plane-stress stiffness in the layer's own axes:
//
//	Q11 = E1/d, Q22 = E2/d, Q12 = nu12·E2/d, Q66 = G12, d = 1 - nu12²·E2/E1
func (l Lamina) Reduced() Reduced {
	d := 1 - l.Nu12*l.Nu12*l.E2/l.E1
	return Reduced{Q11: l.E1 / d, Q12: l.Nu12 * l.E2 / d, Q22: l.E2 / d, Q66: l.G12}
}

// Lamina returns the engineering constants E1, E2, G12, nu12 of a plane
// stiffness, the inverse of Lamina.Reduced.
func (r Reduced) Lamina() Lamina {
	d := r.Q11*r.Q22 - r.Q12*r.Q12
	return Lamina{E1: d / r.Q22, E2: d / r.Q11, G12: r.Q66, Nu12: r.Q12 / r.Q22}
}

// Turn returns the stiffness of a layer whose fibres run at theta (rad,
// counter-clockwise) from the part's x axis.
func (r Reduced) Turn(theta float64) Stiffness {
	s, c := math.Sincos(theta)
	return r.TurnBy(c, s)
}

// TurnBy is Turn for a unit direction given by its cosine and sine.
func (r Reduced) TurnBy(c, s float64) Stiffness {
	c2, s2, cs := c*c, s*s, c*s
	mixed := r.Q12 + 2*r.Q66
	a := r.Q11 - mixed
	b := mixed - r.Q22
	return Stiffness{
		r.Q11*c2*c2 + 2*mixed*c2*s2 + r.Q22*s2*s2,
		(r.Q11+r.Q22-4*r.Q66)*c2*s2 + r.Q12*(c2*c2+s2*s2),
		cs * (a*c2 + b*s2),
		r.Q11*s2*s2 + 2*mixed*c2*s2 + r.Q22*c2*c2,
		cs * (a*s2 + b*c2),
		(r.Q11+r.Q22-2*r.Q12-2*r.Q66)*c2*s2 + r.Q66*(c2*c2+s2*s2),
	}
}

// Mul returns the stress of a strain, both 11, 22, 12 with engineering shear.
func (r Reduced) Mul(e [3]float64) [3]float64 {
	return [3]float64{r.Q11*e[0] + r.Q12*e[1], r.Q12*e[0] + r.Q22*e[1], r.Q66 * e[2]}
}

// Mul returns the stress of a strain, both 11, 22, 12 with engineering shear.
func (k Stiffness) Mul(e [3]float64) [3]float64 {
	return [3]float64{
		k[0]*e[0] + k[1]*e[1] + k[2]*e[2],
		k[1]*e[0] + k[3]*e[1] + k[4]*e[2],
		k[2]*e[0] + k[4]*e[1] + k[5]*e[2],
	}
}

// Add returns k + scale·other: the sum over layers with scale = thickness.
func (k Stiffness) Add(other Stiffness, scale float64) Stiffness {
	for i := range k {
		k[i] += scale * other[i]
	}
	return k
}

// Inverse returns the compliance of a stiffness (or the other way round); ok
// is false when the matrix is not positive definite.
func (k Stiffness) Inverse() (inverse Stiffness, ok bool) {
	a, b, c, d, e, f := k[0], k[1], k[2], k[3], k[4], k[5]
	m0, m1, m2 := d*f-e*e, c*e-b*f, b*e-c*d
	det := a*m0 + b*m1 + c*m2
	if !(a > 0 && a*d-b*b > 0 && det > 0) {
		return Stiffness{}, false
	}
	return Stiffness{m0 / det, m1 / det, m2 / det, (a*f - c*c) / det, (b*c - a*e) / det, (a*d - b*b) / det}, true
}

// TurnStrain returns a strain given in part axes as seen in axes turned by
// theta, engineering shear in and out.
func TurnStrain(e [3]float64, theta float64) [3]float64 {
	s, c := math.Sincos(theta)
	return TurnStrainBy(e, c, s)
}

// TurnStrainBy is TurnStrain for a unit direction given by cosine and sine.
func TurnStrainBy(e [3]float64, c, s float64) [3]float64 {
	cs := c * s
	return [3]float64{
		c*c*e[0] + s*s*e[1] + cs*e[2],
		s*s*e[0] + c*c*e[1] - cs*e[2],
		2*cs*(e[1]-e[0]) + (c*c-s*s)*e[2],
	}
}

// TurnStress returns a stress given in part axes as seen in axes turned by
// theta.
func TurnStress(t [3]float64, theta float64) [3]float64 {
	s, c := math.Sincos(theta)
	cs := c * s
	return [3]float64{
		c*c*t[0] + s*s*t[1] + 2*cs*t[2],
		s*s*t[0] + c*c*t[1] - 2*cs*t[2],
		cs*(t[1]-t[0]) + (c*c-s*s)*t[2],
	}
}
