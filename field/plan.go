package field

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"sinew/stress"
)

// Plan finds the lay-up: straight families, loops and rims as asked, steered
// ones fitted to the stress of the laminate that all of them make.
func Plan(ctx context.Context, in Input, s Settings) (*Layup, error) {
	s = s.withDefaults()
	if err := in.complete(); err != nil {
		return nil, err
	}
	if err := s.validate(&in); err != nil {
		return nil, err
	}
	p := &planner{fitter: newFitter(ctx, &in, s), list: stretches(in.Mesh, in.Part), layup: &Layup{Region: in.Region}}
	if err := p.place(); err != nil {
		return nil, err
	}
	if err := p.steer(); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, err
	}
	if err := p.refine(); err != nil {
		return nil, err
	}
	p.stack()
	s.Progress("field", 1)
	return p.layup, ctx.Err()
}

type planner struct {
	*fitter
	list   []stretch
	layup  *Layup
	counts []int
	layers int
	found  []*attempt // per family: the fit that its phase comes from
}

// place makes all families but the steered ones.
func (p *planner) place() error {
	for i := range p.set.Families {
		r := &p.set.Families[i]
		f, note := Family{Name: r.Name, Kind: Steered, Mesh: p.space.m}, ""
		switch r.Kind {
		case Straight:
			f = p.straight(r)
		case Loop:
			var err error
			if f, note, err = p.loopOf(r); err != nil {
				return err
			}
		case Rim:
			f, note = p.rim(r)
		case Drawn:
			f = p.drawn(r)
		case Rib:
			var err error
			if f, err = p.ribs(r); err != nil {
				return err
			}
		case Plain:
			f = p.plain(r)
		}
		if note != "" {
			p.layup.Notes = append(p.layup.Notes, note)
		}
		p.layup.Families = append(p.layup.Families, f)
		p.counts = append(p.counts, r.Layers)
		p.layers += r.Layers
	}
	p.layers += p.set.Even
	p.found = make([]*attempt, len(p.set.Families))
	return nil
}

// steer fits the steered families one after the other; those still to come
// stand in as fibre in all directions.
func (p *planner) steer() error {
	for i := range p.set.Families {
		if p.set.Families[i].Kind != Steered || p.counts[i] == 0 {
			continue
		}
		if err := p.steerFamily(i); err != nil {
			return fmt.Errorf("family %s: %w", p.set.Families[i].Name, err)
		}
	}
	for i := range p.layup.Families {
		if p.layup.Families[i].Phase == nil { // asked for in no layer
			p.layup.Families[i].Phase = p.along()
		}
	}
	p.layup.Rounds = p.rounds
	return nil
}

// base is the sheet without family k.
func (p *planner) base(k int) stress.Sheet {
	rest := p.set.Even
	for i := range p.layup.Families {
		if i != k && p.counts[i] > 0 && p.layup.Families[i].Phase == nil {
			rest += p.counts[i]
		}
	}
	s, _ := p.even(rest, 1/p.set.Families[k].Spacing)
	for i := range p.layup.Families {
		f := &p.layup.Families[i]
		if i != k && p.counts[i] > 0 && f.Phase != nil {
			p.in.Stack.addFamily(&s, f, p.operator(f), float64(p.counts[i])*p.in.Stack.Law.Height(), p.set.Workers)
		}
	}
	return s
}

// scoutRounds is how far each attempt runs before the best goes on alone.
const scoutRounds = 2

