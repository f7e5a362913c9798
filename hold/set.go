package hold

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"sinew/geom"
	"sinew/part"
	"sinew/sparse"
)

// Settings steers NewSets.
type Settings struct {
	Count    int // displacements of a node: InPlane or Bending
	Workers  int // goroutines. Results do not depend on it
	Enforced []Enforced
	// Bedded says that a foundation holds the whole face across the plane.
	Bedded bool
	// Free leaves the supports of a plate out and holds it by six displacements
	// that strain nothing. Loads must then balance.
	Free bool
	// Memory is how many bytes a factorisation may take. Equations that need more
	// are solved by conjugate gradients. 0: any.
	Memory int
	// Cancel, where not nil, stops the analysis of the matrix, its factorisation
	// and iterations when it says so.
	Cancel func() bool
}

// Set is a group of cases that are held alike: one matrix, one factorisation.
// It is not safe for use by several goroutines at once.
type Set struct {
	Cases    []int // of the part, ascending
	Matrix   *sparse.Symmetric
	Symbolic *sparse.Symbolic // nil where the equations are iterated
	Factor   *sparse.Factor   // nil before Factorize, and where the equations are iterated

	workers     int
	cancel      func() bool
	need        int                // bytes of a factorisation
	short       *MemoryError       // why the equations are iterated, or nil
	incomplete  *sparse.Incomplete // then; nil before Factorize
	constraints *constraints
	tie         *tie
	scatter     *scatter
}

// NewSets groups the cases of a part by what holds it, each with its pattern
// analysed; of says in which set each case is. What a case or support refers to
// in vain, and a part that is free to move, are errors.
func NewSets(o *Outline, s Settings) (sets []*Set, of []int, err error) {
	if err := o.check(s.Enforced); err != nil {
		return nil, nil, err
	}
	var keys [][]gripKey
	for i := range o.part.Cases {
		key := gripsOf(&o.part.Cases[i])
		at := slices.IndexFunc(keys, func(k []gripKey) bool { return slices.Equal(k, key) })
		if at < 0 {
			at = len(keys)
			keys = append(keys, key)
			sets = append(sets, &Set{workers: s.Workers, cancel: s.Cancel})
		}
		sets[at].Cases = append(sets[at].Cases, i)
		of = append(of, at)
	}
	for i, set := range sets {
		if err := set.prepare(o, keys[i], s); err != nil {
			return nil, nil, err
		}
	}
	return sets, of, nil
}

func (o *Outline) check(enforced []Enforced) error {
	var errs []error
	if len(o.mesh.Tris) == 0 {
		errs = append(errs, errors.New("the mesh has no elements"))
	}
	for i, h := range o.part.Supports {
		errs = append(errs, o.Check(h.Feature, fmt.Sprintf("support %d", i+1)))
	}
	for _, e := range enforced {
		errs = append(errs, o.Check(e.Feature, "enforced displacement"))
	}
	for i := range o.part.Cases {
		c := &o.part.Cases[i]
		for _, l := range c.Loads {
			errs = append(errs, o.checkLoad(c, l))
		}
		if sum := c.Factor + c.Heat.At(geom.Point{X: 1, Y: 1}) + c.Acceleration.X + c.Acceleration.Y; math.IsNaN(sum) || math.IsInf(sum, 0) {
			errs = append(errs, fmt.Errorf("case %q: factor, temperature change and acceleration must be finite", c.Name))
		}
	}
	if len(o.part.Cases) == 0 {
		errs = append(errs, errors.New("the part has no load case"))
	}
	return errors.Join(errs...)
}

// gripKey is what a load holds of the part's shape.
type gripKey struct {
	kind    part.LoadKind
	feature int
	x, y    float64 // direction
	spoke   float64
}

// gripsOf returns what the loads of a case hold, a grip and its opposite being
// the same, in a fixed order.
func gripsOf(c *part.Case) []gripKey {
	var list []gripKey
	for _, l := range c.Loads {
		k := gripKey{kind: l.Kind, feature: l.Feature}
		switch e := Direction(math.Atan2(l.Force.Y, l.Force.X)); l.Kind {
		case part.Grip:
			if e.X < 0 || e.X == 0 && e.Y < 0 {
				e = e.Scale(-1)
			}
			k.x, k.y = e.X, e.Y
		case part.HalfPin:
			k.x, k.y = e.X, e.Y
		case part.Bolt:
			k.spoke = l.Spoke
		default:
			continue
		}
		list = append(list, k)
	}
	slices.SortFunc(list, func(a, b gripKey) int {
		switch {
		case a.feature != b.feature:
			return a.feature - b.feature
		case a.kind != b.kind:
			return int(a.kind - b.kind)
		}
		return slices.Compare([]float64{a.x, a.y, a.spoke}, []float64{b.x, b.y, b.spoke})
	})
	return slices.Compact(list)
}

