package proof

import (
	"fmt"
	"math"
	"slices"

	"sinew/internal/work"
	"sinew/material"
	"sinew/part"
	"sinew/stress"
)

// Collapse is the way of a design under one case from its first failure to the
// greatest load it carries, by failing beads one after the other.
type Collapse struct {
	// FirstFibre and FirstMatrix are the load factors at which the first bead
	// loses its fibre, or cracks; 0 where none did. Load is the greatest factor
	// reached.
	FirstFibre, FirstMatrix, Load float64
	// Curve holds {movement of the load, mm; load factor} from the unloaded part
	// on, as a test with weights would draw it: while beads fail the load stands
	// and the movement grows; where the part gives way the load drops to nothing.
	// Under moments alone the movement is a turn, rad.
	Curve [][2]float64
	// Cracked and Broken are the shares of the beads' volume that had lost their
	// matrix, and their fibre, at the greatest load.
	Cracked, Broken float64
	Ended           string // why it went no further
}

// What is left of a bead's stiffness, in the plane: common practice of ply
// discount, to be replaced by tests. A trace keeps the equations solvable.
const (
	crackedLeft = 0.1  // of E2, G12 and nu12 after the matrix cracked
	brokenLeft  = 0.01 // of E1 after the fibres broke, and of plain plastic
)

// Limits of the walk.
const (
	// cracksTogether and breaksTogether are the shares of more load within which
	// points crack, and lose their fibre, in the same step as the first of them.
	// Cracks, and plain plastic, run far at little more load and cost the part
	// little stiffness, so that they may run ahead; fibres may not. Both shares
	// double with every growSteps, so that a long walk ends.
	cracksTogether = 0.2
	breaksTogether = 0.04
	growSteps      = 40.0
	// soft is the share of the first stiffness below which the part has given
	// way: what still holds then does so at strains that linear theory knows
	// nothing of.
	soft = 0.2
	// mostSteps bounds the time.
	mostSteps = 150
)

// damage of a point of a ply.
type damage uint8

const (
	whole damage = iota
	cracked
	broken
)

// collapse walks one case: solve, raise the load to where the next points
// fail, take their stiffness away, solve again; while the load reached before
// breaks more points, they fail at that load. Each step loads the part from
// nothing with what is left of it, as sequentially linear analysis does (Rots,
// Belletti & Invernizzi, Eng. Fract. Mech. 75 (2008) 590, from memory), so that
// no step needs to converge. Points fail by their mean over discs, over beads
// that failed too, which ties the width of the failing band to the disc and not
// to the mesh.
func (p *prover) collapse(plies []ply, i int) (*Collapse, error) {
	w := &wreck{prover: p, plies: plies, out: &Collapse{Curve: [][2]float64{{0, 0}}}}
	w.one = *p.in.Part
	w.one.Cases = w.one.Cases[i : i+1]
	solve := w.inPlane
	if p.bends(i) {
		w.plies = p.layerByLayer(plies)
		solve = w.bending
	}
	for range w.plies {
		w.state = append(w.state, make([]damage, p.n))
	}
	next, err := solve()
	if err != nil {
		return nil, err
	}
	first := 0.0
	for step := range mostSteps {
		if step%4 == 0 && p.in.Progress != nil {
			p.in.Progress(fmt.Sprintf("collapse, %s", w.one.Cases[0].Name))
		}
		t, err := next()
		if err != nil {
			return nil, fmt.Errorf("collapse, step %d: %w", step+1, err)
		}
		if step == 0 {
			first = t.stiffness
		}
		if t.stiffness < soft*first {
			w.out.Ended = fmt.Sprintf("%.0f %% of the stiffness is lost", 100*(1-soft))
			w.out.drop()
			break
		}
		if w.fail(t, math.Exp2(float64(step)/growSteps)); w.out.Ended != "" {
			break
		}
	}
	if w.out.Ended == "" {
		w.out.Ended = fmt.Sprintf("stopped after %d steps", mostSteps)
	}
	return w.out, nil
}

// wreck is a design under way to its collapse.
type wreck struct {
	*prover
	one   part.Part // with the one case
	plies []ply
	state [][]damage // by ply and integration point
	out   *Collapse
}

// trial is what is left of a design under its required load.
type trial struct {
	fields    func(ply int) []indexField
	stiffness float64 // of the load over its movement; 0 where temperature or inertia act
	movement  float64 // of the load; 0 as above
}

