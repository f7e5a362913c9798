package field

import (
	"context"
	"fmt"
)

// Mix is a number of layers for each family.
type Mix struct {
	Layers []int
	Score  Score // of the lay-up as planned
	Tried  int   // mixes analysed
}

// Reserve is the load at first failure over the required load, as planned.
func (m Mix) Reserve() float64 { return 1 / m.Score.Worst() }

// mixGain is the share by which a mix must beat the best so far, so that
// rounding does not decide.
const mixGain = 1e-6

// FindMix looks for the numbers of layers with the greatest reserve factor at
// the same number of layers in all: two layers at a time, which keeps the
// stack symmetric, go from one family to another as long as that helps. It
// starts from the numbers asked for, with phases planned for them, and ends
// where no exchange helps, which need not be the best of all mixes. Families
// with keep true hold their number; nil keeps none. Plan the answer anew: a
// steered phase then fits the mix.
func FindMix(ctx context.Context, in Input, s Settings, keep []bool) (*Mix, error) {
	s = s.withDefaults()
	if keep != nil && len(keep) != len(s.Families) {
		return nil, fmt.Errorf("%d families, but %d marks of which to keep", len(s.Families), len(keep))
	}
	for i, r := range s.Families {
		if r.Layers < 1 {
			return nil, fmt.Errorf("family %d (%s) has no layer to start from: give it one or two", i+1, r.Name)
		}
	}
	l, err := Plan(ctx, in, s)
	if err != nil {
		return nil, err
	}
	x := &exchange{ctx: ctx, in: &in, layup: l, judge: newJudge(&in, s)}
	m := &Mix{Layers: make([]int, len(s.Families))}
	for i, r := range s.Families {
		m.Layers[i] = r.Layers
	}
	if m.Score, err = x.score(m.Layers); err != nil {
		return nil, err
	}
	for better := true; better; {
		if better, err = x.sweep(m, keep); err != nil {
			return nil, err
		}
	}
	m.Tried = x.tried
	return m, nil
}

type exchange struct {
	ctx   context.Context
	in    *Input
	layup *Layup
	judge *judge
	tried int
}

// sweep makes the best exchange of two layers and reports whether there was
// one that helps.
func (x *exchange) sweep(m *Mix, keep []bool) (bool, error) {
	best := *m
	try := append([]int(nil), m.Layers...)
	for from := range try {
		if try[from] < 2 || keep != nil && keep[from] {
			continue
		}
		for to := range try {
			if to == from || keep != nil && keep[to] {
				continue
			}
			try[from] -= 2
			try[to] += 2
			s, err := x.score(try)
			if err != nil {
				return false, err
			}
			if s.Worst() < best.Score.Worst()*(1-mixGain) {
				best.Layers, best.Score = append([]int(nil), try...), s
			}
			try[from] += 2
			try[to] -= 2
		}
	}
	found := best.Score != m.Score
	*m = best
	return found, nil
}

func (x *exchange) score(layers []int) (Score, error) {
	x.tried++
	l := *x.layup
	l.Layers = nil
	for k, n := range layers {
		for range n {
			l.Layers = append(l.Layers, Layer{Family: k})
		}
	}
	sol, err := x.in.System.Solve(x.ctx, l.Sheet(x.in.Stack, x.in.System.Points()))
	if err != nil {
		return Score{}, err
	}
	return x.judge.score(l.Families, layers, sol), nil
}
