package field

import (
	"context"
	"math"
	"slices"

	"sinew/geom"
	"sinew/internal/work"
	"sinew/stress"
)

// variant holds the constants of a fit; what they stand for is said where they
// are used. The values were chosen by comparing as-printed margins of an open
// hole, a link and a bracket, which hardly react to them.
type variant struct {
	name        string
	nearest     bool
	compression float64 // worth of a compressive stress against a tensile one
	keep        float64 // pull of the reference direction everywhere
	smoothing   float64 // length over which the target is smoothed, mm
}

var (
	dominant = variant{"dominant", false, 0.5, 0, 1.5}
	nearest  = variant{"nearest", true, 0.8, 0.3, 3}
	held     = variant{"nearest, held", true, 0.8, 1.5, 5}
)

const (
	packedShare  = 0.95 // of the greatest density is what a target may ask for
	acrossWeight = 0.4  // of an error in density against one in direction
	packGain     = 8.0  // how fast the density's weight grows where beads overlap
	packMost     = 50.0 // and how far
	leastWeight  = 0.02 // of a place that carries nothing
	leastWorth   = 1e-3 // of the mean, so that a coherence exists everywhere
	leastSlope   = 1e-4 // per mm: below it a phase has no direction
	settled      = 0.005
)

// fitter fits steered families to a part.
type fitter struct {
	ctx       context.Context
	in        *Input
	set       Settings
	space     *space
	op        *Gradient // at the points of the system
	lane      *lane     // for what runs alone
	sides     []*lane   // for what runs side by side
	free      *problem  // no node tied: pattern of the smoothing
	smoothers smoothers
	judge     *judge
	rounds    []Round
	locks     map[int]*lock // by family, those asked for so far
}

func newFitter(ctx context.Context, in *Input, set Settings) *fitter {
	f := &fitter{ctx: ctx, in: in, set: set, lane: newLane(in.System, set.Workers), locks: map[int]*lock{}}
	f.smoothers.of = map[float64]*smoother{}
	parts := []func(){
		func() { f.space = newSpace(in.Mesh) },
		func() { f.op = NewGradient(in.Mesh, in.System.Points()) },
		func() { f.judge = newJudge(in, set) },
	}
	work.Each(len(parts), set.Workers, func(i int) { parts[i]() })
	return f
}

func (f *fitter) cancel() bool { return f.ctx.Err() != nil }

// operator places the points of the system in a family's mesh.
func (f *fitter) operator(k *Family) *Gradient {
	if k.Mesh == f.space.m && k.Paths == nil {
		return f.op
	}
	return k.Operator(f.in.System.Points())
}

// even is the sheet of the lay-up with its fibre spread over all directions, and
// such fibre.
func (f *fitter) even(layers int, rho float64) (stress.Sheet, elastic) {
	e := f.in.Stack.evenly(rho)
	s := f.in.Stack.bare(len(f.in.System.Points()))
	density := f.in.Stack.Law.Composition(rho).Density
	for i := range s.A {
		e.addTo(&s, i, float64(layers)*f.in.Stack.Law.Height()*f.in.Stack.shareAt(i), density)
	}
	return s, e
}

// attempt is the fit of one family from one guess.
type attempt struct {
	f       *fitter
	lane    *lane
	family  int
	guess   *guess
	variant variant
	length  float64      // wanted of one layer, mm
	layers  int          // of this family
	base    stress.Sheet // all that is not this family
	pinned  *problem     // with the phases of all tied boundaries given; nil before it is asked for
	pack    []float64    // local factor of the density's weight
	scales  []float64    // of the cases: 0 where the family does not follow one
	// stretched says that more is laid than passes as the first guess runs.
	stretched bool
	lock      *lock // of strands laid as given in the family's layers

	goal   goal
	value  float64 // when the best are chosen
	worth  float64 // as drawn, by the goal of the refinement
	phase  []float64
	slope  []geom.Point // of the phase, at the mesh's own points
	sol    *stress.Solution
	round  int
	energy float64
	rounds []Round
}

