package strand

import (
	"math"
	"slices"

	"sinew/geom"
)

// Raster says for each small square of a layer how many beads lie on it.
type Raster struct {
	Origin geom.Point // corner of cell 0
	Cell   float64    // side of a square, mm
	NX, NY int
	// Inside marks the squares whose centre lies in the area; only they count.
	Inside []bool
	// Beads counts the beads over the centre of each square. Where two beads
	// only touch along their seam it counts one.
	Beads []uint8
	// deep counts the beads that reach past the seam by more than its tolerance.
	deep []uint8
	// last is the bead that covered a square last, and that reached it deeply, by
	// its number among all that were counted: it counts once.
	last  []stamp
	beads int32
}

type stamp struct{ touched, deep int32 }

// seam is half the width, mm, of the strip along the border of a bead that
// counts as covered but not as overlapped: half-beads end midway between
// strands up to sampling error, a tenth of it.
const seam = 0.02

// NewRaster lays squares of the given side over the area, with no bead yet.
func NewRaster(area geom.Region, cell float64) *Raster {
	return newRaster([]geom.Region{area}, cell)
}

// Raster lays squares over the layer's outlines, with no bead yet.
func (pr *Print) Raster(l *Layer, cell float64) *Raster { return newRaster(pr.regionsOf(l), cell) }

func newRaster(areas []geom.Region, cell float64) *Raster {
	box := geom.EmptyBox()
	var polys geom.Polygons
	for _, a := range areas {
		box = box.Union(a.Bounds())
		polys = append(polys, a.Flatten(edgeTolerance)...)
	}
	box = box.Grow(cell)
	size := box.Size()
	r := &Raster{Origin: box.Min, Cell: cell, NX: int(size.X/cell) + 1, NY: int(size.Y/cell) + 1}
	n := r.NX * r.NY
	r.Inside, r.Beads, r.deep, r.last = make([]bool, n), make([]uint8, n), make([]uint8, n), make([]stamp, n)
	for j := range r.NY {
		for _, span := range scan(polys, r.Center(0, j).Y) {
			i0 := int(math.Ceil((span[0]-r.Origin.X)/cell - 0.5))
			i1 := int(math.Floor((span[1]-r.Origin.X)/cell - 0.5))
			for i := max(0, i0); i <= min(r.NX-1, i1); i++ {
				r.Inside[j*r.NX+i] = true
			}
		}
	}
	return r
}

// wipe takes all beads off.
func (r *Raster) wipe() {
	clear(r.Beads)
	clear(r.deep)
}

// Center returns the centre of square (i, j).
func (r *Raster) Center(i, j int) geom.Point {
	return r.Origin.Add(geom.Point{X: float64(i) + 0.5, Y: float64(j) + 0.5}.Scale(r.Cell))
}

// scan returns the stretches of the horizontal line at y inside the polygons.
func scan(polys geom.Polygons, y float64) [][2]float64 {
	var xs []float64
	for _, p := range polys {
		for i, a := range p {
			b := p[(i+1)%len(p)]
			if (a.Y > y) != (b.Y > y) {
				xs = append(xs, a.X+(y-a.Y)/(b.Y-a.Y)*(b.X-a.X))
			}
		}
	}
	slices.Sort(xs)
	var out [][2]float64
	for i := 1; i < len(xs); i += 2 {
		out = append(out, [2]float64{xs[i-1], xs[i]})
	}
	return out
}

// AddStrands counts the strands' beads, each half at least half of least wide:
// a bead cannot be laid narrower, so that strands too near overlap. The overlap
// of a closed strand over its own start is counted only with withOverlap.
func (r *Raster) AddStrands(strands []Strand, halves []Halves, least float64, withOverlap bool) {
	for i := range strands {
		pts := strands[i].Once()
		if withOverlap {
			pts = strands[i].Points
		}
		once, h := len(strands[i].Once()), halves[i]
		r.beads++
		for k := 1; k < len(pts); k++ {
			if k == once { // the overlap is a bead of its own
				r.beads++
			}
			if k > 1 {
				r.wedge(pts[k-2], pts[k-1], pts[k], max(h.Left[k-1], least/2), max(h.Right[k-1], least/2))
			}
			r.stroke(pts[k-1], pts[k], [2]float64{max(h.Left[k-1], least/2), max(h.Left[k], least/2)},
				[2]float64{max(h.Right[k-1], least/2), max(h.Right[k], least/2)})
		}
	}
}

