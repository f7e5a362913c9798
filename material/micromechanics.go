package material

import (
	"fmt"
	"math"
)

// Method names a way from two phases to the constants of a unidirectional
// body.
type Method int

// The methods, in the order of how much they ask of the phases.
const (
	// HalpinTsai is the default: E1 and nu12 by the rule of mixtures, E2, G12,
	// G23 by Halpin & Kardos, Polym. Eng. Sci. 16 (1976) 344, with the shape
	// factors 2, 1 and 1/(3-4·nu_m).
	HalpinTsai Method = iota
	// RuleOfMixtures: E1 and nu12 by the rule of mixtures, E2, G12, G23 by its
	// inverse (phases in series): a lower bound.
	RuleOfMixtures
	// Chamis is the square-array estimate of C. C. Chamis, NASA TM-83320
	// (1983).
	Chamis
	// CylinderAssemblage: E1, nu12, K23, G12 of the composite cylinder
	// assemblage (Hashin & Rosen, J. Appl. Mech. 31 (1964) 223), G23 of the
	// three-phase model (Christensen & Lo, J. Mech. Phys. Solids 27 (1979) 315).
	CylinderAssemblage
	// MoriTanaka: mean field of aligned circular cylinders (Mori & Tanaka, Acta
	// Metall. 21 (1973) 571; Benveniste 1987); for this shape it coincides with
	// the lower Hashin–Rosen bound when the fibre is the stiffer phase.
	MoriTanaka
)

// methodNames lists the methods as cards and jobs write them.
var methodNames = [...]string{"halpin-tsai", "rule-of-mixtures", "chamis", "cylinder-assemblage", "mori-tanaka"}

// String returns the method as cards write it.
func (m Method) String() string {
	if m < 0 || int(m) >= len(methodNames) {
		return fmt.Sprintf("method %d", int(m))
	}
	return methodNames[m]
}

// MethodNames returns the names that ParseMethod knows, the default first.
func MethodNames() []string { return append([]string(nil), methodNames[:]...) }

// ParseMethod returns the method of a name.
func ParseMethod(name string) (Method, error) {
	for i, n := range methodNames {
		if n == name {
			return Method(i), nil
		}
	}
	return 0, fmt.Errorf("unknown micromechanics method %q: use one of %v", name, methodNames)
}

// Combine returns the body of aligned inclusions (volume share c, 0..1) in a
// matrix. Both phases may be transversely isotropic about axis 1. Expansion and
// swelling follow Schapery, J. Compos. Mater. 2 (1968) 380 (across the axis
// Chamis has a formula of his own), conductivity across the axis the cylinder
// assemblage.
func (m Method) Combine(inclusion, matrix Phase, c float64) Phase {
	f, p := inclusion, matrix
	r := Phase{
		E1:      mix(f.E1, p.E1, c),
		Nu12:    mix(f.Nu12, p.Nu12, c),
		K1:      mix(f.K1, p.K1, c),
		K2:      cylinderShear(f.K2, p.K2, c),
		Density: mix(f.Density, p.Density, c),
	}
	switch m {
	case RuleOfMixtures:
		r.E2, r.G12, r.G23 = series(f.E2, p.E2, c), series(f.G12, p.G12, c), series(f.G23, p.G23, c)
	case Chamis:
		r.E2, r.G12, r.G23 = squareArray(f.E2, p.E2, c), squareArray(f.G12, p.G12, c), squareArray(f.G23, p.G23, c)
	case CylinderAssemblage:
		r = assemblage(r, f, p, c, threePhase(f, p, c))
	case MoriTanaka:
		r = assemblage(r, f, p, c, boundShear23(f, p, c))
	default:
		xi := p.Bulk23() / (p.Bulk23() + 2*p.G23)
		r.E2, r.G12, r.G23 = halpinTsai(f.E2, p.E2, 2, c), halpinTsai(f.G12, p.G12, 1, c), halpinTsai(f.G23, p.G23, xi, c)
	}
	r.G23 = math.Max(r.G23, leastShear23(r))
	r.Alpha1, r.Alpha2 = m.freeStrain(f, p, c, [4]float64{f.Alpha1, f.Alpha2, p.Alpha1, p.Alpha2})
	r.Beta1, r.Beta2 = m.swelling(f, p, c, r.Density)
	return r
}