// inPlane returns what solves a case in the plane.
func (w *wreck) inPlane() (func() (*trial, error), error) {
	sys, err := stress.NewSystem(w.sys.Mesh(), &w.one, stress.Settings{Workers: w.workers, Memory: w.set.Memory})
	if err != nil {
		return nil, err
	}
	return func() (*trial, error) {
		sol, err := sys.Solve(w.ctx, w.sheet(w.one.Cases[0].Heat.InPlane()))
		if err != nil {
			return nil, err
		}
		c := &sol.Cases[0]
		t, st := &trial{stiffness: c.Stiffness}, w.stateOf(c.Strain, c.Heat)
		if c.Stiffness > 0 {
			t.movement = c.Work / math.Sqrt(c.Stiffness*c.Work)
		}
		t.fields = func(y int) []indexField { return w.judge.fields(w.plies, y, st) }
		return t, nil
	}, nil
}

// sheet adds up what is left.
func (w *wreck) sheet(thermal bool) stress.Sheet {
	s := stress.Sheet{A: make([]material.Stiffness, w.n), Mass: make([]float64, w.n)}
	if thermal {
		s.Thermal = make([][3]float64, w.n)
	}
	share(w.n, w.workers, func(p int) {
		for y := range w.plies {
			w.plies[y].addLeft(&s, p, w.in.Law, w.pocket, w.state[y][p])
		}
	})
	return s
}

// stands reports whether a mode can still fail at a point of a ply.
func (w *wreck) stands(y, p int, f *indexField) bool {
	limit := broken
	if f.mode == Matrix {
		limit = cracked
	}
	return w.state[y][p] < limit && !w.masked[p] && (f.holds == nil || f.holds[p])
}

// fail finds the load of the next failures, marks them and adds to the curve;
// grow widens the shares within which points fail together.
func (w *wreck) fail(t *trial, grow float64) {
	type failing struct {
		fields []indexField
		means  [][]float64
	}
	by := make([]failing, len(w.plies))
	work.Each(len(by), w.workers, func(y int) {
		by[y].fields = t.fields(y)
		for k := range by[y].fields {
			by[y].means = append(by[y].means, w.mean(&by[y].fields[k]))
		}
	})
	most := 0.0
	for y := range by {
		for k, mean := range by[y].means {
			for p, v := range mean {
				if v > most && w.stands(y, p, &by[y].fields[k]) {
					most = v
				}
			}
		}
	}
	if most < unloaded {
		w.out.Ended = "nothing more can fail"
		return
	}
	load := 1 / most
	if w.out.Load > 0 { // the step before has failed at a load that stands
		w.out.Curve = append(w.out.Curve, [2]float64{w.out.Load * t.movement, w.out.Load})
	}
	if load > w.out.Load {
		w.out.Load = load
		w.out.Curve = append(w.out.Curve, [2]float64{load * t.movement, load})
		w.out.Cracked, w.out.Broken = w.shares()
	}
	for y := range by {
		for k, mean := range by[y].means {
			f := &by[y].fields[k]
			limit := 1 / (w.out.Load * (1 + grow*breaksTogether))
			if f.mode == Matrix || f.mode == PlasticBreak {
				limit = 1 / (w.out.Load * (1 + grow*cracksTogether))
			}
			for p, v := range mean {
				if v >= limit && w.stands(y, p, f) {
					w.mark(y, p, f.mode)
				}
			}
		}
	}
}

// drop ends the curve where the part gives way: at its greatest load, which falls
// to nothing.
func (c *Collapse) drop() {
	top := slices.IndexFunc(c.Curve, func(v [2]float64) bool { return v[1] == c.Load })
	c.Curve = append(c.Curve[:top+1], [2]float64{c.Curve[top][0], 0})
}

// mark fails one point of a ply.
func (w *wreck) mark(y, p int, m Mode) {
	to := broken
	if m == Matrix {
		to = cracked
		if w.out.FirstMatrix == 0 {
			w.out.FirstMatrix = w.out.Load
		}
	} else if m != PlasticBreak && w.out.FirstFibre == 0 {
		w.out.FirstFibre = w.out.Load
	}
	w.state[y][p] = max(w.state[y][p], to)
}

// shares of the beads' volume that are cracked or broken.
func (w *wreck) shares() (cracks, breaks float64) {
	total := 0.0
	for y := range w.plies {
		if w.plies[y].beads == nil {
			continue
		}
		for p, a := range w.weights {
			v := a * w.plies[y].thickness * w.plies[y].shareAt(p)
			total += v
			switch w.state[y][p] {
			case cracked:
				cracks += v
			case broken:
				breaks += v
			}
		}
	}
	return cracks / total, breaks / total
}
