package strand

import "sinew/geom"

// Print is the whole print, bottom to top.
type Print struct {
	Layers []Layer
	// Region is the part in the plane, Composite the area that strands may
	// fill: the part less its plastic walls.
	Region, Composite geom.Region
	// SpacingMin and SpacingMax are the printer's limits on the distance of
	// strands, and so on the width of beads, mm.
	SpacingMin, SpacingMax float64
	// BeadWidth is the width of all beads where the process fixes it; 0: they
	// fill the way to their neighbours.
	BeadWidth float64
	// Overhang is how far each layer may reach over the one below, rad from
	// upright.
	Overhang float64
	// Stagger is how far ends of strands were to keep from those below, mm; 0:
	// not asked.
	Stagger float64
	// Notes says, in order of layers, what was left out or changed.
	Notes []string
}

// LayerKind tells composite layers from plain plastic ones.
type LayerKind int

// The kinds of layer.
const (
	Plastic LayerKind = iota
	Composite
)

// Layer is one printed thickness: strands in printing order, then beads of
// plain plastic in printing order.
type Layer struct {
	Index     int // 0 at the bed
	Composite int // index among the composite layers, -1 for a plastic layer
	Kind      LayerKind
	Z         float64 // of the layer's top, where the nozzle tip runs, mm
	Height    float64
	Family    int     // of the lay-up, -1 for a plastic layer
	Shift     float64 // of the level lines, in spacings
	Plain     bool    // no strand is wanted
	Strands   []Strand
	Beads     []Bead
	// Traced is the length of the level lines, mm, before edges and the printer's
	// limits shorten, round and drop them: the integral of |∇φ| but for the
	// position of the lines.
	Traced float64
	// Dropped counts the pieces of level lines too short to be laid, and
	// DroppedLength adds them up, mm.
	Dropped       int
	DroppedLength float64
	// DroppedAt is the middle of the longest of them.
	DroppedAt   geom.Point
	droppedMost float64
	// Opened counts the places at which a strand was cut because more lay side
	// by side than fit, or because it bent too sharply.
	Opened int
	// Added counts the strands laid between those of the level lines, where beads
	// of fixed width left room.
	Added int
	// Pull is how far inside of the nozzle's path bends lie at most, mm, and
	// PullMissed how far from where they were planned.
	Pull, PullMissed float64
	// Turned counts the half-turns that join ends of strands: cuts saved.
	Turned int
	// Pockets is the area, mm², that neither strands nor plastic beads fill.
	Pockets float64
	// Regions and Areas are, of a layer whose outline differs from the print's,
	// the outlines and what strands may fill of them; nil: the print's.
	Regions, Areas []geom.Region
}

// End says why a strand ends where it does.
type End int

// The reasons.
const (
	Whole    End = iota // closed: no end but the place where it starts
	AtEdge              // it meets the edge of the composite region
	AtLimit             // cut so that spacing or radius stays within limits
	AtBand              // the elements that carry its family end
	AtLocked            // it meets a strand that is laid as given
	AtStep              // beside the steps from loop to loop of a linked strand
	AtTurn              // behind a half-turn that joins strands on either side
	AtDrop              // its layer ends there, on the edge of a terrace
)

// Ends lists all reasons in the order of their numbers.
func Ends() []End {
	return []End{Whole, AtEdge, AtLimit, AtBand, AtLocked, AtStep, AtTurn, AtDrop}
}

// String returns the reason in words.
func (e End) String() string {
	switch e {
	case Whole:
		return "closed"
	case AtEdge:
		return "at the edge"
	case AtLimit:
		return "cut to keep limits"
	case AtBand:
		return "end of the family's area"
	case AtLocked:
		return "at a locked strand"
	case AtStep:
		return "beside a step from loop to loop"
	case AtTurn:
		return "behind a half-turn"
	case AtDrop:
		return "at the edge of a terrace"
	}
	return "unknown"
}

// Strand is one continuous path between two cuts.
type Strand struct {
	Points     []geom.Point // centre line, in printing direction; a closed one repeats its first point with the overlap after it
	Nozzle     []geom.Point // path of the nozzle, point by point, where the tow is pulled off it; nil: Points
	Width      []float64    // of the bead at each point, mm
	Closed     bool
	Overlap    float64 // length laid over its own start, closed strands, mm
	Start, End End
	// StartLoop and EndLoop are the loops of the composite region at which the
	// strand starts and ends, 0 the outline, -1 none.
	StartLoop, EndLoop int
	Level              float64 // phase of its level line; of a given path its number
	Family             int     // of the lay-up
}

// BeadKind tells what a plain plastic bead is for.
type BeadKind int

// The kinds of plastic bead.
const (
	Wall    BeadKind = iota // along the outline or a hole
	Cover                   // fills a plastic layer
	Patch                   // fills a pocket that strands leave in a composite layer
	Sparse                  // fills a plastic layer in part
	Border                  // lies beside the part on the bed, to hold it or to start the nozzle
	Span                    // lies over air from one carried place to another
	Support                 // carries layers over air; it is broken off
)

// String returns the kind in a word.
func (k BeadKind) String() string {
	return [...]string{"wall", "cover", "patch", "sparse", "border", "bridge", "support"}[k]
}

// BeadKinds lists the kinds.
func BeadKinds() []BeadKind { return []BeadKind{Wall, Cover, Patch, Sparse, Border, Span, Support} }

// Bead is one bead of plain plastic.
type Bead struct {
	Kind   BeadKind
	Points []geom.Point
	Closed bool // a closed bead does not repeat its first point
	Width  float64
	// Widths, where given, is the width at each point, linear between them; Width
	// is then the mean.
	Widths []float64
	// Flow, where given, is the share of its section that is fed.
	Flow float64
}

// SectionOn returns the section that is fed between point i-1 and point i in a
// layer of a height, mm²; see WidthOn.
func (b *Bead) SectionOn(i int, height float64) float64 {
	if b.Flow > 0 {
		height *= b.Flow
	}
	return b.WidthOn(i) * height
}

// Length returns the length of the bead's centre line.
func (b *Bead) Length() float64 { return geom.Path{Points: b.Points, Closed: b.Closed}.Length() }

// WidthOn returns the mean width between point i-1 and point i; of a closed
// bead point len(Points) is the first again.
func (b *Bead) WidthOn(i int) float64 {
	if b.Widths == nil {
		return b.Width
	}
	return (b.Widths[i-1] + b.Widths[i%len(b.Widths)]) / 2
}
