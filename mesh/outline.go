package mesh

import (
	"fmt"
	"math"

	"sinew/geom"
)

// outline is the boundary of the region, cut into sides short enough for its
// arcs, its narrow places and the sizes asked for.
type outline struct {
	set   Settings
	near  *geom.Boundary
	edges []outlineEdge
	sides []side
}

// outlineEdge is one edge of the region with its place in the loops.
type outlineEdge struct {
	geom.Edge
	loop, edge int32
	prev, next int32   // neighbours in the loop
	size       float64 // largest side wanted on it
	sharpStart bool    // the corner at A is sharper than sharpCorner
	sharpEnd   bool
}

// side is a piece of an edge between two parameters.
type side struct {
	edge   int32
	t0, t1 float64
	size   float64 // largest side wanted there
}

const (
	// A region with a corner under leastCorner is refused: its triangles would
	// be needles and, at an arc, turned inside out.
	leastCorner = 1 * math.Pi / 180

	// At corners under sharpCorner neither the bound on the angle can hold nor
	// may the sides be cut at will: cuts on one side would call for cuts on the
	// other for ever. They are cut on shells around the corner instead.
	sharpCorner = 60 * math.Pi / 180

	// widestArc is the largest sweep of one side on an arc: past it the curved
	// six-node triangle bends too far from the arc (1/2 percent of the radius).
	widestArc = math.Pi / 4

	// narrow: a side is no longer than this many times the distance to the
	// nearest part of the boundary that it does not touch.
	narrow = 1.5

	// sagittaClear: an arc's chord stays clear of the neighbouring edge by this
	// many times its own height.
	sagittaClear = 4
)

// newOutline cuts the boundary into sides.
func newOutline(r geom.Region, set Settings) (*outline, error) {
	o := &outline{set: set, near: geom.NewBoundary(r)}
	for l, loop := range r.Loops() {
		base := int32(len(o.edges))
		n := int32(len(loop))
		for i, e := range loop {
			k := int32(i)
			oe := outlineEdge{Edge: e, loop: int32(l), edge: k}
			oe.B = loop[(i+1)%len(loop)].A // loose ends within the tolerance of Validate
			oe.prev, oe.next = base+(k+n-1)%n, base+(k+1)%n
			o.edges = append(o.edges, oe)
		}
	}
	for i := range o.edges {
		if err := o.corner(&o.edges[i]); err != nil {
			return nil, err
		}
	}
	for i := range o.edges {
		o.cut(int32(i))
	}
	return o, nil
}

// corner measures the inside angle between an edge's end and the next edge.
func (o *outline) corner(e *outlineEdge) error {
	next := &o.edges[e.next]
	angle := insideAngle(e.Edge, next.Edge)
	if angle < leastCorner || angle > 2*math.Pi-leastCorner {
		return fmt.Errorf("the corner at (%.6g, %.6g) between edges %d and %d of loop %d has an inside angle of %.2g°: open it to at least %g° or round it off",
			e.B.X, e.B.Y, e.edge, next.edge, e.loop, angle*180/math.Pi, leastCorner*180/math.Pi)
	}
	e.sharpEnd, next.sharpStart = angle < sharpCorner, angle < sharpCorner
	return nil
}

// insideAngle returns the angle inside the region between edge e and the edge
// f that follows it, in [0, 2π).
func insideAngle(e, f geom.Edge) float64 {
	back, on := e.Tangent(1).Scale(-1), f.Tangent(0)
	a := math.Atan2(on.Cross(back), on.Dot(back))
	if a < 0 {
		a += 2 * math.Pi
	}
	return a
}

// cut divides an edge evenly for its own size, then halves sides until each
// suits its surroundings.
func (o *outline) cut(i int32) {
	e := &o.edges[i]
	length := e.Length()
	e.size = math.Min(o.set.Size, length)
	n := 1.0
	if e.IsArc() {
		arc := math.Max(o.set.ArcSize*e.Radius(), o.set.MinSize)
		e.size = math.Min(e.size, arc)
		n = math.Ceil(math.Abs(e.Sweep())/widestArc - roundOff)
	}
	n = math.Max(n, math.Ceil(length/e.size-roundOff))
	e.size = math.Min(e.size, length/n*evenSlack)
	for k := range int(n) {
		o.halve(side{i, float64(k) / n, float64(k+1) / n, e.size}, length)
	}
}

const (
	// roundOff keeps a length that is a whole number of sides, but for
	// rounding, from being cut once more.
	roundOff = 1e-9
	// evenSlack: sides cut evenly are shorter than asked; triangles beside them
	// may be this much larger.
	evenSlack = 1.15
)

// halve appends the side, or its halves where it does not suit its place.
func (o *outline) halve(s side, length float64) {
	l := (s.t1 - s.t0) * length
	if o.suits(s, l) {
		o.sides = append(o.sides, s)
		return
	}
	m := (s.t0 + s.t1) / 2
	h := math.Min(s.size, l/2*evenSlack)
	o.halve(side{s.edge, s.t0, m, h}, length)
	o.halve(side{s.edge, m, s.t1, h}, length)
}

// suits reports whether a side of length l is short enough: for the size asked
// for at its middle, for the gap to other edges, and for the bend of its arc
// next to a sharp corner.
func (o *outline) suits(s side, l float64) bool {
	e := &o.edges[s.edge]
	mid := e.At((s.t0 + s.t1) / 2)
	if o.set.SizeAt != nil && l > math.Max(o.set.SizeAt(mid), o.set.MinSize) {
		return false
	}
	if !o.bendClear(e, s, l) {
		return false
	}
	near := o.near.NearestExcept(mid, l, func(loop, edge int) bool {
		k := int32(edge)
		return int32(loop) == e.loop && (k == e.edge || k == o.edges[e.prev].edge || k == o.edges[e.next].edge)
	})
	return l <= narrow*near.Distance
}

// bendClear reports whether the chord of an arc's side stays clear of the
// neighbouring edges, and those of the neighbours' sides of it.
func (o *outline) bendClear(e *outlineEdge, s side, l float64) bool {
	for _, n := range [2]int32{e.prev, e.next} {
		other := &o.edges[n]
		bend := 0.0 // height of the arcs over their chords
		turn := 0.0 // angle between arcs and chords at the corner
		for _, a := range [2]*outlineEdge{e, other} {
			if a.IsArc() {
				bend += l * l / (8 * a.Radius())
				turn += l / (2 * a.Radius())
			}
		}
		if bend == 0 {
			continue
		}
		atCorner := n == e.prev && s.t0 == 0 || n == e.next && s.t1 == 1
		if !atCorner {
			if _, d := other.Nearest(e.At((s.t0 + s.t1) / 2)); d < sagittaClear*bend {
				return false
			}
			continue
		}
		angle := 2 * math.Pi
		if n == e.prev && s.t0 == 0 {
			angle = insideAngle(other.Edge, e.Edge)
		}
		if n == e.next && s.t1 == 1 {
			angle = math.Min(angle, insideAngle(e.Edge, other.Edge))
		}
		if math.Min(angle, 2*math.Pi-angle) < 2*turn {
			return false
		}
	}
	return true
}
