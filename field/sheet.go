package field

import (
	"sinew/geom"
	"sinew/material"
	"sinew/stress"
)

// Stack is what surrounds and fills the fibre of a lay-up.
type Stack struct {
	Law     *material.Law
	Plastic material.Reduced // of plain plastic
	// PlasticDensity in g/mm³; Covers is the thickness of all plain plastic
	// layers together, mm.
	PlasticDensity, Covers float64
	// PlasticIndex tells how near a stress brings the plastic to failure, 1 is
	// failure; nil: plastic is not judged.
	PlasticIndex func(stress [3]float64) float64
}

// Sheet returns the lay-up as planned, before strands are drawn: at each point
// the fibre that the phases ask for in each layer, plastic outside the
// composite region.
func (l *Layup) Sheet(k Stack, points []geom.Point) stress.Sheet {
	count := make([]int, len(l.Families))
	for _, y := range l.Layers {
		count[y.Family]++
	}
	s := stress.Sheet{A: make([]material.Stiffness, len(points)), Mass: make([]float64, len(points))}
	plain := k.Plastic.Turn(0)
	for i := range points {
		s.A[i] = material.Stiffness{}.Add(plain, k.Covers)
		s.Mass[i] = k.Covers * k.PlasticDensity
	}
	for f := range l.Families {
		if count[f] > 0 {
			k.addFamily(&s, &l.Families[f], l.Families[f].Operator(points), float64(count[f])*k.Law.Height())
		}
	}
	return s
}

func (k Stack) addFamily(s *stress.Sheet, f *Family, g *Gradient, thickness float64) {
	plain := k.Plastic.Turn(0)
	for i := range s.A {
		b := f.FibreAt(g, i)
		if !b.Covered {
			s.A[i] = s.A[i].Add(plain, thickness)
			s.Mass[i] += thickness * k.PlasticDensity
			continue
		}
		q, _ := k.Law.Reduced(b.Rho)
		s.A[i] = s.A[i].Add(q.Turn(b.Theta), thickness)
		s.Mass[i] += thickness * k.Law.Composition(b.Rho).Density
	}
}
