package figure

import (
	"fmt"
	"html"
	"math"
	"strconv"
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
	toX, toY := reach(curves, 0), reach(curves, 1)
	right, bottom := sheetWidth-margin-plotKey, plotTop+plotHeight
	px := func(v float64) float64 { return plotLeft + v/toX*(right-plotLeft) }
	py := func(v float64) float64 { return bottom - v/toY*plotHeight }
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" role="img" aria-label="%s">`+"\n%s\n", num(sheetWidth), num(bottom+plotFoot), html.EscapeString(caption), style)
	fmt.Fprintf(&b, `<text x="%s" y="18" class="c">%s</text>`+"\n", num(plotLeft), html.EscapeString(caption))
	for _, v := range ticks(toX) {
		fmt.Fprintf(&b, `<path d="M%s %sV%s" stroke="%s" stroke-width="0.5"/><text x="%s" y="%s" text-anchor="middle">%s</text>`+"\n", num(px(v)), num(plotTop), num(bottom), faintInk, num(px(v)), num(bottom+16), tick(v))
	}
	for _, v := range ticks(toY) {
		fmt.Fprintf(&b, `<path d="M%s %sH%s" stroke="%s" stroke-width="0.5"/><text x="%s" y="%s" text-anchor="end">%s</text>`+"\n", num(plotLeft), num(py(v)), num(right), faintInk, num(plotLeft-6), num(py(v)+4), tick(v))
	}
	fmt.Fprintf(&b, `<path d="M%s %sV%sH%s" fill="none" stroke="%s" stroke-width="1.2"/>`+"\n", num(plotLeft), num(plotTop), num(bottom), num(right), ink)
	fmt.Fprintf(&b, `<text x="%s" y="%s" text-anchor="end">%s</text><text x="%s" y="%s" transform="rotate(-90 14 %s)" text-anchor="end">%s</text>`+"\n",
		num(right), num(bottom+36), html.EscapeString(string(x)), num(14), num(plotTop), num(plotTop), html.EscapeString(string(y)))
	for i, c := range curves {
		s := curveStyles[i%len(curveStyles)]
		var d strings.Builder
		for k, p := range c.Points {
			fmt.Fprintf(&d, "%c%s %s", "LM"[b2i(k == 0)], num(px(p[0])), num(py(p[1])))
		}
		at := plotTop + 18*float64(i+1)
		fmt.Fprintf(&b, `<path d="%s" fill="none" stroke="%s" stroke-width="1.8" stroke-dasharray="%s"/>`+"\n", d.String(), s.ink, s.dash)
		fmt.Fprintf(&b, `<path d="M%s %sh34" stroke="%s" stroke-width="1.8" stroke-dasharray="%s"/><text x="%s" y="%s">%s</text>`+"\n",
			num(right+16), num(at-4), s.ink, s.dash, num(right+56), num(at), html.EscapeString(c.Name))
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

// ticks are round values from zero up.
func ticks(to float64) []float64 {
	step := roundLength(to / 2)
	for _, s := range []float64{to / mostTicks, to / (mostTicks - 2), to / 3} {
		if r := roundLength(s); to/r <= mostTicks {
			step = r
			break
		}
	}
	var list []float64
	for k := 0; float64(k)*step <= to; k++ {
		list = append(list, float64(k)*step)
	}
	return list
}

func tick(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
