package plate

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
	"sinew/stress"
)

// Settings steers NewSystem. The zero value of a field means its default.
type Settings struct {
	Workers  int        // goroutines; default one for each processor. Results do not depend on it
	Enforced []Enforced // displacements imposed on features, in all cases, times the case's factor
	// Bedded says that the part's section has a foundation, which holds it
	// across its plane.
	Bedded bool
	// Free leaves the supports of the part out and holds it by six
	// displacements that strain nothing: how a print bends when it leaves the
	// bed. Loads must then balance.
	Free bool
}

// Enforced moves the nodes of a feature.
type Enforced struct {
	Feature int
	// Move returns the displacements u, v, w and tilts of a node, and which of
	// them it imposes.
	Move func(at geom.Point) (value [5]float64, held [5]bool)
}

// System is a part on a mesh, ready to be solved again and again for changing
// sections. It is not safe for use by several goroutines at once.
type System struct {
	part     *part.Part
	elements *elements
	outline  *stress.Outline
	locator  *mesh.Locator
	workers  int
	free     bool
	sets     []*set
	setOf    []int // per case
	stop     func() bool
	recovery *stress.Recovery // made when first asked for
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
	e, err := newElements(m)
	if err != nil {
		return nil, err
	}
	o, err := stress.NewOutline(m, p)
	if err != nil {
		return nil, err
	}
	sys := &System{part: p, elements: e, outline: o, workers: s.Workers, locator: mesh.NewLocator(m), free: s.Free}
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
		for _, q := range c.Bending.Points {
			if _, _, ok := s.locator.Find(q.At); !ok {
				errs = append(errs, fmt.Errorf("case %q: the point load at (%.6g, %.6g) lies outside the part", c.Name, q.At.X, q.At.Y))
			}
		}
	}
	if len(s.part.Cases) == 0 {
		errs = append(errs, errors.New("the part has no load case"))
	}
	return errors.Join(errs...)
}

// holdKey is what a load holds of the part's shape.
type holdKey struct {
	kind    part.LoadKind
	feature int
	e       geom.Point
	spoke   float64
}

// holdsOf returns what the loads of a case hold, a grip and its opposite being
// the same, in a fixed order.
func holdsOf(c *part.Case) []holdKey {
	var list []holdKey
	for _, l := range c.Loads {
		k := holdKey{kind: l.Kind, feature: l.Feature, spoke: l.Spoke}
		switch l.Kind {
		case part.Grip:
			k.e = l.Force.Scale(1 / l.Force.Norm())
			if k.e.X < 0 || k.e.X == 0 && k.e.Y < 0 {
				k.e = k.e.Scale(-1)
			}
		case part.HalfPin:
			k.e = l.Force.Scale(1 / l.Force.Norm())
		case part.Bolt:
		default:
			continue
		}
		list = append(list, k)
	}
	slices.SortStableFunc(list, func(a, b holdKey) int {
		switch {
		case a.feature != b.feature:
			return a.feature - b.feature
		case a.kind != b.kind:
			return int(a.kind - b.kind)
		case a.e.X != b.e.X:
			return int(math.Copysign(1, a.e.X-b.e.X))
		case a.e.Y != b.e.Y:
			return int(math.Copysign(1, a.e.Y-b.e.Y))
		}
		return int(math.Copysign(1, a.spoke-b.spoke))
	})
	return slices.Compact(list)
}

// groupCases puts cases that are held alike into one set.
func (s *System) groupCases() {
	var keys [][]holdKey
	for i := range s.part.Cases {
		key := holdsOf(&s.part.Cases[i])
		at := slices.IndexFunc(keys, func(k []holdKey) bool { return slices.Equal(k, key) })
		if at < 0 {
			at = len(keys)
			keys = append(keys, key)
			s.sets = append(s.sets, &set{})
		}
		s.sets[at].cases = append(s.sets[at].cases, i)
		s.setOf = append(s.setOf, at)
	}
}

// constrain gathers all that holds the part in a set.
func (s *System) constrain(set *set, settings Settings) *constraints {
	c := newConstraints(s.outline, s.elements.mesh.Nodes)
	owner := len(s.part.Supports)
	if s.free {
		c.isostatic(owner)
		return c
	}
	for i, h := range s.part.Supports {
		c.support(h, i)
	}
	for _, h := range holdsOf(&s.part.Cases[set.cases[0]]) {
		switch h.kind {
		case part.Grip:
			c.grip(h.feature, h.e, owner)
		case part.HalfPin:
			c.halfPin(h.feature, h.e, owner)
		case part.Bolt:
			c.bolt(h.feature, h.spoke, owner)
		}
		owner++
	}
	for _, e := range settings.Enforced {
		c.enforce(e, owner)
		owner++
	}
	return c
}

