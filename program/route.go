package program

import (
	"math"
	"slices"

	"sinew/geom"
	"sinew/printer"
	"sinew/strand"
)

// Limits of travels inside the part.
const (
	// routeFlat, mm, is how far chords may lie off outlines where ways are sought.
	routeFlat = 0.05
	// routeCoarse, mm, is how far corners of a way round a hole may lie off its
	// border: fewer corners, a shorter search.
	routeCoarse = 0.1
	// detourMost is how many times longer than straight a way inside may be: a
	// longer one takes more time than drawing the plastic back.
	detourMost = 2.0
)

// routes finds ways for the plastic nozzle that keep inside the outlines of a
// layer, where what runs out of it is covered and no thread hangs in a hole.
type routes struct {
	regions []geom.Region // they are made for
	inside  *geom.Clipper
	loops   []geom.Polygon // to go along
}

// newRoutes prepares ways half a bead inside the outlines.
func newRoutes(regions []geom.Region, width float64) *routes {
	r := &routes{regions: regions}
	var area geom.Polygons
	for _, o := range regions {
		if len(o.Outer) > 0 {
			area = append(area, o.Flatten(routeFlat)...)
		}
	}
	r.inside = geom.NewClipper(area.Offset(-width/4, routeFlat))
	for _, p := range area.Offset(-width/2, routeFlat) {
		if s := (geom.Path{Points: p, Closed: true}).Simplify(routeCoarse).Points; len(s) > 2 {
			r.loops = append(r.loops, s)
		}
	}
	return r
}

// clear reports whether the straight way keeps inside.
func (r *routes) clear(a, b geom.Point) bool {
	pieces := r.inside.Clip(geom.Path{Points: []geom.Point{a, b}})
	return len(pieces) == 1 && math.Abs(pieces[0].Length()-a.Dist(b)) <= lengthRounding
}

// way returns the corners of a way inside from a to b, b among them: straight,
// or along one border the shorter way round. It reports whether there is one
// worth going.
func (r *routes) way(a, b geom.Point) ([]geom.Point, bool) {
	if r.clear(a, b) {
		return []geom.Point{b}, true
	}
	var best []geom.Point
	shortest := detourMost * a.Dist(b)
	for _, l := range r.loops {
		for _, along := range both(l, a, b) {
			w := r.pulled(append(along, b), a)
			if n := (geom.Path{Points: append([]geom.Point{a}, w...)}).Length(); w != nil && n < shortest {
				best, shortest = w, n
			}
		}
	}
	return best, best != nil
}

// both returns the two ways along a loop from the corner nearest to a to the one
// nearest to b.
func both(l geom.Polygon, a, b geom.Point) [2][]geom.Point {
	near := func(p geom.Point) int {
		best := 0
		for i := range l {
			if l[i].Dist(p) < l[best].Dist(p) {
				best = i
			}
		}
		return best
	}
	from, to := near(a), near(b)
	var out [2][]geom.Point
	for i := from; ; i = (i + 1) % len(l) {
		out[0] = append(out[0], l[i])
		if i == to {
			break
		}
	}
	for i := to; ; i = (i + 1) % len(l) {
		out[1] = append(out[1], l[i])
		if i == from {
			break
		}
	}
	slices.Reverse(out[1])
	return out
}

// pulled returns the way from a with the corners left out that it can do
// without; nil where it leaves the inside.
func (r *routes) pulled(way []geom.Point, a geom.Point) []geom.Point {
	var out []geom.Point
	for i := 0; i < len(way); i++ {
		if !r.clear(a, way[i]) {
			return nil
		}
		for i+1 < len(way) && r.clear(a, way[i+1]) {
			i++
		}
		out = append(out, way[i])
		a = way[i]
	}
	return out
}

// outlines returns what a layer's travels are to keep inside of.
func (w *writer) outlines(l *strand.Layer) []geom.Region {
	if l.Regions != nil {
		return l.Regions
	}
	return w.whole
}

// within returns a way inside the layer from where the nozzle stands to a place
// on the bed.
func (w *writer) within(p geom.Point) ([]geom.Point, bool) {
	if w.tool != printer.PlasticTool || w.retracted {
		return nil, false
	}
	if w.ways == nil || !sameRegions(w.ways.regions, w.outline) {
		w.ways = newRoutes(w.outline, w.card.WallWidth)
	}
	at := geom.Point{X: float64(w.at[0]), Y: float64(w.at[1])}.Scale(1 / w.scale)
	way, ok := w.ways.way(at.Sub(w.shift), p.Sub(w.shift))
	for i := range way {
		way[i] = way[i].Add(w.shift)
	}
	return way, ok
}

// sameRegions reports whether two lists hold the very same outlines.
func sameRegions(a, b []geom.Region) bool {
	return slices.EqualFunc(a, b, func(p, q geom.Region) bool {
		return len(p.Outer) == len(q.Outer) && len(p.Holes) == len(q.Holes) && (len(p.Outer) == 0 || &p.Outer[0] == &q.Outer[0])
	})
}
