package plate

import (
	"fmt"
	"math"
	"slices"

	"sinew/geom"
	"sinew/part"
	"sinew/stress"
)

// Displacements of a node, in order. A tilt is the displacement in the plane
// of a point one mm above the reference plane, relative to it: tiltX is a turn
// about y, tiltY one about -x.
const (
	dispU = iota
	dispV
	dispW
	tiltX
	tiltY
)

// An equation holds one node:
//
//	local · d(node) = sum of coef · g[index] + value
//
// where g are motions that many nodes share.
type equation struct {
	local  [dofsPerNode]float64
	shared []term
	value  float64
	owner  int // support, or len(supports) + something else
}

type term struct {
	index int
	coef  float64
}

// constraints is all that holds the part in a set of load cases. Shared
// motions are numbered as displacements after those of the nodes.
type constraints struct {
	outline   *stress.Outline
	nodes     []geom.Point
	equations map[int32][]equation
	order     []int32      // nodes in the order in which they came
	commons   []geom.Point // place of each shared motion
	extras    []extra
	bolts     []softBolt
}

// softBolt is a bolt with elastic spokes: its shared motions carry its load.
type softBolt struct{ feature, motion int }

// extra is a small element besides the triangles: springs.
type extra struct {
	dofs  []int32
	k     []float64 // lower triangle by rows
	owner int
	node  int32
}

func newConstraints(o *stress.Outline, nodes []geom.Point) *constraints {
	return &constraints{outline: o, nodes: nodes, equations: map[int32][]equation{}}
}

func (c *constraints) hold(node int32, e equation) {
	if _, seen := c.equations[node]; !seen {
		c.order = append(c.order, node)
	}
	c.equations[node] = append(c.equations[node], e)
}

// fix holds one displacement of a node at a value.
func (c *constraints) fix(node int32, d int, value float64, owner int) {
	e := equation{value: value, owner: owner}
	e.local[d] = 1
	c.hold(node, e)
}

func (c *constraints) common(at geom.Point) int {
	c.commons = append(c.commons, at)
	return len(c.commons) - 1
}

// support adds the equations of a support.
func (c *constraints) support(s part.Support, owner int) {
	nodes, center := c.outline.Nodes(s.Feature), c.outline.Center(s.Feature)
	switch {
	case s.Kind == part.Fixed:
		for _, n := range nodes {
			c.fix(n, dispU, 0, owner)
			c.fix(n, dispV, 0, owner)
		}
	case s.Kind == part.Sliding:
		held := stress.Direction(s.Angle)
		for _, n := range nodes {
			e := equation{owner: owner}
			e.local[dispU], e.local[dispV] = held.X, held.Y
			c.hold(n, e)
		}
	case s.Kind == part.Pinned:
		turn := c.common(center)
		motion := [][dofsPerNode]float64{{}}
		for _, n := range nodes {
			arm := c.nodes[n].Sub(center).Left()
			motion[0] = [dofsPerNode]float64{arm.X, arm.Y}
			if s.Spoke > 0 {
				c.spring(n, s.Feature, s.Spoke, []int{turn}, motion, 2, owner)
				continue
			}
			for d := range 2 {
				e := equation{shared: []term{{turn, motion[0][d]}}, owner: owner}
				e.local[d] = 1
				c.hold(n, e)
			}
		}
	}
	c.across(s.Feature, s.HoldsAcross(), owner)
}

// across holds a feature against bending.
func (c *constraints) across(feature int, how part.Across, owner int) {
	for _, n := range c.outline.Nodes(feature) {
		if how == part.Held || how == part.Hinged || how == part.Clamped {
			c.fix(n, dispW, 0, owner)
		}
		if how == part.Clamped {
			c.fix(n, tiltX, 0, owner)
			c.fix(n, tiltY, 0, owner)
			continue
		}
		if how != part.Hinged && how != part.Mirrored {
			continue
		}
		for _, t := range c.outline.Tangents(feature, n) {
			if how == part.Mirrored {
				t = t.Left()
			}
			e := equation{owner: owner}
			e.local[tiltX], e.local[tiltY] = t.X, t.Y
			c.hold(n, e)
		}
	}
}

