package stress

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"

	"sinew/geom"
	"sinew/hold"
	"sinew/internal/work"
	"sinew/mesh"
	"sinew/part"
)

// Settings steers NewSystem. The zero value of a field means its default.
type Settings struct {
	Workers  int        // goroutines; default one for each processor. Results do not depend on it
	Enforced []Enforced // displacements imposed on features, in all cases, times the case's factor
	Memory   int        // bytes that a factorisation may take; what needs more is iterated. 0: any
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
	outline  *hold.Outline
	workers  int
	sets     []*hold.Set
	setOf    []int // per case
	stop     func() bool
	recovery *Recovery // made when first asked for
}

// FreeMotionError says that the supports of a set of cases leave the part
// free to move without being strained.
type FreeMotionError = hold.FreeMotionError

// NewSystem prepares the analysis of a part on a mesh of its region. A part
// that its supports leave free to move is a *FreeMotionError.
func NewSystem(m *mesh.Mesh, p *part.Part, s Settings) (*System, error) {
	if !(p.Thickness > 0) {
		return nil, fmt.Errorf("thickness %g mm must be positive", p.Thickness)
	}
	e, err := newElements(m)
	if err != nil {
		return nil, err
	}
	sys := &System{part: p, elements: e, outline: hold.NewOutline(m, p), workers: s.Workers}
	if sys.workers <= 0 {
		sys.workers = runtime.GOMAXPROCS(0)
	}
	set := hold.Settings{Count: hold.InPlane, Workers: sys.workers, Memory: s.Memory, Cancel: sys.cancelled}
	for _, f := range s.Enforced {
		set.Enforced = append(set.Enforced, hold.Enforced{Feature: f.Feature, Move: func(at geom.Point) (value [hold.Bending]float64, held [hold.Bending]bool) {
			u := f.Move(at)
			value[hold.U], value[hold.V], held[hold.U], held[hold.V] = u.X, u.Y, true, true
			return value, held
		}})
	}
	if sys.sets, sys.setOf, err = hold.NewSets(sys.outline, set); err != nil {
		return nil, err
	}
	return sys, nil
}

// Twin returns a system for the same analyses that may be used at the same time
// as this one, with so many workers. It shares all but the values.
func (s *System) Twin(workers int) *System {
	out := &System{part: s.part, elements: s.elements, outline: s.outline, workers: workers, setOf: s.setOf}
	for _, t := range s.sets {
		out.sets = append(out.sets, t.Twin(workers, out.cancelled))
	}
	return out
}

func (s *System) cancelled() bool { return s.stop != nil && s.stop() }

// Points returns the integration points in the order of a Sheet.
func (s *System) Points() []geom.Point { return s.elements.at }

// Weights returns the area of each integration point, mm².
func (s *System) Weights() []float64 { return s.elements.weight }

// Mesh returns the mesh the system was made on.
func (s *System) Mesh() *mesh.Mesh { return s.elements.mesh }

// Part returns the part the system was made of.
func (s *System) Part() *part.Part { return s.part }

// Unknowns returns the number of unknowns of the first set of constraints.
func (s *System) Unknowns() int { return s.sets[0].Unknowns() }

// Solve analyses all cases with a sheet. The factorisation is kept for
// SolveLoads.
func (s *System) Solve(ctx context.Context, sheet Sheet) (*Solution, error) {
	return s.solve(ctx, &sheet, true)
}

// Respond is Solve for searches, which ask again and again: of each case it
// tells displacements, strains, change of temperature and energy, and leaves
// zero what reports say of loads, reactions and errors.
func (s *System) Respond(ctx context.Context, sheet Sheet) (*Solution, error) {
	return s.solve(ctx, &sheet, false)
}

func (s *System) solve(ctx context.Context, sheet *Sheet, report bool) (*Solution, error) {
	if err := sheet.Validate(len(s.elements.weight)); err != nil {
		return nil, err
	}
	s.stop = func() bool { return ctx.Err() != nil }
	defer func() { s.stop = nil }()
	sol := &Solution{Cases: make([]CaseSolution, len(s.part.Cases))}
	for _, set := range s.sets {
		if err := set.Factorize(func(k []float64, t int) { s.elements.stiffnessTo((*[packed]float64)(k), t, sheet) }); err != nil {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			return nil, err
		}
		if err := s.solveSet(set, sheet, sol, report); err != nil {
			return nil, errors.Join(ctx.Err(), err)
		}
	}
	return sol, ctx.Err()
}

// solveSet answers the cases of a set with its factor.
func (s *System) solveSet(set *hold.Set, sheet *Sheet, sol *Solution, report bool) (err error) {
	n := len(set.Cases)
	applied, thermal, total, factors := make([][]float64, n), make([][]float64, n), make([][]float64, n), make([]float64, n)
	for k, i := range set.Cases {
		c := &s.part.Cases[i]
		applied[k], thermal[k], factors[k] = s.loads(set, c, sheet), s.heat(set, c, sheet), c.Factor
		total[k] = slices.Clone(applied[k])
		for d, v := range thermal[k] {
			total[k][d] += v
		}
		if shift := set.Shift(c.Factor); shift != nil {
			for d, v := range s.internal(set, shift, sheet) {
				total[k][d] -= v
			}
		}
	}
	var d [][]float64
	residual := make([]float64, n)
	if report {
		d, residual, err = set.Solve(total, factors)
	} else {
		d, err = set.Respond(total, factors)
	}
	if err != nil {
		return err
	}
	for k, i := range set.Cases {
		c := &sol.Cases[i]
		s.respond(c, set, i, sheet, d[k])
		if report {
			c.Residual = residual[k]
			s.report(c, set, i, sheet, d[k], applied[k], thermal[k])
		}
	}
	return nil
}

// internal returns K·d over all displacements, held ones and those of springs
// too.
func (s *System) internal(set *hold.Set, u []float64, sheet *Sheet) []float64 {
	f := make([]float64, len(u))
	set.AddSprings(f, u)
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
		n := set.Unknowns()
		x := make([]float64, n*len(set.Cases))
		for k, i := range set.Cases {
			set.ReduceTo(x[k*n:(k+1)*n], rhs[i])
		}
		if err := set.SolveUnknowns(x, len(set.Cases)); err != nil {
			return err
		}
		for k, i := range set.Cases {
			set.ExpandTo(rhs[i], x[k*n:(k+1)*n], 0)
		}
	}
	return nil
}

// Equations describes how a system is solved.
type Equations = hold.Equations

// Equations tells how the last solution was found: of the sets of cases that are
// held alike, the one with the most unknowns, and the worst condition.
func (s *System) Equations() Equations {
	var out Equations
	for _, set := range s.sets {
		e := set.Equations()
		worst := max(out.Condition, e.Condition)
		if e.Unknowns > out.Unknowns {
			out = e
		}
		out.Condition = worst
	}
	return out
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
	work.Share(len(e), s.workers, func(lo, hi int) {
		for p := lo; p < hi; p++ {
			e[p] = s.elements.strain(p, u)
		}
	})
	return e
}
