package strand

import (
	"math"

	"sinew/geom"
)

// Halves holds, for each point of a strand, how far its bead reaches to the
// left and to the right of the centre line, mm.
type Halves struct {
	Left, Right []float64
}

// Width returns the bead's width at point i.
func (h Halves) Width(i int) float64 { return h.Left[i] + h.Right[i] }

// HalfBeads returns how far each strand's bead reaches to either side: half
// the way to the next strand, the whole way to the area's edge, at most half
// of spacingMax. Distances are taken along the normal of the strand. Strands
// are those of one layer; the area is what they may fill.
func HalfBeads(strands []Strand, area geom.Region, spacingMax float64) []Halves {
	index := newSegments(append(strandSegments(strands), edgeSegments(area)...))
	out := make([]Halves, len(strands))
	for i := range strands {
		out[i] = halvesOf(&strands[i], int32(i), index, spacingMax)
	}
	return out
}

// edgeTolerance is how far the chords may lie off the arcs of the area's
// edge, mm: a hundredth of the narrowest bead.
const edgeTolerance = 0.005

func edgeSegments(area geom.Region) []segment {
	var list []segment
	for k, l := range area.Loops() {
		pts := l.Flatten(edgeTolerance)
		for i, p := range pts {
			list = append(list, segment{p, pts[(i+1)%len(pts)], edgeOwner, int32(k)})
		}
	}
	return list
}

func strandSegments(strands []Strand) []segment {
	n := 0
	for i := range strands {
		n += len(strands[i].Points)
	}
	list := make([]segment, 0, n)
	for i := range strands {
		pts := strands[i].Once()
		for k := 1; k < len(pts); k++ {
			list = append(list, segment{pts[k-1], pts[k], int32(i), int32(k - 1)})
		}
	}
	return list
}

// Once returns the strand's points without the overlap of a closed one, whose
// last point is then its first.
func (s *Strand) Once() []geom.Point {
	if !s.Closed {
		return s.Points
	}
	for i := 3; i < len(s.Points); i++ {
		if s.Points[i] == s.Points[0] {
			return s.Points[:i+1]
		}
	}
	return s.Points
}

// Length returns the length of the centre line, overlap included.
func (s *Strand) Length() float64 { return polyLength(s.Points) }

func polyLength(pts []geom.Point) float64 {
	sum := 0.0
	for i := 1; i < len(pts); i++ {
		sum += pts[i].Dist(pts[i-1])
	}
	return sum
}

// tangents returns the unit direction at each point of an open or, where the
// last point repeats the first, closed polyline.
func tangents(pts []geom.Point, closed bool) []geom.Point {
	n := len(pts)
	t := make([]geom.Point, n)
	for i := range pts {
		a, b := max(0, i-1), min(n-1, i+1)
		if closed && n > 2 && i == 0 {
			a = n - 2
		}
		if closed && n > 2 && i == n-1 {
			b = 1
		}
		t[i] = unitVector(pts[b].Sub(pts[a]))
	}
	return t
}

func unitVector(v geom.Point) geom.Point {
	if n := v.Norm(); n > 0 {
		return v.Scale(1 / n)
	}
	return geom.Point{}
}

// halvesOf casts a ray to either side of each point.
func halvesOf(s *Strand, owner int32, index *segments, spacingMax float64) Halves {
	pts := s.Once()
	dir := tangents(pts, s.Closed)
	arc := arcLengths(pts)
	h := Halves{make([]float64, len(s.Points)), make([]float64, len(s.Points))}
	for i, p := range pts {
		skip := ownNearby(owner, arc, i, s.Closed, 2*spacingMax)
		normal := dir[i].Left()
		h.Left[i] = halfGap(index, p, normal, spacingMax, skip)
		h.Right[i] = halfGap(index, p, normal.Scale(-1), spacingMax, skip)
	}
	for i := len(pts); i < len(s.Points); i++ { // the overlap lies on the start
		k := (i - len(pts) + 1) % len(pts)
		h.Left[i], h.Right[i] = h.Left[k], h.Right[k]
	}
	return h
}

// ownNearby leaves out the strand's own pieces within the arc length reach of
// point i: only where it comes back to itself is it its own neighbour.
func ownNearby(owner int32, arc []float64, i int, closed bool, reach float64) func(*segment) bool {
	total := arc[len(arc)-1]
	return func(s *segment) bool {
		if s.owner != owner {
			return false
		}
		d := math.Abs(arc[s.at] - arc[i])
		if closed {
			d = math.Min(d, total-d)
		}
		return d < reach
	}
}

