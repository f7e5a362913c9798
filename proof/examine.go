package proof

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"

	"sinew/material"
	"sinew/plate"
	"sinew/stress"
)

// Examination is the analysis of one design, to be asked for values point by
// point.
type Examination struct {
	Design   Design
	System   *stress.System
	Sheet    stress.Sheet
	Solution *stress.Solution
	prover   *prover
	plies    []ply
	bent     *bent      // nil where no case bends
	maps     []LayerMap // of a print
	cases    []judgedCase

	mu     sync.Mutex
	shapes map[shapeKey][]Shape
	flat   *bent // the design as a plate, where only its shapes ask for it
}

// PlyIndex is the index of one mode in one kind of layer under one case, per
// integration point: 1 is failure at the required load.
type PlyIndex struct {
	Mode  Mode
	Ply   int
	Index []float64 // at the point
	Mean  []float64 // over the disc: what the margins are taken from
	Holds []bool    // where the ply is of the material that the mode is about; nil: everywhere
}

// Examine analyses the design of a name alone, as Prove would.
func Examine(ctx context.Context, in Input, name string) (*Examination, error) {
	p, stages, err := newProver(ctx, &in)
	if err != nil {
		return nil, err
	}
	p.only = name
	for _, stage := range stages {
		if err := stage(); err != nil {
			return nil, err
		}
		if p.found != nil {
			p.found.Design = p.result.Designs[0]
			return p.found, nil
		}
	}
	return nil, fmt.Errorf("there is no design %q", name)
}

// Plies returns how many kinds of layer the design has.
func (e *Examination) Plies() int { return len(e.plies) }

// Beads returns what a kind of layer holds at each integration point; nil for
// plain material.
func (e *Examination) Beads(ply int) *LayerMap { return e.plies[ply].beads }

// Indices returns the indices of every mode in a kind of layer under a case.
func (e *Examination) Indices(ply, loadCase int) []PlyIndex {
	var out []PlyIndex
	for _, f := range e.prover.caseFields(e.plies, ply, loadCase, e.state(loadCase), e.bent) {
		out = append(out, PlyIndex{Mode: f.mode, Ply: ply, Index: f.index[:e.prover.n], Mean: e.prover.mean(&f), Holds: f.holds})
	}
	return out
}

// state of a case at the integration points alone.
func (e *Examination) state(loadCase int) *state {
	c := &e.Solution.Cases[loadCase]
	return e.prover.stateOf(c.Strain, c.Heat)
}

// LayerStress returns the stress of a kind of layer under a case in the layer's
// own axes at the integration points, MPa: along the strands, across them, in
// shear; not a number where no bead lies. composite names one of the kind's
// layers by its index among the composite layers; below 0: its first. at is a
// place in its height, which matters to a case that bends.
func (e *Examination) LayerStress(ply, composite, loadCase int, at plate.Height) [][3]float64 {
	y := &e.plies[ply]
	c := e.state(loadCase)
	if y.beads != nil && e.bent != nil && e.bent.is(loadCase) {
		z := y.at[max(0, slices.Index(y.beads.Layers, composite))]
		c = e.prover.bentState(e.bent, loadCase, func(int) float64 { return z[0] + (z[1]-z[0])*float64(at)/float64(plate.AtTop) })
	}
	out := make([][3]float64, e.prover.n)
	for p := range out {
		out[p] = [3]float64{math.NaN(), math.NaN(), math.NaN()}
		if y.beads != nil && y.shareAt(p) > 0 && y.beads.Covered(p) {
			r, _ := e.prover.in.Law.Reduced(y.beads.effective(p))
			out[p] = r.Mul(e.prover.layerStrain(y.beads, p, c))
		}
	}
	return out
}

// Criterion returns what one criterion says of a kind of layer under a case: the
// index at the integration points, a mean over discs; not a number where no bead
// lies. Of a case that bends it is that of the worse face.
func (e *Examination) Criterion(ply, loadCase int, which material.Criterion) []float64 {
	y := &e.plies[ply]
	out := make([]float64, e.prover.n)
	for p := range out {
		out[p] = math.NaN()
	}
	if y.beads == nil {
		return out
	}
	states := []*state{e.state(loadCase)}
	if e.bent != nil && e.bent.is(loadCase) {
		faces := e.prover.faces(e.bent, loadCase, y)
		states = faces[:]
	}
	f := indexField{index: make([]float64, e.prover.n), holds: make([]bool, e.prover.n)}
	for p := range e.prover.n {
		if f.holds[p] = y.shareAt(p) > 0 && y.beads.Covered(p); !f.holds[p] {
			continue
		}
		for _, c := range states {
			a := e.prover.assess.Assess(y.beads.effective(p), e.prover.layerStrain(y.beads, p, c))
			f.index[p] = math.Max(f.index[p], 1/a[which].Reserve)
		}
	}
	for p, m := range e.prover.mean(&f) {
		if f.holds[p] {
			out[p] = m
		}
	}
	return out
}

// IsMasked reports whether failure is not judged at an integration point.
func (e *Examination) IsMasked(point int) bool { return e.prover.disc.IsMasked(point) }
