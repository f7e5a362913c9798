package part

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"sinew/geom"
)

// Pick chooses a piece of the boundary. Of the ways to choose a side exactly
// one is given; a hole is chosen by place, diameter, or both.
type Pick struct {
	Name     string
	Kind     FeatureKind
	Near     *geom.Point // a hole: inside it or nearest to it; a side: the nearest edge
	Diameter float64     // of a round hole, mm; 0: any
	Layer    string      // a side: the edges drawn on this drawing layer
	Face     string      // a side: the edges of this face of a solid, by their label
	End      string      // a side: left, right, top or bottom
}

// Tolerances of picks.
const (
	diameterTolerance = 0.05 // mm: drawings round to tenths or finer
	sameDistance      = 1e-6 // mm: nearer than this, two candidates are equally near
	endTolerance      = 1e-6 // share of the part's extent within which an edge lies at the end
)

// Features names the picked pieces of a region's boundary and gives every
// other hole a name of its own: hole-1, hole-2 … in the order of the loops.
// A pick that fits nothing, or several pieces alike, is an error that lists
// the candidates; the returned error joins one error for each bad pick.
func Features(r geom.Region, picks []Pick) ([]Feature, []error) {
	var out []Feature
	errs := make([]error, len(picks))
	used := map[int]bool{}
	for i, p := range picks {
		var f Feature
		if p.Kind == Hole {
			f, errs[i] = pickHole(r, p)
			used[f.Loop] = errs[i] == nil || used[f.Loop]
		} else {
			f, errs[i] = pickSide(r, p)
		}
		f.Name = p.Name
		out = append(out, f)
	}
	for n := range r.Holes {
		if used[n+1] {
			continue
		}
		f := holeFeature(r, n+1)
		f.Name = fmt.Sprintf("hole-%d", n+1)
		out = append(out, f)
	}
	if !slices.ContainsFunc(errs, func(e error) bool { return e != nil }) {
		errs = nil
	}
	return out, errs
}

// holeFeature describes a loop as a hole.
func holeFeature(r geom.Region, loop int) Feature {
	l := r.Loops()[loop]
	f := Feature{Kind: Hole, Loop: loop, Edges: make([]int, len(l))}
	for i := range l {
		f.Edges[i] = i
	}
	if c, d, round := RoundHole(l); round {
		f.Center, f.Diameter = c, d
		return f
	}
	b := l.Bounds()
	f.Center = b.Min.Lerp(b.Max, 0.5)
	return f
}

// RoundHole reports whether a loop is a circle to within a micrometre of its
// arcs' common centre, and gives centre and diameter.
func RoundHole(l geom.Loop) (center geom.Point, diameter float64, round bool) {
	const micrometre = 1e-3 // mm
	if len(l) == 0 || !l[0].IsArc() {
		return geom.Point{}, 0, false
	}
	center, radius := l[0].Center(), l[0].Radius()
	for _, e := range l {
		if !e.IsArc() || e.Center().Dist(center) > micrometre || math.Abs(e.Radius()-radius) > micrometre {
			return geom.Point{}, 0, false
		}
	}
	return center, 2 * radius, true
}

func pickHole(r geom.Region, p Pick) (Feature, error) {
	var found []Feature
	for n := range r.Holes {
		f := holeFeature(r, n+1)
		if p.Diameter == 0 || math.Abs(f.Diameter-p.Diameter) <= diameterTolerance {
			found = append(found, f)
		}
	}
	if p.Near != nil && len(found) > 0 {
		found = nearest(found, func(f Feature) float64 { return holeDistance(r, f, *p.Near) })
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return Feature{}, fmt.Errorf("no hole fits; the part has %s", listHoles(r, nil))
	}
	return Feature{}, fmt.Errorf("%d holes fit (%s); add near = [\"x mm\", \"y mm\"] or a diameter", len(found), listHoles(r, found))
}

// holeDistance is zero inside the hole.
func holeDistance(r geom.Region, f Feature, p geom.Point) float64 {
	l := r.Loops()[f.Loop]
	if l.Contains(p) {
		return 0
	}
	best := math.Inf(1)
	for _, e := range l {
		_, d := e.Nearest(p)
		best = math.Min(best, d)
	}
	return best
}

// nearest keeps the features at the least distance.
func nearest(list []Feature, distance func(Feature) float64) []Feature {
	best := math.Inf(1)
	for _, f := range list {
		best = math.Min(best, distance(f))
	}
	return slices.DeleteFunc(list, func(f Feature) bool { return distance(f) > best+sameDistance })
}

// listHoles words the given holes, or all of the region.
func listHoles(r geom.Region, holes []Feature) string {
	if holes == nil {
		for n := range r.Holes {
			holes = append(holes, holeFeature(r, n+1))
		}
	}
	if len(holes) == 0 {
		return "no holes"
	}
	words := make([]string, len(holes))
	for i, f := range holes {
		size := "not round"
		if f.Diameter > 0 {
			size = fmt.Sprintf("%.4g mm", f.Diameter)
		}
		words[i] = fmt.Sprintf("%s at (%.4g, %.4g)", size, shown(f.Center.X), shown(f.Center.Y))
	}
	return strings.Join(words, ", ")
}

