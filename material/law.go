package material

import (
	"errors"
	"fmt"
	"math"
)

// Law is the bead as a function of strands per mm (rho): what a layer weighs,
// carries and stands. It is immutable and safe for several goroutines.
//
// Behind it stands a table of cubics over rho, so that Reduced and its
// derivative agree to rounding whatever method made the constants. Above
// RhoMax, where the printer can lay no more, the fibre stays what it is there,
// with a smooth bend.
type Law struct {
	settings LawSettings
	make     recipe
	scale    scaling
	bead     Bead
	plastic  PlasticState
	table    table
	growth   [nIntervals + 1][2]float64 // expansion along and across, 1/K, over strands per mm
	rhoMin   float64
	rhoMax   float64
	et, ec   float64 // fibre failure strains
}

// LawSettings says what a bead is made of. Tow, Plastic, State, Height,
// SpacingMin and SpacingMax must be given; the rest has defaults.
type LawSettings struct {
	Tow     Tow
	Plastic Plastic
	State   State
	// Height of a composite layer, mm; SpacingMin and SpacingMax of the
	// printer, mm; TowShareMax is the greatest volume share of tow that still
	// prints, 0 means 1.
	Height, SpacingMin, SpacingMax, TowShareMax float64
	// Estimate chooses how constants are estimated.
	Estimate Estimate
	// Explicit replaces the estimate by a stated law; nil means none.
	Explicit *Explicit
	// Measured figures of the user's own bead replace estimated ones.
	Measured MeasuredBead
	// Notch holds the distances of the criteria at holes.
	Notch Notch
	// KnockDowns multiply strengths and stiffness.
	KnockDowns []KnockDown
}

// recipe gives the constants of the bead at a number of strands per mm up to
// the printer's limit.
type recipe interface {
	at(rho float64) (Lamina, Strength)
	strains() (tension, compression float64)
	// accounts says of each figure by name how the recipe came to it.
	accounts(rho float64) map[string]account
}

// NewLaw returns the law of a bead, or an error that lists all that is wrong
// with the settings.
func NewLaw(s LawSettings) (*Law, error) {
	s = s.withExplicitTow()
	if err := s.validate(); err != nil {
		return nil, err
	}
	l := &Law{settings: s, bead: Bead{Tow: s.Tow, PlasticDensity: s.Plastic.Density, VoidShare: s.Estimate.VoidShare}}
	l.rhoMax = 1 / l.bead.LeastSpacing(s.Height, s.SpacingMin, s.TowShareMax)
	l.rhoMin = 1 / s.SpacingMax
	if l.rhoMin >= l.rhoMax {
		return nil, fmt.Errorf("no spacing is left: the tow needs %.4g mm or more in a layer of %g mm, the printer allows up to %g mm",
			1/l.rhoMax, s.Height, s.SpacingMax)
	}
	state, err := s.Plastic.In(s.State)
	if err != nil {
		return nil, err
	}
	l.plastic = state
	if err := l.finish(); err != nil {
		return nil, err
	}
	return l, nil
}

// recipeIn returns the recipe of the settings with the plastic in a state.
func (l *Law) recipeIn(now PlasticState) (recipe, error) {
	s := l.settings
	if s.Explicit == nil {
		return newEstimateRecipe(s, now, l.rhoMin), nil
	}
	stated := now
	if s.Explicit.State != nil {
		var err error
		if stated, err = s.Plastic.In(*s.Explicit.State); err != nil {
			return nil, err
		}
	}
	return explicitRecipe{newTwoSteps(s, now), s, changeOf(now, stated)}, nil
}

// scaling compares the measured figures with the recipe in their own state.
func (l *Law) scaling() (scaling, error) {
	m := l.settings.Measured
	state := l.settings.State
	if m.State != nil {
		state = *m.State
	}
	then, err := l.settings.Plastic.In(state)
	if err != nil {
		return scaling{}, err
	}
	r, err := l.recipeIn(then)
	if err != nil {
		return scaling{}, err
	}
	return m.scaling(r, l.rhoMin, l.rhoMax)
}

