package hold

import (
	"math"

	"sinew/geom"
	"sinew/part"
)

// Displacements of a node, in order.
const (
	U = iota
	V
	W
	TiltX
	TiltY
	most // displacements of a node
)

// How many displacements a node has.
const (
	InPlane = V + 1
	Bending = most
)

// An equation holds one node:
//
//	local · d(node) = sum of coef · g[index] + value
//
// where g are motions that many nodes share.
type equation struct {
	local  [most]float64
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
	outline   *Outline
	per       int // displacements of a node
	nodes     []geom.Point
	equations map[int32][]equation
	order     []int32      // nodes in the order in which they came
	commons   []geom.Point // place of each shared motion
	springs   []spring
	bolts     []softBolt
}

// softBolt is a bolt with elastic spokes: its shared motions carry its load.
type softBolt struct {
	feature, motion int
	spoke           float64
}

// spring is a small element besides the triangles, from a node to shared motions.
type spring struct {
	dofs  []int32
	k     []float64 // lower triangle by rows
	owner int
	node  int32
}

func newConstraints(o *Outline, per int) *constraints {
	return &constraints{outline: o, per: per, nodes: o.mesh.Nodes, equations: map[int32][]equation{}}
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

// along holds a node along a direction of the plane, at a height over it, but
// for shared motions.
func (c *constraints) along(node int32, e geom.Point, z float64, owner int, shared ...term) {
	q := equation{shared: shared, owner: owner}
	q.local[U], q.local[V] = e.X, e.Y
	if c.per == Bending {
		q.local[TiltX], q.local[TiltY] = z*e.X, z*e.Y
	}
	c.hold(node, q)
}

func (c *constraints) common(at geom.Point) int {
	c.commons = append(c.commons, at)
	return len(c.commons) - 1
}

// support adds the equations of a support.
func (c *constraints) support(s part.Support, owner int) {
	nodes, z := c.outline.nodes[s.Feature], c.outline.part.FaceMiddle(s.Feature)
	switch s.Kind {
	case part.Fixed:
		for _, n := range nodes {
			c.along(n, geom.Point{X: 1}, z, owner)
			c.along(n, geom.Point{Y: 1}, z, owner)
		}
	case part.Sliding:
		held := Direction(s.Angle)
		for _, n := range nodes {
			c.along(n, held, z, owner)
		}
	case part.Pinned:
		center := c.outline.Center(s.Feature)
		turn := c.common(center)
		for _, n := range nodes {
			arm := c.nodes[n].Sub(center).Left()
			if s.Spoke > 0 {
				c.spokes(n, s.Feature, s.Spoke, []int{turn}, [][most]float64{{arm.X, arm.Y}}, InPlane, owner)
				continue
			}
			c.along(n, geom.Point{X: 1}, z, owner, term{turn, arm.X})
			c.along(n, geom.Point{Y: 1}, z, owner, term{turn, arm.Y})
		}
	}
	c.across(s.Feature, s.HoldsAcross(), owner)
}

// across holds a feature against bending.
func (c *constraints) across(feature int, how part.Across, owner int) {
	if c.per == InPlane {
		return
	}
	for _, n := range c.outline.nodes[feature] {
		if how == part.Held || how == part.Hinged || how == part.Clamped {
			c.fix(n, W, 0, owner)
		}
		if how == part.Clamped {
			c.fix(n, TiltX, 0, owner)
			c.fix(n, TiltY, 0, owner)
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
			e.local[TiltX], e.local[TiltY] = t.X, t.Y
			c.hold(n, e)
		}
	}
}

// grip lets the nodes of a feature move as one along e, held every other way.
func (c *constraints) grip(feature int, e geom.Point, owner int) {
	travel, z := c.common(c.outline.Center(feature)), c.outline.part.FaceMiddle(feature)
	for _, n := range c.outline.nodes[feature] {
		c.along(n, e, z, owner, term{travel, 1})
		c.along(n, e.Left(), z, owner)
	}
	c.across(feature, part.Clamped, owner)
}

// halfPin lets the half of a hole that a rigid pin presses on follow it along
// the force, free of friction: along the radius r every node moves by the
// travel times r·e.
func (c *constraints) halfPin(feature int, e geom.Point, owner int) {
	center := c.outline.Center(feature)
	travel, z := c.common(center), c.outline.part.FaceMiddle(feature)
	for _, n := range c.outline.nodes[feature] {
		r := c.nodes[n].Sub(center)
		r = r.Scale(1 / r.Norm())
		if cosine := r.Dot(e); cosine > pressedCosine {
			c.along(n, r, z, owner, term{travel, cosine})
		}
	}
}

// pressedCosine: a node square to the force is not pressed on; drawings put
// nodes there to rounding.
const pressedCosine = 1e-9

// boltMotions returns what the shared motions of a bolt do to a node at an arm
// from its centre: in the plane u, v and the turn about its axis; of a plate u,
// v, w, the tilts of its axis, and its turn about it.
func (c *constraints) boltMotions(arm geom.Point) [][most]float64 {
	u, v, turn := [most]float64{U: 1}, [most]float64{V: 1}, [most]float64{-arm.Y, arm.X}
	if c.per == InPlane {
		return [][most]float64{u, v, turn}
	}
	return [][most]float64{u, v, {W: 1}, {W: -arm.X, TiltX: 1}, {W: -arm.Y, TiltY: 1}, turn}
}

// bolt ties a feature to a rigid body by spokes, rigid or elastic.
func (c *constraints) bolt(feature int, spoke float64, owner int) {
	center := c.outline.Center(feature)
	var list []int
	for range c.boltMotions(center) {
		list = append(list, c.common(center))
	}
	if spoke > 0 {
		c.bolts = append(c.bolts, softBolt{feature, list[0], spoke})
	}
	for _, n := range c.outline.nodes[feature] {
		motions := c.boltMotions(c.nodes[n].Sub(center))
		if spoke > 0 {
			c.spokes(n, feature, spoke, list, motions, min(c.per, W+1), owner)
			continue
		}
		for d := range c.per {
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

// spokes ties the first so many displacements of a node to shared motions by
// the spokes of its length of rim.
func (c *constraints) spokes(node int32, feature int, spoke float64, list []int, motions [][most]float64, first, owner int) {
	k := spoke * c.outline.ShareOf(feature, node)
	x := spring{owner: owner, node: node}
	for d := range first {
		x.dofs = append(x.dofs, int32(c.per*int(node)+d))
	}
	for _, g := range list {
		x.dofs = append(x.dofs, int32(c.per*len(c.nodes)+g))
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
	c.springs = append(c.springs, x)
}

// elongation of the spring along displacement d for a unit of entry i.
func elongation(i, d, first int, motions [][most]float64) float64 {
	switch {
	case i >= first:
		return -motions[i-first][d]
	case i == d:
		return 1
	}
	return 0
}

// times returns K·d of a spring.
func (x *spring) times(d []float64) []float64 {
	f := make([]float64, len(x.dofs))
	for i := range x.dofs {
		for j, b := range x.dofs {
			f[i] += x.k[max(i, j)*(max(i, j)+1)/2+min(i, j)] * d[b]
		}
	}
	return f
}

// Enforced moves the nodes of a feature, in all cases, times the case's factor.
type Enforced struct {
	Feature int
	// Move returns the displacements of a node, and which of them it imposes.
	Move func(at geom.Point) (value [Bending]float64, held [Bending]bool)
}

func (c *constraints) enforce(e Enforced, owner int) {
	for _, n := range c.outline.nodes[e.Feature] {
		value, held := e.Move(c.nodes[n])
		for d := range c.per {
			if held[d] {
				c.fix(n, d, value[d], owner)
			}
		}
	}
}

// isostatic holds as many displacements of three far corners of the mesh as
// stop every rigid motion of a plate and strain nothing.
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
	c.fix(a, U, 0, owner)
	c.fix(a, V, 0, owner)
	c.along(b, along.Left().Scale(1/along.Norm()), 0, owner)
	for _, n := range []int32{a, b, d} {
		c.fix(n, W, 0, owner)
	}
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
