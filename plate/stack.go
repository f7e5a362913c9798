package plate

import (
	"fmt"
	"math"

	"sinew/material"
)

// Stack is the plate layer by layer, bottom first; a slice of a layer of length
// one holds everywhere, one of the mesh's integration points from point to
// point. Layers may share slices.
type Stack struct{ Layers []Layer }

// Layer is one layer of a Stack, in part axes.
type Layer struct {
	Name string
	// Bottom and Top are the heights of its faces above the reference plane,
	// mm. Where they are equal the layer is not there: pockets and bosses.
	Bottom, Top []float64
	Stiff       []material.Stiffness // MPa
	Shear       [][3]float64         // transverse shear moduli 44, 45, 55, MPa
	// Heat is the stress per kelvin of a fully held layer, stiffness times
	// expansion, MPa/K; nil: none.
	Heat    [][3]float64
	Density []float64 // g/mm³; nil: none
}

// StackOf returns the layers of a laminate, alike all over the plan.
func StackOf(l *material.Laminate) *Stack {
	s := &Stack{}
	for i, y := range l.Layers {
		sn, c := math.Sincos(y.Theta)
		e := &y.Ply.Lamina
		q := y.Ply.Q.TurnBy(c, sn)
		s.Layers = append(s.Layers, Layer{
			Name:   fmt.Sprintf("layer %d", i+1),
			Bottom: l.Heights[i : i+1], Top: l.Heights[i+1 : i+2],
			Stiff:   []material.Stiffness{q},
			Shear:   [][3]float64{TurnShear(e.G13, e.G23, c, sn)},
			Heat:    [][3]float64{q.Mul(material.TurnStrainBy([3]float64{e.Alpha1, e.Alpha2, 0}, c, -sn))},
			Density: []float64{e.Density},
		})
	}
	return s
}

// TurnShear returns the transverse shear moduli 44, 45, 55 in part axes of a
// layer whose fibres run along (c, s).
func TurnShear(g13, g23, c, s float64) [3]float64 {
	return [3]float64{g23*c*c + g13*s*s, (g13 - g23) * c * s, g13*c*c + g23*s*s}
}

// Section sums up the layers at so many integration points, with the factor
// 5/6 on the transverse shear.
func (s *Stack) Section(points int) (Section, error) {
	out := Section{
		Stiff: make([]material.ABD, points), Shear: make([][3]float64, points), Mass: make([][3]float64, points),
		ThermalForce: make([][3]float64, points), ThermalMoment: make([][3]float64, points), GradientMoment: make([][3]float64, points),
	}
	for i := range s.Layers {
		y := &s.Layers[i]
		if err := y.validate(points); err != nil {
			return Section{}, fmt.Errorf("layer %d, %q: %w", i+1, y.Name, err)
		}
		for p := range points {
			y.addTo(&out, p)
		}
	}
	out.GradientForce = out.ThermalMoment
	for p := range points {
		if out.Stiff[p].A[0] == 0 {
			return Section{}, fmt.Errorf("no layer covers integration point %d", p)
		}
	}
	return out, nil
}

func (y *Layer) validate(points int) error {
	for _, n := range []int{len(y.Bottom), len(y.Top), len(y.Stiff), len(y.Shear)} {
		if n != 1 && n != points {
			return fmt.Errorf("has %d entries: give one, or one for each of the %d integration points", n, points)
		}
	}
	for p := range max(len(y.Bottom), len(y.Top)) {
		if low, high := pick(y.Bottom, p), pick(y.Top, p); !(high >= low) || math.IsInf(high-low, 0) {
			return fmt.Errorf("its faces at point %d are %g and %g mm high: the top may not lie under the bottom", p, low, high)
		}
	}
	return nil
}

// addTo sums up the layer at a point: with z over its thickness
//
//	A, B, D = Q·∫(1, z, z²), and alike mass and heat
func (y *Layer) addTo(out *Section, p int) {
	low, high := pick(y.Bottom, p), pick(y.Top, p)
	h := high - low
	m, d := h*(high+low)/2, h*(high*high+high*low+low*low)/3
	q, k := pick(y.Stiff, p), pick(y.Shear, p)
	a := &out.Stiff[p]
	a.A, a.B, a.D = a.A.Add(q, h), a.B.Add(q, m), a.D.Add(q, d)
	heat, density := pick(y.Heat, p), pick(y.Density, p)
	for i := range 3 {
		out.Shear[p][i] += shearCorrection * h * k[i]
		out.ThermalForce[p][i] += h * heat[i]
		out.ThermalMoment[p][i] += m * heat[i]
		out.GradientMoment[p][i] += d * heat[i]
	}
	for i, v := range [3]float64{h, m, d} {
		out.Mass[p][i] += density * v
	}
}

// Height is a place within a layer.
type Height int

// The places at which stresses of a layer are told.
const (
	AtBottom Height = iota
	AtMiddle
	AtTop
)

// String names the place.
func (h Height) String() string { return [...]string{"bottom", "middle", "top"}[h] }

// height returns z of a place in a layer at a point.
func (y *Layer) height(p int, at Height) float64 {
	low, high := pick(y.Bottom, p), pick(y.Top, p)
	return low + (high-low)*float64(at)/2
}

