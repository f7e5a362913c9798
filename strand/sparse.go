package strand

import (
	"math"

	"sinew/geom"
)

// Pattern is how plain plastic layers are filled.
type Pattern int

// The patterns.
const (
	Solid     Pattern = iota // rows side by side
	Lines                    // rows apart, across those of the layer below
	Triangles                // rows in three directions
	Hexagons                 // cells between waves of rows
	Gyroid                   // the surface of A. H. Schoen, NASA TN D-5541 (1970), layer by layer
)

// String returns the word of the job file.
func (p Pattern) String() string {
	return [...]string{"solid", "lines", "triangles", "hexagons", "gyroid"}[p]
}

// Patterns lists the patterns.
func Patterns() []Pattern { return []Pattern{Solid, Lines, Triangles, Hexagons, Gyroid} }

// Fill says how plain plastic layers that are not skin are filled. The zero
// value fills them whole.
type Fill struct {
	Pattern Pattern
	Share   float64 // of the area under beads
	Skin    int     // layers filled whole at each face of a run of plastic layers; default 1
	Regions []FillRegion
}

// FillRegion has a share of its own, 1 for whole.
type FillRegion struct {
	Area  geom.Polygons
	Share float64
}

// wholeFrom is the share from which rows side by side fill better than a
// pattern.
const wholeFrom = 0.95

// isSkin reports whether plastic layer i of the stack is filled whole: it lies
// within skin layers of a face of its run, which composite is laid on or the
// outside ends.
func (f Fill) isSkin(layers []Layer, i int) bool {
	skin := max(1, f.Skin)
	for d := 1; d <= skin; d++ {
		for _, k := range [2]int{i - d, i + d} {
			if k < 0 || k >= len(layers) || layers[k].Kind != Plastic {
				return true
			}
		}
	}
	return false
}

// sparseBeads fills the area, in which centre lines may lie, with the pattern,
// each region with its share.
func (f Fill) sparseBeads(all geom.Polygons, nth int, z, width float64) []Bead {
	var out []Bead
	rest := all
	for _, r := range f.Regions {
		out = append(out, f.patternBeads(all.Intersect(r.Area), r.Share, nth, z, width)...)
		rest = rest.Subtract(r.Area)
	}
	return append(out, f.patternBeads(rest, f.Share, nth, z, width)...)
}

func (f Fill) patternBeads(area geom.Polygons, share float64, nth int, z, width float64) []Bead {
	if len(area) == 0 || share <= 0 {
		return nil
	}
	if share >= wholeFrom || f.Pattern == Solid {
		return rowsIn(area, coverAngle(nth)*math.Pi/180, width)
	}
	var paths []geom.Path
	switch f.Pattern {
	case Lines:
		paths = parallels(area, coverAngle(nth%2)*math.Pi/180, width/share)
	case Triangles:
		for k := range 3 {
			paths = append(paths, parallels(area, float64(k)*math.Pi/3, 3*width/share)...)
		}
	case Hexagons:
		paths = waves(area, width, share)
	case Gyroid:
		paths = gyroid(area, z, width, share)
	}
	clip := geom.NewClipper(area)
	var out []Bead
	for _, p := range paths {
		for _, piece := range clip.Clip(p) {
			piece = piece.Simplify(fillBend)
			if piece.Length() >= shortest*width {
				out = append(out, Bead{Kind: Sparse, Points: piece.Points, Closed: piece.Closed, Width: width})
			}
		}
	}
	return out
}

// rowsIn fills the area, in which centre lines may lie, with lines a bead's
// width apart in the given direction, joined row to row where they meet.
func rowsIn(area geom.Polygons, angle, width float64) []Bead {
	var out []Bead
	for _, pts := range serpentines(turned(area, angle), width) {
		back := turned(geom.Polygons{pts}, -angle)[0]
		out = append(out, Bead{Kind: Cover, Points: back, Width: width})
	}
	return out
}

// frame is the middle and half the diagonal of an area: what a pattern must
// cover. Patterns hang on the drawing's origin, so that layers and islands fit.
func frame(area geom.Polygons) (mid geom.Point, reach float64) {
	b := area.Bounds()
	return b.Middle(), b.Size().Norm() / 2
}

