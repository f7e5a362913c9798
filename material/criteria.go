package material

import (
	"fmt"
	"math"
)

// Criterion names a failure criterion for a layer in plane stress.
type Criterion int

// The criteria; Evaluation judges by all of them at once.
const (
	// MaxStress compares each stress with its strength.
	MaxStress Criterion = iota
	// MaxStrain compares each strain with strength over modulus.
	MaxStrain
	// TsaiHill is the quadratic criterion of Azzi & Tsai, Exp. Mech. 5 (1965)
	// 283, with strengths by the sign of the stress. It does not say what fails.
	TsaiHill
	// TsaiWu is the tensor criterion of Tsai & Wu, J. Compos. Mater. 5 (1971)
	// 58, with F12 = Interaction·√(F11·F22).
	TsaiWu
	// Hashin is the fibre and matrix criterion of J. Appl. Mech. 47 (1980) 329.
	Hashin
	// Puck separates fibre failure from failure between the fibres, with the
	// angle of the fracture plane: Puck & Schürmann, Compos. Sci. Technol. 58
	// (1998) 1045, in plane stress.
	Puck

	nCriteria
)

var criterionNames = [...]string{"max-stress", "max-strain", "tsai-hill", "tsai-wu", "hashin", "puck"}

// String returns the criterion as jobs write it.
func (c Criterion) String() string {
	if c < 0 || c >= nCriteria {
		return fmt.Sprintf("criterion %d", int(c))
	}
	return criterionNames[c]
}

// CriterionNames returns the names that ParseCriterion knows.
func CriterionNames() []string { return append([]string(nil), criterionNames[:]...) }

// ParseCriterion returns the criterion of a name.
func ParseCriterion(name string) (Criterion, error) {
	for i, n := range criterionNames {
		if n == name {
			return Criterion(i), nil
		}
	}
	return 0, fmt.Errorf("unknown failure criterion %q: use one of %v", name, criterionNames)
}

// Mode tells what a criterion says fails.
type Mode int

// The modes. Interactive is what a criterion gives that mixes all stresses;
// InterFibreA, B, C are Puck's: cracks open, closed across the layer plane,
// and inclined.
const (
	NoMode Mode = iota
	FibreTension
	FibreCompression
	TransverseTension
	TransverseCompression
	InPlaneShear
	MatrixTension
	MatrixCompression
	Interactive
	InterFibreA
	InterFibreB
	InterFibreC
)

var modeNames = [...]string{
	"none", "fibre tension", "fibre compression", "tension across the fibres", "compression across the fibres",
	"in-plane shear", "matrix tension", "matrix compression", "interactive",
	"between fibres, crack opens (mode A)", "between fibres, crack closed (mode B)", "between fibres, wedge (mode C)",
}

// String returns the mode in words.
func (m Mode) String() string {
	if m < 0 || int(m) >= len(modeNames) {
		return fmt.Sprintf("mode %d", int(m))
	}
	return modeNames[m]
}

// IsFibre reports whether the fibres themselves break.
func (m Mode) IsFibre() bool { return m == FibreTension || m == FibreCompression }

// Failure is the answer of one criterion.
type Failure struct {
	// Reserve is the factor on the load at which the layer fails; +Inf where no
	// stress acts.
	Reserve float64
	Mode    Mode
	// Stress that was judged, layer axes, MPa.
	Stress [3]float64
	// Angle of the fracture plane from the plane across the layer, rad; other
	// than 0 only for Puck's mode C.
	Angle float64
}

// Judge holds what criteria need beyond strengths; the zero value means the
// defaults named at each field.
type Judge struct {
	// Interaction is F12 of Tsai–Wu over √(F11·F22), in (-1, 1); nil means
	// -1/2, which makes the criterion that of von Mises for an isotropic body.
	Interaction *float64
	// TransverseShear is Hashin's transverse shear strength, MPa; 0 means Yc/2.
	TransverseShear float64
	// InclinationTension and InclinationCompression are Puck's p12(+) and
	// p12(-); 0 means 0.35 and 0.30, his recommendation for carbon. The third,
	// p23(-), follows from them.
	InclinationTension, InclinationCompression float64
}

// Puck's inclinations for carbon fibre: Puck, Kopp, Knops, Compos. Sci.
// Technol. 62 (2002) 371.
const (
	puckTension     = 0.35
	puckCompression = 0.30
)

