package strand

import (
	"math"
	"sort"

	"sinew/geom"
)

// Fitting of lines by arcs.
const (
	// FitTolerance is how far the points of a line may lie off the arcs that
	// stand for it, mm: a hundredth of the narrowest bead.
	FitTolerance = 0.005
	// flatArc, mm, is the rise of an arc over its chord below which it is a
	// straight line: a thousandth of what a machine can place.
	flatArc = 1e-5
	// fitReach bounds the points that one pair of arcs may stand for.
	fitReach = 400
)

// Arcs returns the strand's centre line as arcs and straight pieces that join
// without a corner (G1) and pass its points within the tolerance: pairs of arcs
// from point to point, each pair as long as the tolerance allows (K. M. Bolton,
// Biarc curves, Computer-Aided Design 7 (1975) 89–92).
func (s *Strand) Arcs(tolerance float64) []geom.Edge {
	pts := s.Once()
	return fitArcs(pts, tangents(pts, s.Closed), tolerance)
}

// fitArcs fits points with their directions from the first to the last.
func fitArcs(p, dir []geom.Point, tolerance float64) []geom.Edge {
	var out []geom.Edge
	for i := 0; i+1 < len(p); {
		fits := func(j int) bool {
			pair, ok := biarc(p[i], dir[i], p[j], dir[j])
			return ok && passes(pair, p[i+1:j], tolerance)
		}
		j := longest(i, min(len(p)-1, i+fitReach), fits)
		pair, ok := biarc(p[i], dir[i], p[j], dir[j])
		if !ok { // neighbours whose directions oppose each other
			pair = [2]geom.Edge{{A: p[i], B: p[j]}}
		}
		for _, e := range pair {
			if e.A != e.B {
				out = append(out, e)
			}
		}
		i = j
	}
	return out
}

// longest returns the farthest point after i that can be reached: by doubling
// the way, then by halving what was too much.
func longest(i, end int, fits func(j int) bool) int {
	good, step := i+1, 2
	for i+step <= end && fits(i+step) {
		good, step = i+step, 2*step
	}
	bad := min(end+1, i+step)
	n := sort.Search(bad-good-1, func(k int) bool { return !fits(good + 1 + k) })
	return good + n
}

// passes reports whether the points lie on the pair of arcs.
func passes(pair [2]geom.Edge, p []geom.Point, tolerance float64) bool {
	for _, q := range p {
		_, d := pair[0].Nearest(q)
		if d > tolerance {
			if _, e := pair[1].Nearest(q); e > tolerance {
				return false
			}
		}
	}
	return true
}

// biarc returns two arcs that join without a corner and lead from a along u to
// b along v, the tangents at the joint as long on either side. ok is false
// where there is none that turns by less than half a turn.
func biarc(a, u, b, v geom.Point) (pair [2]geom.Edge, ok bool) {
	w, t := b.Sub(a), u.Add(v)
	den := 2 * (1 - u.Dot(v))
	var d float64
	if den < flatArc {
		d = w.Dot(w) / (2 * w.Dot(t))
	} else {
		wt := w.Dot(t)
		d = (math.Sqrt(wt*wt+den*w.Dot(w)) - wt) / den
	}
	if !(d > 0) || d > 2*w.Norm() {
		return pair, false
	}
	m := a.Add(b).Add(u.Sub(v).Scale(d)).Scale(0.5)
	return [2]geom.Edge{arcAlong(a, m, u), arcAlong(b, m, v.Scale(-1)).Reverse()}, true
}

// arcAlong is the arc from a to b that leaves a along the unit direction u.
func arcAlong(a, b, u geom.Point) geom.Edge {
	c := b.Sub(a)
	half := math.Atan2(u.Cross(c), u.Dot(c)) // of its sweep
	bulge := math.Tan(half / 2)
	if math.Abs(bulge)*c.Norm()/2 < flatArc {
		bulge = 0
	}
	return geom.Edge{A: a, B: b, Bulge: bulge}
}

// ontoArcs moves the points of a sampled line onto the arcs fitted to it, at
// equal steps: what is laid is the smooth curve, free of the noise of sampling.
func ontoArcs(p []geom.Point, closed bool, step float64) []geom.Point {
	edges := fitArcs(p, tangents(p, closed), FitTolerance)
	total := 0.0
	for _, e := range edges {
		total += e.Length()
	}
	n := max(1, int(math.Ceil(total/step-stepSlack)))
	out := make([]geom.Point, 0, n+1)
	gone, k := 0.0, 0
	for i := range n {
		s := total * float64(i) / float64(n)
		for k+1 < len(edges) && gone+edges[k].Length() < s {
			gone += edges[k].Length()
			k++
		}
		out = append(out, edges[k].At(math.Min(1, (s-gone)/edges[k].Length())))
	}
	return append(out, p[len(p)-1])
}

// stepSlack keeps a length that is a whole number of steps, but for rounding,
// from getting one more.
const stepSlack = 1e-9
