package field

import (
	"context"
	"fmt"
	"math"
	"slices"
)

// Goal is what refinement makes better.
type Goal int

// The goals.
const (
	Balanced Goal = iota // fibre, matrix and stiffness of every case alike, on a scale of ratios
	Weakest              // the reserve of whatever fails first
	Stiffest             // stiffness alone
)

// weights of the logarithms of fibre index, matrix index and flexibility.
func (g Goal) weights() (fibre, matrix, flexibility float64) {
	switch g {
	case Weakest:
		return 1, 0, 0.1
	case Stiffest:
		return 0, 0, 1
	}
	return 1, 1, 1
}

// Refine asks for refinement of the steered families after the rounds. The
// zero value asks for none.
type Refine struct {
	Steps int // most steps of the descent
	Goal  Goal
}

// Step records one step of the refinement.
type Step struct {
	Value   float64 // what is lowered, costs included
	Fibre   float64 // p-norms of the failure indices as planned, the greatest of all cases
	Matrix  float64
	Energy  []float64 // of each case, N mm
	Turning float64   // total turning over that of the least-squares answer, the greatest of all families
}

const (
	// reach is the length, mm, over which a change of the phase is smoothed: some
	// beads, so that no strand can weave between its neighbours.
	reach = 3.0
	// descentMemory, steps that the descent remembers.
	descentMemory = 12
	// firstMove is the greatest change of a phase, in strands, in the first trial.
	firstMove = 0.25
	// mostMove is the greatest in any.
	mostMove = 2.0
	// decrease is Armijo's share of the promised gain that a step must reach.
	decrease = 1e-4
	// shortest is the length of a step, against the first trial, below which
	// nothing is gained any more.
	shortest = 1e-3
	// stale ends the descent when a step gains less than this.
	stale = 1e-5
)

// refiner moves the phases of the steered families.
type refiner struct {
	m      *measure
	smooth []*problem // per variable: (M + r²K) on its unknowns, factorised
	scale  [][]float64
	limits []*limits
	start  [][]float64 // phases of the least-squares answer
	x      []float64
	offset []int
	ctx    context.Context

	descent descent
}

// refine improves the steered families and reports its steps.
func (p *planner) refine() error {
	var vars []int
	for k := range p.set.Families {
		if p.set.Families[k].Kind == Steered && p.counts[k] > 0 && p.found[k] != nil {
			vars = append(vars, k)
		}
	}
	if p.set.Refine.Steps == 0 || len(vars) == 0 {
		return nil
	}
	r, err := p.newRefiner(vars)
	if err != nil {
		return err
	}
	t := &track{p: p, vars: vars}
	from := r.resume(p.set.Resume, t)
	if from < 0 {
		if err := t.offer(r.start); err != nil {
			return err
		}
	}
	stopped, err := r.run(from, p.set.Refine.Steps, p.set.Stop, t.step(r))
	if err != nil {
		return err
	}
	if stopped {
		p.layup.Stopped = r.checkpoint(t)
	}
	if err := t.offer(t.last); err != nil {
		return err
	}
	for v, k := range vars {
		p.layup.Families[k].Phase = t.best[v]
	}
	p.layup.Steps, p.layup.Kept = t.steps, t.kept
	return nil
}

// step takes a step of the descent up: it is recorded, told, and drawn when its
// turn has come.
func (t *track) step(r *refiner) func(done int, now *trial) error {
	return func(done int, now *trial) error {
		s := r.record(now)
		t.steps = append(t.steps, s)
		most := t.p.set.Refine.Steps
		t.p.set.Progress(fmt.Sprintf("refinement, objective %.4f", s.Value), 0.6+0.39*float64(done)/float64(most))
		if done > 0 && done%drawEvery == 0 {
			return t.offer(now.state.phases)
		}
		t.last = now.state.phases
		return nil
	}
}

// drawEvery is after how many steps strands are drawn, so that the descent may
// be kept at the best place as printed, not as planned.
const drawEvery = 10

