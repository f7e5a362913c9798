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
}

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
	r.Inside, r.Beads, r.deep = make([]bool, n), make([]uint8, n), make([]uint8, n)
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
	stamp := make([]int32, 2*len(r.Beads)) // last stroke that covered the square, shallow and deep
	for i := range strands {
		pts := strands[i].Once()
		if withOverlap {
			pts = strands[i].Points
		}
		once := len(strands[i].Once())
		for k := 1; k < len(pts); k++ {
			id := int32(2*i + 1)
			if k >= once {
				id++
			}
			h := halves[i]
			if k > 1 {
				r.wedge(pts[k-2], pts[k-1], pts[k], math.Max(h.Left[k-1], least/2), math.Max(h.Right[k-1], least/2), id, stamp)
			}
			r.stroke(pts[k-1], pts[k], [2]float64{math.Max(h.Left[k-1], least/2), math.Max(h.Left[k], least/2)},
				[2]float64{math.Max(h.Right[k-1], least/2), math.Max(h.Right[k], least/2)}, id, stamp)
		}
	}
}

// stroke covers the squares beside the piece a–b, as far as the half-widths at
// its two ends reach.
func (r *Raster) stroke(a, b geom.Point, left, right [2]float64, id int32, stamp []int32) {
	reach := math.Max(math.Max(left[0], left[1]), math.Max(right[0], right[1])) + seam
	v := b.Sub(a)
	n2 := v.Dot(v)
	if n2 == 0 {
		return
	}
	length := math.Sqrt(n2)
	box := geom.Box{Min: a, Max: a}.With(b).Grow(reach)
	i0, i1 := r.span(box.Min.X-r.Origin.X, box.Max.X-r.Origin.X, r.NX)
	j0, j1 := r.span(box.Min.Y-r.Origin.Y, box.Max.Y-r.Origin.Y, r.NY)
	n := len(r.Beads)
	// Both pieces reach past their joint by the seam.
	slack := seam / length
	for j := j0; j <= j1; j++ {
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
			at := half[0] + u*(half[1]-half[0])
			c := j*r.NX + i
			if off <= at+seam && stamp[c] != id {
				stamp[c] = id
				r.Beads[c]++
			}
			if off <= at-seam && stamp[n+c] != id {
				stamp[n+c] = id
				r.deep[c]++
			}
		}
	}
}

// wedge covers what opens on the outer side of a joint between two pieces: the
// sector around it, as far as the half-width on that side reaches.
func (r *Raster) wedge(a, p, b geom.Point, left, right float64, id int32, stamp []int32) {
	v, w := p.Sub(a), b.Sub(p)
	half := right
	if v.Cross(w) < 0 {
		half = left
	}
	reach := half + seam
	i0, i1 := r.span(p.X-reach-r.Origin.X, p.X+reach-r.Origin.X, r.NX)
	j0, j1 := r.span(p.Y-reach-r.Origin.Y, p.Y+reach-r.Origin.Y, r.NY)
	n := len(r.Beads)
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			d := r.Center(i, j).Sub(p)
			if d.Dot(v) < 0 || d.Dot(w) > 0 {
				continue
			}
			c, off := j*r.NX+i, d.Norm()
			if off <= half+seam && stamp[c] != id {
				stamp[c] = id
				r.Beads[c]++
			}
			if off <= half-seam && stamp[n+c] != id {
				stamp[n+c] = id
				r.deep[c]++
			}
		}
	}
}

func (r *Raster) span(lo, hi float64, n int) (int, int) {
	return max(0, int(math.Ceil(lo/r.Cell-0.5))), min(n-1, int(math.Floor(hi/r.Cell-0.5)))
}

// AddBeads counts beads of plain plastic.
func (r *Raster) AddBeads(beads []Bead) {
	stamp := make([]int32, 2*len(r.Beads))
	for i, b := range beads {
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
				r.wedge(pts[k-2], pts[k-1], pts[k], h[0], h[0], int32(i+1), stamp)
			}
			if b.Closed && k == len(pts)-1 {
				r.wedge(pts[k-1], pts[k], pts[1], h[1], h[1], int32(i+1), stamp)
			}
			r.stroke(pts[k-1], pts[k], h, h, int32(i+1), stamp)
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
	return float64(n) * r.Cell * r.Cell
}

// Deepest returns the square inside for which test holds that lies farthest
// from any for which it does not, and that distance in mm; -1 when there is
// none.
func (r *Raster) Deepest(test func(cell int) bool) (cell int, depth float64) {
	d := r.depth(test)
	cell, depth = -1, 0
	for c, v := range d {
		if v > depth {
			cell, depth = c, v
		}
	}
	return cell, depth
}

// depth returns for each square the distance from its centre to the nearest
// square for which test does not hold, less half a square: zero where it does
// not hold itself (P. F. Felzenszwalb, D. P. Huttenlocher, Distance transforms
// of sampled functions, Theory of Computing 8 (2012) 415–428).
func (r *Raster) depth(test func(cell int) bool) []float64 {
	far := float64(r.NX*r.NX + r.NY*r.NY)
	d := make([]float64, len(r.Beads))
	for c := range d {
		if test(c) {
			d[c] = far
		}
	}
	t := newTransform(max(r.NX, r.NY))
	for i := range r.NX {
		t.line(d, i, r.NX, r.NY)
	}
	for j := range r.NY {
		t.line(d, j*r.NX, 1, r.NX)
	}
	for c, v := range d {
		d[c] = math.Max(0, math.Sqrt(v)-0.5) * r.Cell
	}
	return d
}

// transform is the lower envelope of parabolas along one line of squares.
type transform struct {
	f, z []float64
	v    []int
}

func newTransform(n int) *transform {
	return &transform{make([]float64, n), make([]float64, n+1), make([]int, n)}
}

// line replaces n values, stride apart from first, by the least of
// (p-q)² + value at q. A zero stays, and nothing reaches past it: each stretch
// from one zero to the next is a line of its own.
func (t *transform) line(d []float64, first, stride, n int) {
	for from := 0; from < n-1; {
		to := from + 1
		for to < n-1 && d[first+to*stride] != 0 {
			to++
		}
		if to > from+1 || d[first+from*stride] != d[first+to*stride] { // else both are zero, or equal neighbours
			t.stretch(d, first+from*stride, stride, to-from+1)
		}
		from = to
	}
}

// stretch is line for values of which only the first and the last may be zero.
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
