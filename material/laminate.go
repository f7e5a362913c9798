package material

import (
	"errors"
	"fmt"
	"math"
)

// Layer is one layer of a stack: its material, the angle of its fibres from x
// (rad, counter-clockwise) and its thickness, mm.
type Layer struct {
	Ply       *Ply
	Theta     float64
	Thickness float64
}

// ABD is the stiffness of a stack by classical laminate theory, per width:
// A in N/mm, B in N, D in N mm, each in the order 11, 12, 16, 22, 26, 66.
//
//	[N]   [A B] [eps0 ]
//	[M] = [B D] [kappa]
type ABD struct{ A, B, D Stiffness }

// Compliance is the inverse of ABD; its coupling is not symmetric.
//
//	[eps0 ]   [A  B] [N]
//	[kappa] = [Bᵀ D] [M]
type Compliance struct {
	A, D Stiffness
	B    [3][3]float64
}

// Laminate is a stack of layers, bottom to top, with everything classical
// laminate theory says of it. It is immutable.
type Laminate struct {
	Layers []Layer
	// Heights of the faces of the layers above the reference plane, mm: one
	// more than layers.
	Heights []float64
	Stiff   ABD
	Comply  Compliance
	// Shear is the transverse shear stiffness 44, 45, 55, N/mm, with the
	// factor 5/6 of a parabola of shear stress.
	Shear [3]float64
	// Force and Moment of a fully held stack per kelvin, and per mass share of
	// moisture in every layer: 11, 22, 12.
	ThermalForce, ThermalMoment   [3]float64
	MoistureForce, MoistureMoment [3]float64
	Thickness, MassPerArea        float64
}

// shearCorrection is the factor of first-order shear theory for a parabola of
// shear stress over the thickness: Reissner (1945).
const shearCorrection = 5.0 / 6

// NewLaminate stacks layers, bottom first. offset is the height of the stack's
// middle above the reference plane, mm: 0 refers moments and curvatures to the
// middle.
func NewLaminate(layers []Layer, offset float64) (*Laminate, error) {
	if err := validateLayers(layers); err != nil {
		return nil, err
	}
	l := &Laminate{Layers: append([]Layer(nil), layers...), Heights: make([]float64, len(layers)+1)}
	l.Thickness = thickness(layers)
	z := offset - l.Thickness/2
	l.Heights[0] = z
	for i, y := range l.Layers {
		top := z + y.Thickness
		l.add(y, z, top)
		l.Heights[i+1] = top
		z = top
	}
	if !l.invert() {
		return nil, fmt.Errorf("stack of %d layers: the stiffness is not positive definite", len(layers))
	}
	return l, nil
}

func validateLayers(layers []Layer) error {
	if len(layers) == 0 {
		return errors.New("a stack needs at least one layer")
	}
	for i, y := range layers {
		if y.Ply == nil {
			return fmt.Errorf("layer %d has no material", i)
		}
		if !isPositive(y.Thickness) {
			return fmt.Errorf("layer %d: thickness %g mm must be positive", i, y.Thickness)
		}
		if math.IsNaN(y.Theta) || math.IsInf(y.Theta, 0) {
			return fmt.Errorf("layer %d: angle %g must be finite", i, y.Theta)
		}
	}
	return nil
}

func thickness(layers []Layer) float64 {
	h := 0.0
	for i := range layers {
		h += layers[i].Thickness
	}
	return h
}

// add sums up one layer between two heights.
func (l *Laminate) add(y Layer, low, high float64) {
	s, c := math.Sincos(y.Theta)
	q := y.Ply.Q.TurnBy(c, s)
	l.Stiff.add(&q, low, high)
	e := &y.Ply.Lamina
	h, m := high-low, (high*high-low*low)/2
	heat := q.Mul(TurnStrainBy([3]float64{e.Alpha1, e.Alpha2, 0}, c, -s))
	wet := q.Mul(TurnStrainBy([3]float64{e.Beta1, e.Beta2, 0}, c, -s))
	for i := range 3 {
		l.ThermalForce[i] += h * heat[i]
		l.ThermalMoment[i] += m * heat[i]
		l.MoistureForce[i] += h * wet[i]
		l.MoistureMoment[i] += m * wet[i]
	}
	k := shearCorrection * h
	l.Shear[0] += k * (e.G23*c*c + e.G13*s*s)
	l.Shear[1] += k * (e.G13 - e.G23) * c * s
	l.Shear[2] += k * (e.G13*c*c + e.G23*s*s)
	l.MassPerArea += e.Density * h
}

// add sums up a layer of stiffness q between two heights.
func (s *ABD) add(q *Stiffness, low, high float64) {
	h := high - low
	m := h * (high + low) / 2
	d := h * (high*high + high*low + low*low) / 3
	for i, v := range q {
		s.A[i] += h * v
		s.B[i] += m * v
		s.D[i] += d * v
	}
}

// invert fills the compliance by blocks.
func (l *Laminate) invert() (ok bool) {
	l.Comply, ok = l.Stiff.Inverse()
	return ok
}

