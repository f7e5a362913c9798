package stress

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"

	"sinew/geom"
	"sinew/mesh"
	"sinew/part"
	"sinew/sparse"
)

// Settings steers NewSystem. The zero value of a field means its default.
type Settings struct {
	Workers  int        // goroutines; default one for each processor. Results do not depend on it
	Enforced []Enforced // displacements imposed on features, in all cases, times the case's factor
}

// Enforced moves the nodes of a feature.
type Enforced struct {
	Feature int
	Move    func(at geom.Point) geom.Point // displacement of a node, mm
}

// System is a part on a mesh, ready to be solved again and again for changing
// sheets. It is not safe for use by several goroutines at once.
type System struct {
	part     *part.Part
	elements *elements
	outline  *Outline
	workers  int
	sets     []*set
	setOf    []int // per case
	stop     func() bool
	recovery *Recovery // made when first asked for
}

// set is a group of cases that are held alike: one matrix, one factorisation.
type set struct {
	cases       []int
	constraints *constraints
	tie         *tie
	scatter     *scatter
	matrix      *sparse.Symmetric
	symbolic    *sparse.Symbolic
	factor      *sparse.Factor
}

// NewSystem prepares the analysis of a part on a mesh of its region. A part
// that its supports leave free to move is a *FreeMotionError.
func NewSystem(m *mesh.Mesh, p *part.Part, s Settings) (*System, error) {
	if len(m.Tris) == 0 {
		return nil, errors.New("the mesh has no elements")
	}
	if !(p.Thickness > 0) {
		return nil, fmt.Errorf("thickness %g mm must be positive", p.Thickness)
	}
	e, err := newElements(m)
	if err != nil {
		return nil, err
	}
	o, err := NewOutline(m, p)
	if err != nil {
		return nil, err
	}
	sys := &System{part: p, elements: e, outline: o, workers: s.Workers}
	if sys.workers <= 0 {
		sys.workers = runtime.GOMAXPROCS(0)
	}
	if err := sys.check(s); err != nil {
		return nil, err
	}
	sys.groupCases()
	for _, set := range sys.sets {
		if err := sys.prepare(set, s); err != nil {
			return nil, err
		}
	}
	return sys, nil
}

func (s *System) check(set Settings) error {
	var errs []error
	for i, h := range s.part.Supports {
		errs = append(errs, s.outline.Check(h.Feature, fmt.Sprintf("support %d", i+1)))
	}
	for _, e := range set.Enforced {
		errs = append(errs, s.outline.Check(e.Feature, "enforced displacement"))
	}
	for i := range s.part.Cases {
		c := &s.part.Cases[i]
		for _, l := range c.Loads {
			errs = append(errs, s.outline.CheckLoad(c, l))
		}
		if sum := c.Factor + c.DeltaT + c.Acceleration.X + c.Acceleration.Y; math.IsNaN(sum) || math.IsInf(sum, 0) {
			errs = append(errs, fmt.Errorf("case %q: factor, temperature change and acceleration must be finite", c.Name))
		}
	}
	if len(s.part.Cases) == 0 {
		errs = append(errs, errors.New("the part has no load case"))
	}
	return errors.Join(errs...)
}

// gripsOf returns what the loads of a case hold of the part's shape: kind,
// feature and direction, sorted, a grip and its opposite being the same.
func gripsOf(c *part.Case) []gripKey {
	var list []gripKey
	for _, l := range c.Loads {
		switch l.Kind {
		case part.Grip:
			e := gripDirection(l)
			list = append(list, gripKey{l.Kind, l.Feature, e.X, e.Y})
		case part.HalfPin:
			e := Direction(math.Atan2(l.Force.Y, l.Force.X))
			list = append(list, gripKey{l.Kind, l.Feature, e.X, e.Y})
		case part.Bolt:
			list = append(list, gripKey{l.Kind, l.Feature, 0, 0})
		}
	}
	slices.SortFunc(list, func(a, b gripKey) int {
		if a.feature != b.feature {
			return a.feature - b.feature
		}
		if a.kind != b.kind {
			return int(a.kind - b.kind)
		}
		if a.x != b.x {
			return int(math.Copysign(1, a.x-b.x))
		}
		return int(math.Copysign(1, a.y-b.y))
	})
	return slices.Compact(list)
}