func (s LawSettings) validate() error {
	var errs []error
	if err := s.Tow.Validate(); err != nil {
		errs = append(errs, fmt.Errorf("tow %s: %w", s.Tow.ID, err))
	}
	if !isPositive(s.Plastic.Density) {
		errs = append(errs, fmt.Errorf("plastic %s: density %g g/mm³ must be positive", s.Plastic.ID, s.Plastic.Density))
	}
	for _, v := range []struct {
		name  string
		value float64
	}{{"layer height", s.Height}, {"least spacing", s.SpacingMin}, {"greatest spacing", s.SpacingMax}} {
		if !isPositive(v.value) {
			errs = append(errs, fmt.Errorf("%s %g mm must be positive", v.name, v.value))
		}
	}
	if s.TowShareMax < 0 || s.TowShareMax > 1 {
		errs = append(errs, fmt.Errorf("greatest tow share %g must lie in 0..1", s.TowShareMax))
	}
	if s.Estimate.VoidShare < 0 || s.Estimate.VoidShare > maxVoids {
		errs = append(errs, fmt.Errorf("void share %g must lie in 0..%g", s.Estimate.VoidShare, maxVoids))
	}
	if s.Explicit != nil {
		errs = append(errs, s.Explicit.Validate())
	}
	for _, k := range s.KnockDowns {
		errs = append(errs, k.Validate())
	}
	return errors.Join(errs...)
}

// maxVoids is where a bead is a sponge and none of the formulas holds.
const maxVoids = 0.5

// withExplicitTow lets a stated law bring its own areas.
func (s LawSettings) withExplicitTow() LawSettings {
	if s.Explicit == nil {
		return s
	}
	if s.Explicit.FibreArea > 0 {
		s.Tow.FibreArea = s.Explicit.FibreArea
	}
	if s.Explicit.TowArea > 0 {
		s.Tow.Area = s.Explicit.TowArea
	}
	return s
}

// finish applies measured figures and knock-downs, fills the table and checks
// each of its points.
func (l *Law) finish() error {
	s := l.settings
	down := combine(s.KnockDowns)
	var err error
	if l.make, err = l.recipeIn(l.plastic); err != nil {
		return err
	}
	if l.scale, err = l.scaling(); err != nil {
		return err
	}
	l.et, l.ec = l.make.strains()
	l.et *= l.scale.by.Xt * down.FibreTension
	l.ec *= l.scale.by.Xc * down.FibreCompression
	l.make = scaledRecipe{l.make, l.scale, down}
	l.table, err = newTable(func(rho float64) ([nProperties]float64, error) {
		e, x := l.make.at(rho)
		if err := errors.Join(e.Validate(), x.Validate()); err != nil {
			return [nProperties]float64{}, fmt.Errorf("bead at %.4g strands per mm: %w", rho, err)
		}
		return [nProperties]float64{e.E1, e.E2, e.G12, e.Nu12, x.Xc, x.Yt, x.Yc, x.S}, nil
	}, l.rhoMax)
	if err != nil {
		return err
	}
	for i := range l.growth {
		e, _ := l.make.at(l.rhoMax * float64(i) / nIntervals)
		l.growth[i] = [2]float64{e.Alpha1, e.Alpha2}
	}
	return nil
}

// Expansion returns the thermal expansion along and across at rho strands per
// mm, 1/K, within 1e-4 of that of Lamina and at a hundredth of the cost.
func (l *Law) Expansion(rho float64) (along, across float64) {
	x, _ := l.capped(rho)
	f := x / l.rhoMax * nIntervals
	i := min(int(f), nIntervals-1)
	u, a, b := f-float64(i), l.growth[i], l.growth[i+1]
	return a[0] + u*(b[0]-a[0]), a[1] + u*(b[1]-a[1])
}

// ExpansionSlopes returns the derivatives of Expansion by rho, those of its own
// pieces between the places where it is exact.
func (l *Law) ExpansionSlopes(rho float64) (along, across float64) {
	x, dx := l.capped(rho)
	i := min(int(x/l.rhoMax*nIntervals), nIntervals-1)
	scale := dx * nIntervals / l.rhoMax
	a, b := l.growth[i], l.growth[i+1]
	return scale * (b[0] - a[0]), scale * (b[1] - a[1])
}

// KnockDowns returns the knock-downs that the law's figures hold already, and
// their product.
func (l *Law) KnockDowns() (list []KnockDown, product KnockDown) {
	return l.settings.KnockDowns, combine(l.settings.KnockDowns)
}

// Height of a layer, mm.
func (l *Law) Height() float64 { return l.settings.Height }

// RhoMin is the least number of strands per mm that the printer lays.
func (l *Law) RhoMin() float64 { return l.rhoMin }

// RhoMax is the greatest number of strands per mm that fit.
func (l *Law) RhoMax() float64 { return l.rhoMax }

// TowArea is the cross-section of the tow, mm².
func (l *Law) TowArea() float64 { return l.settings.Tow.Area }

// FibreArea is the cross-section of dry fibre in the tow, mm².
func (l *Law) FibreArea() float64 { return l.settings.Tow.FibreArea }

