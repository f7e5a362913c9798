package material

import (
	"errors"
	"fmt"
	"math"
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
	// State in which the figures hold; nil: that of the law. Elsewhere what
	// rests on the plastic changes as the plastic does.
	State   *State
	Sources []Provenance
}

// Validate reports all figures of the law that cannot be.
func (x *Explicit) Validate() error {
	var errs []error
	for _, v := range []struct {
		key, name string
		value     float64
	}{
		{"fibre_modulus", "fibre modulus", x.FibreModulus}, {"matrix_modulus", "matrix modulus", x.MatrixModulus},
		{"matrix_shear_modulus", "matrix shear modulus", x.MatrixShear}, {"inclusion_modulus", "inclusion modulus", x.InclusionModulus},
		{"fibre_strain_tension", "fibre strain in tension", x.FibreTension},
		{"fibre_strain_compression", "fibre strain in compression", x.FibreCompression}, {"Yt", "Yt", x.Yt}, {"Yc", "Yc", x.Yc}, {"S", "S", x.S},
	} {
		if !isPositive(v.value) {
			errs = append(errs, broken{v.key, fmt.Sprintf("stated bead: %s is %g, it must be positive", v.name, v.value), ""})
		}
	}
	if x.Efficiency < 0 || x.Efficiency > 1 {
		errs = append(errs, broken{"fibre_efficiency", fmt.Sprintf("stated bead: efficiency %g must lie in 0..1", x.Efficiency), ""})
	}
	// Where there is no fibre the layer is the matrix, E1 = E2: the strictest
	// place for a constant nu12.
	if room := 1 - statedNu23 - 2*x.Nu12*x.Nu12; !(room > 0) {
		errs = append(errs, broken{"poisson", fmt.Sprintf("stated bead: nu12 = %.4g breaks 1 - nu23 - 2·nu12²·E2/E1 > 0 (it is %.4g without fibre, with nu23 = %g): the stiffness of the body would not be positive",
			x.Nu12, room, statedNu23), fmt.Sprintf("lower nu12 below %.4g", math.Sqrt((1-statedNu23)/2))})
	}
	return errors.Join(errs...)
}

// explicitRecipe gives the stated law; what it does not state (expansion,
// density) comes from tow and plastic.
type explicitRecipe struct {
	twoSteps
	s    LawSettings
	then change
}

// change is a plastic in one state over the same in another.
type change struct{ modulus, tension, compression, shear, kinking float64 }

func changeOf(now, before PlasticState) change {
	over := func(a, b float64) float64 {
		if b == 0 {
			return 1
		}
		return a / b
	}
	kinking := func(p PlasticState) float64 {
		return CompressionMechanisms{Shear: p.Phase.G12, YieldShear: p.Shear, Misalignment: DefaultMisalignment}.Kinking()
	}
	return change{
		over(now.Phase.E1, before.Phase.E1), over(now.Tension, before.Tension), over(now.Compression, before.Compression),
		over(now.Shear, before.Shear), over(kinking(now), kinking(before)),
	}
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
	m, g := x.MatrixModulus*r.then.modulus, x.MatrixShear*r.then.modulus
	e.E1 = k*v*x.FibreModulus + (1-v)*m
	e.E2 = halpinTsai(x.InclusionModulus, m, 1, v)
	e.G12 = halpinTsai(x.InclusionModulus, g, 1, v)
	e.Nu12 = x.Nu12
	e.Nu23 = statedNu23
	e.G13, e.G23 = e.G12, e.E2/(2*(1+statedNu23))
	tension, compression := r.strains()
	s := Strength{
		Xt: tension * e.E1, Xc: compression * e.E1,
		Yt: x.Yt * r.then.tension, Yc: x.Yc * r.then.compression, S: x.S * r.then.shear,
		Sis: x.Sis * r.then.shear, Zt: x.Zt * r.then.tension,
	}
	if x.Sis == 0 {
		s.Sis = s.S
	}
	if x.Zt == 0 {
		s.Zt = s.Yt
	}
	return e, s
}

// strains: tension is the filaments' own; compression falls where the plastic
// kinks earlier.
func (r explicitRecipe) strains() (tension, compression float64) {
	return r.s.Explicit.FibreTension, r.s.Explicit.FibreCompression * math.Min(1, r.then.kinking)
}
