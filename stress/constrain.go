package stress

import (
	"fmt"
	"math"

	"sinew/geom"
	"sinew/part"
)

// An equation holds one node along one direction:
//
//	normal · u(node) = sum of coef · g[index] + value
//
// where g are motions that many nodes share: the turn of a pinned feature, the
// travel of a grip.
type equation struct {
	normal geom.Point // unit vector
	shared []term
	value  float64
	owner  int // support, or len(supports) + something else
}

// parallelSine is the sine of the angle below which two held directions of a
// node count as one; drawings are drawn to about 1e-9 rad, supports meant to
// differ do so by much more.
const parallelSine = 1e-6

// constraints is all that holds the part in a set of load cases.
type constraints struct {
	outline   *Outline
	equations map[int32][]equation // by node
	order     []int32              // nodes in the order in which they came
	commons   []geom.Point         // place of each shared motion
}

func newConstraints(o *Outline) *constraints {
	return &constraints{outline: o, equations: map[int32][]equation{}}
}

func (c *constraints) hold(node int32, e equation) {
	if _, seen := c.equations[node]; !seen {
		c.order = append(c.order, node)
	}
	c.equations[node] = append(c.equations[node], e)
}

var (
	alongX = geom.Point{X: 1}
	alongY = geom.Point{Y: 1}
)

// support adds the equations of a support.
func (c *constraints) support(s part.Support, owner int) {
	nodes := c.outline.nodes[s.Feature]
	switch s.Kind {
	case part.Fixed:
		for _, n := range nodes {
			c.hold(n, equation{normal: alongX, owner: owner})
			c.hold(n, equation{normal: alongY, owner: owner})
		}
	case part.Sliding:
		normal := Direction(s.Angle)
		for _, n := range nodes {
			c.hold(n, equation{normal: normal, owner: owner})
		}
	case part.Pinned:
		center := c.center(s.Feature)
		turn := c.common(center)
		for _, n := range nodes {
			arm := c.outline.mesh.Nodes[n].Sub(center).Left()
			c.hold(n, equation{normal: alongX, shared: []term{{turn, arm.X}}, owner: owner})
			c.hold(n, equation{normal: alongY, shared: []term{{turn, arm.Y}}, owner: owner})
		}
	}
}

// grip lets the nodes of a feature move as one along e and not across it.
func (c *constraints) grip(feature int, e geom.Point, owner int) {
	travel := c.common(c.center(feature))
	for _, n := range c.outline.nodes[feature] {
		c.hold(n, equation{normal: e, shared: []term{{travel, 1}}, owner: owner})
		c.hold(n, equation{normal: e.Left(), owner: owner})
	}
}

// halfPin lets the half of a hole that a rigid pin presses on follow it along
// the force, free of friction: along the radius r every node moves by the
// travel times r·e.
func (c *constraints) halfPin(feature int, e geom.Point, owner int) {
	center := c.center(feature)
	travel := c.common(center)
	for _, n := range c.outline.nodes[feature] {
		r := c.outline.mesh.Nodes[n].Sub(center)
		r = r.Scale(1 / r.Norm())
		if cosine := r.Dot(e); cosine > pressedCosine {
			c.hold(n, equation{normal: r, shared: []term{{travel, cosine}}, owner: owner})
		}
	}
}

// pressedCosine: a node square to the force is not pressed on; drawings put
// nodes there to rounding.
const pressedCosine = 1e-9

// bolt lets the nodes of a feature move as a rigid body.
func (c *constraints) bolt(feature int, owner int) {
	center := c.center(feature)
	x, y, turn := c.common(center), c.common(center), c.common(center)
	for _, n := range c.outline.nodes[feature] {
		arm := c.outline.mesh.Nodes[n].Sub(center).Left()
		c.hold(n, equation{normal: alongX, shared: []term{{x, 1}, {turn, arm.X}}, owner: owner})
		c.hold(n, equation{normal: alongY, shared: []term{{y, 1}, {turn, arm.Y}}, owner: owner})
	}
}

