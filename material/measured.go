package material

import (
	"errors"
	"fmt"
)

// MeasuredBead holds figures of the user's own bead, measured at one spacing
// and in one state; 0 (nil for expansions, which may be 0) means not measured.
// Each replaces the estimate there. At other spacings and in other states the
// estimate tells how it changes: moduli and strengths by its ratio, expansions
// and conductivities by its difference.
type MeasuredBead struct {
	Spacing                float64 // mm, of the coupons
	State                  *State  // of the coupons; nil: that of the law
	E1, E2, G12, G23, Nu12 float64
	Xt, Xc, Yt, Yc, S      float64
	Sis, Zt                float64
	K1, K2                 float64  // heat conductivity, W/(m K)
	Alpha1, Alpha2         *float64 // 1/K
	Beta1, Beta2           *float64 // strain per mass share of moisture
	Sources                []Provenance
}

// Validate reports figures that are not positive, and constants that break an
// inequality among themselves.
func (m MeasuredBead) Validate() error {
	var errs []error
	for _, p := range m.figures() {
		if p.value < 0 {
			errs = append(errs, broken{p.name, fmt.Sprintf("measured %s = %g must be positive", p.name, p.value), ""})
		}
	}
	if m.Spacing == 0 && m.anyMeasured() {
		errs = append(errs, broken{"spacing", "spacing is missing", "state the spacing at which the figures were measured, such as 1.0 mm"})
	}
	if m.E1 > 0 && m.E2 > 0 && !(m.Nu12*m.Nu12 < m.E1/m.E2) {
		errs = append(errs, broken{"nu12", fmt.Sprintf("nu12 = %.4g breaks nu12² < E1/E2 = %.4g: the plane stiffness would not be positive", m.Nu12, m.E1/m.E2), ""})
	}
	return errors.Join(errs...)
}

// figure is one named number with its unit.
type figure struct {
	name  string
	value float64
	unit  string
}

// figures lists what scales the estimate.
func (m MeasuredBead) figures() []figure {
	return []figure{
		{"E1", m.E1, "MPa"}, {"E2", m.E2, "MPa"}, {"G12", m.G12, "MPa"}, {"G23", m.G23, "MPa"}, {"nu12", m.Nu12, ""},
		{"Xt", m.Xt, "MPa"}, {"Xc", m.Xc, "MPa"}, {"Yt", m.Yt, "MPa"}, {"Yc", m.Yc, "MPa"}, {"S", m.S, "MPa"},
		{"Sis", m.Sis, "MPa"}, {"Zt", m.Zt, "MPa"}, {"k1", m.K1, "W/(m·K)"}, {"k2", m.K2, "W/(m·K)"},
	}
}

// has reports whether a figure was measured.
func (m MeasuredBead) has(name string) bool {
	switch name {
	case "alpha1":
		return m.Alpha1 != nil
	case "alpha2":
		return m.Alpha2 != nil
	case "beta1":
		return m.Beta1 != nil
	case "beta2":
		return m.Beta2 != nil
	}
	for _, f := range m.figures() {
		if f.name == name {
			return f.value != 0
		}
	}
	return false
}

func (m MeasuredBead) anyMeasured() bool {
	for _, f := range m.figures() {
		if f.value != 0 {
			return true
		}
	}
	return m.Alpha1 != nil || m.Alpha2 != nil || m.Beta1 != nil || m.Beta2 != nil
}

// scaling is what measured figures make of estimated ones.
type scaling struct {
	by             MeasuredBead // factors, 1 where nothing was measured
	alpha1, alpha2 float64      // added, 1/K
	beta1, beta2   float64      // added
	k1, k2         float64      // added, W/(m K)
}

