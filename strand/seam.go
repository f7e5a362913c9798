package strand

import (
	"math"

	"sinew/geom"
)

// seamStep, mm, is the distance of places tried for the start of a wall.
const seamStep = 1.0

// placeSeams lets closed walls start where quiet is least: the start and end of
// a bead is its weakest place. Without quiet they stay.
func placeSeams(beads []Bead, quiet func(geom.Point) float64) {
	if quiet == nil {
		return
	}
	for i := range beads {
		b := &beads[i]
		if !b.Closed || b.Widths != nil {
			continue
		}
		path := geom.Path{Points: b.Points, Closed: true}
		best, at := math.Inf(1), 0.0
		for s := 0.0; s < path.Length(); s += seamStep {
			if q := quiet(path.At(s)); q < best {
				best, at = q, s
			}
		}
		b.Points = startAt(b.Points, at)
	}
}

// startAt returns a closed polyline that starts at an arc length of it.
func startAt(pts []geom.Point, at float64) []geom.Point {
	n := len(pts)
	for i := range n {
		a, b := pts[i], pts[(i+1)%n]
		d := a.Dist(b)
		switch {
		case at <= seamMerge:
			return append(append([]geom.Point{}, pts[i:]...), pts[:i]...)
		case at < d-seamMerge:
			out := append([]geom.Point{a.Lerp(b, at/d)}, pts[i+1:]...)
			return append(out, pts[:i+1]...)
		}
		at = math.Max(0, at-d)
	}
	return pts
}

// seamMerge, mm: nearer than this to a corner a wall starts at the corner.
const seamMerge = 0.05
