// Package strand turns phases into what the nozzle follows: centre lines with
// bead widths, cuts and order, and the plain plastic around them.
package strand

import "sinew/geom"

// Print is the whole print, bottom to top.
type Print struct {
	Layers []Layer
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
	Family    int // of the lay-up, -1 for a plastic layer
	Strands   []Strand
	Beads     []Bead
}

// End says why a strand ends where it does.
type End int

// The reasons.
const (
	Whole   End = iota // closed, or laid from edge to edge
	AtEdge             // it meets the edge of the composite region
	AtLimit            // cut so that spacing or radius stays within limits
)

// Strand is one continuous path between two cuts.
type Strand struct {
	Points     []geom.Point // centre line, in printing direction; a closed one repeats its first point with the overlap after it
	Width      []float64    // of the bead at each point, mm
	Closed     bool
	Overlap    float64 // length laid over its own start, closed strands, mm
	Start, End End
}

// BeadKind tells what a plain plastic bead is for.
type BeadKind int

// The kinds of plastic bead.
const (
	Wall  BeadKind = iota // along the outline or a hole
	Cover                 // fills a plastic layer
	Patch                 // fills a pocket that strands leave in a composite layer
)

// Bead is one bead of plain plastic.
type Bead struct {
	Kind   BeadKind
	Points []geom.Point
	Closed bool // a closed bead does not repeat its first point
	Width  float64
}
