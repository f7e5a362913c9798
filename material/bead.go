package material

import (
	"fmt"
	"math"
)

// Section is the cross-section that one strand fills: the spacing to its
// neighbours times the layer height, mm.
type Section struct{ Width, Height float64 }

// Area of the section, mm².
func (s Section) Area() float64 { return s.Width * s.Height }

// Composition is what a bead consists of.
type Composition struct {
	// Shares by volume; they add up to 1.
	Tow, Fibre, Resin, Plastic, Void float64
	// Shares by mass; they add up to 1.
	FibreMass, ResinMass, PlasticMass float64
	Density                           float64 // g/mm³
	// PlasticArea is the plastic to feed per mm of strand, mm³/mm; MassPerLength
	// the bead's mass, g/mm.
	PlasticArea, MassPerLength float64
}

// Bead is a tow laid into a plastic.
type Bead struct {
	Tow            Tow
	PlasticDensity float64 // g/mm³
	// VoidShare is the share of the section between the tows that stays empty.
	VoidShare float64
}

// Compose returns what a section consists of; more tow than the section holds
// is an error.
func (b Bead) Compose(s Section) (Composition, error) {
	a := s.Area()
	if !isPositive(s.Width) || !isPositive(s.Height) {
		return Composition{}, fmt.Errorf("bead of %g by %g mm: both must be positive", s.Width, s.Height)
	}
	if b.Tow.Area > a {
		return Composition{}, fmt.Errorf("tow of %.4g mm² does not fit a bead of %.4g mm²: widen the spacing to %.4g mm or more",
			b.Tow.Area, a, b.Tow.Area/s.Height)
	}
	return b.compose(b.Tow.Area/a, a), nil
}

// compose works on the tow share c of a section of area a.
func (b Bead) compose(c, a float64) Composition {
	t := b.Tow
	r := Composition{
		Tow:     c,
		Fibre:   c * t.FibreShare(),
		Resin:   c * t.ResinShare(),
		Plastic: (1 - c) * (1 - b.VoidShare),
	}
	r.Void = 1 - r.Fibre - r.Resin - r.Plastic
	fm, rm, pm := r.Fibre*t.Fibre.Density, r.Resin*t.Resin.Density, r.Plastic*b.PlasticDensity
	r.Density = fm + rm + pm
	r.FibreMass, r.ResinMass, r.PlasticMass = fm/r.Density, rm/r.Density, pm/r.Density
	r.PlasticArea = r.Plastic * a
	r.MassPerLength = r.Density * a
	return r
}

// SpacingForFibre returns the spacing at which a layer of the height holds a
// wanted volume share of dry fibre, or an error that names the ceiling.
func (b Bead) SpacingForFibre(share, height float64) (float64, error) {
	if !isPositive(share) {
		return 0, fmt.Errorf("fibre share %g must be positive", share)
	}
	if top := b.Tow.FibreShare(); share > top {
		return 0, fmt.Errorf("fibre share %.4g is out of reach: the tow itself holds %.4g, so no spacing gives more", share, top)
	}
	return b.Tow.FibreArea / (share * height), nil
}

// SpacingForTow is SpacingForFibre for a share of tow.
func (b Bead) SpacingForTow(share, height float64) (float64, error) {
	if !(share > 0 && share <= 1) {
		return 0, fmt.Errorf("tow share %g must lie above 0 and at most at 1", share)
	}
	return b.Tow.Area / (share * height), nil
}

// LeastSpacing is where beads no longer fit: the greater of the printer's own
// limit and the spacing at which the tow fills its greatest share (towShareMax
// 0 means 1) of the section.
func (b Bead) LeastSpacing(height, spacingMin, towShareMax float64) float64 {
	if towShareMax <= 0 {
		towShareMax = 1
	}
	return math.Max(spacingMin, b.Tow.Area/(towShareMax*height))
}

// VolumeShare returns the volume share of fibre of a body with a mass share of
// fibre, a volume share of voids, and the two densities:
//
//	(1-void)/(1 + (rho_f/rho_m)·(1/mass - 1))
func VolumeShare(mass, void, fibreDensity, matrixDensity float64) float64 {
	return (1 - void) / (1 + fibreDensity/matrixDensity*(1/mass-1))
}
