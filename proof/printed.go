package proof

import (
	"math"
	"slices"

	"sinew/geom"
	"sinew/internal/work"
	"sinew/part"
	"sinew/strand"
)

// LayerMap says what some composite layers, all alike, hold at each
// integration point.
type LayerMap struct {
	Layers []int     // composite layers, bottom first, that it stands for
	Height float64   // of one of them, mm
	Rho    []float64 // strands per mm; 0: plain plastic
	// Cos and Sin of the strand's direction, undefined where Rho is 0.
	Cos, Sin []float64
	// Share of its load that the fibre carries, below 1 near a strand's end;
	// nil: 1 everywhere.
	Share []float64
}

// Covered reports whether a bead lies at the point.
func (l *LayerMap) Covered(point int) bool { return l.Rho[point] > 0 }

// Angle of the strand at a point, rad, in (-π/2, π/2].
func (l *LayerMap) Angle(point int) float64 {
	a := math.Atan2(l.Sin[point], l.Cos[point])
	switch {
	case a > math.Pi/2:
		return a - math.Pi
	case a <= -math.Pi/2:
		return a + math.Pi
	}
	return a
}

// Length returns the fibre length, mm, of one layer: the integral of the
// strands per mm over points that stand for areas.
func (l *LayerMap) Length(weights []float64) float64 {
	sum := 0.0
	for p, w := range weights {
		sum += w * l.Rho[p]
	}
	return sum
}

// AsPrinted maps the strands of a print back to the integration points, one
// entry for each set of equal composite layers in the order of their first.
// p says which sides are held or loaded; nil: none. transfer is the length over
// which a strand's end takes up load, mm.
func AsPrinted(pr *strand.Print, p *part.Part, points []geom.Point, transfer float64, workers int) []LayerMap {
	groups := equalLayers(pr)
	grips := grippedSides(p)
	maps := make([]LayerMap, len(groups))
	work.Each(len(groups), workers, func(i int) {
		first := &pr.Layers[groups[i][0]]
		maps[i] = mapLayer(first, pr, grips, points, transfer)
		for _, k := range groups[i] {
			maps[i].Layers = append(maps[i].Layers, pr.Layers[k].Composite)
		}
	})
	return maps
}

// equalLayers groups the composite layers whose strands lie alike, by index
// into pr.Layers. Direction and order of printing do not matter to the part,
// but a layer printed from the other side is cut elsewhere: ends must agree.
func equalLayers(pr *strand.Print) [][]int {
	var groups [][]int
	for i := range pr.Layers {
		if pr.Layers[i].Kind != strand.Composite {
			continue
		}
		at := slices.IndexFunc(groups, func(g []int) bool { return alike(&pr.Layers[g[0]], &pr.Layers[i]) })
		if at < 0 {
			groups = append(groups, nil)
			at = len(groups) - 1
		}
		groups[at] = append(groups[at], i)
	}
	return groups
}

func alike(a, b *strand.Layer) bool {
	if a.Height != b.Height || a.Family != b.Family || len(a.Strands) != len(b.Strands) {
		return false
	}
	lines := func(l *strand.Layer) [][]geom.Point {
		out := make([][]geom.Point, len(l.Strands))
		for i := range l.Strands {
			s := &l.Strands[i]
			out[i] = s.Once()
			if n := len(out[i]); n > 1 && before(out[i][n-1], out[i][0]) {
				out[i] = slices.Clone(out[i])
				slices.Reverse(out[i])
			}
		}
		slices.SortFunc(out, func(p, q []geom.Point) int {
			switch {
			case len(p) == 0 || len(q) == 0:
				return len(p) - len(q)
			case before(p[0], q[0]):
				return -1
			case before(q[0], p[0]):
				return 1
			}
			return len(p) - len(q)
		})
		return out
	}
	return slices.EqualFunc(lines(a), lines(b), func(p, q []geom.Point) bool { return slices.Equal(p, q) })
}

func before(a, b geom.Point) bool { return a.X < b.X || a.X == b.X && a.Y < b.Y }

// gripReach is how far, in least spacings, the end of a strand may lie from a
// gripped side and still count as held by it: half a bead, and some for walls.
const gripReach = 3

// grippedSides are the sides of the outline that are held or loaded; nil where
// there are none.
func grippedSides(p *part.Part) *geom.Boundary {
	edges := geom.Loop(gripEdges(p))
	if len(edges) == 0 {
		return nil
	}
	return geom.NewBoundary(geom.Region{Outer: edges})
}

// mapLayer looks up the bead at each point. A strand that meets a side which is
// held or loaded is taken to reach it: its centre line ends half a bead short,
// and a grip holds it over a length that a load on the edge does not know. Else
// a strip of plain plastic would lie between every grip and its strands, the
// softer the finer the mesh. Where beads are narrower than the
// printer's least spacing they overlap: the share of tow then is that of the
// least spacing.
func mapLayer(l *strand.Layer, pr *strand.Print, grips *geom.Boundary, points []geom.Point, transfer float64) LayerMap {
	n := len(points)
	m := LayerMap{Height: l.Height, Rho: make([]float64, n), Cos: make([]float64, n), Sin: make([]float64, n)}
	if transfer > 0 {
		m.Share = make([]float64, n)
	}
	coverage := strand.NewCoverage(l.Strands, pr.Halves(l))
	edge := geom.NewBoundary(pr.Composite)
	if grips != nil {
		coverage.ReachEdge(pr.SpacingMin)
	}
	var ends []endDistance
	if transfer > 0 {
		ends = newEndDistances(l.Strands)
	}
	for i, p := range points {
		place, covered := coverage.At(p)
		if !covered || place.Past > 0 && (grips.Nearest(p).Distance > gripReach*pr.SpacingMin || !edge.Contains(p)) {
			continue
		}
		m.Rho[i] = 1 / math.Max(place.Width, pr.SpacingMin)
		m.Cos[i], m.Sin[i] = place.Direction.X, place.Direction.Y
		if transfer > 0 {
			m.Share[i] = math.Min(1, ends[place.Strand].at(place.Along)/transfer)
		}
	}
	return m
}

// endDistance knows the arc length at each point of a strand.
type endDistance struct {
	arc    []float64
	closed bool
}

func newEndDistances(strands []strand.Strand) []endDistance {
	out := make([]endDistance, len(strands))
	for i := range strands {
		pts := strands[i].Once()
		d := endDistance{arc: make([]float64, len(pts)), closed: strands[i].Closed}
		for k := 1; k < len(pts); k++ {
			d.arc[k] = d.arc[k-1] + pts[k].Dist(pts[k-1])
		}
		out[i] = d
	}
	return out
}

// at returns the distance along the strand to its nearer end; a closed strand
// overlaps its own start and has none.
func (d endDistance) at(along float64) float64 {
	if d.closed {
		return math.Inf(1)
	}
	k := min(int(along), len(d.arc)-2)
	s := d.arc[k] + (along-float64(k))*(d.arc[k+1]-d.arc[k])
	return math.Min(s, d.arc[len(d.arc)-1]-s)
}

// share is work.Each over many small pieces of work, in blocks.
func share(n, workers int, do func(i int)) {
	const block = 1024
	work.Each((n+block-1)/block, workers, func(b int) {
		for i := b * block; i < min(n, (b+1)*block); i++ {
			do(i)
		}
	})
}
