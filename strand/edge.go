package strand

import (
	"math"

	"sinew/geom"
)

// Limits of pushing a line off an edge instead of cutting it there.
const (
	// parallelNormal is the greatest part of a line's direction across the
	// edge, |t·n|, at which it counts as running along it (20 degrees).
	parallelNormal = 0.35
	// pushFrom is the least distance of a line that is pushed, mm; nearer to
	// the edge it is cut. A line along an edge is one half-spacing off it, so
	// that this bounds mesh error only.
	pushFrom = 0.08
	// pushBlend, mm, rounds the passage from pushed to untouched.
	pushBlend = 0.06
	// traceStep is the distance of points at which lines are pushed and cut, mm.
	traceStep = 0.25
)

// fringe is the edge of the composite region, as lines meet it.
type fringe struct {
	region geom.Region
	edge   *geom.Boundary
	clear  float64 // least distance of a centre line from the edge, mm
}

// spot is a point of a line with its place beside the edge.
type spot struct {
	p    geom.Point
	d    float64 // signed distance from the edge, positive inside
	loop int
	keep bool
}

// place returns the signed distance of p from the edge and what is nearest.
func (e fringe) place(p geom.Point) (float64, geom.Near) {
	n := e.edge.Nearest(p)
	inside := n.Tangent.Cross(p.Sub(n.Point)) > 0
	if n.T <= cornerShare || n.T >= 1-cornerShare { // beside a corner the tangent decides nothing
		inside = e.region.Contains(p)
	}
	if inside {
		return n.Distance, n
	}
	return -n.Distance, n
}

// cornerShare is how near to its ends, as a share of an edge's length, a
// nearest point counts as lying at a corner.
const cornerShare = 1e-6

// push moves a point that lies nearer to the edge than clear away from it,
// along the normal. The move grows with nearness and keeps the order of points
// along a normal, so that lines pushed side by side do not cross.
func (e fringe) push(p geom.Point) geom.Point {
	d, n := e.place(p)
	if d >= e.clear+4*pushBlend {
		return p
	}
	x := d - e.clear
	want := e.clear + (x+math.Sqrt(x*x+pushBlend*pushBlend))/2
	return p.Add(inward(p, n, d).Scale(want - d))
}

// inward returns the unit direction from the edge to the inside at p.
func inward(p geom.Point, n geom.Near, d float64) geom.Point {
	if v := p.Sub(n.Point); v.Norm() > pushBlend/10 {
		return unitVector(v.Scale(math.Copysign(1, d)))
	}
	return n.Tangent.Left()
}

// spots places the points of a line and pushes those that run along an edge.
func (e fringe) spots(path geom.Path) []spot {
	path = path.Resample(traceStep)
	pts := path.Points
	if path.Closed {
		pts = append(pts, pts[0])
	}
	dir := tangents(pts, path.Closed)
	out := make([]spot, len(pts))
	for i, p := range pts {
		d, n := e.place(p)
		out[i] = spot{p: p, d: d, loop: n.Loop, keep: d >= e.clear}
		across := math.Abs(dir[i].Dot(inward(p, n, d)))
		if d > pushFrom && d < e.clear+4*pushBlend && across < parallelNormal {
			out[i].p, out[i].keep = e.push(p), true
		}
	}
	return out
}

// run is a stretch of a line that lies inside.
type run struct {
	pts        []geom.Point
	closed     bool // then the last point repeats the first
	start, end End
	loops      [2]int // edge loops at which it starts and ends, -1: none
}

// clip cuts a line to the inside: its stretches in order, those that the mesh
// or an edge ends cut back to the clear distance.
func (e fringe) clip(path geom.Path) []run {
	all := e.spots(path)
	if path.Closed {
		k := firstCut(all)
		if k < 0 {
			return []run{{pts: points(all), closed: true, loops: [2]int{-1, -1}}}
		}
		all = append(append([]spot(nil), all[k:len(all)-1]...), all[:k+1]...)
	}
	var out []run
	for i := 0; i < len(all); {
		if !all[i].keep {
			i++
			continue
		}
		j := i
		for j < len(all) && all[j].keep {
			j++
		}
		if r, ok := e.stretch(all, i, j); ok {
			out = append(out, r)
		}
		i = j
	}
	return out
}

func firstCut(all []spot) int {
	for i, s := range all {
		if !s.keep {
			return i
		}
	}
	return -1
}

func points(all []spot) []geom.Point {
	pts := make([]geom.Point, len(all))
	for i, s := range all {
		pts[i] = s.p
	}
	return pts
}

// stretch returns the kept points i to j-1 with the places where the clear
// distance is reached beyond them.
func (e fringe) stretch(all []spot, i, j int) (run, bool) {
	r := run{loops: [2]int{-1, -1}}
	r.start, r.loops[0] = e.reason(all, i, i-1)
	r.end, r.loops[1] = e.reason(all, j-1, j)
	if i > 0 {
		if p, ok := e.crossing(all[i], all[i-1]); ok {
			r.pts = append(r.pts, p)
		}
	}
	r.pts = append(r.pts, points(all[i:j])...)
	if j < len(all) {
		if p, ok := e.crossing(all[j-1], all[j]); ok {
			r.pts = append(r.pts, p)
		}
	}
	return r, len(r.pts) > 1
}

// reason tells why a stretch ends at spot i, the next spot beyond being k.
func (e fringe) reason(all []spot, i, k int) (End, int) {
	s := all[i]
	if k >= 0 && k < len(all) {
		return AtEdge, all[k].loop
	}
	// The line itself ends: at the edge, or where the family's elements end.
	if s.d < e.clear {
		return AtEdge, s.loop
	}
	return AtBand, -1
}

// crossing returns the point between a kept spot and the cut one beside it at
// which the distance is clear. Where the kept one was pushed there is none.
func (e fringe) crossing(in, out spot) (geom.Point, bool) {
	if in.d <= e.clear || out.d >= e.clear {
		return geom.Point{}, false
	}
	a, b := in.p, out.p
	for range clipHalvings {
		m := a.Lerp(b, 0.5)
		if d, _ := e.place(m); d >= e.clear {
			a = m
		} else {
			b = m
		}
	}
	return a, a != in.p
}

// clipHalvings brings a step of traceStep below 1e-5 mm.
const clipHalvings = 15
