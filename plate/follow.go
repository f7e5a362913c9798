package plate

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"sinew/geom"
	"sinew/hold"
	"sinew/part"
	"sinew/sparse"
)

// FollowSettings steers Follow. The zero value of a field means its default.
type FollowSettings struct {
	Steps int // how many the whole load is first cut into; default 10
	// Until is the factor on the case's loads and temperatures at which to
	// stop; default 1.
	Until float64
	// Shape is how far the nodes stand off the plane before any load, mm: an
	// imperfection, or a shallow arch; nil: flat.
	Shape []float64
	// Arc follows the path by its length, past greatest loads and back down;
	// else by the load alone.
	Arc bool
	// Most steps; default 40 times Steps.
	Most int
}

// PathPoint is a state of equilibrium.
type PathPoint struct {
	Factor     float64
	D          []float64 // displacements of the nodes as in CaseSolution
	Negative   int       // eigenvalues of the tangent below zero: above none the state is not stable
	Iterations int
}

// Path is the way of a part under a growing load.
type Path struct {
	Points []PathPoint // from the unloaded part on
	Last   CaseSolution
	// Reached says that Until was; else a step could not be made, however
	// small, or Most ran out, and Why says which.
	Reached bool
	Why     string
}

// Follow loads the part by a case step by step with moderate rotations: strains
// of the plane grow with the squares of the slopes (von Kármán), so that a
// deflected plate stiffens and a pressed one buckles. Each step is solved by
// Newton's method, with a line search where the load leads, and with the
// arc length of Ramm (1981; Riks, Int. J. Solids Struct. 15 (1979) 529) where
// Arc is set. Enforced displacements are not followed.
func (s *System) Follow(ctx context.Context, section *Section, which int, settings FollowSettings) (*Path, error) {
	if which < 0 || which >= len(s.setOf) {
		return nil, fmt.Errorf("case %d of %d", which, len(s.setOf))
	}
	if err := section.Validate(len(s.elements.weight)); err != nil {
		return nil, err
	}
	set := s.sets[s.setOf[which]]
	if set.Shift(1) != nil {
		return nil, errors.New("enforced displacements are not followed: load the part by forces")
	}
	if settings.Shape != nil && len(settings.Shape) != len(s.elements.mesh.Nodes) {
		return nil, fmt.Errorf("the shape has %d heights for %d nodes", len(settings.Shape), len(s.elements.mesh.Nodes))
	}
	s.stop = func() bool { return ctx.Err() != nil }
	defer func() { s.stop = nil }()
	if err := set.NeedFactor(); err != nil {
		return nil, err
	}
	w := newWalker(s, set, section, &s.part.Cases[which], settings)
	path, err := w.walk(ctx)
	if err != nil {
		return nil, errors.Join(ctx.Err(), err)
	}
	return path, nil
}

// A walker goes along a path of equilibrium.
type walker struct {
	*System
	set     *hold.Set
	section *Section
	pc      *part.Case
	wish    FollowSettings
	load    []float64 // on displacements, at factor 1
	reduced []float64 // on unknowns
	at      state     // the last state of equilibrium
	now     state     // under correction
	system  tangent   // of now
	factor  *sparse.Factor
}

// state is a place on or beside the path.
type state struct {
	lambda float64
	x      []float64    // unknowns
	bubble [][2]float64 // by element
}

func (a *state) clone() state {
	return state{a.lambda, slices.Clone(a.x), slices.Clone(a.bubble)}
}

// tangent is what the part answers at a state.
type tangent struct {
	residual []float64 // internal less external forces, by unknowns
	pull     []float64 // what grows with the factor: loads and temperatures
	elements []condensed
	left     [][2]float64 // forces on the bubbles
	heat     [][2]float64 // of a unit of temperatures
}

func newWalker(s *System, set *hold.Set, section *Section, pc *part.Case, wish FollowSettings) *walker {
	if wish.Steps <= 0 {
		wish.Steps = 10
	}
	if wish.Until == 0 {
		wish.Until = 1
	}
	if wish.Most <= 0 {
		wish.Most = 40 * wish.Steps
	}
	if wish.Shape == nil {
		wish.Shape = make([]float64, len(s.elements.mesh.Nodes))
	}
	w := &walker{System: s, set: set, section: section, pc: pc, wish: wish}
	w.load = s.loads(set, pc, section)
	w.reduced = make([]float64, set.Unknowns())
	set.ReduceTo(w.reduced, w.load)
	n := len(s.elements.mesh.Tris)
	w.at = state{0, make([]float64, set.Unknowns()), make([][2]float64, n)}
	w.now = w.at.clone()
	w.system = tangent{make([]float64, set.Unknowns()), make([]float64, set.Unknowns()), make([]condensed, n), make([][2]float64, n), make([][2]float64, n)}
	return w
}

