package plate

import (
	"math"

	"sinew/geom"
	"sinew/mesh"
	"sinew/part"
	"sinew/stress"
)

// toNewton turns g·mm/s² into N.
const toNewton = 1e-6

// loads returns the forces of a case on displacements and shared motions,
// factor included, without those of temperature.
func (s *System) loads(c *part.Case, section *Section, dofs int, held *constraints) []float64 {
	f := make([]float64, dofs)
	plane := make([]float64, 2*len(s.elements.mesh.Nodes))
	for _, l := range c.Loads {
		if l.Kind == part.Bolt && l.Spoke > 0 {
			held.addBolt(f, l)
			continue
		}
		s.outline.AddLoad(plane, l)
		s.addAcross(f, l)
	}
	for n := range s.elements.mesh.Nodes {
		f[dofsPerNode*n] += plane[2*n]
		f[dofsPerNode*n+1] += plane[2*n+1]
	}
	s.addFace(f, c, section)
	for _, q := range c.Bending.Points {
		tri, b, _ := s.locator.Find(q.At)
		for i, n := range mesh.Shape(b) {
			f[dofsPerNode*int(s.elements.mesh.Tris[tri][i])+dispW] += n * q.Out
		}
	}
	for i := range f {
		f[i] *= c.Factor
	}
	return f
}

// addAcross adds the force and moment of a load across the plane, spread
// evenly along its feature; nodes tied to a bolt pass on its sum and moment.
func (s *System) addAcross(f []float64, l part.Load) {
	if l.Out == 0 && l.Moment == (geom.Point{}) {
		return
	}
	length, center := s.outline.Length(l.Feature), s.outline.Center(l.Feature)
	out, tilt := l.Out/length, geom.Point{X: l.Moment.Y, Y: -l.Moment.X}.Scale(1/length)
	var arm geom.Point // of the evenly spread force about the centre
	for _, side := range s.outline.Sides(l.Feature) {
		b := s.elements.mesh.Boundary[side]
		for _, p := range s.outline.Places(side) {
			for k, n := range [3]int32{b.A, b.Mid, b.B} {
				w := p.Share[k] * p.Length
				f[dofsPerNode*n+dispW] += w * out
				f[dofsPerNode*n+tiltX] += w * tilt.X
				f[dofsPerNode*n+tiltY] += w * tilt.Y
			}
			arm = arm.Add(p.At.Sub(center).Scale(p.Length / length))
		}
	}
	if l.Kind != part.Bolt {
		return
	}
	// A bolt's force acts at its centre: take off the moment of the spread one.
	n := s.outline.Nodes(l.Feature)[0]
	f[dofsPerNode*n+tiltX] += l.Out * arm.X
	f[dofsPerNode*n+tiltY] += l.Out * arm.Y
}

// addBolt adds a load to the shared motions of its bolt, whose spokes are
// elastic; those of a rigid one move with its nodes.
func (c *constraints) addBolt(f []float64, l part.Load) {
	for _, b := range c.bolts {
		if b.feature == l.Feature {
			for i, v := range []float64{l.Force.X, l.Force.Y, l.Out, l.Moment.Y, -l.Moment.X} {
				f[dofsPerNode*len(c.nodes)+b.motion+i] += v
			}
		}
	}
}

// addFace adds what acts on the whole part: pressure on the face, weight and
// inertia. A mass off the reference plane tilts it.
func (s *System) addFace(f []float64, c *part.Case, section *Section) {
	b := &c.Bending
	massless := len(section.Mass) == 0 || c.Acceleration == (geom.Point{}) && b.Acceleration == 0 && c.Spin.Rate == 0
	if b.Pressure == 0 && massless {
		return
	}
	for p, w := range s.elements.weight {
		m := pick(section.Mass, p)
		a := stress.Inertia(c, s.elements.at[p]).Scale(toNewton)
		force := [dofsPerNode]float64{
			m[0] * a.X, m[0] * a.Y, b.Pressure - toNewton*m[0]*b.Acceleration, m[1] * a.X, m[1] * a.Y,
		}
		shapes := &constants.points[p%PointsPerTri].n
		for i, n := range s.elements.mesh.Tris[p/PointsPerTri] {
			for d, v := range force {
				f[dofsPerNode*int(n)+d] += w * shapes[i] * v
			}
		}
	}
}

// heatOf returns the temperature change and gradient of a case, factor included.
func heatOf(c *part.Case) (deltaT, gradient float64) {
	return c.Factor * c.DeltaT, c.Factor * c.Bending.Gradient
}

// addThermal adds the forces of a case's temperatures.
func (s *System) addThermal(f []float64, c *part.Case, section *Section) {
	deltaT, gradient := heatOf(c)
	if deltaT == 0 && gradient == 0 {
		return
	}
	var e shaped
	var k full
	var out [packed]float64
	for t := range s.elements.mesh.Tris {
		s.elements.shapeTo(&e, t)
		h := e.heat(section, t, deltaT, gradient)
		e.stiffnessTo(&k, section, t)
		c := k.condense(&out)
		x, y := c.solve(h[dofsPerTri], h[dofsPerTri+1])
		for i, n := range s.elements.mesh.Tris[t] {
			for d := range dofsPerNode {
				j := dofsPerNode*i + d
				f[dofsPerNode*int(n)+d] += h[j] - c.row[0][j]*x - c.row[1][j]*y
			}
		}
	}
}

// heat returns the element's forces of a change of temperature.
func (e *shaped) heat(section *Section, t int, deltaT, gradient float64) (f [fullDofs]float64) {
	for p := range PointsPerTri {
		r := section.heat(t*PointsPerTri+p, deltaT, gradient)
		e.addInternal(&f, p, &r)
	}
	return f
}

// resultant returns the sum of the forces on nodes and elastic bolts and their
// moments about a point of the reference plane: Fx, Fy, Fz, Mx, My, Mz.
func (s *System) resultant(f []float64, about geom.Point, c *constraints) (r [6]float64) {
	for _, b := range c.bolts {
		addForce(&r, (*[dofsPerNode]float64)(f[dofsPerNode*len(c.nodes)+b.motion:]), c.commons[b.motion].Sub(about))
	}
	for n, p := range s.elements.mesh.Nodes {
		addForce(&r, (*[dofsPerNode]float64)(f[dofsPerNode*n:]), p.Sub(about))
	}
	return r
}

// addForce adds a node's force at an arm to a resultant.
func addForce(r *[6]float64, f *[dofsPerNode]float64, arm geom.Point) {
	r[0] += f[dispU]
	r[1] += f[dispV]
	r[2] += f[dispW]
	r[3] += arm.Y*f[dispW] - f[tiltY]
	r[4] += f[tiltX] - arm.X*f[dispW]
	r[5] += arm.X*f[dispV] - arm.Y*f[dispU]
}

// size of a node's force, its moments per length.
func size(f []float64, length float64) float64 {
	return math.Sqrt(f[0]*f[0]+f[1]*f[1]+f[2]*f[2]) + math.Hypot(f[3], f[4])/length
}
