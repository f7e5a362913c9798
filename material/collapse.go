package material

import (
	"fmt"
	"math"
	"slices"
)

// Degrade says what is left of a layer after it has failed.
type Degrade struct {
	// Criterion that finds the failures; Puck and Hashin tell fibre from matrix,
	// the others take the greater of fibre and transverse effort for it.
	Criterion Criterion
	// MatrixLeft is the share of E2, G12 and nu12 that a cracked layer keeps,
	// FibreLeft that of E1 after its fibres broke; 0 means DefaultLeft.
	MatrixLeft, FibreLeft float64
	// Whole takes a layer out altogether at its first failure of any kind: full
	// ply discount.
	Whole bool
}

// DefaultLeft is full discount with a trace that keeps the stiffness positive.
const DefaultLeft = 1e-6

// Step is one failure on the way to collapse.
type Step struct {
	Load     float64 // factor on the load at which it happens
	Layer    int
	Mode     Mode
	Strain   [3]float64 // of the reference plane just before
	Movement float64    // Force·Strain/|Force| + Moment·Curvature/|Moment|, the path of the load
	After    float64    // the same just after, at the same load; +Inf when nothing holds
}

// Collapse is the way of a stack from its first failure to its last.
type Collapse struct {
	Steps []Step
	// Load is the greatest factor reached: where the stack collapses.
	Load float64
	// Curve holds {movement, load factor}, from the unloaded stack on.
	Curve [][2]float64
}

// lostShare of the stiffness along the load's own path below which a stack no
// longer carries: 1 %, far above what DefaultLeft leaves and far below what a
// stack with a working layer in the load's direction keeps.
const lostShare = 0.01

// Collapse raises the force and moment of a load and takes each failed layer's
// stiffness away, ply by ply, until the stack carries no more. A layer whose
// matrix has failed stands until its fibres break; layers that fail at one
// load fail together. Temperature and moisture act from the start. The load is
// held while layers fail, so that others may follow at the same load.
func (l *Laminate) Collapse(d Degrade, p Load) (Collapse, error) {
	w := walk{d: d.withDefaults(), load: p, whole: l, state: make([]damage, len(l.Layers))}
	w.result.Curve = append(w.result.Curve, [2]float64{0, 0})
	now := l
	for w.carries(now) {
		failing := w.next(now)
		if len(failing) == 0 {
			break
		}
		w.raise(failing[0].Reserve)
		strain, before := w.travel(now, w.result.Load)
		w.mark(before)
		for _, f := range failing {
			w.state[f.Layer].fail(f.Mode.IsFibre() || w.d.Whole)
		}
		var err error
		if now, err = w.degraded(); err != nil {
			return w.result, fmt.Errorf("collapse after layer %d: %w", failing[0].Layer, err)
		}
		after := math.Inf(1)
		if w.carries(now) {
			_, after = w.travel(now, w.result.Load)
			w.mark(after)
		}
		for _, f := range failing {
			w.result.Steps = append(w.result.Steps, Step{Load: w.result.Load, Layer: f.Layer, Mode: f.Mode, Strain: strain, Movement: before, After: after})
		}
	}
	return w.result, nil
}

// walk is the state of a collapse under way.
type walk struct {
	d      Degrade
	load   Load
	whole  *Laminate
	state  []damage
	result Collapse
}

func (d Degrade) withDefaults() Degrade {
	if d.MatrixLeft == 0 {
		d.MatrixLeft = DefaultLeft
	}
	if d.FibreLeft == 0 {
		d.FibreLeft = DefaultLeft
	}
	return d
}

// damage is what has gone in a layer.
type damage struct{ matrix, fibre bool }

func (s *damage) fail(fibre bool) {
	s.matrix = true // broken fibres leave no matrix worth the name
	s.fibre = s.fibre || fibre
}

func (w *walk) raise(reserve float64) { w.result.Load = math.Max(w.result.Load, reserve) }

func (w *walk) mark(movement float64) {
	w.result.Curve = append(w.result.Curve, [2]float64{movement, w.result.Load})
}

