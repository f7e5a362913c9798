package hold

import (
	"math"

	"sinew/geom"
)

// cornerCosine tells a corner of the outline, 15 degrees and more, from the
// small turns between sides along an arc.
const cornerCosine = 0.9659258262890683

// sideTangent returns the unit tangent of a side at its node A, Mid or B: of the
// arc it lies on, where the outline is known. The side itself is off by a cube
// of its angle, enough for a rim and the line of symmetry that it ends on to
// hold a node both ways.
func (o *Outline) sideTangent(side int, node int32) geom.Point {
	b := o.mesh.Boundary[side]
	if int(b.Loop) < len(o.loops) && int(b.Edge) < len(o.loops[b.Loop]) {
		if e := o.loops[b.Loop][b.Edge]; e.IsArc() {
			t, _ := e.Nearest(o.mesh.Nodes[node])
			return e.Tangent(t)
		}
	}
	p, q, r := o.mesh.Nodes[b.A], o.mesh.Nodes[b.Mid], o.mesh.Nodes[b.B]
	t := 0.5
	switch node {
	case b.A:
		t = 0
	case b.B:
		t = 1
	}
	d := p.Scale(4*t - 3).Add(q.Scale(4 - 8*t)).Add(r.Scale(4*t - 1))
	return d.Scale(1 / d.Norm())
}

// Tangents returns the directions of a feature at one of its nodes: one, or
// two at a corner.
func (o *Outline) Tangents(feature int, node int32) []geom.Point {
	var list []geom.Point
	for _, s := range o.sides[feature] {
		if b := o.mesh.Boundary[s]; b.A != node && b.Mid != node && b.B != node {
			continue
		}
		t := o.sideTangent(s, node)
		if len(list) == 1 && math.Abs(t.Dot(list[0])) > cornerCosine {
			sum := list[0].Add(t)
			list[0] = sum.Scale(1 / sum.Norm())
			continue
		}
		list = append(list, t)
	}
	return list
}

// ShareOf returns the length of a feature that one of its nodes stands for:
// the integral of its shape function, mm.
func (o *Outline) ShareOf(feature int, node int32) float64 {
	sum := 0.0
	for _, s := range o.sides[feature] {
		b := o.mesh.Boundary[s]
		for k, n := range [3]int32{b.A, b.Mid, b.B} {
			if n != node {
				continue
			}
			for _, p := range o.Places(s) {
				sum += p.Share[k] * p.Length
			}
		}
	}
	return sum
}