// shown rounds a coordinate to a micrometre for a message: centres that were
// computed carry rounding of their own.
func shown(v float64) float64 { return math.Round(v*1000) / 1000 }

func pickSide(r geom.Region, p Pick) (Feature, error) {
	given := 0
	for _, has := range []bool{p.Near != nil, p.Layer != "", p.Face != "", p.End != ""} {
		if has {
			given++
		}
	}
	if given != 1 {
		return Feature{}, errors.New("a side is picked in exactly one way: near, layer, face or end")
	}
	switch {
	case p.Near != nil:
		return sideNear(r, *p.Near)
	case p.Layer != "":
		return sideLabelled(r, "drawing layer", p.Layer)
	case p.Face != "":
		return sideLabelled(r, "face", p.Face)
	}
	return sideAtEnd(r, p.End)
}

func sideNear(r geom.Region, p geom.Point) (Feature, error) {
	type hit struct {
		loop, edge int
		d          float64
	}
	var hits []hit
	best := math.Inf(1)
	for n, l := range r.Loops() {
		for i, e := range l {
			_, d := e.Nearest(p)
			hits = append(hits, hit{n, i, d})
			best = math.Min(best, d)
		}
	}
	hits = slices.DeleteFunc(hits, func(h hit) bool { return h.d > best+sameDistance })
	if len(hits) == 1 {
		return sideFeature(r, hits[0].loop, []int{hits[0].edge}), nil
	}
	words := make([]string, len(hits))
	for i, h := range hits {
		words[i] = wordEdge(r.Loops()[h.loop][h.edge])
	}
	return Feature{}, fmt.Errorf("%d edges are equally near (%s); move the point towards the one you mean", len(hits), strings.Join(words, ", "))
}

func wordEdge(e geom.Edge) string {
	return fmt.Sprintf("(%.4g, %.4g) to (%.4g, %.4g)", e.A.X, e.A.Y, e.B.X, e.B.Y)
}

// sideLabelled picks the edges with a label; kind is what labels stand for.
func sideLabelled(r geom.Region, kind, layer string) (Feature, error) {
	var layers, on []string // of all edges; loops that hold the layer, worded
	var edges []int
	loop := -1
	for n, l := range r.Loops() {
		var own []int
		for i, e := range l {
			if e.Label == layer {
				own = append(own, i)
			}
			if !slices.Contains(layers, e.Label) {
				layers = append(layers, e.Label)
			}
		}
		if len(own) > 0 {
			on = append(on, "at "+wordEdge(l[own[0]]))
			loop, edges = n, own
		}
	}
	switch len(on) {
	case 1:
		return connectedSide(r, loop, edges)
	case 0:
		slices.Sort(layers)
		return Feature{}, fmt.Errorf("no edge lies on %s %q; the outline has %s", kind, layer, strings.Join(layers, ", "))
	}
	return Feature{}, fmt.Errorf("%d loops have edges on %s %q (%s); pick one with near, or draw each on a layer of its own", len(on), kind, layer, strings.Join(on, ", "))
}

// connectedSide insists that the edges follow each other along their loop.
func connectedSide(r geom.Region, loop int, edges []int) (Feature, error) {
	l := r.Loops()[loop]
	var starts []int // edges whose forerunner is not in the run
	for _, i := range edges {
		if !slices.Contains(edges, (i+len(l)-1)%len(l)) {
			starts = append(starts, i)
		}
	}
	if len(starts) > 1 {
		words := make([]string, len(starts))
		for k, i := range starts {
			words[k] = wordEdge(l[i])
		}
		return Feature{}, fmt.Errorf("its edges form %d separate runs, which start at %s; pick one with near, or draw each on a layer of its own", len(starts), strings.Join(words, ", "))
	}
	if len(starts) == 1 {
		for k := range edges {
			edges[k] = (starts[0] + k) % len(l)
		}
	}
	return sideFeature(r, loop, edges), nil
}

func sideAtEnd(r geom.Region, end string) (Feature, error) {
	along := map[string]geom.Point{"left": {X: -1}, "right": {X: 1}, "top": {Y: 1}, "bottom": {Y: -1}}[end]
	if along == (geom.Point{}) {
		return Feature{}, fmt.Errorf("end is %q; write left, right, top or bottom", end)
	}
	b := r.Outer.Bounds()
	tol := endTolerance * b.Min.Dist(b.Max)
	most := math.Max(b.Min.Dot(along), b.Max.Dot(along))
	var edges []int
	for i, e := range r.Outer {
		if !e.IsArc() && e.A.Dot(along) > most-tol && e.B.Dot(along) > most-tol {
			edges = append(edges, i)
		}
	}
	if len(edges) == 0 {
		return Feature{}, fmt.Errorf("the outline has no straight edge at its %s end; pick the side with near", end)
	}
	return connectedSide(r, 0, edges)
}

func sideFeature(r geom.Region, loop int, edges []int) Feature {
	l := r.Loops()[loop]
	var sum geom.Point
	length := 0.0
	for _, i := range edges {
		sum = sum.Add(l[i].At(0.5).Scale(l[i].Length()))
		length += l[i].Length()
	}
	return Feature{Kind: Side, Loop: loop, Edges: edges, Center: sum.Scale(1 / length)}
}
