package figure

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"
)

// bands is the number of steps of a colour scale: few enough to read a value
// off the legend, many enough to see a gradient.
const bands = 12

// Scale maps values to colours and says so in a legend.
type Scale struct {
	Title    string // quantity and unit
	Lo, Hi   float64
	Diverges bool // around zero: Lo = -Hi
}

// rgb is a colour with components 0..255.
type rgb [3]float64

// The ramps run through these colours at equal steps of lightness.
var (
	sequential = []rgb{{247, 241, 222}, {201, 205, 172}, {132, 172, 152}, {68, 131, 136}, {37, 84, 112}, {28, 39, 71}}
	diverging  = []rgb{{24, 67, 110}, {96, 144, 178}, {190, 207, 214}, {246, 243, 235}, {230, 190, 152}, {190, 111, 66}, {122, 45, 22}}
)

// band returns the number of the step that holds v; values beyond the ends
// take the end's colour.
func (s Scale) band(v float64) int {
	if !(s.Hi > s.Lo) || math.IsNaN(v) {
		return 0
	}
	k := int(math.Floor(bands * (v - s.Lo) / (s.Hi - s.Lo)))
	return min(max(k, 0), bands-1)
}

// colour returns the colour of a step.
func (s Scale) colour(band int) string {
	ramp := sequential
	if s.Diverges {
		ramp = diverging
	}
	t := float64(band) / (bands - 1) * float64(len(ramp)-1)
	i := min(int(t), len(ramp)-2)
	t -= float64(i)
	mix := func(k int) int { return int(math.Round((1-t)*ramp[i][k] + t*ramp[i+1][k])) }
	return fmt.Sprintf("#%02x%02x%02x", mix(0), mix(1), mix(2))
}

// Legend puts the scale's legend into the foot of the drawing. A drawing
// shows one scale.
func (d *Drawing) Legend(s Scale) {
	const width, height = 300.0, 10.0
	x, y := sheetWidth-margin-width, d.height-footHeight+24
	var b strings.Builder
	for k := range bands {
		fmt.Fprintf(&b, `<rect x="%s" y="%s" width="%s" height="%s" fill="%s"/>`, num(x+width*float64(k)/bands), num(y), num(width/bands+0.3), num(height), s.colour(k))
	}
	for k := 0; k <= bands; k += 3 {
		v := s.Lo + (s.Hi-s.Lo)*float64(k)/bands
		fmt.Fprintf(&b, `<text x="%s" y="%s" text-anchor="middle" style="font-size:10px">%s</text>`, num(x+width*float64(k)/bands), num(y+height+12), figureNumber(v))
	}
	fmt.Fprintf(&b, `<text x="%s" y="%s" text-anchor="end" style="font-size:11px">%s</text>`+"\n", num(x+width), num(y-6), html.EscapeString(s.Title))
	d.legend = b.String()
}

// figureNumber writes a number with three significant digits.
func figureNumber(v float64) string {
	if math.Abs(v) < 1e-12 {
		return "0"
	}
	return strings.Replace(strconv.FormatFloat(v, 'g', 3, 64), "-", "−", 1)
}

// ScaleFor returns a scale that spans the values from their lowest to the
// given quantile of their magnitude: a single peak does not wash out the rest.
func ScaleFor(title string, values []float64, quantile float64) Scale {
	sorted := make([]float64, 0, len(values))
	least := 0.0
	for _, v := range values {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			sorted = append(sorted, math.Abs(v))
			least = math.Min(least, v)
		}
	}
	if len(sorted) == 0 {
		return Scale{Title: title, Hi: 1}
	}
	hi := quantileOf(sorted, quantile)
	if hi <= 0 {
		hi = 1
	}
	if least < -0.05*hi {
		return Scale{Title: title, Lo: -hi, Hi: hi, Diverges: true}
	}
	return Scale{Title: title, Hi: hi}
}
