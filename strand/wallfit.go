package strand

import (
	"math"

	"sinew/geom"
)

// wallStep, mm, is the distance of points at which a wall that grows inwards
// gets its width.
const wallStep = 0.5

// widenWalls returns the walls with the innermost grown towards strands that
// lie a little farther from it than the gap that the card wants, where the rest
// is too narrow for a bead of its own: by up to widest widths. Its outer border
// stays. inner is the number of the wall that faces the strands, per loop.
func widenWalls(walls []Bead, strands []Strand, halves []Halves, gap, width float64) []Bead {
	room := newRoom(strands, halves)
	out := make([]Bead, len(walls))
	for i, b := range walls {
		out[i] = b
		if b.Kind != Wall || !b.Closed {
			continue
		}
		out[i] = room.widen(b, gap, width)
	}
	return out
}

// room measures the way from a wall to the strand beads beside it.
type room struct {
	halves []Halves
	index  *segments
}

func newRoom(strands []Strand, halves []Halves) room {
	return room{halves, newSegments(strandSegments(strands))}
}

// widen returns the wall with its width grown to its left, the inside, where a
// strand lies near.
func (r room) widen(b Bead, gap, width float64) Bead {
	path := geom.Path{Points: b.Points, Closed: true}
	n := int(math.Ceil(path.Length() / wallStep))
	even := path.Resample(path.Length() / float64(n))
	pts := even.Points
	grow := make([]float64, len(pts))
	any := false
	for i, p := range pts {
		dir := unitVector(pts[(i+1)%len(pts)].Sub(pts[(i+len(pts)-1)%len(pts)]))
		d := r.clear(p, dir.Left(), width/2+narrowest*width+gap)
		if g := d - width/2 - gap; g > 0 && g < narrowest*width {
			grow[i] = math.Min(g, (widest-1)*width)
			any = true
		}
	}
	if !any {
		return b
	}
	out := b
	out.Points, out.Widths = make([]geom.Point, len(pts)), make([]float64, len(pts))
	for i, p := range pts {
		dir := unitVector(pts[(i+1)%len(pts)].Sub(pts[(i+len(pts)-1)%len(pts)]))
		out.Points[i] = p.Add(dir.Left().Scale(grow[i] / 2))
		out.Widths[i] = width + grow[i]
	}
	return out.lean()
}

// clear returns the way from p along a direction to the border of the first
// strand's bead, +Inf where there is none within reach.
func (r room) clear(p, dir geom.Point, reach float64) float64 {
	const strandReach = 3.0 // mm from a centre line to the border of its bead, with room
	d, hit := r.index.ray(p, dir, reach+strandReach, func(*segment) bool { return false })
	if hit == nil {
		return math.Inf(1)
	}
	v := hit.b.Sub(hit.a)
	h, k := r.halves[hit.owner], int(hit.at)
	half := math.Max(h.Right[k], h.Right[k+1])
	if v.Cross(p.Sub(hit.a)) > 0 {
		half = math.Max(h.Left[k], h.Left[k+1])
	}
	across := math.Abs(unitVector(v).Cross(dir))
	return d*across - half
}

// lean drops the points of a closed bead that its line and width can do
// without.
func (b Bead) lean() Bead {
	pts, w := append(b.Points, b.Points[0]), append(b.Widths, b.Widths[0])
	open := varying(pts, w)
	b.Points, b.Widths, b.Width = open.Points[:len(open.Points)-1], open.Widths[:len(open.Widths)-1], open.Width
	return b
}
