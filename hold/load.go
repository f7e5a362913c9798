package hold

import (
	"fmt"
	"math"

	"sinew/geom"
	"sinew/part"
)

// ToNewton turns g·mm/s² into N.
const ToNewton = 1e-6

// checkLoad returns an error for a load that cannot be applied.
func (o *Outline) checkLoad(c *part.Case, l part.Load) error {
	who := fmt.Sprintf("case %q", c.Name)
	if err := o.Check(l.Feature, who); err != nil {
		return err
	}
	f := &o.part.Features[l.Feature]
	if math.IsNaN(l.Force.X+l.Force.Y) || math.IsInf(l.Force.X+l.Force.Y, 0) {
		return fmt.Errorf("%s: load on %q is not a finite number", who, f.Name)
	}
	if (l.Kind == part.Bearing || l.Kind == part.HalfPin) && !(f.Diameter > 0) {
		return fmt.Errorf("%s: %q is not a round hole, so no pin can bear on it; use an even load or a traction", who, f.Name)
	}
	if (l.Kind == part.Grip || l.Kind == part.HalfPin) && l.Force.Norm() == 0 {
		return fmt.Errorf("%s: the grip or pin on %q has no force, so no direction; leave it out or give it one", who, f.Name)
	}
	return nil
}

// addLoad adds to f the nodal forces in the plane of a load, factor not
// included: InPlane·node + U, V.
func (o *Outline) addLoad(f []float64, l part.Load) {
	thickness := o.part.FaceThickness(l.Feature)
	switch l.Kind {
	case part.Bearing:
		o.addBearing(f, l)
	case part.Even, part.Grip:
		// All nodes of a grip move alike, so only the sum of its forces counts.
		t := l.Force.Scale(1 / o.Length(l.Feature))
		o.spread(f, l.Feature, func(Place) geom.Point { return t })
	case part.HalfPin, part.Bolt:
		o.addThrough(f, l)
	case part.Traction:
		t := l.Force.Scale(thickness)
		o.spread(f, l.Feature, func(Place) geom.Point { return t })
	case part.Pressure:
		o.spread(f, l.Feature, func(p Place) geom.Point { return p.Tangent.Left().Scale(l.Force.X * thickness) })
	}
}

// addAcross adds the force and moment of a load across the plane, spread
// evenly along its feature; nodes tied to a bolt pass on its sum and moment.
func (o *Outline) addAcross(f []float64, l part.Load) {
	if l.Out == 0 && l.Moment == (geom.Point{}) {
		return
	}
	length, center := o.Length(l.Feature), o.Center(l.Feature)
	out, tilt := l.Out/length, geom.Point{X: l.Moment.Y, Y: -l.Moment.X}.Scale(1/length)
	var arm geom.Point // of the evenly spread force about the centre
	for _, side := range o.sides[l.Feature] {
		b := o.mesh.Boundary[side]
		for _, p := range o.Places(side) {
			for k, n := range [3]int32{b.A, b.Mid, b.B} {
				w := p.Share[k] * p.Length
				f[Bending*n+W] += w * out
				f[Bending*n+TiltX] += w * tilt.X
				f[Bending*n+TiltY] += w * tilt.Y
			}
			arm = arm.Add(p.At.Sub(center).Scale(p.Length / length))
		}
	}
	if l.Kind != part.Bolt {
		return
	}
	// A bolt's force acts at its centre: take off the moment of the spread one.
	n := o.nodes[l.Feature][0]
	f[Bending*n+TiltX] += l.Out * arm.X
	f[Bending*n+TiltY] += l.Out * arm.Y
}

// AddLoad adds to f the forces of a load on nodes and shared motions, factor
// not included.
func (s *Set) AddLoad(f []float64, l part.Load) {
	c := s.constraints
	if l.Kind == part.Bolt && l.Spoke > 0 {
		c.addBolt(f, l)
		return
	}
	if c.per == InPlane {
		c.outline.addLoad(f, l)
		return
	}
	// The forces in the plane act at the middle of their face.
	plane, z := make([]float64, InPlane*len(c.nodes)), c.outline.part.FaceMiddle(l.Feature)
	c.outline.addLoad(plane, l)
	for n := range c.nodes {
		x, y := plane[InPlane*n+U], plane[InPlane*n+V]
		f[Bending*n+U] += x
		f[Bending*n+V] += y
		f[Bending*n+TiltX] += z * x
		f[Bending*n+TiltY] += z * y
	}
	c.outline.addAcross(f, l)
}

