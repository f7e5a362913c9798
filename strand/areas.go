package strand

import (
	"math"

	"sinew/geom"
)

// Areas is what the beads of a layer cover, by the exact areas of their polygons,
// mm². As on squares (Raster) the strip seam on either side of a bead's border
// counts as covered and not as overlapped.
type Areas struct {
	Inside   float64 // of the layer's outlines
	Gap      float64 // under no bead
	Overlap  float64 // under two or more
	Multiple float64 // the area that lies on other beads: twice where three lie
}

// Areas measures a layer.
func (pr *Print) Areas(l *Layer) Areas {
	var out Areas
	var outline geom.Polygons
	for _, r := range pr.regionsOf(l) {
		outline = append(outline, r.Flatten(edgeTolerance)...)
	}
	outline = outline.Union(nil)
	out.Inside = outline.Area()
	halves := pr.Halves(l)
	out.Gap = outline.Subtract(beadPolygons(l, halves, pr.SpacingMin, seam).Wound()).Area()
	inner := beadPolygons(l, halves, pr.SpacingMin, -seam)
	for n := 2; ; n++ {
		on := inner.WoundTimes(n).Intersect(outline).Area()
		if on == 0 {
			return out
		}
		if n == 2 {
			out.Overlap = on
		}
		out.Multiple += on
	}
}

// beadPolygons returns the areas of a layer's beads, each grown sideways by a
// margin; a closed bead is a ring, its overlap a piece of its own.
func beadPolygons(l *Layer, halves []Halves, least, margin float64) geom.Polygons {
	var out geom.Polygons
	for i := range l.Strands {
		s, h := &l.Strands[i], halves[i]
		wide := func(v []float64) []float64 {
			w := make([]float64, len(v))
			for k := range v {
				w[k] = math.Max(v[k], least/2) + margin
			}
			return w
		}
		left, right := wide(h.Left), wide(h.Right)
		n := len(s.Once())
		out = append(out, ribbon(s.Points[:n], left[:n], right[:n], s.Closed)...)
		if n < len(s.Points) {
			out = append(out, ribbon(s.Points[n-1:], left[n-1:], right[n-1:], false)...)
		}
	}
	for i := range l.Beads {
		b := &l.Beads[i]
		pts := b.Points
		if b.Closed && len(pts) > 0 {
			pts = append(pts[:len(pts):len(pts)], pts[0])
		}
		half := make([]float64, len(pts))
		for k := range half {
			half[k] = b.Width/2 + margin
			if b.Widths != nil {
				half[k] = b.Widths[k%len(b.Widths)]/2 + margin
			}
		}
		out = append(out, ribbon(pts, half, half, b.Closed)...)
	}
	return out
}

// ribbon returns the area to both sides of a line: piece by piece, with the wedge
// that opens on the outer side of each joint, made one.
func ribbon(p []geom.Point, left, right []float64, closed bool) geom.Polygons {
	var parts geom.Polygons
	for k := 1; k < len(p); k++ {
		n := unitVector(p[k].Sub(p[k-1])).Left()
		if n == (geom.Point{}) {
			continue
		}
		parts = append(parts, geom.Polygon{
			p[k-1].Sub(n.Scale(right[k-1])), p[k].Sub(n.Scale(right[k])), p[k].Add(n.Scale(left[k])), p[k-1].Add(n.Scale(left[k-1])),
		})
		next := k + 1
		if next == len(p) && closed {
			next = 1
		}
		if next < len(p) {
			parts = append(parts, wedgeOf(p[k], n, unitVector(p[next].Sub(p[k])).Left(), left[k], right[k])...)
		}
	}
	return parts.Wound()
}

