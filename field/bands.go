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

// loop runs around one hole or the hull of two.
func (f *fitter) loop(r *Request, list []stretch) (Family, string) {
	around := map[int]bool{}
	for _, feature := range r.Around {
		around[f.in.Part.Features[feature].Loop] = true
	}
	// The composite's loops are found by the part's hole they lie nearest to.
	near := geom.NewBoundary(f.in.Part.Region)
	var pts []geom.Point
	var loops []int
	for i := range list {
		at := f.space.m.Nodes[list[i].nodes[0]]
		if list[i].loop > 0 && around[near.Nearest(at).Loop] {
			loops = append(loops, list[i].loop)
			for _, n := range list[i].nodes {
				pts = append(pts, f.space.m.Nodes[n])
			}
		}
	}
	hull := convexHull(pts)
	distance := func(p geom.Point) float64 { return outside(hull, p) }
	room := math.Inf(1)
	for i := range list {
		for _, n := range list[i].nodes {
			if d := distance(f.space.m.Nodes[n]); d > hullRim {
				room = math.Min(room, d)
			}
		}
	}
	return f.band(r, loops, distance, room)
}

// hullRim: a node nearer to the hull than this, mm, lies on it or inside.
const hullRim = 1e-6

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