// enforce moves the nodes of a feature.
func (c *constraints) enforce(e Enforced, owner int) {
	for _, n := range c.outline.nodes[e.Feature] {
		u := e.Move(c.outline.mesh.Nodes[n])
		c.hold(n, equation{normal: alongX, value: u.X, owner: owner})
		c.hold(n, equation{normal: alongY, value: u.Y, owner: owner})
	}
}

func (c *constraints) common(at geom.Point) int {
	c.commons = append(c.commons, at)
	return len(c.commons) - 1
}

func (c *constraints) center(feature int) geom.Point {
	return c.outline.Center(feature)
}

// Center returns the centre of a round hole or the mean of a feature's nodes.
func (o *Outline) Center(feature int) geom.Point {
	f := &o.part.Features[feature]
	if f.Diameter > 0 {
		return f.Center
	}
	var sum geom.Point
	for _, n := range o.nodes[feature] {
		sum = sum.Add(o.mesh.Nodes[n])
	}
	return sum.Scale(1 / float64(len(o.nodes[feature])))
}

// Direction returns the unit vector at an angle; along an axis the rounding
// of pi is taken off, so that such supports couple nothing.
func Direction(angle float64) geom.Point {
	s, c := math.Sincos(angle)
	if math.Abs(c) < axisRounding {
		c, s = 0, math.Copysign(1, s)
	}
	if math.Abs(s) < axisRounding {
		s, c = 0, math.Copysign(1, c)
	}
	return geom.Point{X: c, Y: s}
}

// axisRounding bounds what a few turns of pi lose in double precision.
const axisRounding = 1e-14

// pair returns the two equations of a node that are farthest from parallel,
// or only the first with second = -1.
func pair(list []equation) (first, second int) {
	best := parallelSine
	second = -1
	for i := 1; i < len(list); i++ {
		if s := math.Abs(list[0].normal.Cross(list[i].normal)); s > best {
			second, best = i, s
		}
	}
	return 0, second
}

// A motion is a displacement component as a sum of shared motions and free
// ones plus a value.
type motion struct {
	common []term
	free   float64 // factor of the node's one free motion, where it has just one
	value  float64
}

type term struct {
	index int
	coef  float64
}

func (e equation) terms(scale float64) []term {
	var list []term
	for _, t := range e.shared {
		if t.coef*scale != 0 {
			list = append(list, term{t.index, t.coef * scale})
		}
	}
	return list
}

// motions returns how a held node may move in x and y. left holds the
// equations that were not needed for it, as rows over the shared motions.
func (c *constraints) motions(node int32) (x, y motion, left [][]float64) {
	list := c.equations[node]
	i, j := pair(list)
	a := list[i]
	if j < 0 {
		t := a.normal.Left()
		x = motion{a.terms(a.normal.X), t.X, a.normal.X * a.value}
		y = motion{a.terms(a.normal.Y), t.Y, a.normal.Y * a.value}
	} else {
		b := list[j]
		det := a.normal.Cross(b.normal)
		x = motion{append(a.terms(b.normal.Y/det), b.terms(-a.normal.Y/det)...), 0, (b.normal.Y*a.value - a.normal.Y*b.value) / det}
		y = motion{append(a.terms(-b.normal.X/det), b.terms(a.normal.X/det)...), 0, (a.normal.X*b.value - b.normal.X*a.value) / det}
	}
	for k, e := range list {
		if k != i && k != j {
			left = append(left, c.remainder(e, x, y))
		}
	}
	return x, y, left
}

// remainder writes normal·u - coef·g = value as a row over the shared motions.
func (c *constraints) remainder(e equation, x, y motion) []float64 {
	row := make([]float64, len(c.commons)+1)
	for _, t := range x.common {
		row[t.index] += e.normal.X * t.coef
	}
	for _, t := range y.common {
		row[t.index] += e.normal.Y * t.coef
	}
	for _, t := range e.shared {
		row[t.index] -= t.coef
	}
	row[len(c.commons)] = e.value - e.normal.X*x.value - e.normal.Y*y.value
	return row
}

