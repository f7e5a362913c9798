package material

import "math"

// Evaluation is what Evaluate finds of a stack. It may be used again and
// again; it then allocates nothing.
type Evaluation struct {
	Stiff             ABD
	Strain, Curvature [3]float64 // of the middle plane
	// Reserve by criterion: the least over the faces of all layers, with its
	// mode and layer.
	Reserve [6]float64
	Mode    [6]Mode
	Layer   [6]int

	effort [6]float64
	turns  [][2]float64 // cosine and sine of each layer
}

// Evaluate stacks the layers (bottom first), and finds the response to force
// and moment per width about the middle plane and the least reserve by every
// criterion. It is the fast way where NewLaminate tells everything: it does
// not check its input and reports false when the stack has no stiffness.
// Cost: some 100 ns a layer.
func (e *Evaluation) Evaluate(layers []Layer, force, moment [3]float64) bool {
	e.stack(layers)
	inverse, ok := e.Stiff.Inverse()
	if !ok {
		return false
	}
	e.Strain, e.Curvature = inverse.Mul(force, moment)
	e.effort = [6]float64{}
	z := -thickness(layers) / 2
	for i := range layers {
		y := &layers[i]
		e.judge(i, y, z)
		z += y.Thickness
	}
	e.effort[TsaiHill] = math.Sqrt(e.effort[TsaiHill])
	for c, v := range e.effort {
		e.Reserve[c] = 1 / v
		if v == 0 {
			e.Mode[c], e.Layer[c] = NoMode, -1
		}
	}
	return true
}

func (e *Evaluation) stack(layers []Layer) {
	if cap(e.turns) < len(layers) {
		e.turns = make([][2]float64, len(layers))
	}
	e.turns = e.turns[:len(layers)]
	e.Stiff = ABD{}
	z := -thickness(layers) / 2
	for i := range layers {
		y := &layers[i]
		s, c := math.Sincos(y.Theta)
		e.turns[i] = [2]float64{c, s}
		q := y.Ply.Q.TurnBy(c, s)
		e.Stiff.add(&q, z, z+y.Thickness)
		z += y.Thickness
	}
}

// judge compares the efforts at both faces of a layer with the greatest so
// far; stress is linear over the thickness.
func (e *Evaluation) judge(i int, y *Layer, z float64) {
	p := y.Ply
	c, s := e.turns[i][0], e.turns[i][1]
	base, slope := p.Q.Mul(TurnStrainBy(e.Strain, c, s)), p.Q.Mul(TurnStrainBy(e.Curvature, c, s))
	top := z + y.Thickness
	e.judgeAt(i, p, [3]float64{base[0] + z*slope[0], base[1] + z*slope[1], base[2] + z*slope[2]})
	e.judgeAt(i, p, [3]float64{base[0] + top*slope[0], base[1] + top*slope[1], base[2] + top*slope[2]})
}

func (e *Evaluation) judgeAt(i int, p *Ply, t [3]float64) {
	if v, m := p.maxStress(&t); v > e.effort[MaxStress] {
		e.effort[MaxStress], e.Mode[MaxStress], e.Layer[MaxStress] = v, m, i
	}
	if v, m := p.maxStrain(&t); v > e.effort[MaxStrain] {
		e.effort[MaxStrain], e.Mode[MaxStrain], e.Layer[MaxStrain] = v, m, i
	}
	// The square compares as well, and the root is drawn once.
	if v := p.tsaiHill(&t); v > e.effort[TsaiHill] {
		e.effort[TsaiHill], e.Mode[TsaiHill], e.Layer[TsaiHill] = v, Interactive, i
	}
	if v := p.tsaiWu(&t); v > e.effort[TsaiWu] {
		e.effort[TsaiWu], e.Mode[TsaiWu], e.Layer[TsaiWu] = v, Interactive, i
	}
	if v, m := p.hashin(&t); v > e.effort[Hashin] {
		e.effort[Hashin], e.Mode[Hashin], e.Layer[Hashin] = v, m, i
	}
	if v, m := p.puckEffort(&t); v > e.effort[Puck] {
		e.effort[Puck], e.Mode[Puck], e.Layer[Puck] = v, m, i
	}
}
