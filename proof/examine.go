package proof

import (
	"context"
	"fmt"

	"sinew/stress"
)

// Examination is the analysis of one design, to be asked for values point by
// point.
type Examination struct {
	Design   Design
	System   *stress.System
	Sheet    stress.Sheet
	Solution *stress.Solution
	judge    *judge
	plies    []ply
	maps     []LayerMap // of a print
	cases    []judgedCase
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
	for _, f := range e.judge.fields(e.plies, ply, e.state(loadCase)) {
		out = append(out, PlyIndex{Mode: f.mode, Ply: ply, Index: f.index[:e.judge.n], Mean: e.judge.mean(&f), Holds: f.holds})
	}
	return out
}

// state of a case at the integration points alone.
func (e *Examination) state(loadCase int) *state {
	c := &e.Solution.Cases[loadCase]
	return e.judge.stateOf(c.Strain, c.Heat)
}

// FibreStress returns the stress along the strands, MPa, in the beads of a
// kind of layer under a case, per integration point; 0 where no bead lies.
func (e *Examination) FibreStress(ply, loadCase int) []float64 {
	b, c := e.plies[ply].beads, e.state(loadCase)
	out := make([]float64, len(c.strain))
	if b == nil {
		return out
	}
	for p := range out {
		if b.Covered(p) {
			r, _ := e.judge.in.Law.Reduced(b.effective(p))
			out[p] = r.Mul(e.judge.layerStrain(b, p, c))[0]
		}
	}
	return out
}

// IsMasked reports whether failure is not judged at an integration point.
func (e *Examination) IsMasked(point int) bool { return e.judge.disc.IsMasked(point) }
