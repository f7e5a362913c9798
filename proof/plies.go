package proof

import (
	"math"

	"sinew/material"
	"sinew/plate"
	"sinew/stress"
)

// ply is one kind of layer of a design: so much thickness of beads of the law,
// or of one plain material.
type ply struct {
	thickness float64
	at        [][2]float64 // heights of its layers' faces above the plate's middle, mm
	beads     *LayerMap    // nil: plain
	plain     *plainPly
	share     []float64 // of the thickness that is there at each point; nil: all of it
	fill      []float64 // of plain layers: share of their volume under beads at each point; nil: all of it
	keeps     []float64 // of plain layers with a fill: share of their stiffness that it keeps at each point
}

// filled returns how much of the plain layers at a point is under beads.
func (y *ply) filled(p int) float64 {
	if y.fill == nil {
		return 1
	}
	return y.fill[p]
}

// kept returns how much of the stiffness of the plain layers at a point their
// fill keeps.
func (y *ply) kept(p int) float64 {
	if y.fill == nil {
		return 1
	}
	return y.keeps[p]
}

// plainPly is a material without strands.
type plainPly struct {
	lamina material.Lamina
	// strength in all directions: Xt = Yt, Xc = Yc.
	strength material.Strength
	between  float64 // shear strength between its layers, MPa; 0: not layered
	density  float64
	q        material.Stiffness
	thermal  [3]float64
	modes    []Mode
	limit    map[Mode]float64 // strength of each mode that has but one, MPa
	// knockDown that the strengths hold already; 1: none.
	knockDown float64
	// index returns the index of each mode, 1 at failure.
	index func(stress [3]float64) [2]float64
}

func newPlainPly(l material.Lamina, density float64) *plainPly {
	p := &plainPly{lamina: l, density: density, q: l.Reduced().Turn(0), knockDown: 1}
	p.thermal = p.q.Mul([3]float64{l.Alpha1, l.Alpha2, 0})
	return p
}

// plasticPly judges a plastic by its own strength.
func plasticPly(p Plain) *plainPly {
	density := p.Density
	if density == 0 {
		density = p.State.Phase.Density
	}
	out := newPlainPly(p.State.Lamina(), density)
	out.strength = p.State.Strength()
	if out.between = p.State.Shear; p.AcrossLayers > 0 {
		out.between *= p.AcrossLayers
	}
	if p.KnockDown > 0 {
		out.knockDown = p.KnockDown
	}
	out.modes = []Mode{PlasticBreak}
	out.index = func(t [3]float64) [2]float64 { return [2]float64{1 / p.State.Reserve(t)} }
	return out
}

// metalPly judges a metal against yield and ultimate strength.
func metalPly(m material.Metal) *plainPly {
	out := newPlainPly(m.Lamina(), m.Density)
	shear := m.Shear
	if shear == 0 {
		shear = m.Ultimate / math.Sqrt(3) // von Mises
	}
	out.strength = material.Strength{Xt: m.Ultimate, Yt: m.Ultimate, Xc: m.Ultimate, Yc: m.Ultimate, S: shear}
	out.modes = []Mode{Yield, Ultimate}
	out.limit = map[Mode]float64{Yield: m.Yield, Ultimate: m.Ultimate}
	out.index = func(t [3]float64) [2]float64 {
		y, u := m.Reserves(t)
		return [2]float64{1 / y, 1 / u}
	}
	return out
}

// ultimate is the strength against a force along x or in shear.
func (p *plainPly) ultimate(force [3]float64) float64 {
	switch {
	case force[2] != 0:
		return p.strength.S
	case force[0] < 0:
		return p.strength.Xc
	}
	return p.strength.Xt
}

// stress of a strain, growth by temperature taken off.
func (p *plainPly) stress(strain [3]float64, deltaT float64) [3]float64 {
	t := p.q.Mul(strain)
	for i := range t {
		t[i] -= deltaT * p.thermal[i]
	}
	return t
}

// effective returns the strands per mm that carry load at a point.
func (l *LayerMap) effective(point int) float64 {
	if l.Share == nil {
		return l.Rho[point]
	}
	return l.Rho[point] * l.Share[point]
}

