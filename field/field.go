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
	Drawn                // given paths, one strand each
	Rib                  // straight ribs at one angle: single strands or bundles
	Plain                // plain plastic: no strand
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
	// TiedPhases are the phases, rising, of the stretches of boundary that no
	// strand may cut: whole loops, and sides of the outline between gripped ends.
	TiedPhases []float64
	Angle      float64 // of a Straight family, rad
	Turns      int     // of Loop and Rim
	// Levels are the phases of a Rib family's strands, rising; nil in families
	// whose strands lie a whole number apart.
	Levels []float64
	// Paths of a Drawn family are its strands' centre lines as given; its Phase
	// says nothing. Spacing is the width of bead, mm, that a strand with no
	// neighbour counts for in the plan.
	Paths   []geom.Path
	Spacing float64
	Smooth  bool // whether the paths may be smoothed
	// Mirrored, where given, are the paths of the family's shifted layers.
	Mirrored []geom.Path
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
	Locked   []Lock
	Choices  []Choice // of first guesses, for each steered family
	Rounds   []Round  // history of the fit
	Steps    []Step   // history of the refinement, the least-squares answer first
	Kept     int      // step that was kept
	// Stopped is where the refinement was stopped; nil when it came to its end.
	Stopped *Checkpoint
	// Neck says how a tow length that cannot pass the part's narrowest section
	// was answered; nil where it passes.
	Neck []Neck
	// Notes says in order what was changed of what was asked.
	Notes []string
}

// Lock says that the strands of a Drawn family lie in every layer of another:
// they are laid as they are, and the layer's own strands keep clear of them.
type Lock struct{ Drawn, Into int }

// Choice says from which first guess a steered family's phase comes, and in
// which way it was fitted.
type Choice struct {
	Family int
	Kept   string
	Tried  []GuessTrial // all, in the order of their worth as planned
	// Drawn are those whose strands were drawn, and Best is the one of them that
	// was kept; none where nothing draws strands or there was but one.
	Drawn []DrawnTrial
	Best  int
}

// GuessTrial is a first guess with a way to fit it. Planned is the measure of
// the choice after a few rounds, lower is better; 0 where it was the only one.
type GuessTrial struct {
	Name    string
	Planned float64
}

// DrawnTrial is one that was fitted to its end and drawn.
type DrawnTrial struct {
	Name   string
	Length float64 // of one layer, mm
	Worth  float64 // by the goal of the refinement, as printed: lower is better
}

// Round records one round of the fit of one steered family.
type Round struct {
	Family     int
	Guess      string // first guess that it started from
	Round      int
	Compliance []float64 // energy of each case, N mm
	Length     float64   // fibre length of one layer of the family, mm
}