// prepare builds the constraints, the pattern and its analysis of a set.
func (s *System) prepare(set *set, settings Settings) error {
	c := s.constrain(set, settings)
	var names []string
	for _, i := range set.cases {
		names = append(names, fmt.Sprintf("%q", s.part.Cases[i].Name))
	}
	var bedded []int32
	if settings.Bedded {
		for n := range s.elements.mesh.Nodes {
			bedded = append(bedded, int32(n))
		}
	}
	if err := c.checkRigid(names, bedded); err != nil {
		return err
	}
	t, err := c.tie()
	if err != nil {
		return err
	}
	set.constraints, set.tie = c, t
	if t.n == 0 {
		return errors.New("every node of the part is held: nothing is left to solve")
	}
	set.scatter, set.matrix = newScatter(s.elements, t, c.extras)
	set.symbolic, err = sparse.Analyze(set.matrix, sparse.Settings{
		Coords: t.coords, Workers: s.workers,
		Cancel: func() bool { return s.stop != nil && s.stop() },
	})
	return err
}

// Points returns the integration points in the order of a Section.
func (s *System) Points() []geom.Point { return s.elements.at }

// Weights returns the area of each integration point, mm².
func (s *System) Weights() []float64 { return s.elements.weight }

// Mesh returns the mesh the system was made on.
func (s *System) Mesh() *mesh.Mesh { return s.elements.mesh }

// Part returns the part the system was made of.
func (s *System) Part() *part.Part { return s.part }

// Unknowns returns the number of unknowns of the first set of constraints.
func (s *System) Unknowns() int { return s.sets[0].tie.n }

// Solve analyses all cases with a section. The factorisation is kept for
// Buckling and Frequencies.
func (s *System) Solve(ctx context.Context, section *Section) (*Solution, error) {
	if err := section.Validate(len(s.elements.weight)); err != nil {
		return nil, err
	}
	s.stop = func() bool { return ctx.Err() != nil }
	defer func() { s.stop = nil }()
	sol := &Solution{Cases: make([]CaseSolution, len(s.part.Cases))}
	for _, set := range s.sets {
		if err := s.factorize(set, section); err != nil {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			return nil, err
		}
		s.solveSet(set, section, sol)
	}
	return sol, ctx.Err()
}

// stiffness fills the matrix of a set.
func (s *System) stiffness(set *set, section *Section) {
	set.scatter.assemble(set.matrix, s.workers, true, func(k *[packed]float64, t int) {
		var e shaped
		var f full
		s.elements.shapeTo(&e, t)
		e.stiffnessTo(&f, section, t)
		f.condense(k)
		addFoundation(k, &e, section, t)
	})
}

// addFoundation adds the springs under the plate.
func addFoundation(k *[packed]float64, e *shaped, section *Section, t int) {
	if len(section.Foundation) == 0 {
		return
	}
	for p := range PointsPerTri {
		w := e.weight[p] * pick(section.Foundation, t*PointsPerTri+p)
		n := &constants.points[p].n
		for i := range nodesPerTri {
			for j := range i + 1 {
				r, c := dofsPerNode*i+dispW, dofsPerNode*j+dispW
				k[r*(r+1)/2+c] += w * n[i] * n[j]
			}
		}
	}
}

func (s *System) factorize(set *set, section *Section) (err error) {
	s.stiffness(set, section)
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
func (s *System) solveSet(set *set, section *Section, sol *Solution) {
	n := set.tie.n
	applied, thermal := make([][]float64, len(set.cases)), make([][]float64, len(set.cases))
	rhs := make([]float64, n*len(set.cases))
	for k, i := range set.cases {
		c := &s.part.Cases[i]
		applied[k] = s.loads(c, section, set.tie.dofs, set.constraints)
		thermal[k] = make([]float64, set.tie.dofs)
		s.addThermal(thermal[k], c, section)
		total := slices.Clone(applied[k])
		for i, v := range thermal[k] {
			total[i] += v
		}
		if set.tie.shift != nil {
			d := make([]float64, set.tie.dofs)
			for i, v := range set.tie.shift {
				d[i] = c.Factor * v
			}
			for i, v := range s.respond(set, d, section, 0, 0, nil) {
				total[i] -= v
			}
		}
		set.tie.reduceTo(rhs[k*n:(k+1)*n], total)
	}
	x := slices.Clone(rhs)
	set.factor.Solve(x, len(set.cases))
	for k, i := range set.cases {
		c := &sol.Cases[i]
		c.Residual = set.matrix.BackwardError(x[k*n:(k+1)*n], rhs[k*n:(k+1)*n])
		d := make([]float64, set.tie.dofs)
		set.tie.expandTo(d, x[k*n:(k+1)*n], s.part.Cases[i].Factor)
		s.finish(c, set, i, section, d, applied[k], thermal[k])
	}
}