// constrain gathers all that holds the part in a set.
func constrain(o *Outline, grips []gripKey, s Settings) *constraints {
	c := newConstraints(o, s.Count)
	owner := len(o.part.Supports)
	if s.Free {
		c.isostatic(owner)
		return c
	}
	for i, h := range o.part.Supports {
		c.support(h, i)
	}
	for _, g := range grips {
		switch g.kind {
		case part.Grip:
			c.grip(g.feature, geom.Point{X: g.x, Y: g.y}, owner)
		case part.HalfPin:
			c.halfPin(g.feature, geom.Point{X: g.x, Y: g.y}, owner)
		case part.Bolt:
			c.bolt(g.feature, g.spoke, owner)
		}
		owner++
	}
	for _, e := range s.Enforced {
		c.enforce(e, owner)
		owner++
	}
	return c
}

// prepare builds the constraints, the pattern and its analysis.
func (s *Set) prepare(o *Outline, grips []gripKey, set Settings) (err error) {
	s.constraints = constrain(o, grips, set)
	var names []string
	for _, i := range s.Cases {
		names = append(names, fmt.Sprintf("%q", o.part.Cases[i].Name))
	}
	if err := s.constraints.checkRigid(names, set.Bedded); err != nil {
		return err
	}
	if s.tie, err = s.constraints.tie(); err != nil {
		return err
	}
	if s.tie.n == 0 {
		return errors.New("every node of the part is held: nothing is left to solve")
	}
	s.scatter, s.Matrix = newScatter(o.mesh.Tris, s.tie, s.constraints.springs)
	s.Symbolic, err = sparse.Analyze(s.Matrix, sparse.Settings{Coords: s.tie.coords, Workers: set.Workers, Cancel: set.Cancel})
	if err != nil {
		return err
	}
	return s.fit(set.Memory)
}

// fit decides whether the equations are factorised or iterated, by what one
// worker needs: each further one wants a few percent more, and answers may not
// depend on how many there are.
func (s *Set) fit(memory int) error {
	s.need = s.Symbolic.For(1, nil).Stats().Bytes
	if memory <= 0 || s.need <= memory {
		return nil
	}
	if least := sparse.IterationBytes(s.Matrix); least > memory {
		return &MemoryError{Need: least, Allowed: memory}
	}
	s.Symbolic, s.short = nil, &MemoryError{Need: s.need, Allowed: memory}
	return nil
}

// MemoryError says that something needs more memory than is allowed.
type MemoryError struct{ Need, Allowed int } // bytes

// Error tells both amounts, and what to do.
func (e *MemoryError) Error() string {
	const mib = 1 << 20
	return fmt.Sprintf("the equations need %.1f MiB of memory and %.1f MiB are allowed: allow more (analysis.memory), or make the mesh coarser",
		float64(e.Need)/mib, float64(e.Allowed)/mib)
}

// NeedFactor returns a *MemoryError where the equations are too large to be
// factorised, for analyses that cannot do without.
func (s *Set) NeedFactor() error {
	if s.short == nil {
		return nil
	}
	return s.short
}

// Equations describes how a set's equations are solved.
type Equations struct {
	Unknowns  int
	Bytes     int     // that a factorisation takes on one worker, by the estimate before it
	Iterated  bool    // as that is more than allowed
	Condition float64 // estimate of ‖K‖₁·‖K⁻¹‖₁, from below; 0 where iterated
}

// Equations describes the equations as last factorised. It costs some ten
// solutions.
func (s *Set) Equations() Equations {
	e := Equations{Unknowns: s.tie.n, Bytes: s.need, Iterated: s.short != nil}
	if s.Factor != nil {
		e.Condition = s.Factor.Condition(s.Matrix)
	}
	return e
}

// Twin returns a set for the same cases with values of its own, which may be
// used at the same time as this one.
func (s *Set) Twin(workers int, cancel func() bool) *Set {
	out := *s
	out.workers, out.cancel, out.Matrix, out.Factor, out.incomplete = workers, cancel, s.Matrix.Twin(), nil, nil
	if s.Symbolic != nil {
		out.Symbolic = s.Symbolic.For(workers, cancel)
	}
	return &out
}

// Unknowns returns how many there are.
func (s *Set) Unknowns() int { return s.tie.n }

// Displacements returns how many there are: of the nodes, and the shared motions.
func (s *Set) Displacements() int { return s.tie.dofs }

// AssembleTo fills the values of a matrix of the set's pattern with the sum of
// the triangles' matrices, lower triangles by rows, each asked for once, and of
// the springs where they count.
func (s *Set) AssembleTo(a *sparse.Symmetric, springs bool, matrix func(k []float64, tri int)) {
	s.scatter.assemble(a, s.workers, springs, matrix)
}

