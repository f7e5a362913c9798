package figure

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"
)

// frame is the field of a plot between its axes: it maps values to the sheet.
type frame struct {
	fromX, toX, fromY, toY float64
	right, bottom          float64
}

func newFrame(fromX, toX, fromY, toY float64) frame {
	return frame{fromX, toX, fromY, toY, sheetWidth - margin - plotKey, plotTop + plotHeight}
}

func (f frame) x(v float64) float64 {
	return plotLeft + (v-f.fromX)/(f.toX-f.fromX)*(f.right-plotLeft)
}

func (f frame) y(v float64) float64 {
	return f.bottom - (v-f.fromY)/(f.toY-f.fromY)*plotHeight
}

// open begins the drawing: caption, grid with figures, axes with titles.
func (f frame) open(b *strings.Builder, caption string, x, y Axis) {
	fmt.Fprintf(b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" role="img" aria-label="%s">`+"\n%s\n", num(sheetWidth), num(f.bottom+plotFoot), html.EscapeString(caption), style)
	fmt.Fprintf(b, `<text x="%s" y="18" class="c">%s</text>`+"\n", num(plotLeft), html.EscapeString(caption))
	for _, v := range ticks(f.fromX, f.toX) {
		fmt.Fprintf(b, `<path d="M%s %sV%s" stroke="%s" stroke-width="0.5"/><text x="%s" y="%s" text-anchor="middle">%s</text>`+"\n", num(f.x(v)), num(plotTop), num(f.bottom), faintInk, num(f.x(v)), num(f.bottom+16), tick(v))
	}
	for _, v := range ticks(f.fromY, f.toY) {
		fmt.Fprintf(b, `<path d="M%s %sH%s" stroke="%s" stroke-width="0.5"/><text x="%s" y="%s" text-anchor="end">%s</text>`+"\n", num(plotLeft), num(f.y(v)), num(f.right), faintInk, num(plotLeft-6), num(f.y(v)+4), tick(v))
	}
	fmt.Fprintf(b, `<path d="M%s %sV%sH%s" fill="none" stroke="%s" stroke-width="1.2"/>`+"\n", num(plotLeft), num(plotTop), num(f.bottom), num(f.right), ink)
	fmt.Fprintf(b, `<text x="%s" y="%s" text-anchor="end">%s</text><text x="%s" y="%s" transform="rotate(-90 14 %s)" text-anchor="end">%s</text>`+"\n",
		num(f.right), num(f.bottom+36), html.EscapeString(string(x)), num(14), num(plotTop), num(plotTop), html.EscapeString(string(y)))
}

// ticks are round values of a range.
func ticks(from, to float64) []float64 {
	width := to - from
	step := roundLength(width / 2)
	for _, s := range []float64{width / mostTicks, width / (mostTicks - 2), width / 3} {
		if r := roundLength(s); width/r <= mostTicks {
			step = r
			break
		}
	}
	var list []float64
	// + 0 turns a minus zero into zero
	for k := math.Ceil(from/step) + 0; k*step <= to; k++ {
		list = append(list, k*step)
	}
	return list
}

func tick(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