// parallels are lines of a direction, a pitch apart.
func parallels(area geom.Polygons, angle, pitch float64) []geom.Path {
	mid, reach := frame(area)
	sin, cos := math.Sincos(angle)
	dir, across := geom.Point{X: cos, Y: sin}, geom.Point{X: -sin, Y: cos}
	var out []geom.Path
	first, last := math.Ceil((mid.Dot(across)-reach)/pitch), math.Floor((mid.Dot(across)+reach)/pitch)
	for k := first; k <= last; k++ {
		o := across.Scale(k * pitch).Add(dir.Scale(mid.Dot(dir)))
		out = append(out, geom.Path{Points: []geom.Point{o.Add(dir.Scale(-reach)), o.Add(dir.Scale(reach))}})
	}
	return out
}

// waves are polylines along x of flats a and slopes a at 60°, every second one
// upside down, so that the flats of neighbours lie side by side and hexagons
// stay between. With h = a·√3/2 a wave has 4/3 of its way in x and the next lies
// h + w beside it:
//
//	share = 4/3·w / (h + w)
func waves(area geom.Polygons, width, share float64) []geom.Path {
	mid, reach := frame(area)
	h := width * (4/(3*share) - 1)
	a := h * 2 / math.Sqrt(3)
	var out []geom.Path
	pitch := h + width
	for r := math.Floor((mid.Y - reach) / pitch); r <= math.Ceil((mid.Y+reach)/pitch); r++ {
		up := h / 2
		if math.Mod(math.Abs(r), 2) == 1 {
			up = -up
		}
		var pts []geom.Point
		for k := math.Floor((mid.X - reach) / (3 * a)); k <= math.Ceil((mid.X+reach)/(3*a)); k++ {
			x, y := 3*a*k, r*pitch
			pts = append(pts, geom.Point{X: x, Y: y + up}, geom.Point{X: x + a, Y: y + up}, geom.Point{X: x + 1.5*a, Y: y - up}, geom.Point{X: x + 2.5*a, Y: y - up})
		}
		out = append(out, geom.Path{Points: pts})
	}
	return out
}

// Figures of the gyroid.
const (
	// gyroidArea is the area of the surface in a cubic cell of side 1 (K.
	// Große-Brauckmann, Gyroids of constant mean curvature, Experimental
	// Mathematics 6 (1997) 33–50: 3.0914; from memory).
	gyroidArea = 3.0914
	// gyroidSteps, along a cell, keep its lines within 1 % of the cell.
	gyroidSteps = 24
)

// gyroid returns the lines in which the surface
//
//	sin x cos y + sin y cos z + sin z cos x = 0,  x, y, z in 2π/L
//
// meets the layer at height z. An area S per volume is met by a plane in lines
// of length π/4·S per area on average over directions; with S = 3.0914/L that
// gives the cell L for a share.
func gyroid(area geom.Polygons, z, width, share float64) []geom.Path {
	cell := math.Pi / 4 * gyroidArea * width / share
	step := cell / gyroidSteps
	box := area.Bounds().Grow(step)
	i0, j0 := math.Floor(box.Min.X/step), math.Floor(box.Min.Y/step)
	nx, ny := int(math.Ceil(box.Max.X/step)-i0)+1, int(math.Ceil(box.Max.Y/step)-j0)+1
	k := 2 * math.Pi / cell
	nodes, values := make([]geom.Point, 0, nx*ny), make([]float64, 0, nx*ny)
	sz, cz := math.Sincos(k * z)
	for j := range ny {
		sy, cy := math.Sincos(k * (j0 + float64(j)) * step)
		for i := range nx {
			sx, cx := math.Sincos(k * (i0 + float64(i)) * step)
			nodes = append(nodes, geom.Point{X: (i0 + float64(i)) * step, Y: (j0 + float64(j)) * step})
			values = append(values, sx*cy+sy*cz+sz*cx)
		}
	}
	var tris [][3]int32
	for j := range ny - 1 {
		for i := range nx - 1 {
			a := int32(j*nx + i)
			b, c, d := a+1, a+int32(nx), a+int32(nx)+1
			tris = append(tris, [3]int32{a, b, d}, [3]int32{a, d, c})
		}
	}
	return geom.LevelLines(nodes, tris, values, []float64{0})[0]
}