// Ply is the material of a layer made ready for the criteria: what does not
// depend on the stress is computed once. It is immutable.
type Ply struct {
	Lamina   Lamina
	Strength Strength
	Q        Reduced

	// reciprocal strengths
	xt, xc, yt, yc, s float64
	nu12, nu21        float64
	// Tsai–Wu
	f1, f2, f11, f22, f66, f12 float64
	// Hashin matrix compression: quadratic and linear term
	h2, h1 float64
	puck   puckConstants
}

// NewPly prepares a layer's material; constants or strengths that cannot be
// are refused.
func NewPly(l Lamina, x Strength, j Judge) (*Ply, error) {
	if err := l.Validate(); err != nil {
		return nil, err
	}
	if err := x.Validate(); err != nil {
		return nil, err
	}
	if err := j.validate(); err != nil {
		return nil, err
	}
	p := new(Ply)
	p.prepare(l, x, j)
	return p, nil
}

func (j Judge) interaction() float64 {
	if j.Interaction == nil {
		return -0.5
	}
	return *j.Interaction
}

func (j Judge) validate() error {
	if f := j.interaction(); !(f > -1 && f < 1) {
		return fmt.Errorf("interaction %g breaks -1 < F12/√(F11·F22) < 1: the Tsai–Wu surface would be open", f)
	}
	if j.TransverseShear != 0 && !isPositive(j.TransverseShear) {
		return fmt.Errorf("transverse shear strength %g MPa must be positive", j.TransverseShear)
	}
	pt, pc := j.inclinations()
	if !(pt > 0 && pt < 1 && pc > 0 && pc < 1) {
		return fmt.Errorf("inclinations %g and %g of the fracture criterion must lie in 0..1", pt, pc)
	}
	return nil
}

// prepare fills p from valid constants; it allocates nothing.
func (p *Ply) prepare(l Lamina, x Strength, j Judge) {
	shear := j.TransverseShear
	if shear == 0 {
		shear = x.Yc / 2
	}
	*p = Ply{
		Lamina: l, Strength: x, Q: l.Reduced(),
		xt: 1 / x.Xt, xc: 1 / x.Xc, yt: 1 / x.Yt, yc: 1 / x.Yc, s: 1 / x.S,
		nu12: l.Nu12, nu21: l.Nu12 * l.E2 / l.E1,
		f1: 1/x.Xt - 1/x.Xc, f2: 1/x.Yt - 1/x.Yc,
		f11: 1 / (x.Xt * x.Xc), f22: 1 / (x.Yt * x.Yc), f66: 1 / (x.S * x.S),
		h2: 1 / (4 * shear * shear), h1: ((x.Yc/(2*shear))*(x.Yc/(2*shear)) - 1) / x.Yc,
		puck: newPuck(x, j),
	}
	p.f12 = j.interaction() * math.Sqrt(p.f11*p.f22)
}

// Reserve returns the answer of one criterion for a stress in layer axes.
func (p *Ply) Reserve(c Criterion, stress [3]float64) Failure {
	effort, mode := p.effort(c, stress)
	f := Failure{Reserve: 1 / effort, Mode: mode, Stress: stress}
	if effort == 0 {
		f.Mode = NoMode
	}
	f.Angle = p.puckAngle(stress, f.Mode)
	return f
}

// effort is the reciprocal of the reserve factor.
func (p *Ply) effort(c Criterion, t [3]float64) (float64, Mode) {
	switch c {
	case MaxStress:
		return p.maxStress(&t)
	case MaxStrain:
		return p.maxStrain(&t)
	case TsaiHill:
		return math.Sqrt(p.tsaiHill(&t)), Interactive
	case TsaiWu:
		return p.tsaiWu(&t), Interactive
	case Hashin:
		return p.hashin(&t)
	}
	return p.puckEffort(&t)
}

// maxStress returns the greatest of stress over strength.
func (p *Ply) maxStress(t *[3]float64) (float64, Mode) {
	return p.largest(t[0], t[1], t[2])
}

// maxStrain works on E1·eps1 and E2·eps2, which compare with the strengths.
func (p *Ply) maxStrain(t *[3]float64) (float64, Mode) {
	return p.largest(t[0]-p.nu12*t[1], t[1]-p.nu21*t[0], t[2])
}

// largest names the greatest of three efforts.
func (p *Ply) largest(along, across, shear float64) (effort float64, mode Mode) {
	effort, mode = along*p.xt, FibreTension
	if along < 0 {
		effort, mode = -along*p.xc, FibreCompression
	}
	e, m := across*p.yt, TransverseTension
	if across < 0 {
		e, m = -across*p.yc, TransverseCompression
	}
	if e > effort {
		effort, mode = e, m
	}
	if e := math.Abs(shear) * p.s; e > effort {
		effort, mode = e, InPlaneShear
	}
	return effort, mode
}