// stroke covers the squares beside the piece a–b of the present bead, as far as
// the half-widths at its two ends reach.
func (r *Raster) stroke(a, b geom.Point, left, right [2]float64) {
	reach := max(left[0], left[1], right[0], right[1]) + seam
	v := b.Sub(a)
	n2 := v.Dot(v)
	if n2 == 0 {
		return
	}
	length := math.Sqrt(n2)
	box := geom.Box{Min: a, Max: a}.With(b).Grow(reach)
	j0, j1 := r.span(box.Min.Y-r.Origin.Y, box.Max.Y-r.Origin.Y, r.NY)
	// Both pieces reach past their joint by the seam.
	slack := seam / length
	for j := j0; j <= j1; j++ {
		// Only squares between the lines across the ends and along the sides need
		// be looked at, and one more for rounding.
		lo, hi, y := box.Min.X-a.X, box.Max.X-a.X, r.Center(0, j).Y-a.Y
		if math.Abs(v.X) > leastSlant*length {
			p, q := (-slack*n2-y*v.Y)/v.X, ((1+slack)*n2-y*v.Y)/v.X
			lo, hi = max(lo, min(p, q)-r.Cell), min(hi, max(p, q)+r.Cell)
		}
		if math.Abs(v.Y) > leastSlant*length {
			p, q := (v.X*y-reach*length)/v.Y, (v.X*y+reach*length)/v.Y
			lo, hi = max(lo, min(p, q)-r.Cell), min(hi, max(p, q)+r.Cell)
		}
		if lo > hi {
			continue
		}
		i0, i1 := r.span(a.X+lo-r.Origin.X, a.X+hi-r.Origin.X, r.NX)
		for i := i0; i <= i1; i++ {
			w := r.Center(i, j).Sub(a)
			u := w.Dot(v) / n2
			if u < -slack || u > 1+slack {
				continue
			}
			half, off := left, v.Cross(w)/length
			if off < 0 {
				half, off = right, -off
			}
			r.cover(j*r.NX+i, off, half[0]+u*(half[1]-half[0]))
		}
	}
}

// leastSlant is the share of a stroke's length along an axis from which on that
// axis narrows where its squares lie: rounding then stays far below a square.
const leastSlant = 1e-3

// cover counts the present bead over a square at the given way from its centre
// line, where it is half as wide as half.
func (r *Raster) cover(c int, off, half float64) {
	if off > half+seam {
		return
	}
	s := &r.last[c]
	if s.touched != r.beads {
		s.touched = r.beads
		r.Beads[c]++
	}
	if off <= half-seam && s.deep != r.beads {
		s.deep = r.beads
		r.deep[c]++
	}
}

// wedge covers what opens on the outer side of a joint between two pieces: the
// sector around it, as far as the half-width on that side reaches.
func (r *Raster) wedge(a, p, b geom.Point, left, right float64) {
	v, w := p.Sub(a), b.Sub(p)
	half := right
	if v.Cross(w) < 0 {
		half = left
	}
	reach := half + seam
	i0, i1 := r.span(p.X-reach-r.Origin.X, p.X+reach-r.Origin.X, r.NX)
	j0, j1 := r.span(p.Y-reach-r.Origin.Y, p.Y+reach-r.Origin.Y, r.NY)
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			d := r.Center(i, j).Sub(p)
			if d.Dot(v) < 0 || d.Dot(w) > 0 {
				continue
			}
			r.cover(j*r.NX+i, d.Norm(), half)
		}
	}
}

func (r *Raster) span(lo, hi float64, n int) (int, int) {
	return max(0, int(math.Ceil(lo/r.Cell-0.5))), min(n-1, int(math.Floor(hi/r.Cell-0.5)))
}

// AddBeads counts beads of plain plastic.
func (r *Raster) AddBeads(beads []Bead) {
	for _, b := range beads {
		r.beads++
		pts := b.Points
		if b.Closed && len(pts) > 0 {
			pts = append(pts[:len(pts):len(pts)], pts[0])
		}
		h := [2]float64{b.Width / 2, b.Width / 2}
		for k := 1; k < len(pts); k++ {
			if b.Widths != nil {
				h = [2]float64{b.Widths[k-1] / 2, b.Widths[k%len(b.Widths)] / 2}
			}
			if k > 1 {
				r.wedge(pts[k-2], pts[k-1], pts[k], h[0], h[0])
			}
			if b.Closed && k == len(pts)-1 {
				r.wedge(pts[k-1], pts[k], pts[1], h[1], h[1])
			}
			r.stroke(pts[k-1], pts[k], h, h)
		}
	}
}

// Gap reports whether the square lies inside and under no bead.
func (r *Raster) Gap(c int) bool { return r.Inside[c] && r.Beads[c] == 0 }

// Overlapped reports whether the square lies inside and under more than one
// bead.
func (r *Raster) Overlapped(c int) bool { return r.Inside[c] && r.deep[c] > 1 }

// Area returns the area of the squares inside for which test holds.
func (r *Raster) Area(test func(cell int) bool) float64 {
	n := 0
	for c := range r.Beads {
		if test(c) {
			n++
		}
	}
	return r.areaOf(n)
}

func (r *Raster) areaOf(squares int) float64 { return float64(squares) * r.Cell * r.Cell }

