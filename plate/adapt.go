package plate

import (
	"context"
	"math"

	"sinew/material"
	"sinew/mesh"
	"sinew/part"
	"sinew/stress"
)

// AdaptSettings steers Adapt. The zero value of a field means its default.
type AdaptSettings struct {
	stress.RefineSettings
	System     Settings
	Foundation float64 // N/mm³; wants System.Bedded
}

// Adapted is a refined mesh with its solution.
type Adapted struct {
	stress.Refined
	System   *System
	Solution *Solution
	Section  Section
}

// Adapt meshes the part and refines until stretching, bending and shear are
// resolved. The layers of the stack must be the same everywhere (slices of
// length one). Peaks are the greatest equivalent stress at a face of a layer.
func Adapt(ctx context.Context, p *part.Part, stack *Stack, s AdaptSettings) (*Adapted, error) {
	out := &Adapted{}
	r, err := stress.Refine(p.Region, s.RefineSettings, func(m *mesh.Mesh) (estimates []stress.Estimate, peaks []float64, err error) {
		if out.System, err = NewSystem(m, p, s.System); err != nil {
			return nil, nil, err
		}
		if out.Section, err = stack.Section(len(out.System.Points())); err != nil {
			return nil, nil, err
		}
		if s.Foundation > 0 {
			out.Section.Foundation = []float64{s.Foundation}
		}
		if out.Solution, err = out.System.Solve(ctx, &out.Section); err != nil {
			return nil, nil, err
		}
		for i := range out.Solution.Cases {
			c := &out.Solution.Cases[i]
			estimates, peaks = append(estimates, out.System.Estimate(c, &out.Section)), append(peaks, out.System.peak(c, stack))
		}
		return estimates, peaks, nil
	})
	if err != nil {
		return nil, err
	}
	out.Refined = *r
	return out, nil
}

// peak returns the greatest equivalent stress of a case at a node, at the faces
// of the layers.
func (s *System) peak(c *CaseSolution, stack *Stack) float64 {
	worst := 0.0
	for i := range stack.Layers {
		for _, at := range [2]Height{AtBottom, AtTop} {
			for _, t := range s.Nodal(s.LayerStress(c, &stack.Layers[i], at)) {
				worst = math.Max(worst, material.Mises(t))
			}
		}
	}
	return worst
}

// StackOfOne returns the stack of one material of thickness t whose middle lies
// in the reference plane.
func StackOfOne(l material.Lamina, t float64) *Stack {
	q := l.Reduced().Turn(0)
	return &Stack{Layers: []Layer{{
		Name: "layer", Bottom: []float64{-t / 2}, Top: []float64{t / 2},
		Stiff: []material.Stiffness{q}, Shear: [][3]float64{TurnShear(l.G13, l.G23, 1, 0)},
		Heat: [][3]float64{q.Mul([3]float64{l.Alpha1, l.Alpha2})}, Density: []float64{l.Density},
	}}}
}
