package stress

import (
	"fmt"
	"math"

	"sinew/geom"
	"sinew/part"
)

// toNewton turns g·mm/s² into N.
const toNewton = 1e-6

// CheckLoad returns an error for a load that cannot be applied.
func (o *Outline) CheckLoad(c *part.Case, l part.Load) error {
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

// AddLoad adds to f the nodal forces of a load, factor not included.
func (o *Outline) AddLoad(f []float64, l part.Load) {
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
		f[2*best] += t.X
		f[2*best+1] += t.Y
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
		f[2*n] += t.X
		f[2*n+1] += t.Y
	}
}

// loadsTo fills f with the nodal forces of a case, factor included, and
// thermal with those of its temperature change.
func (s *System) loadsTo(f, thermal []float64, c *part.Case, sheet *Sheet) {
	clear(f)
	clear(thermal)
	for _, l := range c.Loads {
		s.outline.AddLoad(f, l)
	}
	if (c.Acceleration != (geom.Point{}) || c.Spin.Rate != 0) && len(sheet.Mass) > 0 {
		for p := range s.elements.weight {
			s.elements.addBody(f, p, Inertia(c, s.elements.at[p]).Scale(toNewton*sheet.massAt(p)))
		}
	}
	for i := range f {
		f[i] *= c.Factor
	}
	if c.DeltaT != 0 && len(sheet.Thermal) > 0 {
		for p := range s.elements.weight {
			n := sheet.thermalAt(p)
			k := c.DeltaT * c.Factor
			s.elements.addInternal(thermal, p, [3]float64{k * n[0], k * n[1], k * n[2]})
		}
	}
}

// Inertia returns the force in the plane on a unit of mass at a place: against
// the acceleration, and outwards from the centre of a spin, mm/s².
func Inertia(c *part.Case, at geom.Point) geom.Point {
	return at.Sub(c.Spin.Center).Scale(c.Spin.Rate * c.Spin.Rate).Sub(c.Acceleration)
}

// resultant returns the sum of nodal forces and their moment about a point.
func (o *Outline) resultant(f []float64, about geom.Point) [3]float64 {
	var r [3]float64
	for n, p := range o.mesh.Nodes {
		x, y := f[2*n], f[2*n+1]
		r[0] += x
		r[1] += y
		r[2] += p.Sub(about).Cross(geom.Point{X: x, Y: y})
	}
	return r
}