func halfGap(index *segments, p, normal geom.Point, spacingMax float64, skip func(*segment) bool) float64 {
	d, hit := index.ray(p, normal, spacingMax, skip)
	if hit == nil || hit.owner != edgeOwner {
		return d / 2
	}
	return math.Min(d, spacingMax/2)
}

func arcLengths(pts []geom.Point) []float64 {
	s := make([]float64, len(pts))
	for i := 1; i < len(pts); i++ {
		s[i] = s[i-1] + pts[i].Dist(pts[i-1])
	}
	return s
}

// Place is where a point lies in the bead that covers it.
type Place struct {
	Strand    int        // of the layer
	Along     float64    // index of the strand's point before the foot, plus the share of the way to the next
	Direction geom.Point // unit direction of the centre line there
	Width     float64    // of the bead, mm
	Offset    float64    // from the centre line, positive to the left, mm
	Past      float64    // how far past the strand's end, mm: see ReachEdge
}

// Coverage tells which bead of a layer lies at a point.
type Coverage struct {
	strands []Strand
	halves  []Halves
	index   *segments
	reach   float64
	tip     float64
}

// ReachEdge lets the bead of a strand that ends at the outline go on by up to d,
// to fill the way from the end of its centre line to the edge. Which places
// beyond it are still inside is for the caller to say.
func (c *Coverage) ReachEdge(d float64) {
	c.tip = d
	c.reach = math.Max(c.reach, math.Hypot(c.reach, d))
}

// NewCoverage indexes the strands of one layer with their half-beads.
func NewCoverage(strands []Strand, halves []Halves) *Coverage {
	c := &Coverage{strands: strands, halves: halves, index: newSegments(strandSegments(strands))}
	for _, h := range halves {
		for i := range h.Left {
			c.reach = math.Max(c.reach, math.Max(h.Left[i], h.Right[i]))
		}
	}
	return c
}

// At returns the bead at p: that of the nearest strand, if p lies within its
// half-bead on that side and not beyond its end.
func (c *Coverage) At(p geom.Point) (Place, bool) {
	best, u, dist := (*segment)(nil), 0.0, c.reach
	box := geom.Box{Min: p, Max: p}.Grow(c.reach)
	c.index.near(box, func(_ int32, s *segment) {
		v, d := s.foot(p)
		if d < dist || d == dist && (best == nil || before(s, best)) {
			best, u, dist = s, v, d
		}
	})
	if best == nil {
		return Place{}, false
	}
	return c.cover(p, best, u, dist)
}

func (c *Coverage) cover(p geom.Point, s *segment, u, dist float64) (Place, bool) {
	k, h := int(s.at), c.halves[s.owner]
	dir := unitVector(s.b.Sub(s.a))
	w := p.Sub(s.a)
	past, ok := c.beyondEnd(p, s, u, dir)
	if !ok {
		return Place{}, false
	}
	if past > 0 {
		dist = math.Abs(dir.Cross(w))
	}
	mix := func(v []float64) float64 { return v[k] + u*(v[k+1]-v[k]) }
	left, right := mix(h.Left), mix(h.Right)
	half := left
	if dir.Cross(w) < 0 {
		half, dist = right, -dist
	}
	return Place{int(s.owner), float64(k) + u, dir, left + right, dist, past}, math.Abs(dist) <= half
}

// beyondEnd returns how far p lies past the strand's first or last point, and
// whether the bead may reach there.
func (c *Coverage) beyondEnd(p geom.Point, s *segment, u float64, dir geom.Point) (past float64, ok bool) {
	st := &c.strands[s.owner]
	if st.Closed {
		return 0, true
	}
	if s.at == 0 && u == 0 {
		if past = -p.Sub(s.a).Dot(dir); past > 0 {
			return past, past <= c.tip && st.Start == AtEdge && st.StartLoop == 0
		}
	}
	if int(s.at) == len(st.Points)-2 && u == 1 {
		if past = p.Sub(s.b).Dot(dir); past > 0 {
			return past, past <= c.tip && st.End == AtEdge && st.EndLoop == 0
		}
	}
	return 0, true
}
