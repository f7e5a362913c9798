package figure

import (
	"fmt"
	"html"
	"math"
	"strings"
)

// Curve is one line of a plot, told apart by its dash as well as its ink.
type Curve struct {
	Name   string
	Points [][2]float64
}

// Axis is the title of an axis with its unit.
type Axis string

// inks and dashes of curves: readable for colour-blind eyes and on grey paper.
var curveStyles = [...]struct{ ink, dash string }{
	{"#1d2a33", ""}, {"#a8321f", "7 4"}, {"#1f5d8a", "2 4"}, {"#8a6d1f", "10 3 2 3"}, {"#5d3a7a", "4 2"},
}

const (
	plotHeight = 320.0
	plotLeft   = 66.0
	plotFoot   = 52.0
	plotTop    = 34.0
	plotKey    = 240.0 // room for the names at the right
	mostTicks  = 7
)

// Plot draws curves over two axes that start at zero. Values are of any unit.
func Plot(caption string, x, y Axis, curves []Curve) string {
	f := newFrame(0, reach(curves, 0), 0, reach(curves, 1))
	var b strings.Builder
	f.open(&b, caption, x, y)
	for i, c := range curves {
		s := curveStyles[i%len(curveStyles)]
		var d strings.Builder
		for k, p := range c.Points {
			fmt.Fprintf(&d, "%c%s %s", "LM"[b2i(k == 0)], num(f.x(p[0])), num(f.y(p[1])))
		}
		at := plotTop + 18*float64(i+1)
		fmt.Fprintf(&b, `<path d="%s" fill="none" stroke="%s" stroke-width="1.8" stroke-dasharray="%s"/>`+"\n", d.String(), s.ink, s.dash)
		fmt.Fprintf(&b, `<path d="M%s %sh34" stroke="%s" stroke-width="1.8" stroke-dasharray="%s"/><text x="%s" y="%s">%s</text>`+"\n",
			num(f.right+16), num(at-4), s.ink, s.dash, num(f.right+56), num(at), html.EscapeString(c.Name))
	}
	b.WriteString("</svg>\n")
	return b.String()
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// reach is the end of an axis: the largest value and a twentieth more.
func reach(curves []Curve, axis int) float64 {
	most := 0.0
	for _, c := range curves {
		for _, p := range c.Points {
			most = math.Max(most, p[axis])
		}
	}
	if most == 0 {
		return 1
	}
	return 1.05 * most
}
