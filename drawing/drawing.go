// Package drawing reads exchange formats: DXF (R12 to current, ASCII and
// binary) and SVG into plane geometry with labels, STL and 3MF into the
// triangles of a solid.
//
// Lines and circular arcs are kept exactly. Curves of other kinds (ellipses,
// splines, Bézier curves, circles squeezed by a transform) become circular
// arcs that stay within [Settings].Tolerance of the curve. Everything is
// returned in mm, y upwards. What a drawing file does not state, its unit
// above all, is asked for, never guessed; what was ignored or repaired is
// listed in [Drawing].Notes.
//
// [Drawing.Regions] joins the pieces to closed loops and nests them. Joining
// closes gaps between loose ends up to a stated distance and drops pieces
// drawn twice; it does not trim, extend or cut.
//
// Not read: text, dimensions, hatches, images, solids, surfaces, styles.
package drawing

import (
	"fmt"
	"math"
	"strings"

	"sinew/geom"
)

// Settings says how a drawing is read. The zero value holds the defaults.
type Settings struct {
	// Units is the unit of a drawing that states none: "mm", "cm", "m" or
	// "in". Contradicting a drawing that states one is an error.
	Units string
	// Tolerance is the largest distance between a curve and the arcs that
	// stand for it, mm. Default 0.005.
	Tolerance float64
}

// defaultTolerance is far below what a printer can place and far above the
// rounding of drawing files.
const defaultTolerance = 0.005 // mm

// Limits of what is read. They bound memory and time; real drawings stay far
// below.
const (
	maxBytes      = 64 << 20
	maxPieces     = 500_000 // edges after all blocks are placed
	maxSplineSize = 20_000  // control or fit points of one spline
	maxDepth      = 32      // blocks within blocks, groups within groups
	maxCoordinate = 1e7     // mm; beyond, rounding would eat the tolerance
)

func (s Settings) tolerance() float64 {
	if s.Tolerance > 0 {
		return s.Tolerance
	}
	return defaultTolerance
}

// Piece is one edge of the drawing, with the place it was read from. The
// edge's Label is its layer.
type Piece struct {
	geom.Edge
	Entity string // such as "ARC" or "path"
	Place  string // such as "line 120"
}

// Drawing is the geometry of a file, in the file's order.
type Drawing struct {
	Pieces []Piece
	Unit   string   // of the file
	Notes  []string // what was ignored or repaired
}

// Error is one thing wrong with a drawing.
type Error struct {
	Place        string // "line 120", "byte 512", or empty
	Entity       string // or empty
	What, Remedy string
}

// Error gives "line 120: SPLINE: what; remedy".
func (e *Error) Error() string {
	var parts []string
	for _, p := range []string{e.Place, e.Entity} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	text := strings.Join(append(parts, e.What), ": ")
	if e.Remedy != "" {
		text += "; " + e.Remedy
	}
	return text
}

// tally counts what was ignored, in the order of first sight.
type tally struct {
	names []string
	count map[string]int
	first map[string]string
}

func (t *tally) add(name, place string) {
	if t.count == nil {
		t.count, t.first = map[string]int{}, map[string]string{}
	}
	if t.count[name] == 0 {
		t.names = append(t.names, name)
		t.first[name] = place
	}
	t.count[name]++
}

func (t *tally) notes() []string {
	var notes []string
	for _, n := range t.names {
		notes = append(notes, fmt.Sprintf("%d × %s (first at %s)", t.count[n], n, t.first[n]))
	}
	return notes
}

// unitLength returns the length of a named unit in mm.
func unitLength(name string) (float64, bool) {
	switch name {
	case "mm":
		return 1, true
	case "cm":
		return 10, true
	case "m":
		return 1000, true
	case "in":
		return 25.4, true
	}
	return 0, false
}

// checkPieces refuses coordinates that no part has.
func (d *Drawing) checkPieces() error {
	for _, p := range d.Pieces {
		for _, v := range []float64{p.A.X, p.A.Y, p.B.X, p.B.Y} {
			if !(math.Abs(v) <= maxCoordinate) {
				return &Error{p.Place, p.Entity, fmt.Sprintf("a coordinate of %g mm", v), "check the unit, and move the drawing near the origin"}
			}
		}
		if math.IsNaN(p.Bulge) || math.IsInf(p.Bulge, 0) {
			return &Error{p.Place, p.Entity, "an arc without a radius", "redraw it"}
		}
	}
	if len(d.Pieces) == 0 {
		what := "the drawing holds no lines, arcs or curves"
		if len(d.Notes) > 0 {
			what += " (" + strings.Join(d.Notes, "; ") + ")"
		}
		return &Error{What: what, Remedy: "export the outline as lines, arcs, polylines or paths"}
	}
	return nil
}
