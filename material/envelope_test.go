package material

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"sinew/internal/golden"
)

// TestEnvelopes draws the failure envelopes of the exercise's laminae by every
// criterion, as the figures of docs/method/failure.md.
func TestEnvelopes(t *testing.T) {
	for i, set := range exercise {
		p := set.ply(t)
		var d drawing
		d.open(fmt.Sprintf("Failure envelopes, %s", set.name))
		d.panel(panel{
			title: "s1 and s2, no shear", x: "s1, MPa", y: "s2, MPa", left: 70,
			point: func(c, s float64) [3]float64 { return [3]float64{c * set.strength.Xt, s * set.strength.Yc, 0} },
			axes:  [2]int{0, 1}, from: 0, to: 2 * math.Pi,
		}, p)
		d.panel(panel{
			title: "s2 and t12, no s1", x: "s2, MPa", y: "t12, MPa", left: 520,
			point: func(c, s float64) [3]float64 { return [3]float64{0, c * set.strength.Yc, s * set.strength.S} },
			axes:  [2]int{1, 2}, from: 0, to: math.Pi,
		}, p)
		d.legend()
		text := d.b.String()
		if err := wellFormed(text); err != nil {
			t.Fatalf("%s: %v", set.name, err)
		}
		golden.Compare(t, fmt.Sprintf("../../docs/figures/envelope-%d.svg", i+1), []byte(text))
	}
}

func wellFormed(text string) error {
	d := xml.NewDecoder(strings.NewReader(text))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
	}
}

// pens tell the criteria apart in colour and, printed grey, by dashes.
var pens = [nCriteria][2]string{
	MaxStress: {"#000000", "none"}, MaxStrain: {"#7a7a7a", "7 3"}, TsaiHill: {"#b35900", "2 2"},
	TsaiWu: {"#005a9c", "10 3 2 3"}, Hashin: {"#1a7f37", "5 2"}, Puck: {"#b3003b", "none"},
}

const (
	paneWidth, paneHeight = 370.0, 330.0
	paneTop               = 50.0
	traceSteps            = 360
)

type panel struct {
	title, x, y string
	left        float64
	point       func(c, s float64) [3]float64
	axes        [2]int
	from, to    float64
}

type drawing struct{ b strings.Builder }

func (d *drawing) open(title string) {
	fmt.Fprintf(&d.b, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 920 470\" font-family=\"sans-serif\" font-size=\"12\">\n")
	fmt.Fprintf(&d.b, "<title>%s</title>\n<rect width=\"920\" height=\"470\" fill=\"white\"/>\n", title)
	fmt.Fprintf(&d.b, "<text x=\"460\" y=\"22\" text-anchor=\"middle\" font-size=\"15\">%s</text>\n", title)
}

// trace walks round the envelope of a criterion.
func (p panel) trace(y *Ply, c Criterion) [][2]float64 {
	var list [][2]float64
	for i := range traceSteps + 1 {
		a := p.from + (p.to-p.from)*float64(i)/traceSteps
		s := p.point(math.Cos(a), math.Sin(a))
		r := y.Reserve(c, s).Reserve
		list = append(list, [2]float64{r * s[p.axes[0]], r * s[p.axes[1]]})
	}
	return list
}

func (d *drawing) panel(p panel, y *Ply) {
	var traces [nCriteria][][2]float64
	low, high := [2]float64{}, [2]float64{}
	for c := range Criterion(nCriteria) {
		traces[c] = p.trace(y, c)
		for _, q := range traces[c] {
			for k := range 2 {
				low[k], high[k] = math.Min(low[k], q[k]), math.Max(high[k], q[k])
			}
		}
	}
	step := [2]float64{roundStep(high[0] - low[0]), roundStep(high[1] - low[1])}
	for k := range 2 {
		low[k], high[k] = step[k]*math.Floor(low[k]/step[k]), step[k]*math.Ceil(high[k]/step[k])
	}
	at := func(q [2]float64) (float64, float64) {
		return p.left + paneWidth*(q[0]-low[0])/(high[0]-low[0]), paneTop + paneHeight*(high[1]-q[1])/(high[1]-low[1])
	}
	d.frame(p, low, high, step, at)
	for c, trace := range traces {
		var path strings.Builder
		for i, q := range trace {
			x, y := at(q)
			fmt.Fprintf(&path, "%c%.1f %.1f", "ML"[min(i, 1)], x, y)
		}
		fmt.Fprintf(&d.b, "<path d=\"%s\" fill=\"none\" stroke=\"%s\" stroke-width=\"1.4\" stroke-dasharray=\"%s\"/>\n", path.String(), pens[c][0], pens[c][1])
	}
}

// roundStep is 1, 2 or 5 times a power of ten, giving 4 to 10 steps.
func roundStep(span float64) float64 {
	unit := math.Pow(10, math.Floor(math.Log10(span/4)))
	for _, k := range []float64{5, 2} {
		if span/(k*unit) >= 4 {
			return k * unit
		}
	}
	return unit
}

func (d *drawing) frame(p panel, low, high, step [2]float64, at func([2]float64) (float64, float64)) {
	bottom := paneTop + paneHeight
	fmt.Fprintf(&d.b, "<rect x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\" fill=\"none\" stroke=\"#444\"/>\n", p.left, paneTop, paneWidth, paneHeight)
	for v := low[0]; v <= high[0]+step[0]/2; v += step[0] {
		x, _ := at([2]float64{v, 0})
		fmt.Fprintf(&d.b, "<path d=\"M%.1f %.1fV%.1f\" stroke=\"%s\"/><text x=\"%.1f\" y=\"%.1f\" text-anchor=\"middle\">%.0f</text>\n", x, paneTop, bottom, gridColour(v, step[0]), x, bottom+16, v+0)
	}
	for v := low[1]; v <= high[1]+step[1]/2; v += step[1] {
		_, y := at([2]float64{0, v})
		fmt.Fprintf(&d.b, "<path d=\"M%.1f %.1fH%.1f\" stroke=\"%s\"/><text x=\"%.1f\" y=\"%.1f\" text-anchor=\"end\">%.0f</text>\n", p.left, y, p.left+paneWidth, gridColour(v, step[1]), p.left-5, y+4, v+0)
	}
	fmt.Fprintf(&d.b, "<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"middle\">%s</text>\n", p.left+paneWidth/2, bottom+34, p.x)
	fmt.Fprintf(&d.b, "<text transform=\"translate(%.1f %.1f) rotate(-90)\" text-anchor=\"middle\">%s</text>\n", p.left-45, paneTop+paneHeight/2, p.y)
	fmt.Fprintf(&d.b, "<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"middle\">%s</text>\n", p.left+paneWidth/2, paneTop-8, p.title)
}

// gridColour draws the axes darker than the grid.
func gridColour(v, step float64) string {
	if math.Abs(v) < step/2 {
		return "#777"
	}
	return "#e2e2e2"
}

func (d *drawing) legend() {
	for c, pen := range pens {
		x := 60 + 140*float64(c)
		fmt.Fprintf(&d.b, "<path d=\"M%.0f 445h34\" stroke=\"%s\" stroke-width=\"1.6\" stroke-dasharray=\"%s\"/><text x=\"%.0f\" y=\"449\">%s</text>\n", x, pen[0], pen[1], x+40, Criterion(c))
	}
	fmt.Fprintf(&d.b, "</svg>\n")
}
