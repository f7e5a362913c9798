package material

import (
	"errors"
	"fmt"
	"math"
)

// Tow is a bundle of filaments in its resin, as it comes from the spool.
type Tow struct {
	ID, Title string
	Fibre     Phase // the filament
	Resin     Phase // the hardened resin that binds it
	// FibreArea is the cross-section of dry fibre, Area that of the whole tow,
	// mm². VoidShare is the share of the tow's volume that is empty.
	FibreArea, Area, VoidShare float64
	Strength                   float64 // of the filaments in tension, MPa
	FailureStrain              float64 // of the filaments in tension
	// Crush is the strain at which the filaments themselves fail in
	// compression; 0 means it does not govern.
	Crush         float64
	MinRadius     float64 // least radius in the layer plane, mm
	PricePerMetre float64
	PricePerKilo  float64 // of the tow, used where PricePerMetre is 0
	Spool         float64 // length on a full spool, mm; 0: not known
	Sources       []Provenance
}

// Validate reports all faults of the tow's figures.
func (t Tow) Validate() error {
	var errs []error
	add := func(of, what string, a ...any) { errs = append(errs, broken{of, fmt.Sprintf(what, a...), ""}) }
	for _, p := range []struct {
		name  string
		phase Phase
	}{{"fibre", t.Fibre}, {"resin", t.Resin}} {
		var b broken
		if errors.As(p.phase.Validate(), &b) {
			errs = append(errs, broken{p.name + "." + b.of, p.name + ": " + b.what, b.remedy})
		}
	}
	if !isPositive(t.FibreArea) || !isPositive(t.Area) {
		add("area", "fibre area %g mm² and tow area %g mm² must be positive", t.FibreArea, t.Area)
	}
	if t.VoidShare < 0 || t.VoidShare >= 1 {
		add("void_share", "void share %g must lie in 0..1", t.VoidShare)
	}
	if t.FibreArea > t.Area*(1-t.VoidShare)*maxPacking {
		add("area", "fibre area %.4g mm² is more than %.1f %% of the tow's %.4g mm²: round filaments cannot be packed closer",
			t.FibreArea, 100*maxPacking, t.Area*(1-t.VoidShare))
	}
	if !isPositive(t.FailureStrain) {
		add("fibre_failure_strain", "fibre failure strain %g must be positive", t.FailureStrain)
	}
	return errors.Join(errs...)
}

// maxPacking is the share of hexagonally packed circles, π/(2√3).
const maxPacking = 0.9068996821171089

// FibreShare is the volume share of dry fibre in the tow.
func (t Tow) FibreShare() float64 { return t.FibreArea / t.Area }

// ResinShare is the volume share of resin in the tow.
func (t Tow) ResinShare() float64 { return 1 - t.FibreShare() - t.VoidShare }

// Density of the tow, g/mm³.
func (t Tow) Density() float64 {
	return t.FibreShare()*t.Fibre.Density + t.ResinShare()*t.Resin.Density
}

// LinearDensity is the mass of one mm of tow, g.
func (t Tow) LinearDensity() float64 { return t.Density() * t.Area }

// Price returns the price of a millimetre of tow; PerMetre that of a metre.
func (t Tow) Price() float64 {
	if t.PricePerMetre > 0 {
		return t.PricePerMetre / 1000
	}
	return t.PricePerKilo / 1000 * t.LinearDensity()
}

// PerMetre returns the price of a metre of tow.
func (t Tow) PerMetre() float64 { return 1000 * t.Price() }

// AreaOfTex is the cross-section in mm² of a yarn of a linear density (g/mm)
// and a density (g/mm³).
func AreaOfTex(linear, density float64) float64 { return linear / density }

// Phase returns the impregnated tow as one body: fibre in its resin, voids in
// the resin. This is the first of the two steps to a bead.
func (t Tow) Phase(m Method) Phase {
	return m.Combine(t.Fibre, t.porousResin(), t.FibreShare())
}

// porousResin is the resin with the voids of the tow in it.
func (t Tow) porousResin() Phase { return porous(t.Resin, t.VoidShare/(1-t.FibreShare())) }

// Bounds of the tow's constants, whatever the arrangement of its filaments; see
// HashinRosen.
func (t Tow) Bounds() Bounds {
	return HashinRosen(t.Fibre, t.porousResin(), t.FibreShare())
}

// squarePacking is the share of round inclusions in a square array that
// touch, π/4: the ceiling of the strain magnification.
const squarePacking = math.Pi / 4
