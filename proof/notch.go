package proof

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"

	"sinew/geom"
	"sinew/material"
	"sinew/stress"
)

// Rule says over what distance an index is taken at the part's edges, where
// stress peaks. All designs are judged by the same rule.
type Rule string

// The rules. The two of Whitney & Nuismer, J. Compos. Mater. 8 (1974) 253, act
// on lines that leave the edge at a right angle, the mean over a disc at every
// point of the part; farther from all edges than their distance, the disc
// serves for those too.
const (
	DiscMean      Rule = "disc"           // mean over a disc of Settings.Radius
	PointStress   Rule = "point-stress"   // at the distance d0 from the edge
	AverageStress Rule = "average-stress" // mean from the edge to the distance a0
)

// Rules returns all rules.
func Rules() []Rule { return []Rule{DiscMean, PointStress, AverageStress} }

// RuleMargins holds the margins of one design under one case by one rule.
type RuleMargins struct {
	Rule    Rule
	Margins []Margin
}

// spots are the points on the lines that the edge rules look along. They
// follow the integration points in the judge's list.
type spots struct {
	points []geom.Point
	places []stress.Spot
	lines  []spotLine
	weight []float64 // of each place of a line by Gauss, adding up to 1
}

// spotLine is one line from the edge into the part, by index into the spots.
type spotLine struct {
	point int // at the distance of PointStress
	first int // of len(weight) places for AverageStress
}

const (
	// lineOrder of the Gauss rule along a line: the field 1 + x² + 3x⁴ of a
	// round hole is integrated to 1e-6 over four radii.
	lineOrder = 6
	// perLine is the number of points of a line: the one of PointStress first.
	perLine = 1 + lineOrder
	// lineStep is the distance of lines along the edge in characteristic
	// distances of PointStress: indices change little along so short a way.
	lineStep = 0.5
	// fewestLines on an edge, however short.
	fewestLines = 3
	// clearShare is the share of a line's length that the part must be free around
	// its end; a line that comes nearer to another edge ends there.
	clearShare = 0.98
	// lineTrials is in how many steps the free length of a line is sought.
	lineTrials = 16
	// inside is the step by which the inner side of an edge is told, mm.
	inside = 1e-3
)

// newSpots lays lines along all edges of the part.
func newSpots(sys *stress.System, n material.Notch) *spots {
	region := sys.Part().Region
	s := &spots{weight: make([]float64, lineOrder)}
	depth := make([]float64, lineOrder)
	quad.Legendre{}.FixedLocations(depth, s.weight, 0, 1)
	slices.Sort(depth) // the weights are the same from either end
	b := geom.NewBoundary(region)
	var points []geom.Point // of all lines that have room, perLine each
	for _, loop := range append([]geom.Loop{region.Outer}, region.Holes...) {
		for _, e := range loop {
			count := max(fewestLines, int(math.Ceil(e.Length()/(lineStep*n.Point))))
			for k := range count {
				t := (float64(k) + 0.5) / float64(count)
				points = append(points, linePoints(b, e.At(t), e.Tangent(t), n, depth)...)
			}
		}
	}
	places, ok := sys.Locate(points)
	for at := 0; at < len(points); at += perLine {
		if slices.Contains(ok[at:at+perLine], false) {
			continue
		}
		first := len(s.points)
		s.points, s.places = append(s.points, points[at:at+perLine]...), append(s.places, places[at:at+perLine]...)
		s.lines = append(s.lines, spotLine{point: first, first: first + 1})
	}
	return s
}

// linePoints returns the points of one line, nil where it has no room.
func linePoints(b *geom.Boundary, at, tangent geom.Point, n material.Notch, depth []float64) []geom.Point {
	in := geom.Point{X: -tangent.Y, Y: tangent.X}
	if !b.Contains(at.Add(in.Scale(inside))) {
		in = in.Scale(-1)
	}
	room := freeLength(b, at, in, math.Max(n.Point, n.Average))
	if room == 0 {
		return nil
	}
	points := []geom.Point{at.Add(in.Scale(math.Min(n.Point, room)))}
	for _, d := range depth {
		points = append(points, at.Add(in.Scale(d*math.Min(n.Average, room))))
	}
	return points
}

// freeLength is how far a line from the edge goes, up to limit, before it is
// nearer to another edge than to its own.
func freeLength(b *geom.Boundary, at, in geom.Point, limit float64) float64 {
	free := 0.0
	for k := 1; k <= lineTrials; k++ {
		d := limit * float64(k) / lineTrials
		p := at.Add(in.Scale(d))
		if !b.Contains(p) || b.Nearest(p).Distance < clearShare*d {
			break
		}
		free = d
	}
	return free
}

// distance of a rule from the edge, mm; within it the rule's lines speak.
func (j *judge) distance(r Rule) float64 {
	if r == PointStress {
		return j.notch.Point
	}
	return j.notch.Average
}

// interior marks the integration points whose disc lies farther from every
// edge than a rule's distance: a disc that reached over it would take in the
// peak that the rule leaves out.
func (j *judge) interior(r Rule, fromEdge []float64) []bool {
	out := make([]bool, j.n)
	for p := range out {
		out[p] = fromEdge[p] >= j.distance(r)+j.set.DiscRadius()
	}
	return out
}

// along returns the index that a rule finds on a line, and false where the line
// does not lie on the material that the index is about, or is masked.
func (j *judge) along(r Rule, l spotLine, f *indexField) (value float64, at int, ok bool) {
	at = j.n + l.point
	if j.masked[at] {
		return 0, at, false
	}
	if r == PointStress {
		return f.index[at], at, f.holds == nil || f.holds[at]
	}
	sum, weight := 0.0, 0.0
	at = j.n + l.first
	for k, w := range j.spots.weight {
		if p := j.n + l.first + k; f.holds == nil || f.holds[p] {
			sum += w * f.index[p]
			weight += w
		}
	}
	return sum / weight, at, weight > leastHeld
}

// leastHeld is the share of a line that must lie on a material for its mean to
// speak of it.
const leastHeld = 0.5