// wedgeOf is the sector that opens between two pieces of a line with the normals
// a and b.
func wedgeOf(at, a, b geom.Point, left, right float64) geom.Polygons {
	turn := math.Atan2(a.Cross(b), a.Dot(b))
	half := left
	if turn > 0 { // to the left: it opens on the right
		a, b, half = a.Scale(-1), b.Scale(-1), right
	}
	if math.Abs(turn) < flatTurn {
		return nil
	}
	e := geom.Edge{A: at.Add(a.Scale(half)), B: at.Add(b.Scale(half)), Bulge: math.Tan(turn / 4)}
	sector := append(geom.Polygon{at}, e.Flatten(edgeTolerance)...)
	if turn < 0 {
		for i, j := 0, len(sector)-1; i < j; i, j = i+1, j-1 {
			sector[i], sector[j] = sector[j], sector[i]
		}
	}
	return geom.Polygons{sector}
}

// flatTurn, rad, is the turn below which no wedge opens that would be seen.
const flatTurn = 1e-6

// BuildUp is by how much the print stands higher than its layers' heights, place
// by place: where beads lie on one another there is more, in gaps less.
type BuildUp struct {
	Origin geom.Point // corner of square 0
	Cell   float64    // side of a square, mm
	NX, NY int
	Height []float64 // mm, of all layers together; NaN off the part
}

// BuildUp adds up the layers on squares of the given side: each adds its height
// times the number of its beads there less one.
func (pr *Print) BuildUp(cell float64) *BuildUp {
	base := NewRaster(pr.Region, cell)
	out := &BuildUp{base.Origin, cell, base.NX, base.NY, make([]float64, len(base.Beads))}
	for c := range out.Height {
		if !base.Inside[c] {
			out.Height[c] = math.NaN()
		}
	}
	for i := range pr.Layers {
		l := &pr.Layers[i]
		r := pr.Raster(l, cell)
		r.AddStrands(l.Strands, pr.Halves(l), pr.SpacingMin, true)
		r.AddBeads(l.Beads)
		for j := range r.NY {
			for k := range r.NX {
				c := j*r.NX + k
				if at := base.square(r.Center(k, j)); at >= 0 && r.Inside[c] {
					out.Height[at] += l.Height * float64(r.times(c)-1)
				}
			}
		}
	}
	return out
}

// times is how many beads lie over a square, those that only touch counted once.
func (r *Raster) times(c int) int {
	if r.deep[c] > 1 {
		return int(r.deep[c])
	}
	return min(1, int(r.Beads[c]))
}

// Mean returns the mean height over the squares within reach of p along both
// axes; false where the part is not.
func (b *BuildUp) Mean(p geom.Point, reach float64) (float64, bool) {
	sum, n := 0.0, 0
	b.each(p, reach, func(v float64) { sum, n = sum+v, n+1 })
	if n == 0 {
		return 0, false
	}
	return sum / float64(n), true
}

func (b *BuildUp) each(p geom.Point, reach float64, visit func(float64)) {
	at := p.Sub(b.Origin).Scale(1 / b.Cell)
	d := reach / b.Cell
	for j := max(0, int(math.Ceil(at.Y-d-0.5))); j <= min(b.NY-1, int(math.Floor(at.Y+d-0.5))); j++ {
		for i := max(0, int(math.Ceil(at.X-d-0.5))); i <= min(b.NX-1, int(math.Floor(at.X+d-0.5))); i++ {
			if v := b.Height[j*b.NX+i]; !math.IsNaN(v) {
				visit(v)
			}
		}
	}
}

// Most returns the highest and the lowest mean over squares within reach, and
// where they lie.
func (b *BuildUp) Most(reach float64) (high, low float64, atHigh, atLow geom.Point) {
	high, low = math.Inf(-1), math.Inf(1)
	for j := range b.NY {
		for i := range b.NX {
			if math.IsNaN(b.Height[j*b.NX+i]) {
				continue
			}
			p := b.Origin.Add(geom.Point{X: float64(i) + 0.5, Y: float64(j) + 0.5}.Scale(b.Cell))
			v, _ := b.Mean(p, reach)
			if v > high {
				high, atHigh = v, p
			}
			if v < low {
				low, atLow = v, p
			}
		}
	}
	return high, low, atHigh, atLow
}