// next finds the layers that fail at the least load, with their modes told
// apart into fibre and matrix.
func (w *walk) next(now *Laminate) []FirstFailure {
	standing := now.Stresses(Load{DeltaT: w.load.DeltaT, Moisture: w.load.Moisture})
	applied := now.Stresses(Load{Force: w.load.Force, Moment: w.load.Moment})
	worst := make([]FirstFailure, len(w.state))
	least := math.Inf(1)
	for i := range worst {
		worst[i] = FirstFailure{Failure: Failure{Reserve: math.Inf(1)}, Layer: i}
	}
	for i, a := range applied {
		if w.state[a.Layer].fibre {
			continue
		}
		if f := w.judge(a.Layer, a.Own, standing[i].Own); f.Reserve < worst[a.Layer].Reserve {
			worst[a.Layer] = FirstFailure{Failure: f, Layer: a.Layer, Z: a.Z}
		}
		least = math.Min(least, worst[a.Layer].Reserve)
	}
	return slices.DeleteFunc(worst, func(f FirstFailure) bool {
		return math.IsInf(f.Reserve, 1) || f.Reserve > least*(1+togetherShare)
	})
}

// togetherShare is the relative difference of load below which two layers fail
// at once: rounding must not decide that one of two like layers breaks first
// and bends the rest.
const togetherShare = 1e-9

func (w *walk) judge(layer int, applied, standing [3]float64) Failure {
	ply := w.whole.Layers[layer].Ply
	if w.state[layer].matrix {
		return ply.fibreReserve(applied, standing)
	}
	f := ply.ReserveBeside(w.d.Criterion, applied, standing)
	f.Mode = ply.sideOf(f)
	return f
}

// fibreReserve judges the fibres alone.
func (p *Ply) fibreReserve(applied, standing [3]float64) Failure {
	f := Failure{Reserve: math.Inf(1), Stress: applied}
	switch {
	case applied[0] > 0:
		f.Reserve, f.Mode = math.Max(0, (p.Strength.Xt-standing[0])/applied[0]), FibreTension
	case applied[0] < 0:
		f.Reserve, f.Mode = math.Max(0, (p.Strength.Xc+standing[0])/-applied[0]), FibreCompression
	}
	return f
}

// sideOf keeps a mode that names fibre or matrix; for one that mixes them the
// greater single effort decides.
func (p *Ply) sideOf(f Failure) Mode {
	if f.Mode != Interactive {
		return f.Mode
	}
	_, mode := p.maxStress(&f.Stress)
	return mode
}

// travel returns the strain at a load factor and how far the load has moved.
func (w *walk) travel(now *Laminate, factor float64) (strain [3]float64, path float64) {
	q := w.load
	for i := range 3 {
		q.Force[i] *= factor
		q.Moment[i] *= factor
	}
	strain, curvature := now.Respond(q)
	return strain, w.along(strain, curvature)
}

// along is the movement of the load: its work over its size.
func (w *walk) along(strain, curvature [3]float64) float64 {
	work, size := 0.0, 0.0
	for i := range 3 {
		work += w.load.Force[i]*strain[i] + w.load.Moment[i]*curvature[i]
		size += w.load.Force[i]*w.load.Force[i] + w.load.Moment[i]*w.load.Moment[i]
	}
	if size == 0 {
		return 0
	}
	return work / math.Sqrt(size)
}

// carries reports whether the stack still resists along the load's path.
func (w *walk) carries(now *Laminate) bool {
	q := Load{Force: w.load.Force, Moment: w.load.Moment}
	fresh := w.along(w.whole.Respond(q))
	return fresh > 0 && w.along(now.Respond(q)) < fresh/lostShare
}

// degraded stacks what is left of the layers.
func (w *walk) degraded() (*Laminate, error) {
	layers := append([]Layer(nil), w.whole.Layers...)
	for i, s := range w.state {
		e := layers[i].Ply.Lamina
		if s.matrix {
			e = e.Degrade(1, w.d.MatrixLeft)
		}
		if s.fibre {
			e.E1 *= w.d.FibreLeft
		}
		ply := *layers[i].Ply
		ply.Lamina, ply.Q = e, e.Reduced()
		layers[i].Ply = &ply
	}
	middle := (w.whole.Heights[0] + w.whole.Heights[len(layers)]) / 2
	return NewLaminate(layers, middle)
}

// Degrade returns a lamina of which a share of the stiffness along the fibres
// and a share of that across them (E2, shear, Poisson's ratio) is left.
func (l Lamina) Degrade(fibre, matrix float64) Lamina {
	l.E1 *= fibre
	l.E2 *= matrix
	l.G12 *= matrix
	l.G13 *= matrix
	l.G23 *= matrix
	l.Nu12 *= matrix
	return l
}
