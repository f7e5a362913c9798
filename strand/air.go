package strand

import (
	"math"
	"slices"

	"sinew/geom"
)

// Limits of bridges and supports.
const (
	// airFlat is how far chords may lie off the arcs of outlines, mm.
	airFlat = 0.01
	// leastAir, mm, is the width under which air counts as none, as area over
	// length of outline: below what a printer can place.
	leastAir = 0.02
	// bridgeAnchor, in bead widths, is how far a bridge goes on where the layer
	// below carries it.
	bridgeAnchor = 2.0
	// bridgeAngles is how many directions are tried over half a turn.
	bridgeAngles = 36
	// supportLeast, in bead widths, is the narrowest support: a bead with room.
	supportLeast = 1.5
)

// bridge is air that plastic rows span in one direction, rad.
type bridge struct {
	area  geom.Polygons
	angle float64
}

// air is what lies over nothing: layer by layer the bridges over it, and the
// areas under which supports stand.
type air struct {
	layers   []Layer
	outlines []geom.Polygons // of each layer
	below    limits
	bridges  map[int][]bridge      // by layer
	roofs    map[int]geom.Polygons // by layer: what supports must carry
}

// newAir looks for what each layer reaches out over the one below by more than
// the overhang allows.
func newAir(layers []Layer, islands []Island, lim limits, s Settings) *air {
	a := &air{layers, make([]geom.Polygons, len(layers)), lim, map[int][]bridge{}, map[int]geom.Polygons{}}
	begins := make([]bool, len(layers))
	for _, is := range islands {
		flat := is.Region.Flatten(airFlat)
		begins[is.First] = true
		for k := is.First; k <= is.Last; k++ {
			a.outlines[k] = append(a.outlines[k], flat...)
		}
	}
	for k := 1; k < len(layers); k++ {
		if !begins[k] {
			continue
		}
		below := a.outlines[k-1].Offset(layers[k].Height*math.Tan(s.Overhang), airFlat)
		for _, part := range parts(a.outlines[k].Subtract(below)) {
			if part.Area() <= leastAir*lengthOf(part) {
				continue
			}
			if angle, span := shortestSpan(part, below, lim.wall); layers[k].Kind == Plastic && span <= lim.span {
				a.bridges[k] = append(a.bridges[k], bridge{part, angle})
			} else if s.Supports && lim.support != nil {
				a.roofs[k] = append(a.roofs[k], part...)
			}
		}
	}
	return a
}

func lengthOf(ps geom.Polygons) float64 {
	sum := 0.0
	for _, p := range ps {
		sum += geom.Path{Points: p, Closed: true}.Length()
	}
	return sum
}

// parts divides polygons into outlines, each with its holes.
func parts(ps geom.Polygons) []geom.Polygons {
	var out []geom.Polygons
	for _, p := range ps {
		if p.Area() > 0 {
			out = append(out, geom.Polygons{p})
		}
	}
	for _, p := range ps {
		if p.Area() > 0 {
			continue
		}
		best := -1 // the smallest outline around the hole
		for i := range out {
			if out[i][0].Contains(p[0]) && (best < 0 || out[i][0].Area() < out[best][0].Area()) {
				best = i
			}
		}
		if best >= 0 {
			out[best] = append(out[best], p)
		}
	}
	return out
}

// shortestSpan returns the direction in which rows a width apart cross the air
// with the shortest longest row, each carried at both ends; +Inf when there is
// no such direction.
func shortestSpan(part, below geom.Polygons, width float64) (angle, span float64) {
	span = math.Inf(1)
	for k := range bridgeAngles {
		at := math.Pi * float64(k) / bridgeAngles
		if s := longestRow(turned(part, at), turned(below, at), width); s < span {
			angle, span = at, s
		}
	}
	return angle, span
}

// longestRow returns the length of the longest of the horizontal rows through
// the part, +Inf where one is not carried at an end.
func longestRow(part, below geom.Polygons, width float64) float64 {
	longest := 0.0
	box := part.Bounds()
	n := max(1, int(math.Ceil(box.Size().Y/width)))
	for i := range n {
		y := box.Min.Y + box.Size().Y*(float64(i)+0.5)/float64(n)
		for _, row := range scan(part, y) {
			if !below.Contains(geom.Point{X: row[0] - bridgeAnchor*width, Y: y}) || !below.Contains(geom.Point{X: row[1] + bridgeAnchor*width, Y: y}) {
				return math.Inf(1)
			}
			longest = math.Max(longest, row[1]-row[0])
		}
	}
	return longest
}

// turned returns the polygons turned by an angle clockwise, so that what runs
// at that angle comes to run along x.
func turned(ps geom.Polygons, angle float64) geom.Polygons {
	sin, cos := math.Sincos(angle)
	out := make(geom.Polygons, len(ps))
	for i, p := range ps {
		for _, q := range p {
			out[i] = append(out[i], geom.Point{X: cos*q.X + sin*q.Y, Y: cos*q.Y - sin*q.X})
		}
	}
	return out
}

