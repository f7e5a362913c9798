package material

import "math"

// puckConstants holds what Puck's plane-stress criterion needs of a ply.
type puckConstants struct {
	pt, pc float64 // p12(+), p12(-)
	p23    float64 // p23(-), coupled: p12(-)·RA/S
	ra     float64 // strength of the action plane against transverse shear, MPa
	slope  float64 // of the border between modes B and C: RA/tau_c
	a      float64 // (1 - p12(+)·Yt/S)/Yt
	c      float64 // 1/(2(1+p23)·S)
}

// newPuck follows from the strengths and the two free inclinations:
//
//	RA    = S/(2·pc)·(√(1 + 2·pc·Yc/S) - 1)
//	p23   = pc·RA/S
//	tau_c = S·√(1 + 2·p23)
func newPuck(x Strength, j Judge) puckConstants {
	pt, pc := j.inclinations()
	// Past S/Yt the curve of mode A would turn back; the steepest admissible
	// inclination makes it straight there.
	pt = math.Min(pt, x.S/x.Yt)
	ra := x.S / (2 * pc) * (math.Sqrt(1+2*pc*x.Yc/x.S) - 1)
	p23 := pc * ra / x.S
	return puckConstants{
		pt: pt, pc: pc, p23: p23, ra: ra,
		slope: ra / (x.S * math.Sqrt(1+2*p23)),
		a:     (1 - pt*x.Yt/x.S) / x.Yt,
		c:     1 / (2 * (1 + p23) * x.S),
	}
}

func (j Judge) inclinations() (pt, pc float64) {
	pt, pc = j.InclinationTension, j.InclinationCompression
	if pt == 0 {
		pt = puckTension
	}
	if pc == 0 {
		pc = puckCompression
	}
	return pt, pc
}

// puckEffort returns the greater of the efforts of fibre failure (maximum
// stress along the fibres) and of failure between the fibres:
//
//	A (s2 ≥ 0)               √((t/S)² + (a·s2)²) + pt·s2/S = 1
//	B (|s2/t| ≤ RA/tau_c)    (√(t² + (pc·s2)²) + pc·s2)/S = 1
//	C                        [(t·c)² + (s2/Yc)²]·Yc/(-s2) = 1
func (p *Ply) puckEffort(t *[3]float64) (float64, Mode) {
	effort, mode := t[0]*p.xt, FibreTension
	if t[0] < 0 {
		effort, mode = -t[0]*p.xc, FibreCompression
	}
	if between, kind := p.interFibre(t[1], math.Abs(t[2])); between > effort {
		return between, kind
	}
	return effort, mode
}

func (p *Ply) interFibre(s2, t float64) (effort float64, kind Mode) {
	k := &p.puck
	if s2 >= 0 {
		u, v := t*p.s, k.a*s2
		return math.Sqrt(u*u+v*v) + k.pt*s2*p.s, InterFibreA
	}
	if -s2 <= k.slope*t {
		v := k.pc * s2
		return (math.Sqrt(t*t+v*v) + v) * p.s, InterFibreB
	}
	u, v := t*k.c, s2*p.yc
	return (u*u + v*v) / -v, InterFibreC
}

// puckAngle is the angle of the fracture plane of mode C,
//
//	cos²θ = [(RA/S)²·(t/s2)² + 1]/(2(1+p23))
func (p *Ply) puckAngle(t [3]float64, m Mode) float64 {
	if m != InterFibreC {
		return 0
	}
	k := &p.puck
	u := k.ra * p.s * t[2] / t[1]
	return math.Acos(math.Sqrt(math.Min(1, (u*u+1)/(2*(1+k.p23)))))
}
