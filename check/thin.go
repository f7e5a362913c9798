package check

import (
	"fmt"

	"sinew/geom"
	"sinew/strand"
)

const (
	// thinTolerance is how far the sides of opened outlines may lie off, mm.
	thinTolerance = 5e-3
	// roundedCorner, in squared half bead widths, is the area that rounding takes
	// off a corner of 20 degrees: cot 10° − 80° in radians. More is no corner.
	roundedCorner = 4.3
)

func thinRules() []Rule {
	return []Rule{
		{"thin-feature", Warn, "parts of an outline are narrower than the narrowest bead, half of a plain one: nothing is printed there", "make them as wide as that at least, or leave them out", thinFeatures},
	}
}

// thinFeatures finds what goes lost when an outline is shrunk by half of the narrowest bead
// and grown again.
func thinFeatures(in Input) []Finding {
	if in.Part == nil || in.Card == nil || !(in.Card.WallWidth > 0) {
		return nil
	}
	half := strand.NarrowestBead * in.Card.WallWidth / 2
	outlines := []geom.Region{in.Part.Region}
	if len(in.Part.Slabs) > 0 {
		outlines = nil
		for i := range in.Part.Slabs {
			outlines = append(outlines, in.Part.Slabs[i].Regions...)
		}
	}
	worst, count := geom.Polygon(nil), 0
	for _, r := range outlines {
		whole := r.Flatten(thinTolerance)
		opened := whole.Offset(-half, thinTolerance).Offset(half+thinTolerance, thinTolerance)
		for _, p := range whole.Subtract(opened) {
			if p.Area() <= roundedCorner*half*half {
				continue
			}
			count++
			if worst == nil || p.Area() > worst.Area() {
				worst = p
			}
		}
	}
	if count == 0 {
		return nil
	}
	box := geom.Polygons{worst}.Bounds()
	at, size := box.Middle(), box.Size()
	return []Finding{{Severity: unset, Layer: -1, X: at.X, Y: at.Y, Count: count,
		What: fmt.Sprintf("%.3g mm² of an outline, %.3g × %.3g mm, are narrower than the narrowest bead, %.3g mm", worst.Area(), size.X, size.Y, 2*half)}}
}