// evaluate computes residual and tangent of the state under correction.
func (w *walker) evaluate() {
	d := w.displacements(&w.now)
	warm := w.warmth(w.section, w.pc.Heat.Times(w.pc.Factor))
	n := len(w.elements.mesh.Tris)
	forces, heats := make([][dofsPerTri]float64, n), make([][dofsPerTri]float64, n)
	w.set.AssembleTo(w.set.Matrix, true, func(k []float64, t int) {
		var e shaped
		var a deflected
		w.elements.shapeTo(&e, t)
		u := w.elements.gather(t, d)
		u[dofsPerTri], u[dofsPerTri+1] = w.now.bubble[t][0], w.now.bubble[t][1]
		e.stateTo(&a, w.section, t, &u, w.shapeOf(t), w.now.lambda, warm)
		c := a.k.condense((*[packed]float64)(k))
		w.system.elements[t] = c
		w.system.left[t] = [2]float64(a.f[dofsPerTri:])
		w.system.heat[t] = [2]float64(a.heat[dofsPerTri:])
		forces[t], heats[t] = c.nodal(&a.f), c.nodal(&a.heat)
	})
	internal, pull := make([]float64, w.set.Displacements()), slices.Clone(w.load)
	for t, tri := range w.elements.mesh.Tris {
		for i, node := range tri {
			for k := range dofsPerNode {
				internal[dofsPerNode*int(node)+k] += forces[t][dofsPerNode*i+k]
				pull[dofsPerNode*int(node)+k] += heats[t][dofsPerNode*i+k]
			}
		}
	}
	w.set.AddSprings(internal, d)
	w.set.ReduceTo(w.system.residual, internal)
	for i, v := range w.reduced {
		w.system.residual[i] -= w.now.lambda * v
	}
	w.set.ReduceTo(w.system.pull, pull)
}

// nodal takes the bubble's forces out of an element's.
func (c *condensed) nodal(f *[fullDofs]float64) (out [dofsPerTri]float64) {
	x, y := c.solve(f[dofsPerTri], f[dofsPerTri+1])
	for j := range out {
		out[j] = f[j] - c.row[0][j]*x - c.row[1][j]*y
	}
	return out
}

func (w *walker) shapeOf(t int) *[nodesPerTri]float64 {
	var h [nodesPerTri]float64
	for i, n := range w.elements.mesh.Tris[t] {
		h[i] = w.wish.Shape[n]
	}
	return &h
}

func (w *walker) displacements(a *state) []float64 {
	d := make([]float64, w.set.Displacements())
	w.set.ExpandTo(d, a.x, 0)
	return d
}

// factorize factorises the tangent.
func (w *walker) factorize() (err error) {
	if w.factor == nil {
		w.factor, err = w.set.Symbolic.FactorizeIndefinite(w.set.Matrix)
		return err
	}
	return w.factor.Refactorize(w.set.Matrix)
}

// solve returns K⁻¹·b of the tangent.
func (w *walker) solve(b []float64) []float64 {
	x := slices.Clone(b)
	w.factor.Solve(x, 1)
	return x
}

// increment is a step of unknowns, factor and bubbles.
type increment struct {
	x      []float64
	lambda float64
	bubble [][2]float64
}

// increment completes a step of unknowns and factor by what the bubbles make
// of it: b = -K_bb⁻¹·(left - lambda·heat + K_be·u).
func (w *walker) increment(dx []float64, lambda float64) *increment {
	step := w.displacements(&state{x: dx})
	out := &increment{dx, lambda, make([][2]float64, len(w.system.elements))}
	for t := range out.bubble {
		u, l, h := w.elements.gather(t, step), &w.system.left[t], &w.system.heat[t]
		x, y := w.system.elements[t].bubble(&u, [2]float64{lambda*h[0] - l[0], lambda*h[1] - l[1]})
		out.bubble[t] = [2]float64{x, y}
	}
	return out
}