func (f *fitter) attempt(family int, g *guess, v variant, layers int, base stress.Sheet) *attempt {
	a := &attempt{f: f, lane: f.lane, family: family, guess: g, variant: v, length: g.necks.length, layers: layers, base: base}
	a.lock = f.lockedIn(family)
	a.pack = make([]float64, len(g.slope))
	for i := range a.pack {
		a.pack[i] = 1
	}
	return a
}

// name of the first guess and the way of fitting.
func (a *attempt) name() string { return a.guess.name + ", " + a.variant.name }

// start begins with the stress of an even sheet.
func (a *attempt) start(sol *stress.Solution, iso elastic) error {
	a.sol, a.scales = sol, a.follows()
	g, err := a.aim(func(int) elastic { return iso })
	a.goal = g
	return err
}

// follows says for each case whether the family follows it: 1, else 0. Cases
// that count all count by their stress; to weigh the nearer to failure more would
// spend on one case what another needs.
func (a *attempt) follows() []float64 {
	only := a.f.set.Families[a.family].Cases
	out := make([]float64, len(a.f.in.Part.Cases))
	for c := range out {
		if only == nil || slices.Contains(only, c) {
			out[c] = 1
		}
	}
	return out
}

// step is one round: fit, scale, analyse again, aim again.
func (a *attempt) step() error {
	if err := a.solvePhase(a.lane.fit(a.guess)); err != nil {
		return err
	}
	a.scale(a.length / a.f.space.length(a.slope))
	a.repack()
	if err := a.analyse(); err != nil {
		return err
	}
	a.round++
	g, err := a.aim(a.own)
	a.goal = g
	return err
}

// solvePhase fits the phase to the goal.
func (a *attempt) solvePhase(p *problem) (err error) {
	flux := a.goal.flux(a.pack)
	p.assemble(func(q int) tensor { return a.goal.tensor(q, a.pack[q]) }, 0, flux)
	if a.phase, err = p.solve(); err == nil {
		a.slope = a.f.space.gradients(a.phase)
	}
	return err
}

func (a *attempt) scale(by float64) {
	for i := range a.phase {
		a.phase[i] *= by
	}
	for i := range a.slope {
		a.slope[i] = a.slope[i].Scale(by)
	}
}

// repack raises the weight of density where beads overlap.
func (a *attempt) repack() {
	limit := packedShare * a.f.in.Stack.Law.RhoMax()
	for q, g := range a.slope {
		a.pack[q] = max(1, min(packMost, a.pack[q]*(1+packGain*max(0, g.Norm()/limit-1))))
	}
}

// analyse solves the plate with the present phase.
func (a *attempt) analyse() error {
	sol, err := a.lane.sys.Respond(a.f.ctx, a.sheet())
	if err != nil {
		return err
	}
	a.sol = sol
	a.energy = 0
	r := Round{Family: a.family, Guess: a.name(), Round: a.round, Length: a.f.space.length(a.slope)}
	for c := range sol.Cases {
		if a.f.judge.firm(c) || !a.f.judge.anyFirm() {
			a.energy += a.scales[c] * sol.Cases[c].Energy
		}
		r.Compliance = append(r.Compliance, sol.Cases[c].Energy)
	}
	a.rounds = append(a.rounds, r)
	return nil
}

// sheet is the base with this family added.
func (a *attempt) sheet() stress.Sheet {
	s := copied(&a.base)
	f := Family{Mesh: a.f.space.m, Phase: a.phase}
	a.f.in.Stack.addFamily(&s, &f, a.f.op, float64(a.layers)*a.f.in.Stack.Law.Height(), a.lane.workers)
	return s
}

// own is a layer of this family at a point of the system.
func (a *attempt) own(i int) elastic {
	g := a.f.op.At(i, a.phase)
	sin, cos := math.Sincos(math.Atan2(g.X, -g.Y))
	return a.f.in.Stack.fibreAt(math.Max(leastSlope, g.Norm()), cos, sin)
}
