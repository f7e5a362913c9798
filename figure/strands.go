package figure

import (
	"fmt"
	"strings"

	"sinew/geom"
	"sinew/strand"
)

// Colours of a layer's lines: strands, their ends, plain plastic.
const (
	strandInk  = "#22424f"
	plasticInk = "#c9a66b"
	endInk     = "#a8321f"
)

// Layer draws one printed layer: strands as lines, strand ends as dots, plain
// plastic pale, and dashed where it is broken off.
func (d *Drawing) Layer(l *strand.Layer) {
	d.beads(l.Beads)
	var data strings.Builder
	for i := range l.Strands {
		data.WriteString(d.polyline(thin(l.Strands[i].Points, 0.4/d.scale), false))
	}
	fmt.Fprintf(&d.body, `<path d="%s" fill="none" stroke="%s" stroke-width="1.1" stroke-linejoin="round"/>`+"\n", data.String(), strandInk)
	for i := range l.Strands {
		s := &l.Strands[i]
		if s.Closed || len(s.Points) == 0 {
			continue
		}
		for _, p := range []geom.Point{s.Points[0], s.Points[len(s.Points)-1]} {
			x, y := d.xy(p)
			fmt.Fprintf(&d.body, `<circle cx="%s" cy="%s" r="1.6" fill="%s"/>`, num(x), num(y), endInk)
		}
	}
	d.body.WriteByte('\n')
}

// beads draws what stays, and dashed what is broken off after the print.
func (d *Drawing) beads(beads []strand.Bead) {
	var stays, broken strings.Builder
	for i := range beads {
		data := &stays
		if k := beads[i].Kind; k == strand.Border || k == strand.Support {
			data = &broken
		}
		data.WriteString(d.polyline(thin(beads[i].Points, 0.6/d.scale), beads[i].Closed))
	}
	if stays.Len() > 0 {
		fmt.Fprintf(&d.body, `<path d="%s" fill="none" stroke="%s" stroke-width="0.8"/>`+"\n", stays.String(), plasticInk)
	}
	if broken.Len() > 0 {
		fmt.Fprintf(&d.body, `<path d="%s" fill="none" stroke="%s" stroke-width="0.8" stroke-dasharray="4 2"/>`+"\n", broken.String(), plasticInk)
	}
}

// thin drops points that lie within tol of the line between those it keeps, so
// that a drawing holds no more than is seen.
func thin(points []geom.Point, tol float64) []geom.Point {
	return geom.Path{Points: points}.Simplify(tol).Points
}