// try goes to a share of an increment from a state, and evaluate there.
func (w *walker) try(from *state, i *increment, share float64) {
	w.now.lambda = from.lambda + share*i.lambda
	for k, v := range i.x {
		w.now.x[k] = from.x[k] + share*v
	}
	for t, v := range i.bubble {
		w.now.bubble[t] = [2]float64{from.bubble[t][0] + share*v[0], from.bubble[t][1] + share*v[1]}
	}
	w.evaluate()
}

func norm(v []float64) float64 { return math.Sqrt(dotOf(v, v)) }

func dotOf(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// walk makes steps until the wanted factor is reached.
func (w *walker) walk(ctx context.Context) (*Path, error) {
	path := &Path{}
	w.evaluate()
	if err := w.factorize(); err != nil {
		return nil, err
	}
	w.keep(path, 0)
	size := w.wish.Until / float64(w.wish.Steps)
	first := size * norm(w.solve(w.system.pull)) // length of the first step
	length, ahead := first, []float64(nil)
	for range w.wish.Most {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		before := w.at.clone()
		var count int
		var err error
		if w.wish.Arc {
			count, err = w.arcStep(length, ahead)
		} else {
			count, err = w.loadStep(math.Min(size, w.wish.Until-w.at.lambda))
		}
		var slow *notConverged
		if errors.As(err, &slow) {
			w.now = w.at.clone()
			w.evaluate()
			if err := w.factorize(); err != nil {
				return nil, err
			}
			if size, length = size/2, length/2; length < first*leastStep {
				path.Why = fmt.Sprintf("at %.4g of the load no step can be made: the part gives way, or snaps", w.at.lambda)
				break
			}
			continue
		}
		if err != nil {
			return nil, err
		}
		w.keep(path, count)
		ahead = make([]float64, len(w.at.x))
		for i := range ahead {
			ahead[i] = w.at.x[i] - before.x[i]
		}
		if w.at.lambda >= w.wish.Until*(1-sameFactor) {
			path.Reached = true
			break
		}
		grow := math.Sqrt(wantedIterations / float64(max(count, 1)))
		size, length = size*math.Min(2, grow), math.Min(first*longestStep, length*math.Min(2, grow))
	}
	if !path.Reached && path.Why == "" {
		path.Why = fmt.Sprintf("%d steps ended at %.4g of the load", w.wish.Most, w.at.lambda)
	}
	w.finishPath(path)
	return path, nil
}

// Of the walk.
const (
	leastStep        = 1.0 / 64 // of the first step's length, below which the walk gives up
	longestStep      = 4.0      // of it, which no step exceeds
	wantedIterations = 4.0      // a step that needs more makes the next one shorter
	sameFactor       = 1e-12    // rounding of sums of factors
	mostIterations   = 12
	// settled is the residual, relative to the pull, at which a step counts as
	// done: far below what the elements resolve, above rounding for plates a
	// thousand times longer than thick.
	settled = 1e-8
	// lost is how much worse than at its start a step may stand before it is
	// given up.
	lost = 1e6
)

type notConverged struct{ iterations int }

func (e *notConverged) Error() string {
	return fmt.Sprintf("no equilibrium after %d iterations", e.iterations)
}

// keep makes the state under correction the last one.
func (w *walker) keep(path *Path, count int) {
	w.at = w.now.clone()
	_, negative := w.factor.Inertia()
	d := w.displacements(&w.at)
	path.Points = append(path.Points, PathPoint{Factor: w.at.lambda, D: d[:dofsPerNode*len(w.elements.mesh.Nodes)], Negative: negative, Iterations: count})
}

// loadStep raises the factor and corrects by Newton's method with a line
// search. It returns the iterations.
func (w *walker) loadStep(size float64) (int, error) {
	dx := w.solve(w.system.pull)
	for i := range dx {
		dx[i] *= size
	}
	w.try(&w.at, w.increment(dx, size), 1)
	return w.correct(func() error {
		dx := w.solve(w.system.residual)
		for i := range dx {
			dx[i] = -dx[i]
		}
		w.search(dx)
		return nil
	})
}

// correct repeats a correction until the residual is settled; the tangent is
// factorised at each state, the last one too.
func (w *walker) correct(once func() error) (int, error) {
	for count := 0; count <= mostIterations; count++ {
		if err := w.factorize(); err != nil {
			return count, err
		}
		scale := norm(w.system.pull) * math.Max(math.Abs(w.now.lambda), w.wish.Until/float64(w.wish.Steps))
		switch left := norm(w.system.residual); {
		case left <= settled*scale:
			return count, nil
		case !(left < lost*scale):
			return count, &notConverged{count}
		}
		if err := once(); err != nil {
			return count, err
		}
	}
	return mostIterations, &notConverged{mostIterations}
}

// Of the line search: a correction is shortened by the secant rule until the
// residual along it has fallen to this share of what it was, three times at
// most and never below a tenth (Crisfield, Non-linear Finite Element Analysis of
// Solids and Structures, vol. 1, 1991, ch. 9.2).
const (
	searchShare  = 0.8
	searchLeast  = 0.1
	searchTrials = 3
)

// search makes a correction of the unknowns, the factor held.
func (w *walker) search(dx []float64) {
	from, step := w.now.clone(), w.increment(dx, 0)
	before := dotOf(dx, w.system.residual)
	share := 1.0
	for range searchTrials {
		w.try(&from, step, share)
		after := dotOf(dx, w.system.residual)
		if math.Abs(after) <= searchShare*math.Abs(before) || share == searchLeast || before == after {
			return
		}
		next := share * before / (before - after)
		if !(next > 0) || next >= share {
			next = share / 2
		}
		share = math.Max(searchLeast, next)
	}
	w.try(&from, step, share)
}

// arcStep goes a length along the path, ahead being the step before, and
// corrects at right angles to the way made so far.
func (w *walker) arcStep(length float64, ahead []float64) (int, error) {
	dx := w.solve(w.system.pull)
	size := length / norm(dx)
	if ahead != nil && dotOf(ahead, dx) < 0 {
		size = -size
	}
	for i := range dx {
		dx[i] *= size
	}
	w.try(&w.at, w.increment(dx, size), 1)
	return w.correct(func() error {
		made := make([]float64, len(dx))
		for i := range made {
			made[i] = w.now.x[i] - w.at.x[i]
		}
		back, along := w.solve(w.system.residual), w.solve(w.system.pull)
		dl := dotOf(made, back) / dotOf(made, along)
		if math.IsNaN(dl) || math.IsInf(dl, 0) {
			return &notConverged{}
		}
		for i := range back {
			back[i] = dl*along[i] - back[i]
		}
		from := w.now.clone()
		w.try(&from, w.increment(back, dl), 1)
		return nil
	})
}

// finishPath tells of the last state what is told of every case.
func (w *walker) finishPath(path *Path) {
	c, d := &path.Last, w.displacements(&w.at)
	warm := w.warmth(w.section, w.pc.Heat.Times(w.pc.Factor))
	c.Heat = warm.heat.Times(w.at.lambda)
	c.D, c.bubble = d[:dofsPerNode*len(w.elements.mesh.Nodes)], w.at.bubble
	c.Strain = make([][strains]float64, len(w.elements.weight))
	left := make([]float64, len(d))
	var e shaped
	var a deflected
	for t, tri := range w.elements.mesh.Tris {
		w.elements.shapeTo(&e, t)
		u := w.elements.gather(t, d)
		u[dofsPerTri], u[dofsPerTri+1] = w.at.bubble[t][0], w.at.bubble[t][1]
		for p := range PointsPerTri {
			c.Strain[t*PointsPerTri+p], _, _ = e.strainOver(p, &u, w.shapeOf(t))
		}
		e.stateTo(&a, w.section, t, &u, w.shapeOf(t), w.at.lambda, warm)
		for i, node := range tri {
			for k := range dofsPerNode {
				left[dofsPerNode*int(node)+k] += a.f[dofsPerNode*i+k]
			}
		}
	}
	w.set.AddSprings(left, d)
	w.balance(c, left, d)
}

// balance fills reactions, work and balance of the last state.
func (w *walker) balance(c *CaseSolution, left, d []float64) {
	applied := make([]float64, len(d))
	for i, v := range w.load {
		applied[i] = w.at.lambda * v
		left[i] -= applied[i]
		c.Work += applied[i] * d[i]
	}
	c.Energy = w.energy(c, w.set, w.section, d)
	c.Applied = w.set.Resultant(applied, geom.Point{})
	var held []float64
	c.Reactions, held = w.set.Reactions(left, d)
	w.bedReaction(held, w.section, d)
	// Moments balance about the deflected part, in terms that the theory leaves out.
	c.Imbalance = w.set.Imbalance(applied, make([]float64, len(d)), held, false)
	if scale := w.at.lambda * norm(w.system.pull); scale != 0 {
		c.Residual = norm(w.system.residual) / math.Abs(scale)
	}
}