// leastShear23 is the smallest G23 that a body with these E1, E2, nu12 may have.
// Methods that estimate E2 and G23 apart can fall below it when the matrix is
// soft and porous; E2, which the layer's plane stiffness needs, then stands
// and G23 gives way.
func leastShear23(p Phase) float64 {
	return p.E2 / (2 * (1 + nu23Share*(1-2*p.Nu12*p.Nu12*p.E2/p.E1)))
}

// nu23Share of the greatest nu23 that the inequality of the body allows: just
// inside, so that the stiffness stays well-conditioned.
const nu23Share = 0.95

func mix(f, m, c float64) float64 { return c*f + (1-c)*m }

func series(f, m, c float64) float64 { return 1 / (c/f + (1-c)/m) }

// halpinTsai is M(1+xi·eta·c)/(1-eta·c), eta = (F/M-1)/(F/M+xi).
func halpinTsai(f, m, xi, c float64) float64 {
	eta := (f/m - 1) / (f/m + xi)
	return m * (1 + xi*eta*c) / (1 - eta*c)
}

// squareArray is M/(1 - √c·(1 - M/F)): a square inclusion in a square cell.
func squareArray(f, m, c float64) float64 {
	return m / (1 - math.Sqrt(c)*(1-m/f))
}

// cylinderShear is the axial shear modulus of the cylinder assemblage; the
// conductivity across the axis obeys the same equation.
func cylinderShear(f, m, c float64) float64 {
	if m == 0 {
		return 0
	}
	return m * ((1-c)*m + (1+c)*f) / ((1+c)*m + (1-c)*f)
}

// assemblage fills in the composite cylinder assemblage with the given G23.
func assemblage(r, f, p Phase, c, g23 float64) Phase {
	kf, km := f.Bulk23(), p.Bulk23()
	d := (1-c)/kf + c/km + 1/p.G23
	dnu := f.Nu12 - p.Nu12
	r.E1 = mix(f.E1, p.E1, c) + 4*c*(1-c)*dnu*dnu/d
	r.Nu12 = mix(f.Nu12, p.Nu12, c) + c*(1-c)*dnu*(1/km-1/kf)/d
	r.G12 = cylinderShear(f.G12, p.G12, c)
	r.G23 = g23
	r.E2 = transverse(r.E1, r.Nu12, g23, assemblageBulk(kf, km, p.G23, c))
	return r
}

func assemblageBulk(kf, km, gm, c float64) float64 {
	return km + c*(kf-km)*(km+gm)/(km+gm+(1-c)*(kf-km))
}

// boundShear23 is G23 with p as the medium around: the lower of Hashin's and
// Hill's bounds when p is the softer phase in bulk and shear.
func boundShear23(f, p Phase, c float64) float64 {
	km, gm := p.Bulk23(), p.G23
	d := f.G23 - gm
	return gm + c*d/(1+d*(1-c)*(km+2*gm)/(2*gm*(km+gm)))
}

// threePhase is G23 of a cylinder in a shell of matrix in the composite
// itself: the positive root of A·x² + 2B·x + C = 0, x = G23/Gm.
//
// algorithm: Christensen & Lo, J. Mech. Phys. Solids 27 (1979) 315, eq. 5.
func threePhase(f, p Phase, c float64) float64 {
	if c <= 0 || f.G23 == p.G23 && f.Bulk23() == p.Bulk23() {
		return p.G23
	}
	// eta = 3 - 4·nu of plane strain, written for bodies isotropic across only.
	etaM, etaF := 1+2*p.G23/p.Bulk23(), 1+2*f.G23/f.Bulk23()
	g := f.G23 / p.G23
	c3 := c * c * c
	lead := 3 * c * (1 - c) * (1 - c) * (g - 1) * (g + etaF)
	mixed := g*etaM - etaF
	outer := etaM*g + (g-1)*c + 1
	inner := g + etaF + mixed*c3
	a := lead + (g*etaM+etaF*etaM-mixed*c3)*(c*etaM*(g-1)-(g*etaM+1))
	b := -lead + outer*((etaM-1)*(g+etaF)-2*mixed*c3)/2 + c/2*(etaM+1)*(g-1)*inner
	d := lead + outer*inner
	return p.G23 * (-b - math.Sqrt(math.Max(b*b-a*d, 0))) / a
}