// LayerStrain returns the strain in part axes (11, 22, engineering 12) at the
// integration points at a place of a layer, mechanical and thermal together.
func (s *System) LayerStrain(c *CaseSolution, y *Layer, at Height) [][3]float64 {
	out := make([][3]float64, len(c.Strain))
	for p, e := range c.Strain {
		z := y.height(p, at)
		for k := range 3 {
			out[p][k] = e[k] + z*e[3+k]
		}
	}
	return out
}

// LayerStress returns the stress in part axes at the integration points at a
// place of a layer, MPa; of a change of temperature it keeps what the layers
// lock up among themselves. Where the layer is not there it is zero.
func (s *System) LayerStress(c *CaseSolution, y *Layer, at Height) [][3]float64 {
	out := s.LayerStrain(c, y, at)
	for p := range out {
		if pick(y.Top, p) == pick(y.Bottom, p) {
			out[p] = [3]float64{}
			continue
		}
		heat, change := pick(y.Heat, p), c.Heat.At(s.elements.at[p])+c.Heat.Across*y.height(p, at)
		q := pick(y.Stiff, p)
		out[p] = q.Mul(out[p])
		for k := range heat {
			out[p][k] -= heat[k] * change
		}
	}
	return out
}

// Gauge returns the strain that a gauge at an angle (rad from x) reads at the
// nodes at a height z, from patch recovery.
func (s *System) Gauge(c *CaseSolution, z, angle float64) []float64 {
	at := make([][3]float64, len(c.Strain))
	for p, e := range c.Strain {
		for k := range 3 {
			at[p][k] = e[k] + z*e[3+k]
		}
	}
	nodal := s.Nodal(at)
	out := make([]float64, len(nodal))
	for n, e := range nodal {
		out[n] = material.TurnStrain(e, angle)[0]
	}
	return out
}

// Interlaminar is the shear stress between and within layers by equilibrium.
type Interlaminar struct {
	// Tau holds xz and yz in MPa by layer and integration point: in the middle
	// and at the top face of the layer.
	Middle, Top [][][2]float64
	// Misfit is the greatest stress left over at the upper face, which is
	// free, over the greatest of all: the error of the recovery. It has been
	// taken off in proportion to the height.
	Misfit float64
}

// Interlaminar integrates the equilibrium in the plane over the thickness,
// from the free lower face up:
//
//	tau_xz(z) = -∫ (sigma_x,x + tau_xy,y) dz,  tau_yz(z) = -∫ (tau_xy,x + sigma_y,y) dz
//
// with the gradients of stresses recovered at the nodes. Where layers end
// within an element the stresses have steps and this says little.
func (s *System) Interlaminar(c *CaseSolution, stack *Stack) Interlaminar {
	n := len(c.Strain)
	out := Interlaminar{}
	sum := make([][2]float64, n)
	for i := range stack.Layers {
		y := &stack.Layers[i]
		low := s.divergence(s.LayerStress(c, y, AtBottom))
		high := s.divergence(s.LayerStress(c, y, AtTop))
		middle, top := make([][2]float64, n), make([][2]float64, n)
		for p := range n {
			h := pick(y.Top, p) - pick(y.Bottom, p)
			for k := range 2 {
				middle[p][k] = sum[p][k] - h*(3*low[p][k]+high[p][k])/8
				sum[p][k] -= h * (low[p][k] + high[p][k]) / 2
				top[p][k] = sum[p][k]
			}
		}
		out.Middle, out.Top = append(out.Middle, middle), append(out.Top, top)
	}
	out.close(stack, sum)
	return out
}

// close takes off what is left at the upper face.
func (r *Interlaminar) close(stack *Stack, left [][2]float64) {
	last := len(stack.Layers) - 1
	worst, most := 0.0, 0.0
	for p := range left {
		base := pick(stack.Layers[0].Bottom, p)
		whole := pick(stack.Layers[last].Top, p) - base
		for i := range stack.Layers {
			y := &stack.Layers[i]
			for k := range 2 {
				r.Middle[i][p][k] -= left[p][k] * (y.height(p, AtMiddle) - base) / whole
				r.Top[i][p][k] -= left[p][k] * (y.height(p, AtTop) - base) / whole
				most = max(most, math.Abs(r.Middle[i][p][k]), math.Abs(r.Top[i][p][k]))
			}
		}
		worst = max(worst, math.Abs(left[p][0]), math.Abs(left[p][1]))
	}
	if most > 0 {
		r.Misfit = worst / most
	}
}

// divergence of a stress field at the integration points, from its nodal
// recovery: sigma_x,x + tau_xy,y and tau_xy,x + sigma_y,y.
func (s *System) divergence(stress [][3]float64) [][2]float64 {
	nodal := s.Nodal(stress)
	out := make([][2]float64, len(stress))
	var e shaped
	for t, tri := range s.elements.mesh.Tris {
		s.elements.shapeTo(&e, t)
		for p := range PointsPerTri {
			d := &out[t*PointsPerTri+p]
			for i, n := range tri {
				g, v := e.slope[p][i], nodal[n]
				d[0] += g[0]*v[0] + g[1]*v[2]
				d[1] += g[0]*v[2] + g[1]*v[1]
			}
		}
	}
	return out
}
