package part

import (
	"math"

	"sinew/geom"
)

// Across tells how a support holds a feature against bending: the displacement
// w along z and the tilt of the part's normal.
type Across int

// The ways to hold across the plane.
const (
	// ByKind: fixed is Clamped, all else Held.
	ByKind   Across = iota
	Unheld          // free to bend
	Held            // w = 0 on the middle line of the feature, which may tilt every way
	Hinged          // w = 0 and no tilt along the feature: an edge between stiff rails
	Clamped         // w = 0 and no tilt
	Mirrored        // no tilt across the feature, w free: a line of symmetry
)

// HoldsAcross returns how the support holds across the plane, ByKind resolved.
func (s Support) HoldsAcross() Across {
	switch {
	case s.Across != ByKind:
		return s.Across
	case s.Kind == Fixed:
		return Clamped
	}
	return Held
}

// Bending is what acts on the whole part across its plane.
type Bending struct {
	Pressure     float64 // N/mm² on the face, towards z
	Acceleration float64 // of the part along z, mm/s²; its inertia acts the other way
	Points       []PointLoad
}

// PointLoad is a force at a place of the face.
type PointLoad struct {
	At  geom.Point
	Out float64 // N, towards z
}

// Spin is a rotation in the part's plane, whose centrifugal force acts on it.
type Spin struct {
	Center geom.Point
	Rate   float64 // rad/s
}

// Bends reports whether a case acts across the part's plane.
func (c *Case) Bends() bool {
	b := &c.Bending
	if b.Pressure != 0 || b.Acceleration != 0 || c.Heat.Across != 0 || len(b.Points) > 0 {
		return true
	}
	for _, l := range c.Loads {
		if l.Out != 0 || l.Moment != (geom.Point{}) {
			return true
		}
	}
	return false
}

// Acts reports whether anything acts in a case.
func (c *Case) Acts() bool {
	return len(c.Loads) > 0 || c.ActsInPlane() || c.Bends()
}

// ActsInPlane reports whether a case acts in the part's plane.
func (c *Case) ActsInPlane() bool {
	for _, l := range c.Loads {
		if l.Force != (geom.Point{}) {
			return true
		}
	}
	return c.Acceleration != (geom.Point{}) || c.Heat.InPlane() || c.Spin.Rate != 0
}

// isNumber reports whether all that acts across the plane is finite.
func (c *Case) isNumber() bool {
	b := &c.Bending
	sum := b.Pressure + b.Acceleration + c.Heat.Across + c.Spin.Rate + c.Spin.Center.X + c.Spin.Center.Y
	for _, p := range b.Points {
		sum += p.At.X + p.At.Y + p.Out
	}
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}
