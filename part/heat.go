package part

import (
	"slices"

	"sinew/geom"
)

// Heat is a change of temperature that is linear over the part, K: at a place
// of the middle plane and a height z above it
//
//	ΔT = Change + Slope·place + Across·z
type Heat struct {
	Change float64    // at the origin of the part's coordinates, K
	Slope  geom.Point // rise with x and y, K/mm
	Across float64    // rise with z, K/mm
}

// At returns the change at a place of the middle plane.
func (h Heat) At(p geom.Point) float64 { return h.Change + h.Slope.Dot(p) }

// Times returns the heat times a factor.
func (h Heat) Times(f float64) Heat {
	return Heat{f * h.Change, h.Slope.Scale(f), f * h.Across}
}

// Acts reports whether the temperature changes anywhere.
func (h Heat) Acts() bool { return h != Heat{} }

// InPlane reports whether it changes anywhere in the middle plane.
func (h Heat) InPlane() bool { return h.Change != 0 || h.Slope != (geom.Point{}) }

// Warms reports whether a case changes the temperature in the part's plane.
func (p *Part) Warms() bool {
	return slices.ContainsFunc(p.Cases, func(c Case) bool { return c.Heat.InPlane() })
}

// SetThickness changes the thickness; what warms the two faces stays.
func (p *Part) SetThickness(t float64) {
	p.Cases = slices.Clone(p.Cases)
	for i := range p.Cases {
		p.Cases[i].Heat.Across *= p.Thickness / t
	}
	p.Thickness = t
}