// track keeps the best phases of a descent: as printed where strands can be
// drawn, else the last.
type track struct {
	p     *planner
	vars  []int
	steps []Step
	last  [][]float64
	best  [][]float64
	kept  int // step that best stands for
	value float64
}

// offer judges phases and keeps them where they are the best so far.
func (t *track) offer(phases [][]float64) error {
	if phases == nil {
		return nil
	}
	t.last = nil
	at := max(0, len(t.steps)-1)
	if t.p.set.Draw == nil {
		t.best, t.kept = phases, at
		return nil
	}
	families := slices.Clone(t.p.layup.Families)
	for v, k := range t.vars {
		families[k].Phase = phases[v]
	}
	s, err := t.p.drawnScore(families)
	if err != nil {
		return err
	}
	if v := s.by(t.p.set.Refine.Goal); t.best == nil || v < t.value {
		t.best, t.value, t.kept = phases, v, at
	}
	return nil
}

func (p *planner) newRefiner(vars []int) (*refiner, error) {
	r := &refiner{m: newMeasure(p.fitter, p.layup.Families, p.counts, vars, p.set.Refine.Goal), ctx: p.ctx, offset: []int{0}, descent: descent{memory: descentMemory}}
	for _, k := range vars {
		g, phase := p.found[k].guess, p.layup.Families[k].Phase
		fixed := make([]float64, len(g.groups))
		for i, group := range g.groups {
			fixed[i] = phase[group[0]]
		}
		s, err := newProblem(p.space, p.space.tied(g.groups, fixed), p.set.Workers, p.cancel)
		if err != nil {
			return nil, err
		}
		s.assemble(func(int) tensor { return tensor{reach * reach, 0, reach * reach} }, 1, nil)
		if err := s.factorize(); err != nil {
			return nil, err
		}
		r.smooth = append(r.smooth, s)
		r.scale = append(r.scale, s.massRoots())
		l := p.newLimits(phase, math.Min(p.found[k].length, p.space.length(p.space.gradients(phase))))
		l.lock = p.lockedIn(k)
		r.limits = append(r.limits, l)
		r.start = append(r.start, phase)
		r.offset = append(r.offset, r.offset[len(r.offset)-1]+s.u.n)
	}
	r.x = make([]float64, r.offset[len(vars)])
	return r, nil
}

// massRoots returns, per unknown, the root of the diagonal of the mass matrix.
func (p *problem) massRoots() []float64 {
	out := make([]float64, p.u.n)
	for t, tri := range p.s.m.Tris {
		for k := range perTri {
			for i, n := range tri {
				if j := p.u.of[n]; j >= 0 {
					out[j] += p.s.weight[perTri*t+k] * p.s.shape[k][i] * p.s.shape[k][i]
				}
			}
		}
	}
	for j := range out {
		out[j] = math.Sqrt(out[j])
	}
	return out
}

// phases returns φ = φ₀ + (M + r²K)⁻¹·D·x, D the roots of the mass: a change of
// the phase is smooth over the reach, and x measures it alike on fine and
// coarse elements.
func (r *refiner) phases(x []float64) [][]float64 {
	out := make([][]float64, len(r.start))
	for v, s := range r.smooth {
		d := make([]float64, s.u.n)
		for j := range d {
			d[j] = r.scale[v][j] * x[r.offset[v]+j]
		}
		s.fac.Solve(d, 1)
		out[v] = append([]float64(nil), r.start[v]...)
		for n, j := range s.u.of {
			if j >= 0 {
				out[v][n] += d[j]
			}
		}
	}
	return out
}

// pullBack turns the derivative by phases into that by x.
func (r *refiner) pullBack(grads [][]float64) []float64 {
	out := make([]float64, len(r.x))
	for v, s := range r.smooth {
		d := out[r.offset[v]:r.offset[v+1]]
		for n, j := range s.u.of {
			if j >= 0 {
				d[j] += grads[v][n]
			}
		}
		s.fac.Solve(d, 1)
		for j := range d {
			d[j] *= r.scale[v][j]
		}
	}
	return out
}