// steerFamily tries all guesses and ways to fit, and keeps the best.
func (p *planner) steerFamily(k int) error {
	r := &p.set.Families[k]
	even, iso := p.even(p.layers, 1/r.Spacing)
	var start *stress.Solution
	var list []*attempt
	if err := p.together(
		func(int) (err error) { start, err = p.in.System.Respond(p.ctx, even); return err },
		func(int) (err error) { list, err = p.attempts(k); return err },
	); err != nil {
		return err
	}
	finals, err := p.choose(list, start, iso)
	if err != nil {
		return err
	}
	if p.set.Draw != nil {
		if finals, err = p.longer(finals, start, iso); err != nil {
			return err
		}
	}
	best, err := p.final(finals)
	if err != nil {
		return err
	}
	c := Choice{Family: k, Kept: best.name()}
	for _, a := range list {
		c.Tried = append(c.Tried, GuessTrial{a.name(), a.value})
	}
	for i, a := range finals {
		if len(finals) == 1 {
			break
		}
		if a == best {
			c.Best = i
		}
		c.Drawn = append(c.Drawn, DrawnTrial{a.name(), p.space.length(a.slope), a.worth})
	}
	p.keep(best, c.Drawn)
	p.layup.Choices = append(p.layup.Choices, c)
	return nil
}

// crampedShare: a further first guess whose narrowest section passes less than
// this share of the asked length is not tried.
const crampedShare = 0.6

// attempts lists what is worth trying for family k.
func (p *planner) attempts(k int) ([]*attempt, error) {
	r := &p.set.Families[k]
	asked := p.space.area() / r.Spacing
	list, usual, err := p.guessesFor(k, asked)
	if err != nil {
		return nil, err
	}
	var tasks []func(workers int) error
	for _, g := range list {
		tasks = append(tasks, func(workers int) error { return p.makeFit(g, workers) }, func(int) error { p.direct(g); return nil })
	}
	if err := p.together(tasks...); err != nil {
		return nil, err
	}
	base := p.base(k)
	var out []*attempt
	for i, g := range list {
		variants := map[Fit][]variant{Auto: {dominant, nearest, held}, Dominant: {dominant}, Nearest: {nearest}}[r.Fit]
		if i >= usual {
			variants = variants[:1]
		}
		for _, v := range variants {
			out = append(out, p.attempt(k, g, v, r.Layers, base))
		}
	}
	return out, nil
}

// guessesFor lists the first guesses that are worth trying, each with its
// reference, and how many of them are the usual ones.
func (p *planner) guessesFor(k int, asked float64) (list []*guess, usual int, err error) {
	all := guesses(p.list)
	first := len(all)
	if p.set.Draw != nil {
		for _, g := range furtherGuesses(p.list, p.space.m.Nodes) {
			if !slices.ContainsFunc(all, func(h guess) bool { return h.name == g.name }) {
				all = append(all, g)
			}
		}
	}
	tasks := []func(workers int) error{p.makeFree}
	var named []int
	for i := range all {
		if p.set.Guess == "" || all[i].name == p.set.Guess {
			named = append(named, i)
			tasks = append(tasks, func(workers int) error { return p.reference(&all[i], asked, workers) })
		}
	}
	if len(named) == 0 {
		return nil, 0, fmt.Errorf("first guess %q does not apply to this part's supports and loads", p.set.Guess)
	}
	if err := p.together(tasks...); err != nil {
		return nil, 0, err
	}
	for _, i := range named {
		if len(list) > 0 && all[i].necks.length < crampedShare*asked {
			continue
		}
		list = append(list, &all[i])
		if i < first {
			usual++
		}
	}
	return list, usual, nil
}

// finalists is how many attempts run to their end where drawn strands decide.
const finalists = 3

