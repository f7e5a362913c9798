package field

import (
	"fmt"
	"math"

	"sinew/geom"
)

// straight is a family at an angle: a linear phase.
func (f *fitter) straight(r *Request) Family {
	sin, cos := math.Sincos(r.Angle)
	out := Family{Name: r.Name, Kind: Straight, Mesh: f.space.m, Angle: r.Angle, Phase: make([]float64, len(f.space.m.Nodes))}
	for i, p := range f.space.m.Nodes {
		out.Phase[i] = (sin*p.X - cos*p.Y) / r.Spacing
	}
	return out
}

// band is a family at equal distances: the phase is the distance in spacings,
// and strands fill the wanted turns, or as many as have room.
func (f *fitter) band(r *Request, loops []int, distance func(geom.Point) float64, room float64) (Family, string) {
	out := Family{Name: r.Name, Kind: r.Kind, Mesh: f.space.m, Turns: r.Turns, TiedLoops: loops, TiedPhases: []float64{0}}
	note := ""
	if most := int(room/r.Spacing + strandSlack); most < r.Turns {
		note = fmt.Sprintf("family %s: %d turns of %.4g mm do not fit into the %.4g mm there; %d are laid", r.Name, r.Turns, r.Spacing, room, most)
		out.Turns = most
	}
	out.Phase = make([]float64, len(f.space.m.Nodes))
	for i, p := range f.space.m.Nodes {
		out.Phase[i] = distance(p) / r.Spacing
	}
	out.Active = make([]bool, len(f.space.m.Tris))
	for t, tri := range f.space.m.Tris {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, n := range tri {
			lo, hi = math.Min(lo, out.Phase[n]), math.Max(hi, out.Phase[n])
		}
		out.Active[t] = hi > 0 && (lo+hi)/2 < float64(out.Turns)
	}
	return out, note
}

// loopOf is a loop of either shape.
func (p *planner) loopOf(r *Request) (Family, string, error) {
	if r.Eight {
		return p.eight(r, p.list)
	}
	f, note := p.loop(r, p.list)
	return f, note, nil
}

// loop runs around one hole or the hull of two. A further hole in the way of
// the first turn is taken into the hull: the loop runs around it too.
func (f *fitter) loop(r *Request, list []stretch) (Family, string) {
	around := map[int]bool{}
	for _, feature := range r.Around {
		around[f.in.Part.Features[feature].Loop] = true
	}
	// The composite's loops are found by the part's hole they lie nearest to.
	near := geom.NewBoundary(f.in.Part.Region)
	var inside []stretch
	var rest []stretch
	for i := range list {
		at := f.space.m.Nodes[list[i].nodes[0]]
		if list[i].loop > 0 && around[near.Nearest(at).Loop] {
			inside = append(inside, list[i])
		} else {
			rest = append(rest, list[i])
		}
	}
	hull, inside, rest := f.hullAround(inside, rest, r.Spacing)
	loops := make([]int, len(inside))
	for i := range inside {
		loops[i] = inside[i].loop
	}
	room := math.Inf(1)
	for i := range rest {
		room = math.Min(room, f.farFrom(hull, &rest[i]))
	}
	return f.band(r, loops, func(p geom.Point) float64 { return outside(hull, p) }, room)
}

// hullAround returns the hull of the holes inside, to which it moves every
// hole of the rest that leaves no room for one strand beside the hull.
func (f *fitter) hullAround(inside, rest []stretch, room float64) (geom.Polygon, []stretch, []stretch) {
	for {
		var pts []geom.Point
		for i := range inside {
			for _, n := range inside[i].nodes {
				pts = append(pts, f.space.m.Nodes[n])
			}
		}
		hull := convexHull(pts)
		var clear []stretch
		for i := range rest {
			if rest[i].loop > 0 && f.farFrom(hull, &rest[i]) < room {
				inside = append(inside, rest[i])
			} else {
				clear = append(clear, rest[i])
			}
		}
		if len(clear) == len(rest) {
			return hull, inside, rest
		}
		rest = clear
	}
}

// farFrom is the least distance of a stretch of boundary from the hull.
func (f *fitter) farFrom(hull geom.Polygon, s *stretch) float64 {
	d := math.Inf(1)
	for _, n := range s.nodes {
		d = math.Min(d, outside(hull, f.space.m.Nodes[n]))
	}
	return d
}

// rim runs along the outline.
func (f *fitter) rim(r *Request) (Family, string) {
	near := geom.NewBoundary(geom.Region{Outer: f.in.Region.Outer})
	room := math.Inf(1)
	for _, e := range f.space.m.Boundary {
		if e.Loop > 0 {
			room = math.Min(room, near.Nearest(f.space.m.Nodes[e.Mid]).Distance)
		}
	}
	return f.band(r, []int{0}, func(p geom.Point) float64 { return near.Nearest(p).Distance }, room)
}

// convexHull returns the hull, counter-clockwise (A. M. Andrew, Inf. Process.
// Lett. 9 (1979) 216).
func convexHull(pts []geom.Point) geom.Polygon {
	pts = sortedPoints(pts)
	var hull []geom.Point
	for range 2 {
		base := len(hull)
		for _, p := range pts {
			for len(hull) > base+1 && geom.Orient(hull[len(hull)-2], hull[len(hull)-1], p) <= 0 {
				hull = hull[:len(hull)-1]
			}
			hull = append(hull, p)
		}
		hull = hull[:len(hull)-1]
		for i, j := 0, len(pts)-1; i < j; i, j = i+1, j-1 {
			pts[i], pts[j] = pts[j], pts[i]
		}
	}
	return hull
}

// outside is the distance from a convex polygon, zero within.
func outside(hull geom.Polygon, p geom.Point) float64 {
	in, d := true, math.Inf(1)
	for i, a := range hull {
		b := hull[(i+1)%len(hull)]
		if geom.Orient(a, b, p) < 0 {
			in = false
		}
		_, e := geom.Edge{A: a, B: b}.Nearest(p)
		d = math.Min(d, e)
	}
	if in {
		return 0
	}
	return d
}
