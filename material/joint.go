package material

import (
	"fmt"
	"math"
)

// Lug is a plate end loaded through a pin in a hole.
type Lug struct {
	Force     float64 // N
	Diameter  float64 // of the hole, mm
	Width     float64 // of the plate across the load, mm
	Edge      float64 // from the hole's centre to the plate's end in the load's direction, mm
	Thickness float64 // mm
}

// Validate reports a lug that cannot be.
func (g Lug) Validate() error {
	for _, v := range []struct {
		name  string
		value float64
	}{{"diameter", g.Diameter}, {"width", g.Width}, {"edge distance", g.Edge}, {"thickness", g.Thickness}} {
		if !isPositive(v.value) {
			return fmt.Errorf("lug: %s %g mm must be positive", v.name, v.value)
		}
	}
	if g.Width <= g.Diameter {
		return fmt.Errorf("lug: the hole of %g mm leaves nothing of the width of %g mm", g.Diameter, g.Width)
	}
	if g.Edge <= g.Diameter/2 {
		return fmt.Errorf("lug: the hole of %g mm diameter breaks out at an edge distance of %g mm", g.Diameter, g.Edge)
	}
	return nil
}

// Bearing is the mean pressure of the pin, P/(d·t).
func (g Lug) Bearing() float64 { return math.Abs(g.Force) / (g.Diameter * g.Thickness) }

// NetTension is the mean stress of the section beside the hole, P/((w-d)·t).
func (g Lug) NetTension() float64 { return math.Abs(g.Force) / ((g.Width - g.Diameter) * g.Thickness) }

// ShearOut is the mean shear of the two planes from the hole to the end,
// P/(2·e·t).
func (g Lug) ShearOut() float64 { return math.Abs(g.Force) / (2 * g.Edge * g.Thickness) }

// LugStrength holds what a plate stands at a pin, MPa; 0 leaves a check out.
type LugStrength struct{ Bearing, Tension, Shear float64 }

// LugReserve is one of the trade's simple checks of a loaded hole.
type LugReserve struct {
	Check            string // "bearing", "net section", "shear-out"
	Stress, Strength float64
	Reserve          float64
}

// Reserves returns the checks whose strength is known, in the order bearing,
// net section, shear-out.
func (g Lug) Reserves(s LugStrength) ([]LugReserve, error) {
	if err := g.Validate(); err != nil {
		return nil, err
	}
	var list []LugReserve
	for _, c := range []LugReserve{
		{Check: "bearing", Stress: g.Bearing(), Strength: s.Bearing},
		{Check: "net section", Stress: g.NetTension(), Strength: s.Tension},
		{Check: "shear-out", Stress: g.ShearOut(), Strength: s.Shear},
	} {
		if c.Strength > 0 {
			c.Reserve = c.Strength / c.Stress
			list = append(list, c)
		}
	}
	return list, nil
}

// Flat returns the stack as it acts where its surroundings keep it from bending:
// halved in height and mirrored, so that a force in its plane does not bend it.
func (l *Laminate) Flat() (*Laminate, error) {
	both := make([]Layer, 0, 2*len(l.Layers))
	for _, y := range l.Layers {
		y.Thickness /= 2
		both = append(both, y)
	}
	for i := len(l.Layers) - 1; i >= 0; i-- {
		both = append(both, both[i])
	}
	return NewLaminate(both, 0)
}

// Ultimate is the mean stress over the thickness, MPa, at which a stack fails
// as a whole, by ply-by-ply degradation, under a unit force per width.
func (l *Laminate) Ultimate(d Degrade, force [3]float64) (float64, error) {
	way, err := l.Collapse(d, Load{Force: force})
	return way.Load / l.Thickness, err
}

// ShortBeam is the interlaminar shear stress of the short-beam test,
// 0.75·P/(b·h): ASTM D2344, ISO 14130.
func ShortBeam(force, width, height float64) float64 { return 0.75 * force / (width * height) }

// InterlaminarShear returns the greatest shear stress xz between layers (or
// within one) that a shear force Vx per width (N/mm) causes, and its height
// above the reference plane, from equilibrium of the bending stresses:
//
//	tau(z) = -∫ from the bottom of dσx/dx,  with dM/dx = Vx and dN/dx = 0
func (l *Laminate) InterlaminarShear(shear float64) (stress, z float64) {
	strain, curvature := l.Comply.Mul([3]float64{}, [3]float64{shear, 0, 0})
	sum := 0.0
	for i, y := range l.Layers {
		q := y.Ply.Q.Turn(y.Theta)
		base, slope := q.Mul(strain)[0], q.Mul(curvature)[0]
		low, high := l.Heights[i], l.Heights[i+1]
		at := func(h float64) float64 { return sum - (base*(h-low) + slope*(h*h-low*low)/2) }
		for _, h := range [3]float64{low, within(-base/slope, low, high), high} {
			if v := math.Abs(at(h)); v > stress {
				stress, z = v, h
			}
		}
		sum = at(high)
	}
	return stress, z
}

// within holds x to a range; what is no number becomes its lower end.
func within(x, low, high float64) float64 {
	if !(x > low) {
		return low
	}
	return math.Min(x, high)
}
