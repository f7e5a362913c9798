package field

import (
	"fmt"
	"math"

	"sinew/geom"
)

// eight is a family of figures of eight around two holes: the strands cross over
// between them. No strand may cross another in one layer, so that each figure
// is opened where it crosses itself: one of its two legs runs through, the other
// ends on either side of it. Every other layer is the mirror image, so that
// both legs run through in half of the layers.
//
//	turn k of n, s apart, runs around the first hole at r1 + (k+1/2)·s and
//	around the second at r2 + (n-k-1/2)·s: the legs that run through are parallel
func (f *fitter) eight(r *Request, list []stretch) (Family, string, error) {
	a, ra := f.round(r.Around[0], list)
	b, rb := f.round(r.Around[1], list)
	s := r.Spacing
	room := math.Min(f.roomAround(a, ra, r, list), f.roomAround(b, rb, r, list))
	room = math.Min(room, a.Dist(b)-ra-rb-s)
	out := Family{Name: r.Name, Kind: Loop, Mesh: f.space.m, Phase: make([]float64, len(f.space.m.Nodes)), Turns: r.Turns, Spacing: s}
	note := ""
	if most := int(room/s + strandSlack); most < r.Turns {
		if most < 1 {
			return out, "", fmt.Errorf("family %s: no figure of eight of %.4g mm fits between and around these holes", r.Name, s)
		}
		note = fmt.Sprintf("family %s: %d turns of %.4g mm do not fit into the %.4g mm there; %d are laid", r.Name, r.Turns, s, room, most)
		out.Turns = most
	}
	for k := range out.Turns {
		p := eightPath(a, b, ra+s/2, rb+s/2, s, k, out.Turns)
		out.Paths = append(out.Paths, p)
		out.Mirrored = append(out.Mirrored, mirrored(p, a, b))
	}
	return out, note, nil
}

// round returns centre and radius of the composite's edge around a hole.
func (f *fitter) round(feature int, list []stretch) (geom.Point, float64) {
	hole := f.in.Part.Features[feature]
	near := geom.NewBoundary(f.in.Part.Region)
	radius := 0.0
	for i := range list {
		for _, n := range list[i].nodes {
			if p := f.space.m.Nodes[n]; list[i].loop > 0 && near.Nearest(f.space.m.Nodes[list[i].nodes[0]]).Loop == hole.Loop {
				radius = math.Max(radius, p.Dist(hole.Center))
			}
		}
	}
	return hole.Center, radius
}

// roomAround is the distance from a hole's edge to the nearest boundary that is
// neither of the holes named.
func (f *fitter) roomAround(c geom.Point, radius float64, r *Request, list []stretch) float64 {
	near := geom.NewBoundary(f.in.Part.Region)
	room := math.Inf(1)
	for i := range list {
		loop := near.Nearest(f.space.m.Nodes[list[i].nodes[0]]).Loop
		if loop == f.in.Part.Features[r.Around[0]].Loop || loop == f.in.Part.Features[r.Around[1]].Loop {
			continue
		}
		for _, n := range list[i].nodes {
			room = math.Min(room, f.space.m.Nodes[n].Dist(c)-radius)
		}
	}
	return room
}

// eightChord, mm, bounds how far the chords of a figure of eight lie off its
// arcs.
const eightChord = 0.005

// eightPath is turn k of n: from beside the crossing around the first hole,
// through to the second, around it and back to the crossing. a0 and b0 are the
// radii of the innermost turns.
func eightPath(a, b geom.Point, a0, b0, s float64, k, n int) geom.Path {
	ra, rb := a0+float64(k)*s, b0+float64(n-1-k)*s
	d := a.Dist(b)
	e := b.Sub(a).Scale(1 / d)
	sin := (ra + rb) / d
	cos := math.Sqrt(1 - sin*sin)
	at := func(along, across float64) geom.Point { return e.Scale(along).Add(e.Left().Scale(across)) }
	w, v := at(sin, cos), at(sin, -cos) // across the leg that runs through, and the other
	leg := at(cos, sin)                 // along the other, from the first hole on
	// How far the other leg runs on: up to a spacing before the nearest of those
	// that run through.
	sin2, cos2 := 2*sin*cos, cos*cos-sin*sin
	ta := math.Max(0, (a0-s+ra*cos2)/sin2)
	tb := math.Max(0, (b0-s+rb*cos2)/sin2)
	turn := math.Pi + 2*math.Asin(sin)
	first := geom.Edge{A: a.Add(v.Scale(ra)), B: a.Add(w.Scale(ra)), Bulge: -math.Tan(turn / 4)}
	second := geom.Edge{A: b.Sub(w.Scale(rb)), B: b.Sub(v.Scale(rb)), Bulge: math.Tan(turn / 4)}
	pts := []geom.Point{first.A.Add(leg.Scale(ta))}
	pts = append(pts, first.Flatten(eightChord)...)
	pts = append(pts, second.Flatten(eightChord)...)
	return geom.Path{Points: append(pts, second.B.Sub(leg.Scale(tb)))}
}

// mirrored is the path's mirror image in the line from a to b.
func mirrored(p geom.Path, a, b geom.Point) geom.Path {
	e := b.Sub(a).Scale(1 / a.Dist(b))
	out := geom.Path{Points: make([]geom.Point, len(p.Points))}
	for i, q := range p.Points {
		v := q.Sub(a)
		out.Points[i] = a.Add(e.Scale(v.Dot(e))).Sub(e.Left().Scale(v.Dot(e.Left())))
	}
	return out
}