// scaling compares the measured figures with a recipe in the state of the
// coupons; rhoMin and rhoMax are the limits of printer and tow.
func (m MeasuredBead) scaling(r recipe, rhoMin, rhoMax float64) (scaling, error) {
	one := scaling{by: MeasuredBead{
		E1: 1, E2: 1, G12: 1, G23: 1, Nu12: 1, Xt: 1, Xc: 1, Yt: 1, Yc: 1, S: 1, Sis: 1, Zt: 1,
	}}
	if err := m.Validate(); err != nil || !m.anyMeasured() {
		return one, err
	}
	if rho := 1 / m.Spacing; rho < rhoMin*(1-spacingSlack) || rho > rhoMax*(1+spacingSlack) {
		return one, fmt.Errorf("measured bead: spacing %g mm must lie between %.4g and %.4g mm, the limits of printer and tow",
			m.Spacing, 1/rhoMax, 1/rhoMin)
	}
	e, s := r.at(1 / m.Spacing)
	pick := func(measured, estimated float64) float64 {
		if measured == 0 {
			return 1
		}
		return measured / estimated
	}
	shift := func(measured *float64, estimated float64) float64 {
		if measured == nil {
			return 0
		}
		return *measured - estimated
	}
	conduct := func(measured, estimated float64) float64 {
		if measured == 0 {
			return 0
		}
		return measured - estimated
	}
	// A measured strength along the fibres is turned to a strain with the
	// modulus that holds after scaling; a measured G23 stands beside a scaled E2.
	modulus, across := pick(m.E1, e.E1), pick(m.E2, e.E2)
	// Strengths between the layers are shares of S and Yt, and follow them where
	// they were not measured themselves.
	shear, tension := pick(m.S, s.S), pick(m.Yt, s.Yt)
	return scaling{
		by: MeasuredBead{
			E1: modulus, E2: across, G12: pick(m.G12, e.G12), G23: pick(m.G23, e.G23*across), Nu12: pick(m.Nu12, e.Nu12),
			Xt: pick(m.Xt, s.Xt*modulus), Xc: pick(m.Xc, s.Xc*modulus),
			Yt: tension, Yc: pick(m.Yc, s.Yc), S: shear,
			Sis: shear * pick(m.Sis, s.Sis*shear), Zt: tension * pick(m.Zt, s.Zt*tension),
		},
		alpha1: shift(m.Alpha1, e.Alpha1), alpha2: shift(m.Alpha2, e.Alpha2),
		beta1: shift(m.Beta1, e.Beta1), beta2: shift(m.Beta2, e.Beta2),
		k1: conduct(m.K1, e.K1), k2: conduct(m.K2, e.K2),
	}, nil
}

// spacingSlack lets a coupon printed at the very limit of spacing pass.
const spacingSlack = 1e-6

// scaledRecipe is a recipe with measured figures and knock-downs applied.
type scaledRecipe struct {
	recipe
	scale scaling
	down  KnockDown
}

func (r scaledRecipe) at(rho float64) (Lamina, Strength) {
	e, s := r.recipe.at(rho)
	f, d := r.scale.by, r.down
	e.E1 *= f.E1 * d.Stiffness
	e.E2 *= f.E2 * d.Stiffness
	e.G12 *= f.G12 * d.Stiffness
	e.G13 *= f.G12 * d.Stiffness
	e.G23 *= d.Stiffness * f.E2 * f.G23
	e.Nu12 *= f.Nu12
	if f.G23 != 1 {
		e.Nu23 = e.E2/(2*e.G23) - 1
	}
	e.K1, e.K2 = e.K1+r.scale.k1, e.K2+r.scale.k2
	e.Alpha1, e.Alpha2 = e.Alpha1+r.scale.alpha1, e.Alpha2+r.scale.alpha2
	e.Beta1, e.Beta2 = e.Beta1+r.scale.beta1, e.Beta2+r.scale.beta2
	s.Xt *= f.Xt * f.E1 * d.FibreTension * d.Stiffness
	s.Xc *= f.Xc * f.E1 * d.FibreCompression * d.Stiffness
	s.Yt *= f.Yt * d.Matrix
	s.Yc *= f.Yc * d.Matrix
	s.S *= f.S * d.Matrix
	s.Sis *= f.Sis * d.Interlaminar
	s.Zt *= f.Zt * d.Interlaminar
	return e, s
}