// Factorize assembles the stiffness and factorises it, with the memory of the
// last time; incompletely where the equations are iterated.
func (s *Set) Factorize(matrix func(k []float64, tri int)) (err error) {
	s.AssembleTo(s.Matrix, true, matrix)
	if s.short != nil {
		s.incomplete, err = sparse.NewIncomplete(s.Matrix)
	} else if s.Factor == nil {
		s.Factor, err = s.Symbolic.Factorize(s.Matrix)
	} else {
		err = s.Factor.Refactorize(s.Matrix)
	}
	var bad *sparse.NotPositiveDefiniteError
	if errors.As(err, &bad) {
		at := s.tie.coords[bad.Column]
		err = fmt.Errorf("the stiffness has no support or no material near (%.4g, %.4g): %w", at[0], at[1], err)
	}
	if err != nil {
		s.Factor = nil
	}
	return err
}

// Shift returns the displacements that the enforced ones are by themselves, all
// else held; nil where nothing is enforced.
func (s *Set) Shift(factor float64) []float64 {
	if s.tie.shift == nil {
		return nil
	}
	d := make([]float64, s.tie.dofs)
	for i, v := range s.tie.shift {
		d[i] = factor * v
	}
	return d
}

// mostSteps is how many steps an iteration may take: several times what a mesh of
// a million unknowns needs, which goes with the root of their number.
const mostSteps = 20_000

// SolveUnknowns replaces forces on the unknowns, columns one after the other, by
// the unknowns.
func (s *Set) SolveUnknowns(b []float64, columns int) error {
	if s.Factor != nil {
		s.Factor.Solve(b, columns)
		return nil
	}
	if s.incomplete == nil {
		return errors.New("no factorisation to solve with: call Solve first")
	}
	n := s.tie.n
	for k := range columns {
		x, f := make([]float64, n), b[k*n:(k+1)*n]
		if _, err := sparse.ConjugateGradient(s.Matrix, x, f, s.incomplete, sparse.Iteration{Steps: mostSteps, Cancel: s.cancel}); err != nil {
			return fmt.Errorf("%w; %w", err, s.short)
		}
		copy(f, x)
	}
	return nil
}

// Respond answers forces on displacements, those of Shift taken off, with
// displacements, one for each of the factors.
func (s *Set) Respond(forces [][]float64, factors []float64) (d [][]float64, err error) {
	_, x, err := s.answer(forces)
	if err != nil {
		return nil, err
	}
	return s.expand(x, factors), nil
}

// Solve is Respond with the backward error of each answer.
func (s *Set) Solve(forces [][]float64, factors []float64) (d [][]float64, residual []float64, err error) {
	b, x, err := s.answer(forces)
	if err != nil {
		return nil, nil, err
	}
	return s.expand(x, factors), s.Matrix.BackwardErrors(x, b, len(forces)), nil
}

// answer returns forces on the unknowns and the unknowns, columns one after the
// other.
func (s *Set) answer(forces [][]float64) (b, x []float64, err error) {
	n := s.tie.n
	b = make([]float64, n*len(forces))
	for k, f := range forces {
		s.ReduceTo(b[k*n:(k+1)*n], f)
	}
	x = slices.Clone(b)
	return b, x, s.SolveUnknowns(x, len(forces))
}

func (s *Set) expand(x, factors []float64) [][]float64 {
	n := s.tie.n
	d := make([][]float64, len(factors))
	for k := range d {
		d[k] = make([]float64, s.tie.dofs)
		s.ExpandTo(d[k], x[k*n:(k+1)*n], factors[k])
	}
	return d
}

// ReduceTo writes Cᵀ·f into x, forces on unknowns; f may end with the nodes.
func (s *Set) ReduceTo(x, f []float64) { s.tie.reduceTo(x, f) }

// ExpandTo writes the displacements C·x + factor·shift into d, which may end
// with the nodes.
func (s *Set) ExpandTo(d, x []float64, factor float64) { s.tie.expandTo(d, x, factor) }

// AddSprings adds to f the forces of the springs for displacements d.
func (s *Set) AddSprings(f, d []float64) {
	for i := range s.constraints.springs {
		x := &s.constraints.springs[i]
		for k, v := range x.times(d) {
			f[x.dofs[k]] += v
		}
	}
}

// SpringEnergy of displacements d, N mm.
func (s *Set) SpringEnergy(d []float64) float64 {
	sum := 0.0
	for i := range s.constraints.springs {
		x := &s.constraints.springs[i]
		for k, v := range x.times(d) {
			sum += v * d[x.dofs[k]] / 2
		}
	}
	return sum
}