// sheetOf adds up the plies at each point. With thermal the forces of a
// temperature change are added.
func sheetOf(plies []ply, law *material.Law, pocket *plainPly, points int, thermal bool) stress.Sheet {
	s := stress.Sheet{A: make([]material.Stiffness, points), Mass: make([]float64, points)}
	if thermal {
		s.Thermal = make([][3]float64, points)
	}
	for i := range plies {
		for p := range points {
			plies[i].addTo(&s, p, law, pocket)
		}
	}
	return s
}

func (y *ply) addTo(s *stress.Sheet, p int, law *material.Law, pocket *plainPly) {
	y.addLeft(s, p, law, pocket, whole)
}

// addLeft adds what a failure has left of the ply.
func (y *ply) addLeft(s *stress.Sheet, p int, law *material.Law, pocket *plainPly, d damage) {
	thickness := y.thickness * y.shareAt(p)
	if thickness == 0 {
		return
	}
	q, plain := y.stiffLeft(p, law, pocket, d)
	if plain != nil {
		s.Mass[p] += thickness * plain.density * y.filled(p)
	} else {
		s.Mass[p] += thickness * law.Composition(y.beads.Rho[p]).Density
	}
	s.A[p] = s.A[p].Add(q, thickness)
	if s.Thermal != nil {
		for k, v := range y.heatOf(p, law, plain, q) {
			s.Thermal[p][k] += thickness * v
		}
	}
}

// stiffLeft returns the stiffness, in part axes, that a failure has left of the
// ply at a point, and the plain material where it has no bead there.
func (y *ply) stiffLeft(p int, law *material.Law, pocket *plainPly, d damage) (material.Stiffness, *plainPly) {
	plain := y.plain
	if y.beads != nil && !y.beads.Covered(p) {
		plain = pocket
	}
	if plain != nil {
		left := 1.0
		if d != whole {
			left = brokenLeft
		}
		return material.Stiffness{}.Add(plain.q, left*y.kept(p)), plain
	}
	b := y.beads
	r, _ := law.Reduced(b.effective(p))
	switch d {
	case cracked:
		r = r.Lamina().Degrade(1, crackedLeft).Reduced()
	case broken:
		r = r.Lamina().Degrade(brokenLeft, crackedLeft).Reduced()
	}
	return r.TurnBy(b.Cos[p], b.Sin[p]), nil
}

// left is stiffLeft with the transverse shear moduli 44, 45, 55 in part axes.
func (y *ply) left(p int, law *material.Law, pocket *plainPly, d damage) (q material.Stiffness, shear [3]float64, plain *plainPly) {
	q, plain = y.stiffLeft(p, law, pocket, d)
	left := 1.0
	if plain != nil {
		if d != whole {
			left = brokenLeft
		}
		left *= y.kept(p)
		return q, [3]float64{left * plain.lamina.G23, 0, left * plain.lamina.G13}, plain
	}
	if d != whole {
		left = crackedLeft
	}
	l := law.Lamina(y.beads.effective(p))
	return q, plate.TurnShear(left*l.G13, left*l.G23, y.beads.Cos[p], y.beads.Sin[p]), nil
}

// heatOf returns the stress per kelvin of the ply, fully held, of a stiffness.
func (y *ply) heatOf(p int, law *material.Law, plain *plainPly, q material.Stiffness) [3]float64 {
	if plain != nil {
		return q.Mul([3]float64{plain.lamina.Alpha1, plain.lamina.Alpha2, 0})
	}
	a1, a2 := law.Expansion(y.beads.effective(p))
	return q.Mul(growth(a1, a2, y.beads.Cos[p], y.beads.Sin[p]))
}

// growth returns the free strain per kelvin, in part axes, of a layer whose
// fibres run along (c, s).
func growth(a1, a2, c, s float64) [3]float64 {
	return material.TurnStrainBy([3]float64{a1, a2, 0}, c, -s)
}

// even is a layer map of one direction and spacing all over the part.
func even(points int, height, rho, theta float64) *LayerMap {
	m := &LayerMap{Height: height, Rho: make([]float64, points), Cos: make([]float64, points), Sin: make([]float64, points)}
	s, c := math.Sincos(theta)
	for p := range points {
		m.Rho[p], m.Cos[p], m.Sin[p] = rho, c, s
	}
	return m
}
