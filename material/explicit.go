package material

import (
	"errors"
	"fmt"
)

// Explicit is a stated law of the bead: one step from fibre to bead with
// constants given, not estimated. With v the fibre's volume share,
//
//	E1  = Efficiency·v·FibreModulus + (1-v)·MatrixModulus
//	E2  = M(1+eta·v)/(1-eta·v), eta = (F/M-1)/(F/M+1), M = MatrixModulus, F = InclusionModulus
//	G12 = the same with M = MatrixShear
//
// and constant Poisson's ratio, failure strains and strengths across.
type Explicit struct {
	// FibreArea and TowArea replace the tow's, mm²; 0 leaves them.
	FibreArea, TowArea float64
	FibreModulus       float64 // MPa
	Efficiency         float64 // share of the fibre's modulus that acts; 0 means 1
	MatrixModulus      float64 // MPa
	MatrixShear        float64 // MPa
	InclusionModulus   float64 // MPa
	Nu12               float64
	// FibreTension and FibreCompression are the strains at which fibres fail.
	FibreTension, FibreCompression float64
	Yt, Yc, S                      float64 // MPa
	Sis, Zt                        float64 // MPa, 0 means S and Yt
	Sources                        []Provenance
}

// Validate reports all figures of the law that cannot be.
func (x *Explicit) Validate() error {
	var errs []error
	for _, v := range []struct {
		name  string
		value float64
	}{
		{"fibre modulus", x.FibreModulus}, {"matrix modulus", x.MatrixModulus}, {"matrix shear modulus", x.MatrixShear},
		{"inclusion modulus", x.InclusionModulus}, {"fibre strain in tension", x.FibreTension},
		{"fibre strain in compression", x.FibreCompression}, {"Yt", x.Yt}, {"Yc", x.Yc}, {"S", x.S},
	} {
		if !isPositive(v.value) {
			errs = append(errs, fmt.Errorf("stated bead: %s is %g, it must be positive", v.name, v.value))
		}
	}
	if x.Efficiency < 0 || x.Efficiency > 1 {
		errs = append(errs, fmt.Errorf("stated bead: efficiency %g must lie in 0..1", x.Efficiency))
	}
	return errors.Join(errs...)
}

// explicitRecipe gives the stated law; what it does not state (expansion,
// density) comes from tow and plastic.
type explicitRecipe struct {
	twoSteps
	s LawSettings
}

// statedNu23 is Poisson's ratio across the fibres where a stated law is
// silent: the 0.4 of all four laminae of the published failure exercise
// (Soden, Hinton, Kaddour, Compos. Sci. Technol. 58 (1998) 1011).
const statedNu23 = 0.4

func (r explicitRecipe) at(rho float64) (Lamina, Strength) {
	x := r.s.Explicit
	v := r.s.Tow.FibreArea * rho / r.s.Height
	k := x.Efficiency
	if k == 0 {
		k = 1
	}
	e := r.twoSteps.at(rho).Lamina()
	e.E1 = k*v*x.FibreModulus + (1-v)*x.MatrixModulus
	e.E2 = halpinTsai(x.InclusionModulus, x.MatrixModulus, 1, v)
	e.G12 = halpinTsai(x.InclusionModulus, x.MatrixShear, 1, v)
	e.Nu12 = x.Nu12
	e.Nu23 = statedNu23
	e.G13, e.G23 = e.G12, e.E2/(2*(1+statedNu23))
	s := Strength{
		Xt: x.FibreTension * e.E1, Xc: x.FibreCompression * e.E1,
		Yt: x.Yt, Yc: x.Yc, S: x.S, Sis: x.Sis, Zt: x.Zt,
	}
	if s.Sis == 0 {
		s.Sis = x.S
	}
	if s.Zt == 0 {
		s.Zt = x.Yt
	}
	return e, s
}

func (r explicitRecipe) strains() (tension, compression float64) {
	return r.s.Explicit.FibreTension, r.s.Explicit.FibreCompression
}

func (r explicitRecipe) sources() []Provenance { return r.s.Explicit.Sources }
