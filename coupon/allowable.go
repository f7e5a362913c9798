package coupon

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Sample is the strengths of one kind of coupon, batch by batch.
type Sample struct {
	Batches [][]float64 // MPa
}

// All returns the values of all batches.
func (s Sample) All() []float64 { return slices.Concat(s.Batches...) }

// Fit is a distribution set against a sample.
type Fit struct {
	Name        string     // "Weibull", "normal", "lognormal", "none"
	Parameters  [2]float64 // shape and scale; mean and standard deviation (of logarithms); none
	OSL         float64    // observed significance level of the Anderson-Darling test
	Fits        bool       // OSL over 5 %
	A, B        float64    // MPa; NaN where the sample is too small
	Description string     // the parameters in words
}

// Allowables is what a sample says of its population.
type Allowables struct {
	N                int
	Mean, SD         float64 // MPa
	CV               float64
	Least            float64
	Outliers         []Outlier
	BatchesAgree     bool
	ADK, ADKCritical float64 // k-sample Anderson-Darling statistic and its critical value; 0 of one batch
	Fits             []Fit
	Chosen           int // of Fits
	Notes            []string
}

// A and B return the values of the chosen distribution.
func (a *Allowables) A() float64 { return a.Fits[a.Chosen].A }

// B is like A.
func (a *Allowables) B() float64 { return a.Fits[a.Chosen].B }

// Outlier is a value that stands out of its batch.
type Outlier struct {
	Batch, Index int
	Value        float64
	Residual     float64 // normed
	Critical     float64
}

// Sizes of samples.
const (
	leastSample   = 3  // for any estimate of spread
	handbookSize  = 18 // from three batches
	nonparametric = 29 // for the least value as B-value: 0.9²⁹ < 5 %
	significant   = 0.05
)

// Evaluate computes the allowables of a sample. Weibull is taken where it fits,
// else normal, else lognormal, else the least value; where none has a B-value
// the one that fits best stands, and a note says so. Errors: too few values, or
// some not positive.
func Evaluate(s Sample) (*Allowables, error) {
	x := s.All()
	if len(x) < leastSample {
		return nil, fmt.Errorf("%d values: test at least %d coupons, better %d from three batches", len(x), leastSample, handbookSize)
	}
	for _, v := range x {
		if !(v > 0) || math.IsInf(v, 1) {
			return nil, fmt.Errorf("a strength of %g MPa: leave the coupon out, or correct it", v)
		}
	}
	slices.Sort(x)
	if x[0] == x[len(x)-1] {
		return nil, errors.New("all values are alike: they have no spread to judge by")
	}
	a := &Allowables{N: len(x), Least: x[0]}
	a.Mean, a.SD = moments(x)
	a.CV = a.SD / a.Mean
	for b, batch := range s.Batches {
		a.Outliers = append(a.Outliers, outliers(b, batch)...)
	}
	a.ADK, a.ADKCritical = kSample(s.Batches)
	a.BatchesAgree = a.ADK <= a.ADKCritical
	a.Fits = []Fit{fitWeibull(x), fitNormal(x), fitLognormal(x), leastValue(x)}
	a.choose()
	a.note()
	return a, nil
}

func (a *Allowables) choose() {
	for i, f := range a.Fits {
		if f.Fits && !math.IsNaN(f.B) {
			a.Chosen = i
			return
		}
	}
	for i, f := range a.Fits[:3] {
		if f.OSL > a.Fits[a.Chosen].OSL {
			a.Chosen = i
		}
	}
	a.Notes = append(a.Notes, fmt.Sprintf("no distribution fits at 5 %%; the values are those of the %s distribution, which comes nearest", a.Fits[a.Chosen].Name))
}

func (a *Allowables) note() {
	if a.N < handbookSize {
		a.Notes = append(a.Notes, fmt.Sprintf("%d coupons: the handbook wants %d from three batches for a published B-value", a.N, handbookSize))
	}
	if !a.BatchesAgree {
		a.Notes = append(a.Notes, fmt.Sprintf("the batches differ (k-sample Anderson-Darling %.3f over %.3f): values over all batches understate the spread between them; find the reason, or take the worst batch", a.ADK, a.ADKCritical))
	}
	for _, o := range a.Outliers {
		a.Notes = append(a.Notes, fmt.Sprintf("batch %d: %.4g MPa stands out (normed residual %.3f over %.3f); it counts until its cause is known", o.Batch+1, o.Value, o.Residual, o.Critical))
	}
}