type gripKey struct {
	kind    part.LoadKind
	feature int
	x, y    float64
}

// gripDirection returns the line of a grip's force, in the right half-plane.
func gripDirection(l part.Load) geom.Point {
	e := Direction(math.Atan2(l.Force.Y, l.Force.X))
	if e.X < 0 || e.X == 0 && e.Y < 0 {
		e = e.Scale(-1)
	}
	return e
}

// groupCases puts cases with the same grips into one set.
func (s *System) groupCases() {
	var keys [][]gripKey
	for i := range s.part.Cases {
		key := gripsOf(&s.part.Cases[i])
		at := slices.IndexFunc(keys, func(k []gripKey) bool { return slices.Equal(k, key) })
		if at < 0 {
			at = len(keys)
			keys = append(keys, key)
			s.sets = append(s.sets, &set{})
		}
		s.sets[at].cases = append(s.sets[at].cases, i)
		s.setOf = append(s.setOf, at)
	}
}

// prepare builds the constraints, the pattern and its analysis of a set.
func (s *System) prepare(set *set, settings Settings) error {
	c := newConstraints(s.outline)
	owner := 0
	for _, h := range s.part.Supports {
		c.support(h, owner)
		owner++
	}
	for _, g := range gripsOf(&s.part.Cases[set.cases[0]]) {
		switch g.kind {
		case part.Grip:
			c.grip(g.feature, geom.Point{X: g.x, Y: g.y}, owner)
		case part.HalfPin:
			c.halfPin(g.feature, geom.Point{X: g.x, Y: g.y}, owner)
		case part.Bolt:
			c.bolt(g.feature, owner)
		}
		owner++
	}
	for _, e := range settings.Enforced {
		c.enforce(e, owner)
		owner++
	}
	var names []string
	for _, i := range set.cases {
		names = append(names, fmt.Sprintf("%q", s.part.Cases[i].Name))
	}
	if err := c.checkRigid(names); err != nil {
		return err
	}
	t, err := c.tie()
	if err != nil {
		return err
	}
	set.constraints, set.tie = c, t
	set.scatter, set.matrix = newScatter(s.elements, t)
	if t.n == 0 {
		return errors.New("every node of the part is held: nothing is left to solve")
	}
	set.symbolic, err = sparse.Analyze(set.matrix, sparse.Settings{
		Coords: t.coords, Workers: s.workers,
		Cancel: func() bool { return s.stop != nil && s.stop() },
	})
	return err
}

// Points returns the integration points in the order of a Sheet.
func (s *System) Points() []geom.Point { return s.elements.at }

// Weights returns the area of each integration point, mm².
func (s *System) Weights() []float64 { return s.elements.weight }

// Mesh returns the mesh the system was made on.
func (s *System) Mesh() *mesh.Mesh { return s.elements.mesh }

// Part returns the part the system was made of.
func (s *System) Part() *part.Part { return s.part }

// Unknowns returns the number of unknowns of the first set of constraints.
func (s *System) Unknowns() int { return s.sets[0].tie.n }

// Solve analyses all cases with a sheet. The factorisation is kept for
// SolveLoads.
func (s *System) Solve(ctx context.Context, sheet Sheet) (*Solution, error) {
	if err := sheet.Validate(len(s.elements.weight)); err != nil {
		return nil, err
	}
	s.stop = func() bool { return ctx.Err() != nil }
	defer func() { s.stop = nil }()
	sol := &Solution{Cases: make([]CaseSolution, len(s.part.Cases))}
	for _, set := range s.sets {
		if err := s.factorize(set, &sheet); err != nil {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			return nil, err
		}
		s.solveSet(set, &sheet, sol)
	}
	return sol, ctx.Err()
}

func (s *System) factorize(set *set, sheet *Sheet) (err error) {
	set.scatter.assemble(set.matrix, s.elements, sheet, s.workers)
	if set.factor == nil {
		set.factor, err = set.symbolic.Factorize(set.matrix)
	} else {
		err = set.factor.Refactorize(set.matrix)
	}
	var bad *sparse.NotPositiveDefiniteError
	if errors.As(err, &bad) {
		at := set.tie.coords[bad.Column]
		err = fmt.Errorf("the stiffness has no support or no material near (%.4g, %.4g): %w", at[0], at[1], err)
	}
	if err != nil {
		set.factor = nil
	}
	return err
}

