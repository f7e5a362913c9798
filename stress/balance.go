package stress

import (
	"math"

	"sinew/geom"
	"sinew/part"
	"sinew/sparse"
)

// residual returns |A·x - b| / (|A||x| + |b|) in the infinity norm.
func residual(a *sparse.Symmetric, x, b []float64) float64 {
	ax := make([]float64, a.N)
	a.MulVec(ax, x)
	row := make([]float64, a.N)
	for j := range a.N {
		for k := a.ColPtr[j]; k < a.ColPtr[j+1]; k++ {
			i, v := int(a.Row[k]), math.Abs(a.Val[k])
			row[i] += v
			if i != j {
				row[j] += v
			}
		}
	}
	var worst, size, xMax, bMax float64
	for i := range b {
		worst = math.Max(worst, math.Abs(ax[i]-b[i]))
		size = math.Max(size, row[i])
		xMax = math.Max(xMax, math.Abs(x[i]))
		bMax = math.Max(bMax, math.Abs(b[i]))
	}
	if scale := size*xMax + bMax; scale > 0 {
		return worst / scale
	}
	return 0
}

// finish derives from the displacements of case i all else that is told of it.
func (s *System) finish(c *CaseSolution, set *set, i int, sheet *Sheet, applied, thermal []float64) {
	pc := &s.part.Cases[i]
	c.DeltaT = pc.DeltaT * pc.Factor
	c.Strain = s.StrainsOf(c.U)
	c.Energy = s.energy(c, sheet)
	c.Applied = s.outline.resultant(applied, geom.Point{})
	for d, v := range applied {
		c.Work += v * c.U[d]
	}
	c.Stiffness = s.stiffness(c, pc)
	left := s.internal(c.U, sheet) // becomes what the supports give
	for d := range left {
		left[d] -= applied[d] + thermal[d]
	}
	c.Reactions = make([][3]float64, len(s.part.Supports))
	held := s.reactions(c, set, left)
	c.Imbalance = s.imbalance(applied, held)
	c.GripMove = make([]float64, len(pc.Loads))
	for k, l := range pc.Loads {
		if l.Kind == part.Grip {
			n := s.outline.nodes[l.Feature][0]
			u := geom.Point{X: c.U[2*n], Y: c.U[2*n+1]}
			c.GripMove[k] = u.Dot(l.Force) / l.Force.Norm()
		}
	}
}

// stiffness is F²/work, F the sum of the sizes of the loads: for a single load
// F over the displacement along it, for a grip F over its travel.
func (s *System) stiffness(c *CaseSolution, pc *part.Case) float64 {
	if pc.DeltaT != 0 || !(c.Work > 0) || pc.Acceleration != (geom.Point{}) || pc.Spin.Rate != 0 {
		return 0
	}
	size := 0.0
	f := make([]float64, len(c.U))
	for _, l := range pc.Loads {
		clear(f)
		s.outline.AddLoad(f, l)
		r := s.outline.resultant(f, geom.Point{})
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
		if c.DeltaT != 0 && len(sheet.Thermal) > 0 {
			n := sheet.thermalAt(p)
			for i := range n {
				n[i] *= c.DeltaT
			}
			inverse, _ := a.Inverse()
			d += dot(inverse.Mul(n), n)/2 - dot(e, n)
		}
		sum += w * d
	}
	return sum
}

func dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// reactions splits what the held nodes take among the supports: a node's force
// is written along its two held directions, each of which has an owner. It
// returns the nodal forces of all that holds the part.
func (s *System) reactions(c *CaseSolution, set *set, left []float64) []float64 {
	held := make([]float64, len(left))
	for _, n := range set.constraints.order {
		list := set.constraints.equations[n]
		i, j := pair(list)
		r := geom.Point{X: left[2*n], Y: left[2*n+1]}
		a := list[i]
		if j < 0 {
			s.react(c, held, n, a, r.Dot(a.normal))
			continue
		}
		b := list[j]
		det := a.normal.Cross(b.normal)
		s.react(c, held, n, a, r.Cross(b.normal)/det)
		s.react(c, held, n, b, a.normal.Cross(r)/det)
	}
	return held
}

func (s *System) react(c *CaseSolution, held []float64, n int32, e equation, size float64) {
	f := e.normal.Scale(size)
	held[2*n] += f.X
	held[2*n+1] += f.Y
	if e.owner < len(c.Reactions) {
		r := &c.Reactions[e.owner]
		arm := s.elements.mesh.Nodes[n].Sub(s.outline.Center(s.part.Supports[e.owner].Feature))
		r[0] += f.X
		r[1] += f.Y
		r[2] += arm.Cross(f)
	}
}

// imbalance compares applied and held forces and moments; moments count per
// half the part's diagonal. The scale is the sum of nodal force sizes, so that
// loads that cancel each other have one too.
func (s *System) imbalance(applied, held []float64) float64 {
	box := bounds(s.elements.mesh.Nodes)
	center, half := box.Min.Lerp(box.Max, 0.5), box.Min.Dist(box.Max)/2
	a, h := s.outline.resultant(applied, center), s.outline.resultant(held, center)
	worst := math.Max(math.Hypot(a[0]+h[0], a[1]+h[1]), math.Abs(a[2]+h[2])/half)
	size := 0.0
	for n := 0; n < len(applied); n += 2 {
		size += math.Max(math.Hypot(applied[n], applied[n+1]), math.Hypot(held[n], held[n+1]))
	}
	if size == 0 {
		return 0
	}
	return worst / size
}
