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
// plastic pale.
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

func (d *Drawing) beads(beads []strand.Bead) {
	var data strings.Builder
	for i := range beads {
		data.WriteString(d.polyline(thin(beads[i].Points, 0.6/d.scale), beads[i].Closed))
	}
	if data.Len() > 0 {
		fmt.Fprintf(&d.body, `<path d="%s" fill="none" stroke="%s" stroke-width="0.8"/>`+"\n", data.String(), plasticInk)
	}
}

// thin drops points that lie within tol of the line between those it keeps
// (Douglas and Peucker 1973), so that a drawing holds no more than is seen.
func thin(points []geom.Point, tol float64) []geom.Point {
	if len(points) < 3 {
		return points
	}
	keep := make([]bool, len(points))
	keep[0], keep[len(points)-1] = true, true
	stack := [][2]int{{0, len(points) - 1}}
	for len(stack) > 0 {
		span := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		far, at := tol, -1
		for i := span[0] + 1; i < span[1]; i++ {
			if dist := distanceToSegment(points[i], points[span[0]], points[span[1]]); dist > far {
				far, at = dist, i
			}
		}
		if at > 0 {
			keep[at] = true
			stack = append(stack, [2]int{span[0], at}, [2]int{at, span[1]})
		}
	}
	var out []geom.Point
	for i, k := range keep {
		if k {
			out = append(out, points[i])
		}
	}
	return out
}

func distanceToSegment(p, a, b geom.Point) float64 {
	ab := b.Sub(a)
	l2 := ab.Dot(ab)
	if l2 == 0 {
		return p.Dist(a)
	}
	t := min(max(p.Sub(a).Dot(ab)/l2, 0), 1)
	return p.Dist(a.Add(ab.Scale(t)))
}