// choose runs all attempts for a few rounds and returns the best ones, the
// best first.
func (p *planner) choose(list []*attempt, start *stress.Solution, iso elastic) ([]*attempt, error) {
	if len(list) == 1 {
		return list, list[0].start(start, iso)
	}
	told := func(share float64) { p.set.Progress("first guesses", 0.4*share) }
	err := p.each(list, scoutRounds, told, func(a *attempt, round int) (err error) {
		if round == 0 {
			err = a.start(start, iso)
		}
		if err == nil {
			err = a.step()
		}
		if err == nil && round == scoutRounds-1 {
			a.value = p.valueOf(a)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	for _, a := range list {
		p.rounds, a.rounds = append(p.rounds, a.rounds...), nil
	}
	slices.SortStableFunc(list, func(a, b *attempt) int { return cmp.Compare(a.value, b.value) })
	most := 1
	if p.set.Draw != nil {
		most = finalists
	}
	return list[:min(most, len(list))], nil
}

// final runs the attempts to their end and returns the best as drawn.
func (p *planner) final(list []*attempt) (*attempt, error) {
	if err := p.settleAll(list); err != nil {
		return nil, err
	}
	for _, a := range list {
		p.rounds = append(p.rounds, a.rounds...)
	}
	if len(list) == 1 {
		return list[0], nil
	}
	var best *attempt
	value := math.Inf(1)
	for _, a := range list {
		families := slices.Clone(p.layup.Families)
		a.fill(&families[a.family])
		s, err := p.drawnScore(families)
		if err != nil {
			return nil, err
		}
		a.worth = s.by(p.set.Refine.Goal)
		if best == nil || a.worth < value {
			best, value = a, a.worth
		}
	}
	return best, nil
}

// longer adds, for every attempt whose first guess lets less tow pass the
// narrowest section than was asked for, some with more: the fit may send fewer
// strands through than the guess, and how much tow is best depends on the goal.
func (p *planner) longer(list []*attempt, start *stress.Solution, iso elastic) ([]*attempt, error) {
	out := slices.Clone(list)
	shares := []float64{0.5, 1}
	if p.set.Refine.Goal == Weakest {
		// A neck filled to its last strand hardly raises the reserve any more, for
		// much more tow.
		shares = shares[:1]
	}
	for _, a := range list {
		asked := a.guess.necks.asked
		if a.length >= asked {
			continue
		}
		for _, share := range shares {
			length := a.length * math.Pow(asked/a.length, share)
			b := p.attempt(a.family, a.guess, a.variant, a.layers, a.base)
			b.length, b.value, b.stretched = length, a.value, true
			if err := b.start(start, iso); err != nil {
				return nil, err
			}
			out = append(out, b)
		}
	}
	return out, nil
}

// passTries is how often a length is made smaller that its own fit does not let
// pass; what is left over the integer fit takes away.
const passTries = 3

// pass makes the length of a fitted attempt smaller until it passes as the phase
// runs, and fits it again.
func (p *planner) pass(a *attempt) error {
	for range passTries {
		share := a.passing()
		if share >= 1 {
			return nil
		}
		a.length *= share
		a.round = p.set.Rounds - 1
		if err := p.settle(a, func(float64) {}); err != nil {
			return err
		}
	}
	return nil
}

// drawnScore draws the families that have a phase and judges what comes out.
func (p *planner) drawnScore(families []Family) (Score, error) {
	counts := slices.Clone(p.counts)
	for i := range families {
		if families[i].Phase == nil {
			families[i].Phase, counts[i] = p.along(), 0
		}
	}
	order, _ := StackUp(counts)
	l := &Layup{Region: p.in.Region, Families: families, Layers: layersOf(order, len(counts), !p.set.NoShift), Locked: p.set.locks()}
	l.unshiftDrawn()
	plies, err := p.set.Draw(p.ctx, l)
	if err != nil {
		return Score{}, err
	}
	return p.judge.printed(p.ctx, plies, nil)
}

// valueOf judges the whole laminate under an attempt; beads that overlap count
// heavily, because they cannot be laid.
func (p *planner) valueOf(a *attempt) float64 {
	families := append([]Family(nil), p.layup.Families...)
	families[a.family].Phase = a.phase
	counts := append([]int(nil), p.counts...)
	for i := range families {
		if families[i].Phase == nil {
			counts[i] = 0
		}
	}
	v := p.judge.score(families, counts, a.sol, p.operator).value()
	over := 0.0
	for q, g := range a.slope {
		over += p.space.weight[q] * math.Max(0, g.Norm()/p.in.Stack.Law.RhoMax()-1)
	}
	return v + overCost*over/p.space.area() + tightCost*p.tightShare(a.slope)
}

const (
	// overCost: one percent of mean overlap costs as much as a tenth of strength.
	overCost = 10
	// tightCost: one percent of the area bent below the tow's radius costs as
	// much as a fifth of strength.
	tightCost = 40
)

// settleAll runs the attempts to their end.
func (p *planner) settleAll(list []*attempt) error {
	told := func(share float64) { p.set.Progress("field", 0.4+0.2*share) }
	if len(list) == 1 {
		a := list[0]
		if err := p.together(func(int) error { return p.settle(a, told) }, a.pin); err != nil {
			return err
		}
		return a.finish()
	}
	return p.each(list, 1, told, func(a *attempt, _ int) error {
		if err := p.settle(a, func(float64) {}); err != nil {
			return err
		}
		if a.stretched {
			if err := p.pass(a); err != nil {
				return err
			}
		}
		return a.finish()
	})
}

// settle runs the rounds to their end and keeps the stiffest.
func (p *planner) settle(a *attempt, told func(share float64)) error {
	type kept struct {
		phase  []float64
		goal   goal
		energy float64
	}
	var best *kept
	last := math.Inf(1)
	for a.round <= p.set.Rounds {
		goal := a.goal
		if err := a.step(); err != nil {
			return err
		}
		if best == nil || a.energy < best.energy {
			best = &kept{append([]float64(nil), a.phase...), goal, a.energy}
		}
		told(float64(a.round) / float64(p.set.Rounds+1))
		if math.Abs(last-a.energy) < settled*a.energy {
			break
		}
		last = a.energy
	}
	a.phase, a.goal, a.energy = best.phase, best.goal, best.energy
	a.slope = p.space.gradients(a.phase)
	return nil
}

// keep makes the attempt the family's phase; drawn are those that it was chosen
// from.
func (p *planner) keep(a *attempt, drawn []DrawnTrial) {
	p.found[a.family] = a
	f := &p.layup.Families[a.family]
	a.fill(f)
	var lengths []DrawnTrial
	for _, d := range drawn {
		if d.Name == a.name() {
			lengths = append(lengths, d)
		}
	}
	if r := a.guess.necks.report(a, lengths); r != nil {
		p.layup.Neck = append(p.layup.Neck, *r)
		p.layup.Notes = append(p.layup.Notes, fmt.Sprintf("family %s: %s", f.Name, r))
	}
}

// fill gives a family what the attempt found.
func (a *attempt) fill(f *Family) {
	f.Phase, f.TiedPhases, f.TiedLoops = a.phase, a.tiedPhases(), nil
	for _, l := range a.guess.loops {
		if l >= 0 {
			f.TiedLoops = append(f.TiedLoops, l)
		}
	}
}

// stack orders the layers.
func (p *planner) stack() {
	order, symmetric := StackUp(p.counts)
	switch {
	case p.set.Order != nil:
		if order = p.set.Order; !isSymmetric(order) {
			p.layup.Notes = append(p.layup.Notes, "the stack as stated is not symmetric: it couples stretching with bending and will warp")
		}
	case !symmetric:
		p.layup.Notes = append(p.layup.Notes, "more than one family has an odd number of layers: the stack is not symmetric and will warp")
	}
	p.layup.Layers = layersOf(order, len(p.counts), !p.set.NoShift)
	p.layup.unshiftDrawn()
	p.layup.Locked = p.set.locks()
}

// unshiftDrawn takes the shift off given paths and ribs, which lie where they
// are given.
func (l *Layup) unshiftDrawn() {
	for y := range l.Layers {
		if !l.Families[l.Layers[y].Family].shifts() {
			l.Layers[y].Shift = 0
		}
	}
}