// tie maps unknowns to displacements, u = C·x + shift: for displacement i the
// terms start[i]..start[i+1].
type tie struct {
	n       int
	dofs    int // displacements of the mesh
	start   []int32
	unknown []int32
	coef    []float64
	shift   []float64    // nil: all zero
	coords  [][2]float64 // a place for each unknown, for the ordering
}

// tie solves the equations of all nodes.
func (c *constraints) tie() (*tie, error) {
	nodes := c.outline.mesh.Nodes
	e := &Echelon{Columns: len(c.commons)}
	held := map[int32][2]motion{}
	for _, n := range c.order {
		x, y, left := c.motions(n)
		for _, row := range left {
			if !e.Add(row) {
				p := nodes[n]
				return nil, fmt.Errorf("two supports contradict each other at (%.6g, %.6g): one moves that corner, the other holds it", p.X, p.Y)
			}
		}
		held[n] = [2]motion{x, y}
	}
	t := &tie{dofs: 2 * len(nodes), start: make([]int32, 1, 2*len(nodes)+1)}
	shared := t.sharedUnknowns(e, c.commons)
	for n := range nodes {
		t.node(int32(n), nodes[n], held, shared)
	}
	return t, nil
}

// sharedMotion is a shared motion in terms of unknowns.
type sharedMotion struct {
	terms []term
	value float64
}

// sharedUnknowns numbers the shared motions that the equations leave free and
// returns all of them in these terms.
func (t *tie) sharedUnknowns(e *Echelon, at []geom.Point) []sharedMotion {
	unknown := map[int]int{}
	for _, c := range e.Free() {
		unknown[c] = t.next(at[c])
	}
	shared := make([]sharedMotion, len(at))
	for c := range shared {
		r := e.RowOf(c)
		if r < 0 {
			shared[c].terms = []term{{unknown[c], 1}}
			continue
		}
		shared[c].value = e.Rows[r][e.Columns]
		for _, f := range e.Free() {
			if k := -e.Rows[r][f]; k != 0 {
				shared[c].terms = append(shared[c].terms, term{unknown[f], k})
			}
		}
	}
	return shared
}

func (t *tie) next(at geom.Point) int {
	t.coords = append(t.coords, [2]float64{at.X, at.Y})
	t.n++
	return t.n - 1
}

// node adds the two displacements of a node.
func (t *tie) node(n int32, at geom.Point, held map[int32][2]motion, shared []sharedMotion) {
	xy, isHeld := held[n]
	if !isHeld {
		t.put(term{t.next(at), 1})
		t.close()
		t.put(term{t.next(at), 1})
		t.close()
		return
	}
	own := -1
	if xy[0].free != 0 || xy[1].free != 0 {
		own = t.next(at)
	}
	for d, m := range xy {
		value := m.value
		for _, a := range m.common {
			value += a.coef * shared[a.index].value
			for _, b := range shared[a.index].terms {
				t.put(term{b.index, a.coef * b.coef})
			}
		}
		if m.free != 0 {
			t.put(term{own, m.free})
		}
		if value != 0 {
			t.shiftBy(2*int(n)+d, value)
		}
		t.close()
	}
}

func (t *tie) put(a term) {
	t.unknown = append(t.unknown, int32(a.index))
	t.coef = append(t.coef, a.coef)
}

func (t *tie) close() { t.start = append(t.start, int32(len(t.unknown))) }

func (t *tie) shiftBy(dof int, value float64) {
	if t.shift == nil {
		t.shift = make([]float64, t.dofs)
	}
	t.shift[dof] = value
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

// expandTo writes C·x + factor·shift into u.
func (t *tie) expandTo(u, x []float64, factor float64) {
	for i := range u {
		v := 0.0
		if t.shift != nil {
			v = factor * t.shift[i]
		}
		for k := t.start[i]; k < t.start[i+1]; k++ {
			v += t.coef[k] * x[t.unknown[k]]
		}
		u[i] = v
	}
}
