package material

import (
	"fmt"
	"math"
)

// Metal is a metal in one temper, for comparison.
type Metal struct {
	ID, Title              string
	E, Nu                  float64
	Yield, Ultimate, Shear float64 // MPa
	Bearing                float64 // MPa, 0: not known
	Alpha                  float64 // 1/K
	Conductivity           float64 // W/(m K)
	Density                float64 // g/mm³
	PricePerKilo           float64
	Sources                []Provenance
}

// Validate reports figures that cannot be.
func (m Metal) Validate() error {
	if err := m.Lamina().Validate(); err != nil {
		return fmt.Errorf("metal %s: %w", m.ID, err)
	}
	if !isPositive(m.Yield) || m.Ultimate < m.Yield {
		return fmt.Errorf("metal %s: %w", m.ID, broken{"yield_strength", fmt.Sprintf("yield strength %g MPa must be positive and not above the ultimate strength %g MPa", m.Yield, m.Ultimate), ""})
	}
	return nil
}

// Lamina returns the metal as a layer.
func (m Metal) Lamina() Lamina {
	l := Isotropic(m.E, m.Nu, m.Alpha, m.Density)
	l.K1, l.K2 = m.Conductivity, m.Conductivity
	return l
}

// Mises is the equivalent stress of von Mises in plane stress.
func Mises(t [3]float64) float64 {
	return math.Sqrt(math.Max(0, t[0]*t[0]-t[0]*t[1]+t[1]*t[1]+3*t[2]*t[2]))
}

// Reserves returns the factors against yield and against the ultimate strength
// by von Mises; +Inf where no stress acts.
func (m Metal) Reserves(t [3]float64) (yield, ultimate float64) {
	s := Mises(t)
	return m.Yield / s, m.Ultimate / s
}
