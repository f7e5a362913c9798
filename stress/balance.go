package stress

import (
	"math"

	"sinew/geom"
	"sinew/hold"
	"sinew/part"
)

// loads returns the forces of a case on displacements and shared motions,
// factor included, without those of temperature.
func (s *System) loads(set *hold.Set, c *part.Case, sheet *Sheet) []float64 {
	f := make([]float64, set.Displacements())
	for _, l := range c.Loads {
		set.AddLoad(f, l)
	}
	if (c.Acceleration != (geom.Point{}) || c.Spin.Rate != 0) && len(sheet.Mass) > 0 {
		for p := range s.elements.weight {
			s.elements.addBody(f, p, hold.Inertia(c, s.elements.at[p]).Scale(hold.ToNewton*sheet.massAt(p)))
		}
	}
	for i := range f {
		f[i] *= c.Factor
	}
	return f
}

// BodyForce returns the force in the plane, N, that a gram of the part at an
// integration point feels under a case, factor included.
func (s *System) BodyForce(c, point int) geom.Point {
	k := &s.part.Cases[c]
	return hold.Inertia(k, s.elements.at[point]).Scale(hold.ToNewton * k.Factor)
}

// heat returns the forces of a case's temperature change, factor included.
func (s *System) heat(set *hold.Set, c *part.Case, sheet *Sheet) []float64 {
	f := make([]float64, set.Displacements())
	if !c.Heat.InPlane() || len(sheet.Thermal) == 0 {
		return f
	}
	for p := range s.elements.weight {
		n := sheet.thermalAt(p)
		k := c.Heat.At(s.elements.at[p]) * c.Factor
		s.elements.addInternal(f, p, [3]float64{k * n[0], k * n[1], k * n[2]})
	}
	return f
}

// inPlane takes forces and moment of the plane out of six: Fx, Fy, Mz.
func inPlane(r [6]float64) [3]float64 { return [3]float64{r[0], r[1], r[5]} }

// respond derives from the displacements of case i its strains and energy.
func (s *System) respond(c *CaseSolution, set *hold.Set, i int, sheet *Sheet, d []float64) {
	pc := &s.part.Cases[i]
	c.U = d[:2*len(s.elements.mesh.Nodes)]
	c.Heat = pc.Heat.Times(pc.Factor)
	c.Strain = s.StrainsOf(c.U)
	c.Energy = s.energy(c, sheet) + set.SpringEnergy(d)
}

// report derives all else that is told of case i.
func (s *System) report(c *CaseSolution, set *hold.Set, i int, sheet *Sheet, d, applied, thermal []float64) {
	pc := &s.part.Cases[i]
	c.Applied = inPlane(set.Resultant(applied, geom.Point{}))
	for k, v := range applied {
		c.Work += v * d[k]
	}
	c.Stiffness = s.stiffness(set, c, pc)
	left := s.internal(set, d, sheet) // becomes what the supports give
	for k := range left {
		left[k] -= applied[k] + thermal[k]
	}
	reactions, held := set.Reactions(left, d)
	for _, r := range reactions {
		c.Reactions = append(c.Reactions, inPlane(r))
	}
	c.Imbalance = set.Imbalance(applied, thermal, held, true)
	c.GripMove = make([]float64, len(pc.Loads))
	for k, l := range pc.Loads {
		if l.Kind == part.Grip {
			n := s.outline.Nodes(l.Feature)[0]
			u := geom.Point{X: c.U[2*n], Y: c.U[2*n+1]}
			c.GripMove[k] = u.Dot(l.Force) / l.Force.Norm()
		}
	}
}

// stiffness is F²/work, F the sum of the sizes of the loads: for a single load
// F over the displacement along it, for a grip F over its travel.
func (s *System) stiffness(set *hold.Set, c *CaseSolution, pc *part.Case) float64 {
	if pc.Heat.InPlane() || !(c.Work > 0) || pc.Acceleration != (geom.Point{}) || pc.Spin.Rate != 0 {
		return 0
	}
	size := 0.0
	f := make([]float64, set.Displacements())
	for _, l := range pc.Loads {
		clear(f)
		set.AddLoad(f, l)
		r := set.Resultant(f, geom.Point{})
		size += math.Hypot(r[0], r[1])
	}
	size *= math.Abs(pc.Factor)
	return size * size / c.Work
}

// energy sums the strain energy, 1/2·e·A·e with e the strain less that of
// free thermal growth:
//
//	1/2 ε·A·ε - ε·N + 1/2 N·A⁻¹·N,   N the thermal force
func (s *System) energy(c *CaseSolution, sheet *Sheet) float64 {
	sum := 0.0
	for p, w := range s.elements.weight {
		a, e := sheet.StiffnessAt(p), c.Strain[p]
		f := a.Mul(e)
		d := dot(f, e) / 2
		if c.Heat.InPlane() && len(sheet.Thermal) > 0 {
			n := sheet.thermalAt(p)
			for i := range n {
				n[i] *= c.Heat.At(s.elements.at[p])
			}
			inverse, _ := a.Inverse()
			d += dot(inverse.Mul(n), n)/2 - dot(e, n)
		}
		sum += w * d
	}
	return sum
}

func dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
