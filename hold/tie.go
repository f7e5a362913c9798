package hold

import (
	"fmt"
	"slices"

	"sinew/geom"
)

// tie maps unknowns to displacements, d = C·x + shift: for displacement i the
// terms start[i]..start[i+1].
type tie struct {
	n       int
	per     int // displacements of a node
	dofs    int // displacements of the nodes and shared motions
	start   []int32
	unknown []int32
	coef    []float64
	shift   []float64    // nil: all zero
	coords  [][2]float64 // a place for each unknown, for the ordering
}

// tie solves the equations: those of each node for its displacements, what
// they leave for the shared motions.
func (c *constraints) tie() (*tie, error) {
	m, per := len(c.commons), c.per
	rest := &echelon{columns: m}
	local := map[int32]*echelon{}
	for _, n := range c.order {
		e := &echelon{columns: per + m, tolerance: parallelSine}
		local[n] = e
		for _, q := range c.equations[n] {
			if left, taken := e.take(q.row(per, m), per); !taken && !rest.add(left[per:]) {
				return nil, fmt.Errorf("two supports contradict each other at (%.6g, %.6g): one moves that place, the other holds it", c.nodes[n].X, c.nodes[n].Y)
			}
		}
	}
	t := &tie{per: per, dofs: per*len(c.nodes) + m}
	t.start, t.unknown = make([]int32, 0, t.dofs+1), make([]int32, 0, t.dofs)
	t.coef, t.coords = make([]float64, 0, t.dofs), make([][2]float64, 0, t.dofs)
	shared := t.sharedUnknowns(rest, c.commons)
	t.start = append(t.start, 0)
	for n, p := range c.nodes {
		t.node(int32(n), p, local[int32(n)], shared)
	}
	for g := range shared {
		t.put(per*len(c.nodes)+g, shared[g])
	}
	return t, nil
}

// row writes the equation over the node's displacements and the shared motions.
func (q *equation) row(per, commons int) []float64 {
	row := make([]float64, per+commons+1)
	copy(row, q.local[:per])
	for _, s := range q.shared {
		row[per+s.index] -= s.coef
	}
	row[per+commons] = q.value
	return row
}

// combination is a displacement in terms of unknowns.
type combination struct {
	terms []term
	value float64
}

func (t *tie) next(at geom.Point) int {
	t.coords = append(t.coords, [2]float64{at.X, at.Y})
	t.n++
	return t.n - 1
}

// sharedUnknowns numbers the shared motions that the equations leave free and
// returns all of them in these terms.
func (t *tie) sharedUnknowns(e *echelon, at []geom.Point) []combination {
	unknown := make([]int, len(at))
	for _, g := range e.free() {
		unknown[g] = t.next(at[g])
	}
	out := make([]combination, len(at))
	for g := range out {
		r := e.rowOf(g)
		if r < 0 {
			out[g].terms = []term{{unknown[g], 1}}
			continue
		}
		out[g].value = e.rows[r][e.columns]
		for _, f := range e.free() {
			if k := -e.rows[r][f]; k != 0 {
				out[g].terms = append(out[g].terms, term{unknown[f], k})
			}
		}
	}
	return out
}

// node adds the displacements of a node.
func (t *tie) node(n int32, at geom.Point, e *echelon, shared []combination) {
	dof := t.per * int(n)
	if e == nil { // the most of them
		for range t.per {
			t.unknown = append(t.unknown, int32(t.next(at)))
			t.coef = append(t.coef, 1)
			t.start = append(t.start, int32(len(t.unknown)))
		}
		return
	}
	var own [most]int
	for d := range t.per {
		if e.rowOf(d) < 0 {
			own[d] = t.next(at)
		}
	}
	for d := range t.per {
		if e.rowOf(d) < 0 {
			t.put(dof+d, combination{terms: []term{{own[d], 1}}})
			continue
		}
		row := e.rows[e.rowOf(d)]
		out := combination{value: row[e.columns]}
		for k := range t.per {
			if k != d && row[k] != 0 && e.rowOf(k) < 0 {
				out.terms = append(out.terms, term{own[k], -row[k]})
			}
		}
		for g := range shared {
			a := -row[t.per+g]
			if a == 0 {
				continue
			}
			out.value += a * shared[g].value
			for _, s := range shared[g].terms {
				out.terms = append(out.terms, term{s.index, a * s.coef})
			}
		}
		t.put(dof+d, out)
	}
}

func (t *tie) put(dof int, c combination) {
	slices.SortFunc(c.terms, func(a, b term) int { return a.index - b.index })
	for i, s := range c.terms {
		if last := len(t.unknown) - 1; i > 0 && t.unknown[last] == int32(s.index) {
			t.coef[last] += s.coef
			continue
		}
		t.unknown = append(t.unknown, int32(s.index))
		t.coef = append(t.coef, s.coef)
	}
	if c.value != 0 {
		if t.shift == nil {
			t.shift = make([]float64, t.dofs)
		}
		t.shift[dof] = c.value
	}
	t.start = append(t.start, int32(len(t.unknown)))
}

// reduceTo writes Cᵀ·f into x; f may end with the nodes.
func (t *tie) reduceTo(x, f []float64) {
	clear(x)
	for i, v := range f {
		for k := t.start[i]; k < t.start[i+1]; k++ {
			x[t.unknown[k]] += t.coef[k] * v
		}
	}
}

// expandTo writes C·x + factor·shift into d, which may end with the nodes.
func (t *tie) expandTo(d, x []float64, factor float64) {
	for i := range d {
		v := 0.0
		if t.shift != nil {
			v = factor * t.shift[i]
		}
		for k := t.start[i]; k < t.start[i+1]; k++ {
			v += t.coef[k] * x[t.unknown[k]]
		}
		d[i] = v
	}
}
