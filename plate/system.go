package plate

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"

	"sinew/geom"
	"sinew/hold"
	"sinew/mesh"
	"sinew/part"
	"sinew/stress"
)

// Settings steers NewSystem. The zero value of a field means its default.
type Settings struct {
	Workers  int        // goroutines; default one for each processor. Results do not depend on it
	Enforced []Enforced // displacements imposed on features, in all cases, times the case's factor
	Memory   int        // bytes that a factorisation may take; what needs more is iterated. 0: any
	// Bedded says that the part's section has a foundation, which holds it
	// across its plane.
	Bedded bool
	// Free leaves the supports of the part out and holds it by six
	// displacements that strain nothing: how a print bends when it leaves the
	// bed. Loads must then balance.
	Free bool
}

// Enforced moves the nodes of a feature.
type Enforced = hold.Enforced

// FreeMotionError says that the supports of a set of cases leave the part free
// to move without being strained.
type FreeMotionError = hold.FreeMotionError

// System is a part on a mesh, ready to be solved again and again for changing
// sections. It is not safe for use by several goroutines at once.
type System struct {
	part     *part.Part
	elements *elements
	outline  *hold.Outline
	locator  *mesh.Locator
	workers  int
	sets     []*hold.Set
	setOf    []int // per case
	stop     func() bool
	recovery *stress.Recovery // made when first asked for
}

// NewSystem prepares the analysis of a part on a mesh of its region. A part
// that its supports leave free to move is a *FreeMotionError.
func NewSystem(m *mesh.Mesh, p *part.Part, s Settings) (*System, error) {
	e, err := newElements(m)
	if err != nil {
		return nil, err
	}
	sys := &System{part: p, elements: e, outline: hold.NewOutline(m, p), workers: s.Workers, locator: mesh.NewLocator(m)}
	if sys.workers <= 0 {
		sys.workers = runtime.GOMAXPROCS(0)
	}
	if err := sys.check(); err != nil {
		return nil, err
	}
	sys.sets, sys.setOf, err = hold.NewSets(sys.outline, hold.Settings{
		Count: hold.Bending, Workers: sys.workers, Enforced: s.Enforced, Bedded: s.Bedded, Free: s.Free, Memory: s.Memory, Cancel: sys.cancelled,
	})
	if err != nil {
		return nil, err
	}
	return sys, nil
}

func (s *System) cancelled() bool { return s.stop != nil && s.stop() }

func (s *System) check() error {
	var errs []error
	for i := range s.part.Cases {
		c := &s.part.Cases[i]
		for _, q := range c.Bending.Points {
			if _, _, ok := s.locator.Find(q.At); !ok {
				errs = append(errs, fmt.Errorf("case %q: the point load at (%.6g, %.6g) lies outside the part", c.Name, q.At.X, q.At.Y))
			}
		}
	}
	return errors.Join(errs...)
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
func (s *System) Unknowns() int { return s.sets[0].Unknowns() }

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
		if err := set.Factorize(s.stiffness(section)); err != nil {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			return nil, err
		}
		if err := s.solveSet(set, section, sol); err != nil {
			return nil, errors.Join(ctx.Err(), err)
		}
	}
	return sol, ctx.Err()
}

// stiffness returns what fills in the matrix of a triangle.
func (s *System) stiffness(section *Section) func(k []float64, t int) {
	return func(k []float64, t int) {
		var e shaped
		var f full
		out := (*[packed]float64)(k)
		s.elements.shapeTo(&e, t)
		e.stiffnessTo(&f, section, t)
		f.condense(out)
		addFoundation(out, &e, section, t)
	}
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

// solveSet answers the cases of a set with its factor.
func (s *System) solveSet(set *hold.Set, section *Section, sol *Solution) error {
	n := len(set.Cases)
	applied, thermal, total, factors := make([][]float64, n), make([][]float64, n), make([][]float64, n), make([]float64, n)
	for k, i := range set.Cases {
		c := &s.part.Cases[i]
		applied[k], factors[k] = s.loads(set, c, section), c.Factor
		thermal[k] = make([]float64, set.Displacements())
		s.addThermal(thermal[k], c, section)
		total[k] = slices.Clone(applied[k])
		for i, v := range thermal[k] {
			total[k][i] += v
		}
		if shift := set.Shift(c.Factor); shift != nil {
			for i, v := range s.respond(set, shift, section, part.Heat{}, nil) {
				total[k][i] -= v
			}
		}
	}
	d, residual, err := set.Solve(total, factors)
	if err != nil {
		return err
	}
	for k, i := range set.Cases {
		sol.Cases[i].Residual = residual[k]
		s.finish(&sol.Cases[i], set, i, section, d[k], applied[k], thermal[k])
	}
	return nil
}