// FibreStrain returns the strains along the fibres, both positive, at which
// they fail in tension and in compression. Tension fails at one strain whatever
// the spacing; in compression an estimated bead's strain Xc/E1 grows with the
// spacing, and the least between the printer's limits is returned.
func (l *Law) FibreStrain() (tension, compression float64) { return l.et, l.ec }

// Tow returns the tow the law was made from.
func (l *Law) Tow() Tow { return l.settings.Tow }

// Plastic returns the plastic the law was made from.
func (l *Law) Plastic() Plastic { return l.settings.Plastic }

// Notch returns the characteristic distances of the criteria at holes, mm.
func (l *Law) Notch() Notch { return l.settings.Notch.OrDefault() }

// capWidth is the half-width, as a share of RhoMax, of the bend with which
// the fibre stops to grow at RhoMax. It lies outside 0.95·RhoMax, up to which
// a field is planned, so that planned densities are met exactly.
const capWidth = 0.045

// PlasticState is the plastic in the law's surroundings; its Above says when
// they are too hot for it.
func (l *Law) PlasticState() PlasticState { return l.plastic }

// Bounds returns what the bead's constants can be at most and at least at rho
// strands per mm, whatever the arrangement of filaments in the resin and of
// tows in the plastic: HashinRosen in both steps, the second from the bounds of
// the first. Nu12, which does not rise with the phases, takes the widest of
// their pairs.
func (l *Law) Bounds(rho float64) Bounds {
	x, _ := l.capped(rho)
	s := l.settings
	t := s.Tow.Bounds()
	plastic := porous(l.plastic.Phase, s.Estimate.VoidShare)
	c := s.Tow.Area * x / s.Height
	low, high := HashinRosen(t.Lower.with(t.Upper.Nu12), plastic, c), HashinRosen(t.Upper.with(t.Lower.Nu12), plastic, c)
	r := Bounds{Lower: low.Lower, Upper: high.Upper}
	for _, f := range []Phase{t.Lower, t.Upper} {
		for _, nu := range []float64{t.Lower.Nu12, t.Upper.Nu12} {
			b := HashinRosen(f.with(nu), plastic, c)
			r.Lower.Nu12, r.Upper.Nu12 = math.Min(r.Lower.Nu12, b.Lower.Nu12), math.Max(r.Upper.Nu12, b.Upper.Nu12)
			r.Lower.E1, r.Upper.E1 = math.Min(r.Lower.E1, b.Lower.E1), math.Max(r.Upper.E1, b.Upper.E1)
		}
	}
	r.Lower.E2 = transverse(r.Lower.E1, r.Upper.Nu12, r.Lower.G23, low.Lower.with(low.Upper.Nu12).Bulk23())
	r.Upper.E2 = transverse(r.Upper.E1, r.Lower.Nu12, r.Upper.G23, high.Upper.with(high.Lower.Nu12).Bulk23())
	return r
}

// with returns a bound with the nu12 that its E2 was made with, so that its
// bulk modulus is the bounded one: the lower E2 goes with the upper nu12.
func (p Phase) with(nu12 float64) Phase {
	p.Nu12 = nu12
	return p
}

// Steps returns the bodies on the way from filament and resin to the bead at
// rho strands per mm, before measured figures and knock-downs.
func (l *Law) Steps(rho float64) []Body {
	x, _ := l.capped(rho)
	s := l.settings
	two := newTwoSteps(s, l.plastic)
	c := s.Tow.FibreShare()
	return []Body{
		{Name: "filament", Phase: s.Tow.Fibre},
		{Name: "resin", Voids: s.Tow.VoidShare / (1 - c), Phase: s.Tow.porousResin()},
		{Name: "tow", Share: c, Of: "filament", Phase: two.tow},
		{Name: "plastic", Voids: s.Estimate.VoidShare, Phase: two.plastic},
		{Name: "bead", Share: two.perRho * x, Of: "tow", Phase: two.at(x)},
	}
}

// Body is one of the bodies from filament to bead.
type Body struct {
	Name  string
	Voids float64 // volume share of voids within it
	Share float64 // volume share of the body named Of in it; 0 for a constituent
	Of    string
	Phase Phase
}

// Compression returns the mechanisms of failure in compression along the fibres
// at rho strands per mm, the governing one first, before measured figures and
// knock-downs; none for a stated law.
func (l *Law) Compression(rho float64) []Mechanism {
	x, _ := l.capped(rho)
	r, ok := l.make.(scaledRecipe).recipe.(estimateRecipe)
	if !ok {
		return nil
	}
	return r.compression(r.terms(x)).List()
}