// freeStrain returns the strains along and across of two phases whose own free
// strains are f1, f2 and p1, p2.
func (m Method) freeStrain(f, p Phase, c float64, free [4]float64) (along, across float64) {
	f1, f2, p1, p2 := free[0], free[1], free[2], free[3]
	e1 := mix(f.E1, p.E1, c)
	along = (c*f.E1*f1 + (1-c)*p.E1*p1) / e1
	if m == Chamis {
		root := math.Sqrt(c)
		return along, root*f2 + (1-root)*(1+c*p.Nu12*f.E1/e1)*p2
	}
	across = c*(f2+f.Nu12*f1) + (1-c)*(p2+p.Nu12*p1) - along*mix(f.Nu12, p.Nu12, c)
	return along, across
}

// swelling returns the strains per mass share of moisture in the body, when
// each phase that swells takes up its share at the same mass ratio.
func (m Method) swelling(f, p Phase, c, density float64) (along, across float64) {
	wet := 0.0
	if f.Beta2 != 0 {
		wet += c * f.Density
	}
	if p.Beta2 != 0 {
		wet += (1 - c) * p.Density
	}
	if wet == 0 {
		return 0, 0
	}
	along, across = m.freeStrain(f, p, c, [4]float64{f.Beta1, f.Beta2, p.Beta1, p.Beta2})
	return along * density / wet, across * density / wet
}

// Bounds holds the least and the greatest value that any transversely
// isotropic arrangement of the two phases can have.
type Bounds struct{ Lower, Upper Phase }

// HashinRosen returns the bounds on the constants of aligned phases at volume
// share c: Hashin & Rosen (1964), Hill, J. Mech. Phys. Solids 12 (1964) 199,
// Hashin, J. Mech. Phys. Solids 13 (1965) 119, in Walpole's form, which also
// holds where the phase that is stiffer in shear is the softer one in bulk
// (J. Mech. Phys. Solids 17 (1969) 235). Each constant is bounded on its own.
func HashinRosen(inclusion, matrix Phase, c float64) Bounds {
	f, m := inclusion, matrix
	kf, km := f.Bulk23(), m.Bulk23()
	bound := func(pick func(a, b float64) float64) (p Phase, bulk float64) {
		k, g := pick(kf, km), pick(f.G23, m.G23)
		shear := g * k / (k + 2*g)
		p.G23 = 1/(c/(f.G23+shear)+(1-c)/(m.G23+shear)) - shear
		axial := pick(f.G12, m.G12)
		p.G12 = 1/(c/(f.G12+axial)+(1-c)/(m.G12+axial)) - axial
		d := (1-c)/kf + c/km + 1/g
		dnu := f.Nu12 - m.Nu12
		p.E1 = mix(f.E1, m.E1, c) + 4*c*(1-c)*dnu*dnu/d
		p.Nu12 = mix(f.Nu12, m.Nu12, c) + c*(1-c)*dnu*(1/km-1/kf)/d
		return p, 1/(c/(kf+g)+(1-c)/(km+g)) - g
	}
	low, kl := bound(math.Min)
	high, kh := bound(math.Max)
	if low.Nu12 > high.Nu12 {
		low.Nu12, high.Nu12 = high.Nu12, low.Nu12
	}
	low.E2 = transverse(low.E1, high.Nu12, low.G23, kl)
	high.E2 = transverse(high.E1, low.Nu12, high.G23, kh)
	return Bounds{Lower: low, Upper: high}
}

// porous returns a plastic with voids drawn out along the strands, share c of
// its volume: cylinders of next to no stiffness.
func porous(p Phase, c float64) Phase {
	if c <= 0 {
		return p
	}
	v := Phase{E1: p.E1 * voidStiffness, E2: p.E2 * voidStiffness, G12: p.G12 * voidStiffness, G23: p.G23 * voidStiffness, Nu12: p.Nu12}
	r := CylinderAssemblage.Combine(v, p, c)
	// A void has no free strain and no mass: the plastic's own strain rules.
	r.Alpha1, r.Alpha2, r.Beta1, r.Beta2 = p.Alpha1, p.Alpha2, p.Beta1, p.Beta2
	return r
}

// voidStiffness is the stiffness of a void as a share of the plastic's: small
// against any figure we quote, large enough that no quotient overflows.
const voidStiffness = 1e-9
