package coupon

import "math"

// The shares of the population and the confidence of the allowables.
const (
	aShare     = 0.99
	bShare     = 0.90
	confidence = 0.95
)

// normalCDF is Φ(z).
func normalCDF(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// normalQuantile is Φ⁻¹(p).
func normalQuantile(p float64) float64 { return -math.Sqrt2 * math.Erfcinv(2*p) }

// tCDF is the distribution function at t of the non-central t distribution with
// the given degrees of freedom and non-centrality δ:
//
//	P(T ≤ t) = ∫ Φ(t·u − δ) f(u) du,  u = √(χ²/ν)
//
// by Simpson's rule over where the chi density lives.
func tCDF(t, dof, delta float64) float64 {
	logNorm := math.Ln2 + dof/2*math.Log(dof/2) - lgamma(dof/2)
	density := func(u float64) float64 {
		if u <= 0 {
			return 0
		}
		return math.Exp(logNorm + (dof-1)*math.Log(u) - dof*u*u/2)
	}
	// Twelve standard deviations to either side of 1 hold all but 1e-15, of ν = 1
	// too: its spread is that of |N(0, 1)|.
	spread := 12 / math.Sqrt(2*dof)
	lo, hi := math.Max(0, 1-spread), 1+spread
	h := (hi - lo) / simpsonSteps
	sum := 0.0
	for i := range simpsonSteps + 1 {
		u := lo + float64(i)*h
		w := 2.0
		switch {
		case i == 0 || i == simpsonSteps:
			w = 1
		case i%2 == 1:
			w = 4
		}
		sum += w * density(u) * normalCDF(t*u-delta)
	}
	return math.Min(1, sum*h/3)
}

// simpsonSteps bring the error of the integral below 1e-8 for all degrees of
// freedom from 1 on: a step is a twenty-fifth of the density's spread. Even.
const simpsonSteps = 600

func lgamma(x float64) float64 {
	v, _ := math.Lgamma(x)
	return v
}

// tQuantile is the value below which the non-central t distribution holds the
// share p, by bisection.
func tQuantile(p, dof, delta float64) float64 {
	lo, hi := delta-10, delta+10
	for tCDF(lo, dof, delta) > p {
		lo -= 2 * (hi - lo)
	}
	for tCDF(hi, dof, delta) < p {
		hi += 2 * (hi - lo)
	}
	for range quantileHalvings {
		m := (lo + hi) / 2
		if tCDF(m, dof, delta) < p {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2
}

// quantileHalvings bring an interval of 20 below 1e-9.
const quantileHalvings = 35

// ToleranceFactor is the number k of standard deviations below the mean of a
// normal sample of n that the share of the population exceeds with 95 %
// confidence: t(0.95; n−1, z·√n)/√n with the non-central t distribution. n is
// at least 2.
func ToleranceFactor(n int, share float64) float64 {
	root := math.Sqrt(float64(n))
	return tQuantile(confidence, float64(n-1), normalQuantile(share)*root) / root
}