// capped returns the strands per mm that count, and its slope:
//
//	rho                          up to (1-w)·rhoMax
//	rho - (rho-(1-w)·rhoMax)²/(4·w·rhoMax)    up to (1+w)·rhoMax
//	rhoMax                       beyond
func (l *Law) capped(rho float64) (x, dx float64) {
	if !(rho > 0) {
		return 0, 1
	}
	low := (1 - capWidth) * l.rhoMax
	if rho <= low {
		return rho, 1
	}
	d, span := rho-low, 2*capWidth*l.rhoMax
	if d >= span {
		return l.rhoMax, 0
	}
	return rho - d*d/(2*span), 1 - d/span
}

// FibreShare is the volume share of dry fibre at rho strands per mm.
func (l *Law) FibreShare(rho float64) float64 {
	x, _ := l.capped(rho)
	return l.FibreArea() * x / l.settings.Height
}

// Composition returns what the bead consists of at rho strands per mm.
func (l *Law) Composition(rho float64) Composition {
	x, _ := l.capped(rho)
	if x == 0 {
		return l.bead.compose(0, 0)
	}
	return l.bead.compose(l.bead.Tow.Area*x/l.settings.Height, l.settings.Height/x)
}

// Lamina returns the elastic constants at rho strands per mm.
func (l *Law) Lamina(rho float64) Lamina {
	x, _ := l.capped(rho)
	e, _ := l.make.at(x)
	var p [nProperties]float64
	l.table.at(x, &p)
	e.E1, e.E2, e.G12, e.Nu12 = p[0], p[1], p[2], p[3]
	e.Density = l.Composition(rho).Density
	return e
}

// Strength returns the strengths at rho strands per mm; those along the
// fibres are the failure strains times E1, so that stress and strain say the
// same.
func (l *Law) Strength(rho float64) Strength {
	x, _ := l.capped(rho)
	_, s := l.make.at(x)
	var p [nProperties]float64
	l.table.at(x, &p)
	s.Xt, s.Xc, s.Yt, s.Yc, s.S = l.et*p[0], p[4], p[5], p[6], p[7]
	return s
}

// Reduced returns the plane-stress stiffness at rho strands per mm and its
// derivative by rho. It allocates nothing.
func (l *Law) Reduced(rho float64) (q, dq Reduced) {
	x, dx := l.capped(rho)
	var p, d [4]float64
	l.table.elastic(x, &p, &d)
	e1, e2, g, nu := p[0], p[1], p[2], p[3]
	de1, de2, dg, dnu := d[0]*dx, d[1]*dx, d[2]*dx, d[3]*dx
	// m = 1/(1 - nu²·E2/E1) and its slope.
	ratio := e2 / e1
	m := 1 / (1 - nu*nu*ratio)
	dm := m * m * (2*nu*dnu*ratio + nu*nu*(de2-ratio*de1)/e1)
	q = Reduced{Q11: e1 * m, Q12: nu * e2 * m, Q22: e2 * m, Q66: g}
	dq = Reduced{
		Q11: de1*m + e1*dm,
		Q12: (dnu*e2+nu*de2)*m + nu*e2*dm,
		Q22: de2*m + e2*dm,
		Q66: dg,
	}
	return q, dq
}

// hiddenShare of RhoMin is the density below which a fibre index means
// nothing: there is a pocket of plastic, not a strand.
const hiddenShare = 0.1

// Indices returns how near a strain (layer axes: along, across, engineering
// shear) brings the layer to failure; 1 is failure.
//
//	ft = eps1/et, fc = -eps1·E1/Xc   (0 below RhoMin/10, where no strand is)
//	m  = √((s2/Yt)² + (t12/S)²) for s2 > 0, with Yc for s2 < 0
//
// The matrix index is that of Hashin, J. Appl. Mech. 47 (1980) 329, with the
// transverse shear strength Yc/2. It allocates nothing.
func (l *Law) Indices(rho float64, strain [3]float64) (ft, fc, m float64) {
	x, _ := l.capped(rho)
	var p [nProperties]float64
	l.table.at(x, &p)
	d := 1 - p[3]*p[3]*p[1]/p[0]
	s2 := p[1] / d * (p[3]*strain[0] + strain[1])
	y := p[5]
	if s2 < 0 {
		y = p[6]
	}
	m = math.Hypot(s2/y, p[2]*strain[2]/p[7])
	if rho >= hiddenShare*l.rhoMin {
		ft, fc = math.Max(0, strain[0]/l.et), math.Max(0, -strain[0]*p[0]/p[4])
	}
	return ft, fc, m
}
