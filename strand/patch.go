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
	// patchNarrow is the share of a bead's width below which a gap between
	// strands is left: with less plastic the nozzle draws threads.
	patchNarrow = 0.6
	// patchWide is the width of a gap, in beads, from which rows fill it better
	// than one bead along its middle.
	patchWide = 2.0
	// patchLeast is the shortest patch, in bead widths: a shorter one is a blob.
	patchLeast = 4.0
)

// patches returns beads of plain plastic for the pockets that strands leave in
// the area, where a bead of the given width fits, and the area, mm², that stays
// empty. First come beads along the lines midway between strands, then straight
// rows in what is left.
func patches(strands []Strand, mids []geom.Path, area geom.Region, least, most, width float64) ([]Bead, float64) {
	r := NewRaster(area, rasterCell)
	r.AddStrands(strands, HalfBeads(strands, area, most), least, false)
	var beads []Bead
	free := r.depth(r.Gap)
	for _, mid := range mids {
		beads = append(beads, r.along(mid, free, width)...)
	}
	r.AddBeads(beads)
	core := r.core(width)
	var rows []Bead
	for _, pocket := range r.islands(core) {
		for _, l := range r.rows(pocket, core, width) {
			rows = append(rows, Bead{Kind: Patch, Points: l, Width: width})
		}
	}
	r.AddBeads(rows)
	return append(beads, rows...), r.Area(r.Gap)
}

// core marks the squares on which the centre of a bead may lie.
func (r *Raster) core(width float64) []bool {
	core := make([]bool, len(r.Beads))
	for c, d := range r.depth(r.Gap) {
		core[c] = d >= patchSqueeze*width/2
	}
	return core
}

// midBend is how far, mm, the chords of a bead may lie off the line it follows.
const midBend = 0.02

// along returns beads on the stretches of the line that have room, given the
// free distance at each square: as wide as the gap, at most width. Where the gap
// is wider than patchWide or narrower than patchNarrow of a bead there is none.
func (r *Raster) along(mid geom.Path, free []float64, width float64) []Bead {
	path := mid.Resample(r.Cell)
	pts := path.Points
	if path.Closed {
		pts = append(pts, pts[0])
	}
	var out []Bead
	for i := 0; i < len(pts); {
		j, sum := i, 0.0
		for ; j < len(pts); j++ {
			d := r.freeAt(free, pts[j])
			if d < patchNarrow*width/2 || d > patchWide*width/2 {
				break
			}
			sum += d
		}
		if j-i > 1 && polyLength(pts[i:j]) >= patchLeast*width {
			line := geom.Path{Points: pts[i:j]}.Simplify(midBend)
			out = append(out, Bead{Kind: Patch, Points: line.Points, Width: math.Min(width, 2*sum/float64(j-i))})
		}
		i = j + 1
	}
	return out
}

// freeAt returns the free distance at p, half a square added: that much the
// squares understate it.
func (r *Raster) freeAt(free []float64, p geom.Point) float64 {
	c := r.square(p)
	if c < 0 || free[c] == 0 {
		return 0
	}
	return free[c] + r.Cell/2
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