// Deepest returns the square inside for which test holds that lies farthest
// from any for which it does not, and that distance in mm; -1 when there is
// none.
func (r *Raster) Deepest(test func(cell int) bool) (cell int, depth float64) {
	d := make([]float64, len(r.Beads))
	cell, depth = -1, 0
	set := r.squares(test)
	r.depthTo(d, set)
	for _, c := range set {
		if d[c] > depth {
			cell, depth = int(c), d[c]
		}
	}
	return cell, depth
}

// squares lists those for which test holds, rising.
func (r *Raster) squares(test func(cell int) bool) []int32 {
	var out []int32
	for c := range r.Beads {
		if test(c) {
			out = append(out, int32(c))
		}
	}
	return out
}

// depthTo writes into d, for each square of a rising list, the distance from its
// centre to the nearest square that is not listed, less half a square. d must be
// zero everywhere else (P. F. Felzenszwalb, D. P. Huttenlocher, Distance
// transforms of sampled functions, Theory of Computing 8 (2012) 415–428, the
// rows done by counting).
func (r *Raster) depthTo(d []float64, list []int32) {
	far := float64(r.NX*r.NX + r.NY*r.NY)
	for from := 0; from < len(list); {
		to := from + 1
		for to < len(list) && list[to] == list[to-1]+1 && int(list[to])%r.NX != 0 {
			to++
		}
		opens, closes := int(list[from])%r.NX > 0, int(list[to-1]+1)%r.NX > 0 // with a square that is not listed
		for k := from; k < to; k++ {
			way := far
			if opens {
				way = float64(k - from + 1)
			}
			if closes {
				way = min(way, float64(to-k))
			}
			d[list[k]] = min(far, way*way)
		}
		from = to
	}
	t := newTransform(r.NY)
	for _, c := range list {
		if int(c) < r.NX || d[int(c)-r.NX] == 0 {
			t.column(d, int(c), r.NX)
		}
	}
	for _, c := range list {
		d[c] = max(0, math.Sqrt(d[c])-0.5) * r.Cell
	}
}

// transform is the lower envelope of parabolas along one line of squares.
type transform struct {
	f, z []float64
	v    []int
}

func newTransform(n int) *transform {
	return &transform{make([]float64, n), make([]float64, n+1), make([]int, n)}
}

// column replaces the values from square first on down to the next zero, stride
// apart, by the least of (p-q)² + value at q, both zeros around them included.
// Nothing reaches past a zero.
func (t *transform) column(d []float64, first, stride int) {
	last := first
	for last+stride < len(d) && d[last] != 0 {
		last += stride
	}
	if first >= stride {
		first -= stride
	}
	t.stretch(d, first, stride, (last-first)/stride+1)
}

// stretch is column for n values of which only the first and the last may be
// zero.
func (t *transform) stretch(d []float64, first, stride, n int) {
	for q := range n {
		t.f[q] = d[first+q*stride]
	}
	k := 0
	t.v[0], t.z[0], t.z[1] = 0, math.Inf(-1), math.Inf(1)
	for q := 1; q < n; q++ {
		s := t.meet(q, t.v[k])
		for s <= t.z[k] {
			k--
			s = t.meet(q, t.v[k])
		}
		k++
		t.v[k], t.z[k], t.z[k+1] = q, s, math.Inf(1)
	}
	k = 0
	for q := range n {
		for t.z[k+1] < float64(q) {
			k++
		}
		p := float64(q - t.v[k])
		d[first+q*stride] = p*p + t.f[t.v[k]]
	}
}

// meet returns where the parabolas over q > p cross.
func (t *transform) meet(q, p int) float64 {
	return (t.f[q] + float64(q*q) - t.f[p] - float64(p*p)) / float64(2*(q-p))
}

// Islands returns the number of connected sets of squares for which test holds.
func (r *Raster) Islands(test func(cell int) bool) int {
	mark := make([]bool, len(r.Beads))
	for c := range mark {
		mark[c] = test(c)
	}
	return len(r.islands(mark))
}

// islands returns the connected sets of marked squares, by their first square.
func (r *Raster) islands(mark []bool) [][]int {
	seen := make([]bool, len(mark))
	var out [][]int
	for c := range mark {
		if !mark[c] || seen[c] {
			continue
		}
		seen[c] = true
		isle := []int{c}
		for k := 0; k < len(isle); k++ {
			x := isle[k] % r.NX
			for _, d := range [4]int{-1, 1, -r.NX, r.NX} {
				n := isle[k] + d
				if n < 0 || n >= len(mark) || d == -1 && x == 0 || d == 1 && x == r.NX-1 {
					continue
				}
				if mark[n] && !seen[n] {
					seen[n] = true
					isle = append(isle, n)
				}
			}
		}
		out = append(out, isle)
	}
	return out
}

// square returns the square that holds p, -1 when it lies off the raster.
func (r *Raster) square(p geom.Point) int {
	i := int(math.Floor((p.X - r.Origin.X) / r.Cell))
	j := int(math.Floor((p.Y - r.Origin.Y) / r.Cell))
	if i < 0 || j < 0 || i >= r.NX || j >= r.NY {
		return -1
	}
	return j*r.NX + i
}