// tsaiHill returns (s1/X)² - s1·s2/X² + (s2/Y)² + (t/S)², the square of the
// effort.
func (p *Ply) tsaiHill(t *[3]float64) float64 {
	x, y := p.xt, p.yt
	if t[0] < 0 {
		x = p.xc
	}
	if t[1] < 0 {
		y = p.yc
	}
	a, b, c := t[0]*x, t[1]*y, t[2]*p.s
	// The form can fall below 0 only where X < 2Y and both stresses agree.
	v := a*a - a*t[1]*x + b*b + c*c
	if v < 0 {
		return 0
	}
	return v
}

// tsaiWu solves F_ij·s_i·s_j·R² + F_i·s_i·R = 1.
func (p *Ply) tsaiWu(t *[3]float64) float64 {
	quadratic := p.f11*t[0]*t[0] + p.f22*t[1]*t[1] + p.f66*t[2]*t[2] + 2*p.f12*t[0]*t[1]
	return rootEffort(quadratic, p.f1*t[0]+p.f2*t[1])
}

// rootEffort is 1/R of the positive R that solves a·R² + b·R = 1, a ≥ 0, in
// the form that does not cancel.
func rootEffort(a, b float64) float64 {
	root := math.Sqrt(b*b + 4*a)
	switch {
	case b >= 0:
		return (b + root) / 2
	case a == 0:
		return 0
	}
	return 2 * a / (root - b)
}

// hashin returns the greater of the fibre and the matrix effort:
//
//	fibre tension       (s1/Xt)² + (t/S)² = 1
//	fibre compression   s1 = -Xc
//	matrix tension      (s2/Yt)² + (t/S)² = 1
//	matrix compression  (s2/2T)² + [(Yc/2T)²-1]·s2/Yc + (t/S)² = 1, T transverse shear strength
func (p *Ply) hashin(t *[3]float64) (float64, Mode) {
	shear := t[2] * p.s
	shear *= shear
	matrix, kind := 0.0, MatrixTension
	if t[1] >= 0 {
		m := t[1] * p.yt
		matrix = math.Sqrt(m*m + shear)
	} else {
		matrix, kind = rootEffort(p.h2*t[1]*t[1]+shear, p.h1*t[1]), MatrixCompression
	}
	if t[0] <= 0 {
		if fibre := -t[0] * p.xc; fibre > matrix {
			return fibre, FibreCompression
		}
		return matrix, kind
	}
	f := t[0] * p.xt
	if square := f*f + shear; square > matrix*matrix {
		return math.Sqrt(square), FibreTension
	}
	return matrix, kind
}

// ReserveBeside returns the factor on applied at which applied·factor +
// standing reaches the criterion, where standing (from temperature, moisture)
// does not grow with the load. It is 0 when standing alone already fails.
func (p *Ply) ReserveBeside(c Criterion, applied, standing [3]float64) Failure {
	if standing == ([3]float64{}) {
		return p.Reserve(c, applied)
	}
	sum := func(r float64) [3]float64 {
		return [3]float64{standing[0] + r*applied[0], standing[1] + r*applied[1], standing[2] + r*applied[2]}
	}
	if f := p.Reserve(c, standing); f.Reserve <= 1 {
		f.Reserve = 0
		return f
	}
	low, high := 0.0, 1.0
	for p.Reserve(c, sum(high)).Reserve > 1 {
		low, high = high, 2*high
		if high > farLoad {
			return Failure{Reserve: math.Inf(1), Stress: applied}
		}
	}
	for range bisections {
		if mid := low + (high-low)/2; p.Reserve(c, sum(mid)).Reserve > 1 {
			low = mid
		} else {
			high = mid
		}
	}
	f := p.Reserve(c, sum(high))
	f.Reserve = high
	return f
}

const (
	// farLoad is a load factor beyond which a layer is called unloaded.
	farLoad = 1e12
	// bisections halve an interval of length at most its lower end, or 1, to
	// the last bits of a float64.
	bisections = 54
)

// TransverseShear estimates the shear strength across the fibres from the
// compressive one and the angle of its fracture plane (about 53 degrees):
//
//	Yc·cos α·(sin α + cos α/tan 2α)
//
// Dávila, Camanho, NASA/TM-2003-212663. It may serve as Judge.TransverseShear.
func TransverseShear(yc, angle float64) float64 {
	s, c := math.Sincos(angle)
	return yc * c * (s + c/math.Tan(2*angle))
}
