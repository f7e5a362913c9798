package solid

import (
	"cmp"
	"math"
	"slices"

	"sinew/geom"
)

// Limits within which chords count as one arc.
const (
	// arcTolerance, mm: corners of a tessellated arc lie on it but for the
	// rounding of the file, a few micrometres at most in single precision.
	arcTolerance = 1e-3
	// mostChord is the angle of a chord from which on a polygon is taken for
	// what it is: a hexagon is a hexagon, twelve sides and more are a circle.
	mostChord = math.Pi / 6 * 1.001
	// fewestChords of an arc: the corners of any symmetric chamfer lie on a
	// circle.
	fewestChords = 3
	// evenChords is how far chords of one arc may differ: exporters cut an arc
	// evenly, only its first and last chord may be shorter.
	evenChords = 1.02
)

// Recovered says what became of the chords of some loops.
type Recovered struct {
	Arcs int     // found again
	Sag  float64 // largest distance between such an arc and a chord it replaces, mm
}

// Regions returns the section's areas, outlines with their holes, ordered by
// the middle of their boxes; runs of chords of one circle become arcs again.
func (s *Section) Regions() ([]geom.Region, Recovered) {
	var rec Recovered
	rounded := nest(s.Loops, func(p geom.Polygon) geom.Loop { return rec.loop(p) })
	for _, r := range rounded {
		if r.Validate() != nil { // a rounded edge touches another: chords kept them apart
			return nest(s.Loops, func(p geom.Polygon) geom.Loop { return p.Loop() }), Recovered{}
		}
	}
	return rounded, rec
}

// nest puts each hole into the smallest outline around it.
func nest(loops []Chain, shape func(geom.Polygon) geom.Loop) []geom.Region {
	order := make([]int, len(loops))
	for i := range order {
		order[i] = i
	}
	area := func(i int) float64 { return loops[i].Points.Area() }
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(math.Abs(area(a)), math.Abs(area(b))) })
	boxes := make([]geom.Box, len(loops))
	for i := range loops {
		boxes[i] = geom.Polygons{loops[i].Points}.Bounds()
	}
	regions := map[int]*geom.Region{}
	for _, i := range order {
		if area(i) > 0 {
			regions[i] = &geom.Region{Outer: shape(loops[i].Points)}
		}
	}
	for _, h := range order {
		if area(h) > 0 {
			continue
		}
		for _, o := range order {
			if regions[o] != nil && area(o) > -area(h) && boxes[o].Meets(boxes[h]) && inside(loops[h].Points, loops[o].Points) {
				regions[o].Holes = append(regions[o].Holes, shape(loops[h].Points))
				break
			}
		}
	}
	var out []geom.Region
	for _, i := range order {
		if r := regions[i]; r != nil {
			slices.SortStableFunc(r.Holes, byMiddle)
			out = append(out, *r)
		}
	}
	slices.SortStableFunc(out, func(a, b geom.Region) int { return byMiddle(a.Outer, b.Outer) })
	return out
}

// inside reports whether a loop lies in another that it does not cross: by
// most of three sides' middles, for they may touch at corners.
func inside(p, around geom.Polygon) bool {
	in := 0
	for k := range 3 {
		i := k * len(p) / 3
		if around.Contains(p[i].Lerp(p[(i+1)%len(p)], 0.5)) {
			in++
		}
	}
	return in >= 2
}

// middleStep is the grain to which middles are compared, as in package
// drawing: rounding must not decide the order of holes above one another.
const middleStep = 1e-3 // mm

func byMiddle(a, b geom.Loop) int {
	p, q := a.Bounds().Middle(), b.Bounds().Middle()
	return cmp.Or(cmp.Compare(math.Round(p.X/middleStep), math.Round(q.X/middleStep)), cmp.Compare(math.Round(p.Y/middleStep), math.Round(q.Y/middleStep)))
}

// loop finds the arcs of a polygon.
func (rec *Recovered) loop(p geom.Polygon) geom.Loop {
	n := len(p)
	if c, ok := circleOf(p, true); ok {
		rec.Arcs++
		rec.Sag = max(rec.Sag, c.sag(p[0], p[1%n]))
		l := geom.Circle(c.center, c.radius)
		if p.Area() < 0 {
			return l.Reverse()
		}
		return l
	}
	q := slices.Concat(p[longest(p):], p[:longest(p)]) // a run does not go over the longest side
	q = append(q, q[0])
	var out geom.Loop
	for i := 0; i < n; {
		c, k := longestRun(q[i:])
		if k == 0 {
			out = append(out, geom.Edge{A: q[i], B: q[i+1]})
			i++
			continue
		}
		rec.Arcs++
		for m := i; m < i+k; m++ {
			rec.Sag = max(rec.Sag, c.sag(q[m], q[m+1]))
		}
		out = append(out, c.edge(q[i:i+k+1]))
		i += k
	}
	return out
}

