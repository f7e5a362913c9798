// Package field finds where fibre should run: for each family of strands a
// phase, a scalar function whose level lines are the strands, fitted to the
// stress of all load cases within what the printer can lay.
package field

import (
	"sinew/geom"
	"sinew/mesh"
)

// Kind tells how a family's strands come about.
type Kind int

// The kinds of family.
const (
	Steered  Kind = iota // along the load, around holes: level lines of a fitted phase
	Straight             // at one angle
	Loop                 // turns around holes or pairs of holes
	Rim                  // turns along the outline
)

// Family is a set of strands that share one phase. Strands are the level
// lines phase = integer + 1/2 + shift; their direction is the gradient turned
// by +90 degrees; strands per mm is the length of the gradient.
type Family struct {
	Name string
	Kind Kind
	// Mesh covers the composite region (the part less its plastic walls); Phase
	// has a value at each of its nodes.
	Mesh  *mesh.Mesh
	Phase []float64
	// Active marks the elements of Mesh that carry strands; nil means all.
	Active []bool
	// TiedLoops lists the loops of the composite region that no strand may cut.
	TiedLoops []int
	Angle     float64 // of a Straight family, rad
	Turns     int     // of Loop and Rim
}

// Layer is one composite layer of the lay-up.
type Layer struct {
	Family int
	Shift  float64 // of the level lines, in spacings: 0 or 0.5
}

// Layup is the answer: the families and, bottom to top, which of them each
// composite layer holds.
type Layup struct {
	Region   geom.Region // of the composite: the part less its walls
	Families []Family
	Layers   []Layer
	Rounds   []Round // history of the fit
}

// Round records one round of the fit.
type Round struct {
	Round      int
	Compliance []float64 // energy of each case
	Length     float64   // fibre length of one layer of each steered family, mm
}