// Inverse returns the compliance, and false when the stiffness is not positive
// definite.
//
//	d = (D - B·A⁻¹·B)⁻¹,  b = -A⁻¹·B·d,  a = A⁻¹ - b·B·A⁻¹
func (s *ABD) Inverse() (c Compliance, ok bool) {
	inv, ok := s.A.Inverse()
	if !ok {
		return c, false
	}
	ab := product(inv, s.B)
	c.D, ok = s.D.Add(fold(&s.B, &ab), -1).Inverse()
	if !ok {
		return c, false
	}
	d := c.D.full()
	for i := range 3 {
		for j := range 3 {
			c.B[i][j] = -(ab[i][0]*d[0][j] + ab[i][1]*d[1][j] + ab[i][2]*d[2][j])
		}
	}
	c.A = inv
	for n, ij := range voigt {
		for k := range 3 {
			c.A[n] -= c.B[ij[0]][k] * ab[ij[1]][k]
		}
	}
	return c, true
}

// voigt lists row and column of the six entries of a Stiffness.
var voigt = [6][2]int{{0, 0}, {0, 1}, {0, 2}, {1, 1}, {1, 2}, {2, 2}}

func (k Stiffness) full() [3][3]float64 {
	return [3][3]float64{{k[0], k[1], k[2]}, {k[1], k[3], k[4]}, {k[2], k[4], k[5]}}
}

func product(a, b Stiffness) (r [3][3]float64) {
	x, y := a.full(), b.full()
	for i := range 3 {
		for j := range 3 {
			r[i][j] = x[i][0]*y[0][j] + x[i][1]*y[1][j] + x[i][2]*y[2][j]
		}
	}
	return r
}

// fold returns b·p where the product is known to be symmetric.
func fold(b *Stiffness, p *[3][3]float64) Stiffness {
	q := b.full()
	var r Stiffness
	for n, ij := range voigt {
		i, j := ij[0], ij[1]
		r[n] = q[i][0]*p[0][j] + q[i][1]*p[1][j] + q[i][2]*p[2][j]
	}
	return r
}

// Load is what acts on a stack: forces and moments per width (N/mm, N), a
// change of temperature (K) and of moisture (mass share).
type Load struct {
	Force, Moment    [3]float64
	DeltaT, Moisture float64
}

// Respond returns the strain of the reference plane and the curvature under a
// load.
func (l *Laminate) Respond(p Load) (strain, curvature [3]float64) {
	n, m := p.Force, p.Moment
	for i := range 3 {
		n[i] += p.DeltaT*l.ThermalForce[i] + p.Moisture*l.MoistureForce[i]
		m[i] += p.DeltaT*l.ThermalMoment[i] + p.Moisture*l.MoistureMoment[i]
	}
	return l.Comply.Mul(n, m)
}

// Mul returns the strain and curvature of a force and a moment.
func (c *Compliance) Mul(n, m [3]float64) (strain, curvature [3]float64) {
	strain, curvature = c.A.Mul(n), c.D.Mul(m)
	for i := range 3 {
		strain[i] += c.B[i][0]*m[0] + c.B[i][1]*m[1] + c.B[i][2]*m[2]
		curvature[i] += c.B[0][i]*n[0] + c.B[1][i]*n[1] + c.B[2][i]*n[2]
	}
	return strain, curvature
}

// LayerStress is the state at one height of a layer.
type LayerStress struct {
	Layer  int
	Z      float64    // height above the reference plane, mm
	Part   [3]float64 // stress in part axes, MPa
	Own    [3]float64 // stress in the layer's axes, MPa
	Strain [3]float64 // total strain in the layer's axes
}

// Stresses returns the state at bottom, middle and top of each layer, three
// entries a layer, bottom up. Free strains of temperature and moisture make no
// stress.
func (l *Laminate) Stresses(p Load) []LayerStress {
	strain, curvature := l.Respond(p)
	list := make([]LayerStress, 0, 3*len(l.Layers))
	for i, y := range l.Layers {
		low, high := l.Heights[i], l.Heights[i+1]
		for _, z := range [3]float64{low, (low + high) / 2, high} {
			list = append(list, y.state(i, z, strain, curvature, p))
		}
	}
	return list
}

func (y Layer) state(i int, z float64, strain, curvature [3]float64, p Load) LayerStress {
	var e [3]float64
	for k := range 3 {
		e[k] = strain[k] + z*curvature[k]
	}
	own := TurnStrain(e, y.Theta)
	mechanical := own
	mechanical[0] -= p.DeltaT*y.Ply.Lamina.Alpha1 + p.Moisture*y.Ply.Lamina.Beta1
	mechanical[1] -= p.DeltaT*y.Ply.Lamina.Alpha2 + p.Moisture*y.Ply.Lamina.Beta2
	stress := y.Ply.Q.Mul(mechanical)
	return LayerStress{Layer: i, Z: z, Own: stress, Part: TurnStress(stress, -y.Theta), Strain: own}
}

// FirstFailure returns which layer fails first by a criterion when force and
// moment grow while temperature and moisture stand.
type FirstFailure struct {
	Failure
	Layer int
	Z     float64
}

// First returns the first failure of the stack under a load.
func (l *Laminate) First(c Criterion, p Load) FirstFailure {
	standing := l.Stresses(Load{DeltaT: p.DeltaT, Moisture: p.Moisture})
	applied := l.Stresses(Load{Force: p.Force, Moment: p.Moment})
	worst := FirstFailure{Failure: Failure{Reserve: math.Inf(1)}, Layer: -1}
	for i := range applied {
		f := l.Layers[applied[i].Layer].Ply.ReserveBeside(c, applied[i].Own, standing[i].Own)
		if f.Reserve < worst.Reserve {
			worst = FirstFailure{Failure: f, Layer: applied[i].Layer, Z: applied[i].Z}
		}
	}
	return worst
}