// solveSet answers the cases of a set with its factor.
func (s *System) solveSet(set *set, sheet *Sheet, sol *Solution) {
	dofs, n := set.tie.dofs, set.tie.n
	applied := make([][]float64, len(set.cases))
	thermal := make([][]float64, len(set.cases))
	rhs := make([]float64, n*len(set.cases))
	total := make([]float64, dofs)
	for k, i := range set.cases {
		applied[k], thermal[k] = make([]float64, dofs), make([]float64, dofs)
		c := &s.part.Cases[i]
		s.loadsTo(applied[k], thermal[k], c, sheet)
		for d := range total {
			total[d] = applied[k][d] + thermal[k][d]
		}
		if set.tie.shift != nil {
			s.subtractShift(total, set.tie, c.Factor, sheet)
		}
		set.tie.reduceTo(rhs[k*n:(k+1)*n], total)
	}
	x := slices.Clone(rhs)
	set.factor.Solve(x, len(set.cases))
	for k, i := range set.cases {
		c := &sol.Cases[i]
		c.Residual = residual(set.matrix, x[k*n:(k+1)*n], rhs[k*n:(k+1)*n])
		c.U = make([]float64, dofs)
		set.tie.expandTo(c.U, x[k*n:(k+1)*n], s.part.Cases[i].Factor)
		s.finish(c, set, i, sheet, applied[k], thermal[k])
	}
}

// subtractShift takes from f the forces that the enforced displacements alone
// would need.
func (s *System) subtractShift(f []float64, t *tie, factor float64, sheet *Sheet) {
	u := make([]float64, t.dofs)
	for i, v := range t.shift {
		u[i] = factor * v
	}
	internal := s.internal(u, sheet)
	for i := range f {
		f[i] -= internal[i]
	}
}

// internal returns K·u over all displacements, held ones too.
func (s *System) internal(u []float64, sheet *Sheet) []float64 {
	f := make([]float64, len(u))
	for p := range s.elements.weight {
		a := sheet.StiffnessAt(p)
		s.elements.addInternal(f, p, a.Mul(s.elements.strain(p, u)))
	}
	return f
}

// SolveLoads solves K·u = f with the factor of the last Solve: rhs[i] holds
// nodal forces (2·node, 2·node+1) under the constraints of case i, and comes
// back as displacements. Enforced displacements count as held.
func (s *System) SolveLoads(rhs [][]float64) error {
	if len(rhs) != len(s.part.Cases) {
		return fmt.Errorf("%d right-hand sides for %d cases", len(rhs), len(s.part.Cases))
	}
	for _, set := range s.sets {
		if set.factor == nil {
			return errors.New("no factorisation to solve with: call Solve first")
		}
		n := set.tie.n
		x := make([]float64, n*len(set.cases))
		for k, i := range set.cases {
			set.tie.reduceTo(x[k*n:(k+1)*n], rhs[i])
		}
		set.factor.Solve(x, len(set.cases))
		for k, i := range set.cases {
			set.tie.expandTo(rhs[i], x[k*n:(k+1)*n], 0)
		}
	}
	return nil
}

// AddStrainLoad adds to f the nodal forces whose work on any displacement is
// weight·resultant·strain at an integration point: the derivative by the
// displacements of a function whose derivative by the strain there is the
// resultant. Optimisers build the right sides of SolveLoads with it.
func (s *System) AddStrainLoad(f []float64, point int, resultant [3]float64) {
	s.elements.addInternal(f, point, resultant)
}

// StrainsOf returns the strains at the integration points of a displacement.
func (s *System) StrainsOf(u []float64) [][3]float64 {
	e := make([][3]float64, len(s.elements.weight))
	share(len(e), s.workers, func(lo, hi int) {
		for p := lo; p < hi; p++ {
			e[p] = s.elements.strain(p, u)
		}
	})
	return e
}