// trial is a point of the descent.
type trial struct {
	x     []float64
	state *state
	value float64
}

func (r *refiner) try(x []float64) (*trial, error) {
	s, err := r.m.at(r.ctx, r.phases(x))
	if err != nil {
		return nil, err
	}
	t := &trial{x, s, s.value}
	for v, l := range r.limits {
		t.value += l.cost(s.phases[v], nil)
	}
	return t, nil
}

// slope returns the derivative of a trial by x.
func (r *refiner) slope(t *trial) ([]float64, error) {
	grads, err := r.m.gradient(t.state)
	if err != nil {
		return nil, err
	}
	for v, l := range r.limits {
		l.cost(t.state.phases[v], grads[v])
	}
	return r.pullBack(grads), nil
}

// run descends from where the refiner stands after so many steps (below 0: at
// the start) and tells of every step, the start as step 0. It reports whether it was stopped before its
// end.
func (r *refiner) run(from, most int, stop func() bool, tell func(done int, now *trial) error) (bool, error) {
	now, err := r.try(r.x)
	if err != nil {
		return false, err
	}
	g, err := r.slope(now)
	if err != nil {
		return false, err
	}
	if from < 0 {
		from = 0
		if err := tell(0, now); err != nil {
			return false, err
		}
	}
	for i := from; i < most; i++ {
		if stop() {
			return true, nil
		}
		next, err := r.search(now, g, &r.descent)
		if next == nil || err != nil {
			return false, err
		}
		h, err := r.slope(next)
		if err != nil {
			return false, err
		}
		r.descent.learn(minus(next.x, now.x), minus(h, g))
		gain := now.value - next.value
		now, g = next, h
		r.x = now.x
		if err := tell(i+1, now); err != nil {
			return false, err
		}
		if gain < stale {
			break
		}
	}
	return false, nil
}

func minus(a, b []float64) []float64 {
	out := append([]float64(nil), a...)
	axpy(out, -1, b)
	return out
}

// search finds a point along the descent's direction that is lower by
// Armijo's rule; nil where there is none.
func (r *refiner) search(now *trial, g []float64, d *descent) (*trial, error) {
	dir := d.direction(g)
	slope := dot(dir, g)
	if slope >= 0 { // the memory no longer fits: start it anew
		*d = descent{memory: d.memory}
		dir = d.direction(g)
		slope = dot(dir, g)
	}
	move := r.move(dir)
	if move == 0 {
		return nil, nil
	}
	step := math.Min(1, mostMove/move)
	if len(d.s) == 0 {
		step = firstMove / move
	}
	for first := step; step >= shortest*first; {
		x := append([]float64(nil), now.x...)
		axpy(x, step, dir)
		next, err := r.try(x)
		if err != nil {
			return nil, err
		}
		if next.value <= now.value+decrease*step*slope {
			return next, nil
		}
		// The parabola through both values and the slope, held to a tenth and a
		// half of the step.
		fit := -slope * step * step / (2 * (next.value - now.value - slope*step))
		step = math.Max(0.1*step, math.Min(0.5*step, fit))
	}
	return nil, nil
}

// move is the greatest change of a phase along a direction, in strands.
func (r *refiner) move(dir []float64) float64 {
	most := 0.0
	for v, phase := range r.phases(dir) {
		for n, w := range phase {
			most = math.Max(most, math.Abs(w-r.start[v][n]))
		}
	}
	return most
}

func (r *refiner) record(t *trial) Step {
	s := Step{Value: t.value}
	for c, n := range t.state.norm {
		s.Fibre, s.Matrix = math.Max(s.Fibre, n[0]), math.Max(s.Matrix, n[1])
		s.Energy = append(s.Energy, t.state.sol.Cases[c].Energy)
	}
	for v, l := range r.limits {
		s.Turning = math.Max(s.Turning, l.totalTurning(l.s.gradients(t.state.phases[v]))/l.turning)
	}
	return s
}