// grip lets the nodes of a feature move as one along e, held every other way.
func (c *constraints) grip(feature int, e geom.Point, owner int) {
	travel := c.common(c.outline.Center(feature))
	for _, n := range c.outline.Nodes(feature) {
		along, aside := equation{shared: []term{{travel, 1}}, owner: owner}, equation{owner: owner}
		along.local[dispU], along.local[dispV] = e.X, e.Y
		aside.local[dispU], aside.local[dispV] = -e.Y, e.X
		c.hold(n, along)
		c.hold(n, aside)
	}
	c.across(feature, part.Clamped, owner)
}

// halfPin lets the half of a hole that a rigid pin presses on follow it along
// the force, free of friction.
func (c *constraints) halfPin(feature int, e geom.Point, owner int) {
	center := c.outline.Center(feature)
	travel := c.common(center)
	for _, n := range c.outline.Nodes(feature) {
		r := c.nodes[n].Sub(center)
		r = r.Scale(1 / r.Norm())
		if cosine := r.Dot(e); cosine > pressedCosine {
			q := equation{shared: []term{{travel, cosine}}, owner: owner}
			q.local[dispU], q.local[dispV] = r.X, r.Y
			c.hold(n, q)
		}
	}
}

// pressedCosine: a node square to the force is not pressed on; drawings put
// nodes there to rounding.
const pressedCosine = 1e-9

// boltMotions: shared motions of a bolt in the order u, v, w of its centre,
// tilts of its axis, and its turn about it.
const boltMotions = 6

// bolt ties a feature to a rigid body by spokes, rigid or elastic.
func (c *constraints) bolt(feature int, spoke float64, owner int) {
	center := c.outline.Center(feature)
	list := make([]int, boltMotions)
	for i := range list {
		list[i] = c.common(center)
	}
	if spoke > 0 {
		c.bolts = append(c.bolts, softBolt{feature, list[0]})
	}
	for _, n := range c.outline.Nodes(feature) {
		arm := c.nodes[n].Sub(center)
		motions := [][dofsPerNode]float64{
			{1, 0, 0, 0, 0}, {0, 1, 0, 0, 0}, {0, 0, 1, 0, 0},
			{0, 0, -arm.X, 1, 0}, {0, 0, -arm.Y, 0, 1}, {-arm.Y, arm.X, 0, 0, 0},
		}
		if spoke > 0 {
			c.spring(n, feature, spoke, list, motions, 3, owner)
			continue
		}
		for d := range dofsPerNode {
			e := equation{owner: owner}
			e.local[d] = 1
			for i, m := range motions {
				if m[d] != 0 {
					e.shared = append(e.shared, term{list[i], m[d]})
				}
			}
			c.hold(n, e)
		}
	}
}

// spring ties the first so many displacements of a node to shared motions by
// the spokes of its length of rim.
func (c *constraints) spring(node int32, feature int, spoke float64, list []int, motions [][dofsPerNode]float64, first, owner int) {
	k := spoke * c.outline.ShareOf(feature, node)
	x := extra{owner: owner, node: node}
	for d := range first {
		x.dofs = append(x.dofs, int32(dofsPerNode*int(node)+d))
	}
	for _, g := range list {
		x.dofs = append(x.dofs, int32(dofsPerNode*len(c.nodes)+g))
	}
	for i := range x.dofs {
		for j := range i + 1 {
			sum := 0.0
			for d := range first {
				sum += elongation(i, d, first, motions) * elongation(j, d, first, motions)
			}
			x.k = append(x.k, k*sum)
		}
	}
	c.extras = append(c.extras, x)
}

// elongation of the spring along displacement d for a unit of entry i.
func elongation(i, d, first int, motions [][dofsPerNode]float64) float64 {
	switch {
	case i >= first:
		return -motions[i-first][d]
	case i == d:
		return 1
	}
	return 0
}

// enforce moves the nodes of a feature.
func (c *constraints) enforce(e Enforced, owner int) {
	for _, n := range c.outline.Nodes(e.Feature) {
		value, held := e.Move(c.nodes[n])
		for d := range dofsPerNode {
			if held[d] {
				c.fix(n, d, value[d], owner)
			}
		}
	}
}

