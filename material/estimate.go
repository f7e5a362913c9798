package material

import "math"

// Estimate chooses how the constants of a bead are estimated from tow and
// plastic. The zero value means the defaults named at each field.
type Estimate struct {
	// TowMethod leads from filament and resin to the tow, BeadMethod from tow
	// and plastic to the bead; Halpin–Tsai by default.
	TowMethod, BeadMethod Method
	// VoidShare is the empty share of the plastic between the tows.
	VoidShare float64
	// Realisation is the share of the filaments' failure strain that a printed
	// strand reaches in tension: 0 means DefaultRealisation.
	Realisation float64
	// Misalignment of the fibres that starts kinking, rad: 0 means
	// DefaultMisalignment.
	Misalignment float64
	// Bond is the share of the plastic's strength that holds between tow and
	// plastic: 0 means DefaultBond.
	Bond float64
	// Sources of what a bead card says of these.
	Sources []Provenance
}

// Defaults of Estimate; all of them assumed, to be replaced by coupons.
const (
	// DefaultRealisation: printed carbon/polyamide of 60–70 GPa is reported to
	// stand 700–990 MPa, a strain of 1.2–1.4 %, where filaments reach 1.8 %.
	DefaultRealisation = 0.75
	// DefaultMisalignment, 5 degrees: prepreg fits 2–3 degrees, printed beads
	// with their reported 220–430 MPa need more.
	DefaultMisalignment = 5 * math.Pi / 180
	// DefaultBond: printed carbon/polyamide is reported at 15–20 MPa across.
	DefaultBond = 0.6
)

func (e Estimate) withDefaults() Estimate {
	if e.Realisation == 0 {
		e.Realisation = DefaultRealisation
	}
	if e.Misalignment == 0 {
		e.Misalignment = DefaultMisalignment
	}
	if e.Bond == 0 {
		e.Bond = DefaultBond
	}
	return e
}

// twoSteps holds what the second step, tow in plastic, starts from.
type twoSteps struct {
	tow, plastic Phase
	method       Method
	perRho       float64 // tow share of one strand per mm
}

func newTwoSteps(s LawSettings, state PlasticState) twoSteps {
	return twoSteps{
		tow:     s.Tow.Phase(s.Estimate.TowMethod),
		plastic: porous(state.Phase, s.Estimate.VoidShare),
		method:  s.Estimate.BeadMethod,
		perRho:  s.Tow.Area / s.Height,
	}
}

// at returns the bead as a phase at rho strands per mm.
func (t twoSteps) at(rho float64) Phase { return t.method.Combine(t.tow, t.plastic, t.perRho*rho) }

// estimateRecipe estimates everything.
type estimateRecipe struct {
	twoSteps
	s      LawSettings
	e      Estimate
	state  PlasticState
	rhoMin float64
}

func newEstimateRecipe(s LawSettings, state PlasticState, rhoMin float64) estimateRecipe {
	return estimateRecipe{twoSteps: newTwoSteps(s, state), s: s, e: s.Estimate.withDefaults(), state: state, rhoMin: rhoMin}
}

// terms are the factors of the strengths at one spacing.
type terms struct {
	bead        Phase
	share       float64 // volume share of the tow
	bond, pores float64
	// kies is the strain concentration across, kiesShear that in shear.
	kies, kiesShear float64
}

func (r estimateRecipe) terms(rho float64) terms {
	c := r.perRho * rho
	return terms{
		bead: r.twoSteps.at(rho), share: c, bond: r.bond(rho), pores: voidFactor(r.e.VoidShare*(1-c), c),
		kies: magnification(r.tow.E2, r.plastic.E2, c), kiesShear: magnification(r.tow.G12, r.plastic.G12, c),
	}
}

func (r estimateRecipe) at(rho float64) (Lamina, Strength) {
	t := r.terms(rho)
	p := t.bead
	s := Strength{
		Xt: r.e.Realisation * r.s.Tow.FailureStrain * p.E1,
		Xc: r.compression(t).Least(),
		Yt: r.state.Tension * t.bond * t.pores * p.E2 / r.plastic.E2 / t.kies,
		Yc: r.state.Compression * t.pores * p.E2 / r.plastic.E2 / t.kies,
		S:  r.state.Shear * t.pores * p.G12 / r.plastic.G12 / t.kiesShear,
	}
	s.Sis = s.S * r.across()
	s.Zt = s.Yt * r.across()
	return p.Lamina(), s
}

func (r estimateRecipe) across() float64 {
	if r.s.Plastic.AcrossLayers > 0 {
		return r.s.Plastic.AcrossLayers
	}
	return 1
}

// bond fades from 1 without tow to the given factor at the widest spacing.
func (r estimateRecipe) bond(rho float64) float64 {
	t := math.Min(1, rho/r.rhoMin)
	return 1 - (1-r.e.Bond)*t*(2-t)
}

// compression returns what decides the strength along the fibres.
func (r estimateRecipe) compression(t terms) CompressionMechanisms {
	return CompressionMechanisms{
		Shear: t.bead.G12, MatrixShear: r.plastic.G12, YieldShear: r.state.Shear,
		Misalignment: r.e.Misalignment, Share: t.share, Crush: r.s.Tow.Crush * t.bead.E1,
	}
}

func (r estimateRecipe) strains() (tension, compression float64) {
	compression = math.Inf(1)
	rhoMax := 1 / Bead{Tow: r.s.Tow}.LeastSpacing(r.s.Height, r.s.SpacingMin, r.s.TowShareMax)
	for i := range strainSamples + 1 {
		rho := r.rhoMin + (rhoMax-r.rhoMin)*float64(i)/strainSamples
		e, s := r.at(rho)
		compression = math.Min(compression, s.Xc/e.E1)
	}
	return r.e.Realisation * r.s.Tow.FailureStrain, compression
}

// strainSamples between the printer's limits at which the strain of fibre
// failure in compression is sought; it falls steadily, so few do.
const strainSamples = 16