// longest returns the index at the end of the longest side.
func longest(p geom.Polygon) int {
	best, at := 0.0, 0
	for i := range p {
		if d := p[i].Dist(p[(i+1)%len(p)]); d > best*evenChords {
			best, at = d, (i+1)%len(p)
		}
	}
	return at
}

// longestRun returns how many chords from the start lie on one circle, 0 if
// too few: by doubling, then halving, so that a circle of n corners costs
// n·log n.
func longestRun(q []geom.Point) (circle, int) {
	var found circle
	good, bad := 0, len(q)
	try := func(k int) {
		if c, ok := circleOf(q[:k+1], false); ok {
			found, good = c, k
		} else {
			bad = k
		}
	}
	for k := fewestChords; k < bad; k *= 2 {
		try(k)
	}
	for good > 0 && bad-good > 1 {
		try((good + bad) / 2)
	}
	return found, good
}

// circle is the circle that corners lie on.
type circle struct {
	center geom.Point
	radius float64
}

// sag is the distance between the arc and its chord from a to b.
func (c circle) sag(a, b geom.Point) float64 {
	half := a.Dist(b) / 2
	return c.radius - math.Sqrt(max(0, c.radius*c.radius-half*half))
}

// edge returns the arc along the run of corners.
func (c circle) edge(run []geom.Point) geom.Edge {
	sweep := 0.0
	for i := range run[1:] {
		sweep += c.turn(run[i], run[i+1])
	}
	return geom.Edge{A: run[0], B: run[len(run)-1], Bulge: math.Tan(sweep / 4)}
}

// turn is the angle from a to b seen from the centre.
func (c circle) turn(a, b geom.Point) float64 {
	u, v := a.Sub(c.center), b.Sub(c.center)
	return math.Atan2(u.Cross(v), u.Dot(v))
}

// circleOf fits a circle to corners (least squares of the distances' squares:
// I. Kåsa, A circle fitting procedure and its error analysis, IEEE
// Transactions on Instrumentation and Measurement 25 (1976) 8–14) and reports
// whether they are even chords of it.
func circleOf(p []geom.Point, closed bool) (circle, bool) {
	if len(p) <= fewestChords || closed && float64(len(p))*mostChord < 2*math.Pi {
		return circle{}, false
	}
	c, ok := fit(p)
	if !ok {
		return circle{}, false
	}
	for _, q := range p {
		if math.Abs(q.Dist(c.center)-c.radius) > arcTolerance {
			return circle{}, false
		}
	}
	chords := len(p) - 1
	if closed {
		chords = len(p)
	}
	var turns []float64
	for i := range chords {
		turns = append(turns, c.turn(p[i], p[(i+1)%len(p)]))
	}
	return c, c.even(turns, closed)
}

// even reports whether the chords turn one way, by no more than mostChord, and
// evenly.
func (c circle) even(turns []float64, closed bool) bool {
	most := 0.0
	for _, t := range turns {
		if t*turns[0] <= 0 {
			return false
		}
		most = max(most, math.Abs(t))
	}
	if most > mostChord {
		return false
	}
	// How finely angles are known at all: a corner is known to arcTolerance.
	slack := 2 * arcTolerance / c.radius
	least := most/evenChords - slack
	for i, t := range turns {
		if end := !closed && (i == 0 || i == len(turns)-1); !end && math.Abs(t) < least {
			return false
		}
	}
	return true
}

// fit solves the normal equations about the mean.
func fit(p []geom.Point) (circle, bool) {
	var mean geom.Point
	for _, q := range p {
		mean = mean.Add(q.Scale(1 / float64(len(p))))
	}
	var xx, xy, yy, xz, yz, zz float64
	for _, q := range p {
		d := q.Sub(mean)
		z := d.Dot(d)
		xx, xy, yy = xx+d.X*d.X, xy+d.X*d.Y, yy+d.Y*d.Y
		xz, yz, zz = xz+d.X*z, yz+d.Y*z, zz+z
	}
	det := xx*yy - xy*xy
	if !(det > flatShare*zz*zz) {
		return circle{}, false
	}
	c := geom.Point{X: (xz*yy - yz*xy) / (2 * det), Y: (yz*xx - xz*xy) / (2 * det)}
	return circle{mean.Add(c), math.Sqrt(c.Dot(c) + zz/float64(len(p)))}, true
}

// flatShare is the share of the spread across a run below which it counts as
// straight: its circle would be larger than any part.
const flatShare = 1e-12
