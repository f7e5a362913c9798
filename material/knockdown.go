package material

import "fmt"

// KnockDown is a named reason to count on less than was measured or
// estimated: damage, environment, fatigue, long-term load. Each factor lies
// in 0..1; 0 means 1, untouched.
type KnockDown struct {
	ID, Title                      string
	FibreTension, FibreCompression float64
	Matrix, Interlaminar           float64
	Stiffness                      float64
	Sources                        []Provenance
}

// Validate reports a factor outside 0..1.
func (k KnockDown) Validate() error {
	for _, v := range []struct {
		name  string
		value float64
	}{
		{"fibre tension", k.FibreTension}, {"fibre compression", k.FibreCompression},
		{"matrix", k.Matrix}, {"interlaminar", k.Interlaminar}, {"stiffness", k.Stiffness},
	} {
		if !(v.value >= 0 && v.value <= 1) {
			return fmt.Errorf("knock-down %s: factor %g on %s must lie in 0..1", k.ID, v.value, v.name)
		}
	}
	return nil
}

// combine multiplies knock-downs; factors left out count as 1.
func combine(list []KnockDown) KnockDown {
	r := KnockDown{FibreTension: 1, FibreCompression: 1, Matrix: 1, Interlaminar: 1, Stiffness: 1}
	times := func(a *float64, f float64) {
		if f != 0 {
			*a *= f
		}
	}
	for _, k := range list {
		times(&r.FibreTension, k.FibreTension)
		times(&r.FibreCompression, k.FibreCompression)
		times(&r.Matrix, k.Matrix)
		times(&r.Interlaminar, k.Interlaminar)
		times(&r.Stiffness, k.Stiffness)
	}
	return r
}

// MeasuredBead holds figures of the user's own bead, measured at one spacing;
// 0 means not measured. Each replaces the estimate there and scales it at
// other spacings.
type MeasuredBead struct {
	Spacing           float64 // mm, of the coupons
	E1, E2, G12, Nu12 float64
	Xt, Xc, Yt, Yc, S float64
	Sis, Zt           float64
	Sources           []Provenance
}

// scales returns measured over estimated for each figure, 1 where nothing was
// measured.
func (m MeasuredBead) scales(l *Law) (MeasuredBead, error) {
	one := MeasuredBead{E1: 1, E2: 1, G12: 1, Nu12: 1, Xt: 1, Xc: 1, Yt: 1, Yc: 1, S: 1, Sis: 1, Zt: 1}
	for _, p := range m.figures() {
		if p.value < 0 {
			return one, fmt.Errorf("measured %s = %g must be positive", p.name, p.value)
		}
	}
	if !m.anyMeasured() {
		return one, nil
	}
	if rho := 1 / m.Spacing; !(m.Spacing > 0) || rho < l.rhoMin*(1-spacingSlack) || rho > l.rhoMax*(1+spacingSlack) {
		return one, fmt.Errorf("measured bead: spacing %g mm must lie between %.4g and %.4g mm, the limits of printer and tow",
			m.Spacing, 1/l.rhoMax, 1/l.rhoMin)
	}
	e, s := l.make.at(1 / m.Spacing)
	pick := func(measured, estimated float64) float64 {
		if measured == 0 {
			return 1
		}
		return measured / estimated
	}
	// A measured strength along the fibres is turned to a strain with the
	// modulus that holds after scaling.
	modulus := pick(m.E1, e.E1)
	return MeasuredBead{
		E1: modulus, E2: pick(m.E2, e.E2), G12: pick(m.G12, e.G12), Nu12: pick(m.Nu12, e.Nu12),
		Xt: pick(m.Xt, s.Xt*modulus), Xc: pick(m.Xc, s.Xc*modulus),
		Yt: pick(m.Yt, s.Yt), Yc: pick(m.Yc, s.Yc), S: pick(m.S, s.S),
		Sis: pick(m.Sis, s.Sis), Zt: pick(m.Zt, s.Zt),
	}, nil
}

// spacingSlack lets a coupon printed at the very limit of spacing pass.
const spacingSlack = 1e-6

// figure is one named number with its unit.
type figure struct {
	name  string
	value float64
	unit  string
}

func (m MeasuredBead) figures() []figure {
	return []figure{
		{"E1", m.E1, "MPa"}, {"E2", m.E2, "MPa"}, {"G12", m.G12, "MPa"}, {"nu12", m.Nu12, ""},
		{"Xt", m.Xt, "MPa"}, {"Xc", m.Xc, "MPa"}, {"Yt", m.Yt, "MPa"}, {"Yc", m.Yc, "MPa"}, {"S", m.S, "MPa"},
		{"Sis", m.Sis, "MPa"}, {"Zt", m.Zt, "MPa"},
	}
}

// scaledRecipe is a recipe with measured figures and knock-downs applied.
type scaledRecipe struct {
	recipe
	scale MeasuredBead
	down  KnockDown
}

func (r scaledRecipe) at(rho float64) (Lamina, Strength) {
	e, s := r.recipe.at(rho)
	f, d := r.scale, r.down
	e.E1 *= f.E1 * d.Stiffness
	e.E2 *= f.E2 * d.Stiffness
	e.G12 *= f.G12 * d.Stiffness
	e.G13 *= f.G12 * d.Stiffness
	e.G23 *= d.Stiffness * f.E2
	e.Nu12 *= f.Nu12
	s.Xt *= f.Xt * f.E1 * d.FibreTension * d.Stiffness
	s.Xc *= f.Xc * f.E1 * d.FibreCompression * d.Stiffness
	s.Yt *= f.Yt * d.Matrix
	s.Yc *= f.Yc * d.Matrix
	s.S *= f.S * d.Matrix
	s.Sis *= f.Sis * d.Interlaminar
	s.Zt *= f.Zt * d.Interlaminar
	return e, s
}

func (m MeasuredBead) anyMeasured() bool {
	for _, f := range m.figures() {
		if f.value != 0 {
			return true
		}
	}
	return false
}
