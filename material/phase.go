package material

import (
	"fmt"
	"math"
)

// Phase is a body that is alike in all directions across axis 1: a filament,
// a tow, a plastic, a bead. Moduli MPa.
type Phase struct {
	E1, E2, G12, G23, Nu12 float64
	Alpha1, Alpha2         float64 // 1/K
	Beta1, Beta2           float64 // swelling strain per mass share of moisture in this phase
	K1, K2                 float64 // heat conductivity, W/(m K)
	Density                float64 // g/mm³
}

// IsotropicPhase returns a phase that is alike in all directions.
func IsotropicPhase(e, nu float64) Phase {
	g := e / (2 * (1 + nu))
	return Phase{E1: e, E2: e, G12: g, G23: g, Nu12: nu}
}

// Nu23 returns Poisson's ratio across the axis, E2/(2·G23) - 1.
func (p Phase) Nu23() float64 { return p.E2/(2*p.G23) - 1 }

// Bulk23 returns the plane-strain bulk modulus across the axis:
//
//	1/K23 = 4/E2 - 1/G23 - 4·nu12²/E1
func (p Phase) Bulk23() float64 {
	return 1 / (4/p.E2 - 1/p.G23 - 4*p.Nu12*p.Nu12/p.E1)
}

// Validate reports the inequality that the constants break.
func (p Phase) Validate() error {
	if !(p.G23 > 0) {
		return broken{"G23", fmt.Sprintf("G23 = %g MPa breaks G23 > 0: a modulus must be positive", p.G23), ""}
	}
	return p.Lamina().Validate()
}

// Lamina returns the phase as a layer with its axis along 1.
func (p Phase) Lamina() Lamina {
	return Lamina{
		E1: p.E1, E2: p.E2, G12: p.G12, Nu12: p.Nu12,
		G13: p.G12, G23: p.G23, Nu23: p.Nu23(),
		Alpha1: p.Alpha1, Alpha2: p.Alpha2, Beta1: p.Beta1, Beta2: p.Beta2,
		K1: p.K1, K2: p.K2, Density: p.Density,
	}
}

// transverse returns E2 from the moduli that mechanics gives directly:
//
//	4/E2 = 1/G23 + 1/K23 + 4·nu12²/E1
func transverse(e1, nu12, g23, k23 float64) float64 {
	return 4 / (1/g23 + 1/k23 + 4*nu12*nu12/e1)
}

// isPositive reports whether v is a positive finite number.
func isPositive(v float64) bool { return v > 0 && v < math.Inf(1) }