// bridged fills a plastic layer that lies over air: rows across the air from
// one side to the other, ordinary rows beside them.
func bridged(all geom.Polygons, bridges []bridge, angle float64, lim limits) []Bead {
	rest := all
	var spans []Bead
	for _, b := range bridges {
		over := b.area.Offset(bridgeAnchor*lim.wall, airFlat)
		for _, row := range rowsIn(all.Intersect(over), b.angle, lim.wall) {
			row.Kind, row.Flow = Span, lim.flow
			spans = append(spans, row)
		}
		rest = rest.Subtract(over.Offset((1-coverPress)*lim.wall, airFlat))
	}
	return append(rowsIn(rest, angle, lim.wall), spans...)
}

// overAir marks the walls that pass over air as bridges.
func overAir(walls []Bead, bridges []bridge, flow float64) []Bead {
	out := slices.Clone(walls)
	for i := range out {
		for _, b := range bridges {
			if slices.ContainsFunc(out[i].Points, b.area.Contains) {
				out[i].Kind, out[i].Flow = Span, flow
			}
		}
	}
	return out
}

// support adds the beads of supports to the print's layers: nested loops, the
// same in each layer, so that each lies on the one below.
func (a *air) support(pr *Print) {
	if len(a.roofs) == 0 {
		return
	}
	free := a.columns()
	var last geom.Polygons
	var loops []Bead
	for k := range pr.Layers {
		if free[k] == nil {
			continue
		}
		if !same(free[k], last) {
			last, loops = free[k], supportLoops(free[k], a.below)
		}
		pr.Layers[k].Beads = follow(pr.Layers[k].Beads, loops)
	}
}

func same(a, b geom.Polygons) bool {
	return slices.EqualFunc(a, b, func(p, q geom.Polygon) bool { return slices.Equal(p, q) })
}

// columns returns for each layer the area in which supports stand: under roofs,
// down to the bed or to the part, with the gaps that let them break off.
func (a *air) columns() []geom.Polygons {
	out := make([]geom.Polygons, len(a.layers))
	s := a.below.support
	for roof := len(a.layers) - 1; roof > 0; roof-- {
		if a.roofs[roof] == nil {
			continue
		}
		// clear[k] is what no part fills from layer k up to the roof.
		clear := make([]geom.Polygons, roof)
		left := a.roofs[roof]
		for k := roof - 1; k >= 0; k-- {
			if k == roof-1 || !same(a.outlines[k], a.outlines[k+1]) {
				left = left.Subtract(a.outlines[k].Offset(s.Side, airFlat))
			}
			clear[k] = left
		}
		for k := a.gapUnder(roof) - 1; k >= 0; k-- {
			if area := clear[a.gapUnder(k)]; len(area) > 0 {
				out[k] = out[k].Union(area)
			}
		}
	}
	return out
}

// gapUnder returns the lowest of the layers below layer k that are left out so
// that the gap is reached; 0 where the bed comes first.
func (a *air) gapUnder(k int) int {
	for sum := 0.0; k > 0 && sum < a.below.support.Gap-heightRounding; {
		k--
		sum += a.layers[k].Height
	}
	return k
}

// heightRounding, mm, bounds rounding in sums of heights.
const heightRounding = 1e-6

// supportLoops returns closed beads along the area's border and further ones a
// pitch apart inside it. Where it is too narrow for a loop a bead runs along it.
func supportLoops(area geom.Polygons, lim limits) []Bead {
	var out []Bead
	for _, part := range parts(area) {
		if len(part.Offset(-lim.wall, airFlat)) == 0 {
			out = append(out, alongside(part, lim.wall)...)
			continue
		}
		d := lim.wall / 2
		for loops := part.Offset(-d, airFlat); len(loops) > 0; loops = part.Offset(-d, airFlat) {
			for _, p := range loops {
				out = append(out, Bead{Kind: Support, Points: p, Closed: true, Width: lim.wall})
			}
			d += lim.support.Pitch
		}
	}
	return out
}

// alongside returns beads along the middle of a narrow area; they keep a square
// off its border, by which squares may miss it.
func alongside(part geom.Polygons, width float64) []Bead {
	var out []Bead
	for _, inside := range parts(part.Offset(-fillCell, airFlat)) {
		if inside.Area() < supportLeast*width*width {
			continue
		}
		for _, b := range newGaps(newRaster(regionsOf(inside), fillCell)).beads(width) {
			b.Kind = Support
			out = append(out, b)
		}
	}
	return out
}

func regionsOf(part geom.Polygons) []geom.Region {
	r := geom.Region{Outer: part[0].Loop()}
	for _, h := range part[1:] {
		r.Holes = append(r.Holes, h.Loop())
	}
	return []geom.Region{r}
}
