package material

import (
	"fmt"
	"math"
	"strings"
)

// Constants are the engineering constants of a stack as if it were one plate.
type Constants struct {
	Ex, Ey, Gxy, Nuxy float64
	// EtaX and EtaY are the shear strain over the strain of a pull along x and
	// along y.
	EtaX, EtaY float64
}

func constants(comply Stiffness, scale float64) Constants {
	return Constants{
		Ex: scale / comply[0], Ey: scale / comply[3], Gxy: scale / comply[5],
		Nuxy: -comply[1] / comply[0],
		EtaX: comply[2] / comply[0], EtaY: comply[4] / comply[3],
	}
}

// InPlane returns the constants of a stack that is kept flat (A alone).
func (l *Laminate) InPlane() Constants {
	inv, _ := l.Stiff.A.Inverse() // positive definite, or NewLaminate had refused
	return constants(inv, 1/l.Thickness)
}

// Free returns the constants of a stack that may bend as it is pulled; they
// equal InPlane for a symmetric one.
func (l *Laminate) Free() Constants { return constants(l.Comply.A, 1/l.Thickness) }

// Flexural returns the constants in bending, 12/(h³·d).
func (l *Laminate) Flexural() Constants {
	h := l.Thickness
	return constants(l.Comply.D, 12/(h*h*h))
}

// Expansion returns the strain and curvature per kelvin of a free stack.
func (l *Laminate) Expansion() (strain, curvature [3]float64) { return l.Respond(Load{DeltaT: 1}) }

// Warp is the shape a free stack takes when its temperature changes, by linear
// theory: a saddle where a thin wide plate in truth snaps to a cylinder
// (Hyer, J. Compos. Mater. 15 (1981) 175).
type Warp struct {
	Curvature [3]float64 // 1/mm: kx, ky, kxy
	Greatest  float64    // curvature of the most bent direction, 1/mm
	Direction float64    // of it, rad from x
}

// Warp returns the shape after a change of temperature and moisture.
func (l *Laminate) Warp(deltaT, moisture float64) Warp {
	_, k := l.Respond(Load{DeltaT: deltaT, Moisture: moisture})
	mean, half := (k[0]+k[1])/2, (k[0]-k[1])/2
	r := math.Hypot(half, k[2]/2)
	angle := math.Atan2(k[2]/2, half) / 2
	greatest := mean + r
	if mean < 0 {
		greatest = mean - r
		angle += math.Pi / 2
	}
	return Warp{Curvature: k, Greatest: greatest, Direction: math.Remainder(angle, math.Pi)}
}

// Bow is the rise in the middle of a length bent to a curvature: R·(1 - cos(L/2R)).
func Bow(curvature, length float64) float64 {
	if curvature == 0 {
		return 0
	}
	return (1 - math.Cos(curvature*length/2)) / curvature
}

// Invariants are the numbers of a layer's stiffness that no turn changes, and
// the two amplitudes that turn with 2θ and 4θ: Tsai & Pagano (1968), Tsai &
// Hahn, Introduction to Composite Materials (1980), ch. 3.
type Invariants struct{ U1, U2, U3, U4, U5 float64 }

// Invariants of a layer's stiffness, MPa.
func (r Reduced) Invariants() Invariants {
	return Invariants{
		U1: (3*r.Q11 + 3*r.Q22 + 2*r.Q12 + 4*r.Q66) / 8,
		U2: (r.Q11 - r.Q22) / 2,
		U3: (r.Q11 + r.Q22 - 2*r.Q12 - 4*r.Q66) / 8,
		U4: (r.Q11 + r.Q22 + 6*r.Q12 - 4*r.Q66) / 8,
		U5: (r.Q11 + r.Q22 - 2*r.Q12 + 4*r.Q66) / 8,
	}
}

// LaminationParameters returns the means of cos 2θ, sin 2θ, cos 4θ, sin 4θ
// over the thickness, weighted 1 for the membrane and 12z²/h² for bending; z
// is taken from the middle of the stack.
func (l *Laminate) LaminationParameters() (membrane, bending [4]float64) {
	h := l.Thickness
	middle := (l.Heights[0] + l.Heights[len(l.Layers)]) / 2
	for i, y := range l.Layers {
		low, high := (l.Heights[i]-middle)/h, (l.Heights[i+1]-middle)/h
		s2, c2 := math.Sincos(2 * y.Theta)
		s4, c4 := math.Sincos(4 * y.Theta)
		for k, v := range [4]float64{c2, s2, c4, s4} {
			membrane[k] += (high - low) * v
			bending[k] += 4 * (high*high*high - low*low*low) * v
		}
	}
	return membrane, bending
}

// Balance reports how far a stack is from symmetric and balanced.
type Balance struct {
	// Stretching couples to bending by |B|·h/(…) of the greatest term of A, to
	// in-plane shear by |A16|, |A26| over the geometric mean of A11 and A22; bending couples to twist by
	// |D16|, |D26| over that of D11 and D22. All plain numbers; 0 is none.
	StretchBend, StretchShear, BendTwist float64
	Symmetric, Balanced                  bool
}

// couplingFloor is the share below which a coupling is rounding: sums of a few
// hundred layers lose some 1e-13 of the terms they add.
const couplingFloor = 1e-10

// Balance reports on the couplings of the stack about its own middle.
func (l *Laminate) Balance() Balance {
	middle := (l.Heights[0] + l.Heights[len(l.Layers)]) / 2
	b := l.Stiff.B.Add(l.Stiff.A, -middle)
	d := l.Stiff.D.Add(l.Stiff.B, -2*middle).Add(l.Stiff.A, middle*middle)
	a := l.Stiff.A
	var r Balance
	most := math.Max(a[0], a[3]) * l.Thickness
	for _, v := range b {
		r.StretchBend = math.Max(r.StretchBend, math.Abs(v)/most)
	}
	r.StretchShear = math.Max(math.Abs(a[2]), math.Abs(a[4])) / math.Sqrt(a[0]*a[3])
	r.BendTwist = math.Max(math.Abs(d[2]), math.Abs(d[4])) / math.Sqrt(d[0]*d[3])
	r.Symmetric = r.StretchBend < couplingFloor
	r.Balanced = r.StretchShear < couplingFloor
	return r
}

// String says in words what the couplings mean for the part.
func (b Balance) String() string {
	var parts []string
	if b.Symmetric {
		parts = append(parts, "symmetric")
	} else {
		parts = append(parts, fmt.Sprintf("not symmetric: stretching bends it (coupling %.2g)", b.StretchBend))
	}
	if b.Balanced {
		parts = append(parts, "balanced")
	} else {
		parts = append(parts, fmt.Sprintf("not balanced: stretching shears it (coupling %.2g)", b.StretchShear))
	}
	if b.BendTwist >= couplingFloor {
		parts = append(parts, fmt.Sprintf("bending twists it (coupling %.2g)", b.BendTwist))
	}
	return strings.Join(parts, "; ")
}