// moments returns mean and standard deviation (n − 1).
func moments(x []float64) (mean, sd float64) {
	n := float64(len(x))
	for _, v := range x {
		mean += v / n
	}
	for _, v := range x {
		sd += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(sd / (n - 1))
}

func fitNormal(x []float64) Fit {
	m, s := moments(x)
	f := Fit{Name: "normal", Parameters: [2]float64{m, s}, Description: fmt.Sprintf("mean %.5g MPa, standard deviation %.4g MPa", m, s)}
	f.OSL = normalOSL(x, m, s)
	f.Fits = f.OSL > significant
	f.A, f.B = m-ToleranceFactor(len(x), aShare)*s, m-ToleranceFactor(len(x), bShare)*s
	return f
}

func fitLognormal(x []float64) Fit {
	logs := make([]float64, len(x))
	for i, v := range x {
		logs[i] = math.Log(v)
	}
	f := fitNormal(logs)
	f.Name, f.Description = "lognormal", fmt.Sprintf("mean of logarithms %.5g, standard deviation %.4g", f.Parameters[0], f.Parameters[1])
	f.A, f.B = math.Exp(f.A), math.Exp(f.B)
	return f
}

// normalOSL is the observed significance level that a sorted sample is normal
// (CMH-17-1G 8.3.6.5.1.2).
func normalOSL(x []float64, mean, sd float64) float64 {
	n := float64(len(x))
	a := andersonDarling(x, func(v float64) float64 { return normalCDF((v - mean) / sd) })
	a *= 1 + 4/n - 25/(n*n)
	if a <= 0 {
		return 1
	}
	return 1 / (1 + math.Exp(-0.48+0.78*math.Log(a)+4.58*a))
}

// andersonDarling is the statistic of a sorted sample against a distribution:
//
//	A² = Σ (1 − 2i)/n · (ln F(x_i) + ln(1 − F(x_(n+1−i)))) − n
func andersonDarling(x []float64, cdf func(float64) float64) float64 {
	n := len(x)
	sum := -float64(n)
	for i := range x {
		p, q := cdf(x[i]), 1-cdf(x[n-1-i])
		sum += (1 - 2*float64(i+1)) / float64(n) * (math.Log(math.Max(p, leastP)) + math.Log(math.Max(q, leastP)))
	}
	return sum
}

// leastP keeps the logarithm of a probability finite far outside a sample.
const leastP = 1e-300

// fitWeibull fits by maximum likelihood: the shape β solves
//
//	Σ x^β ln x / Σ x^β − 1/β − mean(ln x) = 0
//
// which rises with β, the scale is α = mean(x^β)^(1/β).
func fitWeibull(x []float64) Fit {
	n := float64(len(x))
	scale, mean := x[len(x)-1], 0.0
	y := make([]float64, len(x)) // logarithms over the greatest, so that powers stay finite
	for i, v := range x {
		y[i] = math.Log(v / scale)
		mean += y[i] / n
	}
	slope := func(b float64) float64 {
		num, den := 0.0, 0.0
		for _, l := range y {
			p := math.Exp(b * l)
			num, den = num+p*l, den+p
		}
		return num/den - 1/b - mean
	}
	lo, hi := 1e-3, 1.0
	for slope(hi) < 0 && hi < greatestShape {
		hi *= 2
	}
	for range shapeHalvings {
		if m := (lo + hi) / 2; slope(m) < 0 {
			lo = m
		} else {
			hi = m
		}
	}
	shape := (lo + hi) / 2
	sum := 0.0
	for _, l := range y {
		sum += math.Exp(shape*l) / n
	}
	scale *= math.Pow(sum, 1/shape)
	return weibullFit(x, shape, scale)
}

const (
	// greatestShape is that of a sample whose spread is a ten-thousandth of its
	// mean: no test machine reads finer.
	greatestShape = 1e5
	// shapeHalvings bring an interval of 1e5 below rounding.
	shapeHalvings = 70
)

// weibullFit judges a fit and gives its allowables (CMH-17-1G 8.3.6.5.1.1 and
// 8.3.6.5.2, with the approximations of V printed there).
func weibullFit(x []float64, shape, scale float64) Fit {
	n := float64(len(x))
	f := Fit{Name: "Weibull", Parameters: [2]float64{shape, scale}, Description: fmt.Sprintf("shape %.4g, scale %.5g MPa", shape, scale)}
	a := andersonDarling(x, func(v float64) float64 { return -math.Expm1(-math.Pow(v/scale, shape)) })
	a *= 1 + 0.2/math.Sqrt(n)
	f.OSL = 1
	if a > 0 {
		f.OSL = 1 / (1 + math.Exp(-0.10+1.24*math.Log(a)+4.48*a))
	}
	f.Fits = f.OSL > significant
	vB := 3.803 + math.Exp(1.79-0.516*math.Log(n)+5.1/(n-1))
	vA := 6.649 + math.Exp(2.55-0.526*math.Log(n)+4.76/n)
	at := func(share, v float64) float64 {
		return scale * math.Pow(-math.Log(share), 1/shape) * math.Exp(-v/(shape*math.Sqrt(n)))
	}
	f.A, f.B = at(aShare, vA), at(bShare, vB)
	return f
}

// leastValue takes no distribution for granted.
func leastValue(x []float64) Fit {
	f := Fit{Name: "none", OSL: 1, Fits: true, A: math.NaN(), B: math.NaN(), Description: "the least value"}
	if len(x) >= nonparametric {
		f.B = x[0]
	}
	return f
}
