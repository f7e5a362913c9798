package strand

import (
	"math"
	"slices"

	"sinew/geom"
)

// Limits of filling pockets.
const (
	// rasterCell is the side of the squares in which pockets are sought, mm: a
	// quarter of a narrow bead.
	rasterCell = 0.15
	// patchSqueeze is the share of its width that a patch must find free: the
	// rest is pressed into its neighbours.
	patchSqueeze = 0.85
	// patchLeast is the shortest patch, in bead widths: a shorter one is a blob.
	patchLeast = 4.0
)

// patches returns beads of plain plastic for the pockets that strands leave in
// the area, where a bead of the given width fits, and the area, mm², that stays
// empty.
func patches(strands []Strand, area geom.Region, least, most, width float64) ([]Bead, float64) {
	r := NewRaster(area, rasterCell)
	r.AddStrands(strands, HalfBeads(strands, area, most), least, false)
	free := r.depth(r.Gap)
	core := make([]bool, len(free))
	for c, d := range free {
		core[c] = d >= patchSqueeze*width/2
	}
	var beads []Bead
	for _, pocket := range r.islands(core) {
		for _, l := range r.rows(pocket, core, width) {
			beads = append(beads, Bead{Kind: Patch, Points: l, Width: width})
		}
	}
	r.AddBeads(beads)
	return beads, r.Area(r.Gap)
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

// rows returns the stretches of parallel lines, a bead's width apart and along
// the pocket's longer axis, that lie in its core.
func (r *Raster) rows(pocket []int, core []bool, width float64) [][]geom.Point {
	mid, dir := r.axis(pocket)
	across := dir.Left()
	lo, hi, from, to := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, c := range pocket {
		p := r.Center(c%r.NX, c/r.NX).Sub(mid)
		lo, hi = math.Min(lo, p.Dot(across)), math.Max(hi, p.Dot(across))
		from, to = math.Min(from, p.Dot(dir)), math.Max(to, p.Dot(dir))
	}
	n := int((hi-lo)/width) + 1
	first := (lo+hi)/2 - width*float64(n-1)/2
	own := map[int]bool{}
	for _, c := range pocket {
		own[c] = core[c]
	}
	var out [][]geom.Point
	for k := range n {
		base := mid.Add(across.Scale(first + width*float64(k)))
		out = append(out, r.stretches(base, dir, from, to, own, patchLeast*width)...)
	}
	for k := range out {
		if k%2 == 1 {
			slices.Reverse(out[k])
		}
	}
	return out
}

// stretches returns the pieces of the line base + s·dir, from ≤ s ≤ to, whose
// squares are marked, those of the given length or more.
func (r *Raster) stretches(base, dir geom.Point, from, to float64, own map[int]bool, least float64) [][]geom.Point {
	var out [][]geom.Point
	step := r.Cell / 2
	start := math.NaN()
	for s := from; s <= to+step; s += step {
		in := s <= to && own[r.square(base.Add(dir.Scale(s)))]
		if in && math.IsNaN(start) {
			start = s
		}
		if !in && !math.IsNaN(start) {
			if s-step-start >= least {
				out = append(out, []geom.Point{base.Add(dir.Scale(start)), base.Add(dir.Scale(s - step))})
			}
			start = math.NaN()
		}
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

// axis returns the middle of the squares and the direction in which they
// spread most.
func (r *Raster) axis(pocket []int) (mid, dir geom.Point) {
	for _, c := range pocket {
		mid = mid.Add(r.Center(c%r.NX, c/r.NX))
	}
	mid = mid.Scale(1 / float64(len(pocket)))
	var xx, xy, yy float64
	for _, c := range pocket {
		p := r.Center(c%r.NX, c/r.NX).Sub(mid)
		xx, xy, yy = xx+p.X*p.X, xy+p.X*p.Y, yy+p.Y*p.Y
	}
	s, c := math.Sincos(math.Atan2(2*xy, xx-yy) / 2)
	return mid, geom.Point{X: c, Y: s}
}