// isostatic holds six displacements of three far corners of the mesh, which
// stops every rigid motion and strains nothing.
func (c *constraints) isostatic(owner int) {
	far := func(score func(geom.Point) float64) int32 {
		best := 0
		for n, p := range c.nodes {
			if score(p) > score(c.nodes[best]) {
				best = n
			}
		}
		return int32(best)
	}
	a := far(func(p geom.Point) float64 { return -p.X - p.Y })
	b := far(func(p geom.Point) float64 { return p.Dist(c.nodes[a]) })
	along := c.nodes[b].Sub(c.nodes[a])
	d := far(func(p geom.Point) float64 { return math.Abs(along.Cross(p.Sub(c.nodes[a]))) })
	c.fix(a, dispU, 0, owner)
	c.fix(a, dispV, 0, owner)
	aside := equation{owner: owner}
	aside.local[dispU], aside.local[dispV] = -along.Y/along.Norm(), along.X/along.Norm()
	c.hold(b, aside)
	for _, n := range []int32{a, b, d} {
		c.fix(n, dispW, 0, owner)
	}
}

// tie maps unknowns to displacements, d = C·x + shift: for displacement i the
// terms start[i]..start[i+1].
type tie struct {
	n       int
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
	m := len(c.commons)
	rest := &stress.Echelon{Columns: m}
	local := map[int32]*stress.Echelon{}
	for _, n := range c.order {
		e := &stress.Echelon{Columns: dofsPerNode + m}
		local[n] = e
		for _, q := range c.equations[n] {
			if left, taken := e.Take(q.row(m), dofsPerNode); !taken && !rest.Add(left[dofsPerNode:]) {
				return nil, fmt.Errorf("two supports contradict each other at (%.6g, %.6g): one moves that place, the other holds it", c.nodes[n].X, c.nodes[n].Y)
			}
		}
	}
	t := &tie{dofs: dofsPerNode*len(c.nodes) + m}
	shared := t.sharedUnknowns(rest, c.commons)
	t.start = append(t.start, 0)
	for n, p := range c.nodes {
		t.node(int32(n), p, local[int32(n)], shared)
	}
	for g := range shared {
		t.put(dofsPerNode*len(c.nodes)+g, shared[g])
	}
	return t, nil
}

// row writes the equation over the node's displacements and the shared motions.
func (q *equation) row(commons int) []float64 {
	row := make([]float64, dofsPerNode+commons+1)
	copy(row, q.local[:])
	for _, s := range q.shared {
		row[dofsPerNode+s.index] -= s.coef
	}
	row[dofsPerNode+commons] = q.value
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
func (t *tie) sharedUnknowns(e *stress.Echelon, at []geom.Point) []combination {
	unknown := make([]int, len(at))
	for _, g := range e.Free() {
		unknown[g] = t.next(at[g])
	}
	out := make([]combination, len(at))
	for g := range out {
		r := e.RowOf(g)
		if r < 0 {
			out[g].terms = []term{{unknown[g], 1}}
			continue
		}
		out[g].value = e.Rows[r][e.Columns]
		for _, f := range e.Free() {
			if k := -e.Rows[r][f]; k != 0 {
				out[g].terms = append(out[g].terms, term{unknown[f], k})
			}
		}
	}
	return out
}

// node adds the displacements of a node.
func (t *tie) node(n int32, at geom.Point, e *stress.Echelon, shared []combination) {
	var own [dofsPerNode]int
	for d := range own {
		if e == nil || e.RowOf(d) < 0 {
			own[d] = t.next(at)
		}
	}
	for d := range own {
		dof := dofsPerNode*int(n) + d
		if e == nil || e.RowOf(d) < 0 {
			t.put(dof, combination{terms: []term{{own[d], 1}}})
			continue
		}
		row := e.Rows[e.RowOf(d)]
		out := combination{value: row[e.Columns]}
		for k := range own {
			if k != d && row[k] != 0 && e.RowOf(k) < 0 {
				out.terms = append(out.terms, term{own[k], -row[k]})
			}
		}
		for g := range shared {
			a := -row[dofsPerNode+g]
			if a == 0 {
				continue
			}
			out.value += a * shared[g].value
			for _, s := range shared[g].terms {
				out.terms = append(out.terms, term{s.index, a * s.coef})
			}
		}
		t.put(dof, out)
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

// reduceTo writes Cᵀ·f into x.
func (t *tie) reduceTo(x, f []float64) {
	clear(x)
	for i, v := range f {
		for k := t.start[i]; k < t.start[i+1]; k++ {
			x[t.unknown[k]] += t.coef[k] * v
		}
	}
}

// expandTo writes C·x + factor·shift into d.
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
