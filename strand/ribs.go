package strand

import (
	"math"

	"sinew/geom"
)

// NarrowestBead is the width of the narrowest bead of plain plastic, as a share
// of a plain one: what is narrower in an outline is not printed.
const NarrowestBead = narrowest

// Limits of telling ribs apart.
const (
	// ribFlat is how far chords may lie off where ribs are sought, mm.
	ribFlat = 0.01
	// ribSlack, mm, is by how much an outline that was shrunk and grown again is
	// grown further: rounding does not make a rib.
	ribSlack = 0.02
	// ribCorner, in squared bead widths, is the area that shrinking and growing
	// takes off a corner of 60 degrees, times the number of walls squared: cot 30°
	// − 60° in radians. What is cut off of a sharper one is a rib.
	ribCorner = 0.685
)

// offRibs takes the beads of wall k, from 0 outside, out of where the area is too
// narrow for as many walls side by side: there beads of varying width go along
// its middle. It reports whether there was such a place.
func offRibs(walls []Bead, area geom.Polygons, k int, width float64) ([]Bead, bool) {
	reach := (float64(k+1)+narrowest/2)*width + ribSlack // what walls leave of a narrower one is too narrow for a bead between
	opened := area.Offset(-reach, ribFlat).Offset(reach+ribSlack, ribFlat)
	narrow := false
	for _, p := range area.Subtract(opened) {
		narrow = narrow || p.Area() > ribCorner*reach*reach
	}
	if !narrow {
		return walls, false
	}
	clip := geom.NewClipper(opened)
	var out []Bead
	for _, b := range walls {
		for _, p := range clip.Clip(geom.Path{Points: b.Points, Closed: b.Closed}) {
			if p.Length() >= shortest*width {
				piece := b
				piece.Points, piece.Closed = p.Points, p.Closed
				out = append(out, piece)
			}
		}
	}
	return out, true
}

// plainArea is what of a plain layer rows may fill, and the beads of varying
// width that fill what neither rows nor walls do.
func plainArea(r geom.Region, walls []Bead, inner geom.Polygons, ribs bool, width float64) (rows geom.Polygons, beads []Bead) {
	rows = inner.Offset(-width/2, ribFlat).Offset(width/2, ribFlat)
	for _, p := range inner.Subtract(rows.Offset(ribSlack, ribFlat)) {
		ribs = ribs || p.Area() > ribCorner*width*width/4
	}
	squares := NewRaster(r, fillCell)
	squares.AddBeads(walls)
	squares.fill(inner.Offset(width/2, ribFlat))
	if _, depth := squares.Deepest(squares.Gap); !ribs && 2*depth < narrowest*width {
		return inner, nil
	}
	squares.wipe()
	squares.AddBeads(walls)
	squares.fill(rows.Offset(width/2, ribFlat))
	return rows, newGaps(squares).beads(width)
}

// fill counts a bead over all squares whose centres lie in the area.
func (r *Raster) fill(area geom.Polygons) {
	for j := range r.NY {
		for _, span := range scan(area, r.Center(0, j).Y) {
			i0, i1 := r.span(span[0]-r.Origin.X, span[1]-r.Origin.X, r.NX)
			for i := i0; i <= i1; i++ {
				if c := j*r.NX + i; r.Beads[c] < math.MaxUint8 {
					r.Beads[c]++
				}
			}
		}
	}
}
