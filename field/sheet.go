package field

import (
	"math"

	"sinew/geom"
	"sinew/internal/work"
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
	// failure, and the derivatives by the stress; nil: plastic is not judged.
	PlasticIndex func(stress [3]float64) (index float64, slope [3]float64)
	// Warm says that a case changes the temperature in the plane, so that growth
	// counts; Plan and FindMix see to it. PlasticExpansion in 1/K.
	Warm             bool
	PlasticExpansion float64
	// Of a part with terraces: Share is the part of the lay-up's layers, and
	// CoverShare of the covers, that is there at each point of the system; nil:
	// all of it. Under is what further layers add there; nil: nothing.
	Share, CoverShare []float64
	Under             *stress.Sheet
}

// shareAt is the part of the lay-up's layers at point i.
func (k *Stack) shareAt(i int) float64 {
	if k.Share == nil {
		return 1
	}
	return k.Share[i]
}

// coverShareAt is the part of the covers at point i.
func (k *Stack) coverShareAt(i int) float64 {
	if k.CoverShare == nil {
		return 1
	}
	return k.CoverShare[i]
}

// bare is the sheet at n points without the lay-up's layers.
func (k *Stack) bare(n int) stress.Sheet {
	s := k.newSheet(n)
	plain := k.plain()
	for i := range n {
		plain.addTo(&s, i, k.Covers*k.coverShareAt(i), k.PlasticDensity)
		if k.Under != nil {
			addSheet(&s, k.Under, i)
		}
	}
	return s
}

// Sheet returns the lay-up as planned, before strands are drawn: at each point
// the fibre that the phases ask for in each layer, plastic outside the
// composite region.
func (l *Layup) Sheet(k Stack, points []geom.Point) stress.Sheet {
	count := make([]int, len(l.Families))
	for _, y := range l.Layers {
		count[y.Family]++
	}
	s := k.bare(len(points))
	for f := range l.Families {
		if count[f] > 0 {
			k.addFamily(&s, &l.Families[f], l.Families[f].Operator(points), float64(count[f])*k.Law.Height(), 1)
		}
	}
	return s
}

// addFamily adds layers of a family, as thick together as is given where all of
// them are there.
func (k *Stack) addFamily(s *stress.Sheet, f *Family, g *Gradient, whole float64, workers int) {
	plain := k.plain()
	work.Share(len(s.A), workers, func(lo, hi int) {
		for i := lo; i < hi; i++ {
			thickness := whole * k.shareAt(i)
			if thickness == 0 {
				continue
			}
			b := f.FibreAt(g, i)
			if !b.Covered {
				plain.addTo(s, i, thickness, k.PlasticDensity)
				continue
			}
			sin, cos := math.Sincos(b.Theta)
			k.fibreAt(b.Rho, cos, sin).addTo(s, i, thickness, k.Law.Composition(b.Rho).Density)
		}
	})
}
