package plate

import (
	"sinew/geom"
	"sinew/hold"
	"sinew/mesh"
	"sinew/part"
)

// loads returns the forces of a case on displacements and shared motions,
// factor included, without those of temperature.
func (s *System) loads(set *hold.Set, c *part.Case, section *Section) []float64 {
	f := make([]float64, set.Displacements())
	for _, l := range c.Loads {
		set.AddLoad(f, l)
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
		a := hold.Inertia(c, s.elements.at[p]).Scale(hold.ToNewton)
		force := [dofsPerNode]float64{
			m[0] * a.X, m[0] * a.Y, b.Pressure - hold.ToNewton*m[0]*b.Acceleration, m[1] * a.X, m[1] * a.Y,
		}
		shapes := &constants.points[p%PointsPerTri].n
		for i, n := range s.elements.mesh.Tris[p/PointsPerTri] {
			for d, v := range force {
				f[dofsPerNode*int(n)+d] += w * shapes[i] * v
			}
		}
	}
}

// warmth is a change of temperature of a section.
type warmth struct {
	section *Section
	heat    part.Heat
	at      []geom.Point // integration points
}

func (s *System) warmth(section *Section, h part.Heat) *warmth {
	return &warmth{section, h, s.elements.at}
}

// resultant returns the resultants of a fully held plate at a point.
func (w *warmth) resultant(point int) (f [strains]float64) {
	if !w.heat.Acts() {
		return f
	}
	return w.section.heat(point, w.heat.At(w.at[point]), w.heat.Across)
}

// addThermal adds the forces of a case's temperatures.
func (s *System) addThermal(f []float64, c *part.Case, section *Section) {
	if !c.Heat.Acts() {
		return
	}
	warm := s.warmth(section, c.Heat.Times(c.Factor))
	var e shaped
	var k full
	var out [packed]float64
	for t := range s.elements.mesh.Tris {
		s.elements.shapeTo(&e, t)
		h := e.heat(warm, t)
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
func (e *shaped) heat(warm *warmth, t int) (f [fullDofs]float64) {
	for p := range PointsPerTri {
		r := warm.resultant(t*PointsPerTri + p)
		e.addInternal(&f, p, &r)
	}
	return f
}
