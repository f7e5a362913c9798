package strand

import (
	"math"

	"sinew/geom"
)

// Rounding of drawn corners.
const (
	// cornerThin, mm, is how far a path may be thinned before its corners are
	// rounded: a freehand line then has corners a few mm apart, and arcs between
	// their sides give back its bends.
	cornerThin = 0.1
	// cornerSpare is the share by which corners are rounded wider than the tow's
	// least radius, for sampling and smoothing to take from.
	cornerSpare = 1.1
	// cornerChord, mm, bounds how far the chords of a rounding lie off its arc.
	cornerChord = 0.01
)

// rounded returns the path with its corners rounded to arcs of the radius, each
// arc as wide as half of the sides beside it and the drift at its corner allow.
func rounded(p geom.Path, radius, drift float64) geom.Path {
	p = p.Simplify(cornerThin)
	n := len(p.Points)
	out := geom.Path{Closed: p.Closed}
	for i, c := range p.Points {
		if !p.Closed && (i == 0 || i == n-1) {
			out.Points = append(out.Points, c)
			continue
		}
		out.Points = append(out.Points, corner(p.Points[(i+n-1)%n], c, p.Points[(i+1)%n], radius, drift)...)
	}
	return out
}

// corner returns the points of the arc that rounds the corner c between a and
// b. The arc touches the sides r·tan(θ/2) from the corner and passes it at
// r·(1/cos(θ/2) - 1), θ the angle of the turn.
func corner(a, c, b geom.Point, radius, drift float64) []geom.Point {
	in, out := unitVector(c.Sub(a)), unitVector(b.Sub(c))
	half := math.Atan2(in.Cross(out), in.Dot(out)) / 2
	if half == 0 || math.Abs(half) > turnBack {
		return []geom.Point{c}
	}
	r := radius
	if pass := 1/math.Cos(half) - 1; r*pass > drift {
		r = drift / pass
	}
	t := math.Min(r*math.Abs(math.Tan(half)), math.Min(a.Dist(c), c.Dist(b))/2)
	arc := geom.Edge{A: c.Sub(in.Scale(t)), B: c.Add(out.Scale(t)), Bulge: math.Tan(half / 2)}
	return arc.Flatten(cornerChord)
}

// turnBack, rad, is half of the turn from which a corner counts as turning
// back: an arc there would be a point.
const turnBack = 0.48 * math.Pi
