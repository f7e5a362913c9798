package strand

import (
	"runtime"

	"sinew/field"
	"sinew/geom"
	"sinew/printer"
)

// Settings steers Lay. The zero value of a field means its default.
type Settings struct {
	Region    geom.Region // of the part; default the lay-up's region, which then has no walls
	Thickness float64     // of the part, mm; 0: whatever the stack comes to
	Walls     int         // plastic beads along outline and holes in every layer
	Bottom    int         // plastic layers under the composite
	Top       int         // plastic layers over the composite
	Step      float64     // distance of points along a strand, mm; default 0.5
	Overlap   float64     // of a closed strand over its own start, mm; default 5
	Bare      bool        // leaves out all plain plastic
	Workers   int         // goroutines, default one a processor; the print does not depend on it
	Fill      Fill        // of plastic layers between their skins
	Grip      Grip        // beside the part, with the first layer
	// Supports asks for supports under what nothing carries.
	Supports bool
	// Overhang, rad from upright, goes before the card's.
	Overhang float64
	bridges  []bridge // over the first layer's air
	// Link makes one strand of closed ones that lie inside one another, with
	// steps from loop to loop.
	Link bool
	// TurnAt, where given, tells where ends of strands at the edge may be joined
	// into longer strands by half-turns; TurnReach is how far apart such ends may
	// lie, mm; default four of the tow's least radii.
	TurnAt    func(geom.Point) bool
	TurnReach float64
	// Stagger is how far ends of strands inside the part keep from those of the
	// two layers below, mm; default 5, below 0: not at all.
	Stagger float64
	// Quiet, where given, tells how highly a place is stressed (any measure,
	// more is higher): strands start and end where it is low.
	Quiet func(geom.Point) float64
	// plan is the outline of the whole part where this is one of its terraces.
	plan *geom.Boundary
}

// Defaults of Settings.
const (
	defaultStep    = 0.5
	defaultOverlap = 5.0
	defaultStagger = 5.0
)

func (s Settings) withDefaults(l *field.Layup) Settings {
	if s.Region.Outer == nil {
		s.Region = l.Region
	}
	if s.Step == 0 {
		s.Step = defaultStep
	}
	if s.Workers <= 0 {
		s.Workers = runtime.GOMAXPROCS(0)
	}
	if s.Overlap == 0 {
		s.Overlap = defaultOverlap
	}
	if s.Stagger == 0 {
		s.Stagger = defaultStagger
	}
	return s
}

// limits is what of the printer's card matters here.
type limits struct {
	cutter, radius, least, most float64
	composite, plastic, wall    float64
	bead, fixed                 float64 // greatest width of a bead; of all where it is fixed, else 0
	gap                         float64 // between walls and strands
	pull                        float64 // length over which the tow is pulled inwards at bends
	neighbours, restart         float64 // least time between strands side by side, and of a restart, s
	pace                        float64 // highest of strands, mm/s
	overhang                    float64 // rad
	span                        float64 // greatest of a bridge, 0: none
	flow                        float64 // of a bridge
	support                     *printer.Support
}
