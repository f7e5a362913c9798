package printer

import (
	"math"

	"sinew/geom"
)

// Process tells how tow and plastic come together.
type Process int

// The kinds of process.
const (
	CoExtruded     Process = iota // they meet in the nozzle; the share varies
	PreImpregnated                // one filament holds both; the share is fixed
)

// String returns the word that cards use.
func (p Process) String() string { return [...]string{"co-extruded", "pre-impregnated"}[p] }

// ToolKind tells the tools of a printer apart.
type ToolKind int

// The tools.
const (
	PlasticTool   ToolKind = iota // plain plastic
	CompositeTool                 // tow, with plastic around it
)

// String returns the word used in messages.
func (k ToolKind) String() string { return [...]string{"plastic", "composite"}[k] }

// Tool is one nozzle.
type Tool struct {
	Number  int        // as the machine counts
	Offset  geom.Point // of the nozzle from the machine's point of reference
	OffsetZ float64
	Park    geom.Point // where it is taken from and put down
	FeedMax float64    // while printing, mm/s
	FlowMax float64    // of plastic, mm³/s
}

// Bed is what the nozzle can reach.
type Bed struct {
	X, Y, Z float64 // mm
	Round   bool    // a circle in the square X by Y
}

// Outside returns how far p lies off the bed, at most 0 on it.
func (b Bed) Outside(p geom.Point) float64 {
	if b.Round {
		m := geom.Point{X: b.X / 2, Y: b.Y / 2}
		return p.Dist(m) - b.X/2
	}
	return max(max(-p.X, p.X-b.X), max(-p.Y, p.Y-b.Y))
}

// Wipe is a brush beside the print.
type Wipe struct {
	At     geom.Point // where a wipe starts, on the bed
	Z      float64    // of the nozzle in the brush
	Length float64    // of the way along x, there and back
}

// Near returns the distance of p from the way along the brush.
func (w *Wipe) Near(p geom.Point) float64 {
	x := math.Max(0, math.Min(w.Length, p.X-w.At.X))
	return p.Dist(w.At.Add(geom.Point{X: x}))
}

// Bridge is how plastic is laid over air from one carried place to another.
type Bridge struct {
	Span float64 // greatest, mm
	Feed float64 // highest, mm/s
	Flow float64 // share of the bead's section that is fed
	Fan  float64 // share
}

// Support is how what carries layers over air is built and kept apart from
// the part, so that it breaks off.
type Support struct {
	Pitch float64 // of its loops, mm
	Gap   float64 // below and above, mm; whole layers are left out until it is reached
	Side  float64 // beside upright faces, mm
}

// Card is a printer as its card describes it. It must not be changed.
type Card struct {
	ID, Title, Note, Version, Hash string
	Process                        Process

	Bed Bed
	// Zero is where the machine's origin lies on the bed.
	Zero geom.Point
	// CoverBelow and CoverAbove say that the process wants a plastic layer
	// under the first and over the last composite layer.
	CoverBelow, CoverAbove bool

	CutterDistance         float64 // tow between cutter and nozzle tip, mm: no strand is shorter
	TowRadius              float64 // least bend radius in the layer's plane, mm
	TowTension             float64 // while it is laid, N; 0: not known, and bends lie where the nozzle goes
	CornerHold             float64 // N of each mm of bead for each mm that the tow is moved sideways
	SpacingMin, SpacingMax float64 // of strands, mm
	TowShareMax            float64 // of the bead's section
	PregArea               float64 // section of the pre-impregnated filament, mm²; 0 when co-extruded
	BeadToWall             float64 // gap left between walls and composite, mm
	CompositeHeight        float64 // of a composite layer, mm
	PlasticHeight          float64 // of a plastic layer, mm
	WallWidth              float64 // of a bead of plain plastic, mm

	NozzleMax, BedMax float64 // °C
	Standby           float64 // K by which a parked nozzle is cooled

	HasPlastic         bool // there is a nozzle for plain plastic
	Plastic, Composite Tool
	OffsetsInProgram   bool // the program shifts by the tools' offsets, not the machine

	FilamentDiameter     float64 // of the plastic, mm
	RetractLength        float64 // of plastic filament before a travel, mm
	RetractFeed          float64
	TravelFeed, LiftFeed float64
	Lift                 float64 // of the nozzle over a travel, mm
	MinTravel            float64 // a shorter one is neither lifted nor retracted, mm
	WallFeed, CoverFeed  float64
	FirstFeed            float64      // highest on the first layer
	StrandFeeds          [][2]float64 // bend radius, feed; radius rising
	RestartLength        float64      // of tow fed down before a strand, mm
	RestartFeed          float64
	AnchorLength         float64 // of the strand's start, laid slowly, mm
	AnchorFeed           float64
	TailFeed             float64 // highest after the cut
	Fan                  float64 // share, from the second layer on
	SwapTime, CutTime    float64
	SpoolTime            float64 // for a change of spool, s
	LayerTime            float64 // least, for a layer to cool before the next, s; 0: none
	NeighbourTime        float64 // least between strands side by side, s; 0: none
	Overhang             float64 // from upright, rad: how far each layer may reach over the one below
	Bridge               *Bridge // nil: plastic is not laid over air
	Support              *Support
	Wipe                 *Wipe   // brush that a tool wipes its nozzle on when it is taken; nil: none
	HeatTime             float64 // from cold to the first layer, s
	Acceleration         float64
	CornerStep           float64 // change of velocity allowed at a corner
	Power                float64 // mean while printing, W; 0: not given
	EnergyPrice          float64 // per kWh
	PricePerHour         float64
	Arcs                 bool // G2 and G3 are understood
	ArcTolerance         float64
	Words                Words
	Templates            map[string]*Template
}

// Words is how numbers and comments are written.
type Words struct {
	Extrude      byte // letter of the plastic's feed
	Relative     bool // it counts from the block before, not from the start
	Decimals     int  // of lengths
	FeedDecimals int  // of the plastic's feed
	CommentOpen  string
	CommentClose string // empty: up to the end of the line
}

// Tool returns the tool of a kind.
func (c *Card) Tool(k ToolKind) Tool {
	if k == CompositeTool {
		return c.Composite
	}
	return c.Plastic
}

// BeadWidth returns the width, mm, to which every composite bead is ironed; 0
// where the plastic's feed follows the spacing.
func (c *Card) BeadWidth() float64 {
	if c.Process != PreImpregnated {
		return 0
	}
	return c.PregArea / c.CompositeHeight
}

// PullLength returns √(tension/hold), mm: the length over which the tow is pulled
// to the inside of a bend; 0 where the card does not say.
func (c *Card) PullLength() float64 {
	if c.TowTension == 0 {
		return 0
	}
	return math.Sqrt(c.TowTension / c.CornerHold)
}

// FilamentArea returns the section of the plastic filament, mm².
func (c *Card) FilamentArea() float64 {
	return math.Pi / 4 * c.FilamentDiameter * c.FilamentDiameter
}

// StrandFeed returns the highest feed at which a strand follows a bend of the
// radius (infinite when straight), mm/s: linear between the card's points.
func (c *Card) StrandFeed(radius float64) float64 {
	f := c.StrandFeeds
	if len(f) == 0 {
		return c.Composite.FeedMax
	}
	for i, p := range f {
		if radius > p[0] {
			continue
		}
		if i == 0 {
			return p[1]
		}
		q := f[i-1]
		return q[1] + (p[1]-q[1])*(radius-q[0])/(p[0]-q[0])
	}
	return f[len(f)-1][1]
}