// addBolt adds a load to the shared motions of its bolt, whose spokes are
// elastic; those of a rigid one move with its nodes.
func (c *constraints) addBolt(f []float64, l part.Load) {
	for _, b := range c.bolts {
		if b.feature != l.Feature || b.spoke != l.Spoke {
			continue
		}
		at := f[c.per*len(c.nodes)+b.motion:]
		at[U] += l.Force.X
		at[V] += l.Force.Y
		if c.per == Bending {
			at[W] += l.Out
			z := c.outline.part.FaceMiddle(l.Feature)
			at[TiltX] += l.Moment.Y + z*l.Force.X
			at[TiltY] += z*l.Force.Y - l.Moment.X
		}
	}
}

// addBearing adds the cosine pressure of a pin on the half of a hole that the
// force presses on:
//
//	p = p0·cos(phi), |phi| <= 90° from the force, along the radius
//
// with p0 such that the forces on the mesh add up to the load exactly; a small
// part across the force, of the order of the mesh's error, takes off what a
// hole meshed without symmetry would add there.
func (o *Outline) addBearing(f []float64, l part.Load) {
	center := o.part.Features[l.Feature].Center
	size := l.Force.Norm()
	if size == 0 {
		return
	}
	e := l.Force.Scale(1 / size)
	cosine := func(p Place) (float64, geom.Point) {
		r := p.At.Sub(center)
		r = r.Scale(1 / r.Norm())
		return math.Max(0, r.Dot(e)), r
	}
	var radial geom.Point // resultant of cos(phi) along the radius
	across := 0.0         // of cos(phi) across the force
	for _, s := range o.sides[l.Feature] {
		for _, p := range o.Places(s) {
			c, r := cosine(p)
			radial = radial.Add(r.Scale(c * p.Length))
			across += c * p.Length
		}
	}
	p0 := size / radial.Dot(e)
	q0 := -p0 * radial.Dot(e.Left()) / across
	o.spread(f, l.Feature, func(p Place) geom.Point {
		c, r := cosine(p)
		return r.Scale(p0 * c).Add(e.Left().Scale(q0 * c))
	})
}

// addThrough adds a force that goes through the centre of a feature whose
// nodes move as one: only its sum and its moment there count.
func (o *Outline) addThrough(f []float64, l part.Load) {
	nodes, center := o.nodes[l.Feature], o.Center(l.Feature)
	if l.Kind == part.HalfPin { // the node farthest along the force alone tells the pin's travel in full
		e := l.Force.Scale(1 / l.Force.Norm())
		best := nodes[0]
		for _, n := range nodes {
			if o.mesh.Nodes[n].Sub(center).Dot(e) > o.mesh.Nodes[best].Sub(center).Dot(e) {
				best = n
			}
		}
		r := o.mesh.Nodes[best].Sub(center)
		t := r.Scale(l.Force.Norm() / r.Dot(e)) // along the radius, whose motion is travel·r·e
		add(f, best, t)
		return
	}
	var mean geom.Point
	for _, n := range nodes {
		mean = mean.Add(o.mesh.Nodes[n].Scale(1 / float64(len(nodes))))
	}
	polar := 0.0
	for _, n := range nodes {
		polar += o.mesh.Nodes[n].Sub(mean).Dot(o.mesh.Nodes[n].Sub(mean))
	}
	share := l.Force.Scale(1 / float64(len(nodes)))
	turn := center.Sub(mean).Cross(l.Force) / polar // moment of the force about the mean
	for _, n := range nodes {
		t := share.Add(o.mesh.Nodes[n].Sub(mean).Left().Scale(turn))
		add(f, n, t)
	}
}

// add adds a force in the plane on a node.
func add(f []float64, node int32, t geom.Point) {
	f[InPlane*node+U] += t.X
	f[InPlane*node+V] += t.Y
}

// Inertia returns the force in the plane on a unit of mass at a place: against
// the acceleration, and outwards from the centre of a spin, mm/s².
func Inertia(c *part.Case, at geom.Point) geom.Point {
	return at.Sub(c.Spin.Center).Scale(c.Spin.Rate * c.Spin.Rate).Sub(c.Acceleration)
}
