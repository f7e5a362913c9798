package field

import (
	"errors"
	"fmt"
	"math"
	"runtime"

	"sinew/geom"
	"sinew/mesh"
	"sinew/part"
	"sinew/stress"
)

// Input is what a plan is made for.
type Input struct {
	Part   *part.Part
	System *stress.System // of the part; strains are judged at its points
	Stack  Stack
	Region geom.Region // of the composite: the part less its plastic walls
	Mesh   *mesh.Mesh  // of Region; nil means the system's own mesh, where there are no walls
}

// Request asks for one family.
type Request struct {
	Name    string
	Kind    Kind
	Layers  int     // how many layers hold it
	Spacing float64 // mean distance of strands, mm; 0 means 1 mm
	Angle   float64 // of a Straight or a Rib family, rad
	Around  []int   // Loop: one hole feature of the part, or two that the loop joins
	Turns   int     // of Loop and Rim; 0 means 3
	Eight   bool    // of a Loop that joins two round holes: figures of eight
	Fit     Fit
	Pitch   float64     // of a Rib family: distance of ribs, mm
	Bundle  int         // strands side by side in a rib; 0 means 1
	ByLoad  bool        // ribs that carry more get more strands, as many in all
	Cases   []int       // that a steered family follows; nil: all
	Paths   []geom.Path // of a Drawn family
	Smooth  bool        // whether they may be smoothed
	// Into names the family in whose layers the strands of a Drawn family lie,
	// locked; it then holds no layers of its own. Empty: it fills layers.
	Into string
}

// Fit chooses what a steered family follows.
type Fit int

// The ways to fit.
const (
	Auto     Fit = iota // the better of the two
	Dominant            // the direction of the larger principal stress
	Nearest             // the principal direction nearer to the first guess: bending, shear
)

// Settings steers Plan. The zero value of a field means its default.
type Settings struct {
	Families []Request // default: one steered family in ten layers
	Rounds   int       // rounds of the fit; default 5
	Refine   Refine    // of the steered families, after the rounds
	// Even is a number of layers beside the families that stand in as fibre in
	// all directions while steered ones are fitted; they are not planned.
	Even int
	// Draw, where given, draws strands: the choice between first guesses, and
	// between the least-squares fit and what refinement made of it, then rests on
	// the part as printed.
	Draw Draw
	// Order names the family of each layer, bottom to top; nil: symmetric, each
	// family spread over the thickness.
	Order []int
	// NoShift lays all layers of a family on the same lines; the default shifts
	// every other one by half a spacing.
	NoShift bool
	// Workers is the number of goroutines, default one a processor; the answer
	// does not depend on it.
	Workers int
	// Progress is told the stage and the share done of the whole plan.
	Progress func(stage string, share float64)
	// Stop, where given, is asked between the steps of a search or a refinement:
	// true ends them with the best so far. Resume goes on from such an end.
	Stop   func() bool
	Resume *Checkpoint
	// Radius of the disc over which failure indices are averaged to choose
	// between guesses, mm; default 1. Mask is the distance from gripped and
	// held sides within which they are not judged, mm.
	Radius, Mask float64
	// Guess restricts steered families to the first guess of that name ("strip",
	// "loops", "loops about the holes", "closed"); default all that apply.
	Guess string
}

// Defaults of Settings and Request.
const (
	defaultRounds  = 5
	defaultSpacing = 1.0 // mm
	defaultTurns   = 3
	defaultLayers  = 10
	defaultRadius  = 1.0 // mm
)

func (s Settings) withDefaults() Settings {
	if len(s.Families) == 0 {
		s.Families = []Request{{Kind: Steered, Layers: defaultLayers}}
	}
	fill := func(v *float64, def float64) {
		if *v == 0 {
			*v = def
		}
	}
	if s.Workers <= 0 {
		s.Workers = runtime.GOMAXPROCS(0)
	}
	if s.Rounds == 0 {
		s.Rounds = defaultRounds
	}
	fill(&s.Radius, defaultRadius)
	s.Families = append([]Request(nil), s.Families...)
	for i := range s.Families {
		r := &s.Families[i]
		fill(&r.Spacing, defaultSpacing)
		if r.Turns == 0 {
			r.Turns = defaultTurns
		}
		if r.Name == "" {
			r.Name = [...]string{"steered", "straight", "loop", "rim", "drawn", "ribs", "plain"}[r.Kind]
		}
	}
	if s.Stop == nil {
		s.Stop = func() bool { return false }
	}
	if s.Progress == nil {
		s.Progress = func(string, float64) {}
	}
	return s
}

// validate reports all that cannot be planned.
func (s Settings) validate(in *Input) error {
	var errs []error
	lo, hi := 1/in.Stack.Law.RhoMax(), 1/in.Stack.Law.RhoMin()
	layers := 0
	for i, r := range s.Families {
		who := fmt.Sprintf("family %d (%s)", i+1, r.Name)
		layers += r.Layers
		if r.Layers < 0 {
			errs = append(errs, fmt.Errorf("%s: %d layers; give none or more", who, r.Layers))
		}
		if !(r.Spacing >= lo*(1-roundedLimit) && r.Spacing <= hi*(1+roundedLimit)) {
			errs = append(errs, fmt.Errorf("%s: spacing of %.4g mm lies outside what the bead allows, %.4g to %.4g mm", who, r.Spacing, lo, hi))
		}
		if r.Turns < 0 {
			errs = append(errs, fmt.Errorf("%s: %d turns; give one or more", who, r.Turns))
		}
		if math.IsNaN(r.Angle) || math.IsInf(r.Angle, 0) {
			errs = append(errs, fmt.Errorf("%s: the angle is not a number", who))
		}
		for _, c := range r.Cases {
			if c < 0 || c >= len(in.Part.Cases) {
				errs = append(errs, fmt.Errorf("%s: there is no case %d to follow", who, c+1))
			}
		}
		errs = append(errs, r.validateLoop(in, who), s.validateDrawn(i, who), r.validateRibs(who))
	}
	errs = append(errs, s.validateOrder())
	if layers == 0 {
		errs = append(errs, errors.New("no family has a layer: ask for at least one"))
	}
	return errors.Join(errs...)
}

// roundedLimit lets a spacing stand that equals a limit but for rounding.
const roundedLimit = 1e-9

func (r *Request) validateLoop(in *Input, who string) error {
	if r.Kind != Loop {
		return nil
	}
	if len(r.Around) < 1 || len(r.Around) > 2 {
		return fmt.Errorf("%s: a loop runs around one hole or joins two; %d were named", who, len(r.Around))
	}
	for _, f := range r.Around {
		if f < 0 || f >= len(in.Part.Features) || in.Part.Features[f].Loop == 0 {
			return fmt.Errorf("%s: feature %d is not a hole that a loop can run around", who, f)
		}
		if r.Eight && (len(r.Around) != 2 || in.Part.Features[f].Diameter == 0) {
			return fmt.Errorf("%s: a figure of eight joins two round holes", who)
		}
	}
	return nil
}
