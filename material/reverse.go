package material

import "fmt"

// SpacingForE1 returns the spacing at which a layer reaches a wanted modulus
// along the fibres, or an error that names what the bead can reach.
func (l *Law) SpacingForE1(modulus float64) (float64, error) {
	return l.spacingFor("E1", modulus, func(rho float64) float64 { return l.Lamina(rho).E1 })
}

// SpacingForXt is SpacingForE1 for the tensile strength along the fibres.
func (l *Law) SpacingForXt(strength float64) (float64, error) {
	return l.spacingFor("Xt", strength, func(rho float64) float64 { return l.Strength(rho).Xt })
}

// SpacingForShare is SpacingForE1 for the volume share of dry fibre.
func (l *Law) SpacingForShare(share float64) (float64, error) {
	return l.spacingFor("fibre share", share, l.FibreShare)
}

// spacingFor solves f(1/s) = want for a rising f by halving.
func (l *Law) spacingFor(name string, want float64, f func(rho float64) float64) (float64, error) {
	low, high := l.rhoMin, l.rhoMax
	least, most := f(low), f(high)
	if !(want >= least && want <= most) {
		return 0, fmt.Errorf("%s of %.4g is out of reach: spacings of %.4g to %.4g mm give %.4g to %.4g",
			name, want, 1/high, 1/low, most, least)
	}
	for range bisections {
		if mid := (low + high) / 2; f(mid) < want {
			low = mid
		} else {
			high = mid
		}
	}
	return 1 / high, nil
}
