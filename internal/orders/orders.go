// Package orders draws how errors fall with the size of elements, for tests
// that write the figures of docs.
package orders

import (
	"fmt"
	"math"
	"strings"
)

// Figure has panels of relative error over element size, both logarithmic.
type Figure struct {
	Panels []Panel
	Cells  []int  // along a side: the sizes are one over these
	Across string // what the sizes are measured against
	Floor  int    // the lowest error is ten to the power of this; the highest is 1

	marks strings.Builder
	keys  int
}

// Panel is one of them; Slope is the order that is drawn as a triangle, 0: none.
type Panel struct {
	Title string
	Slope float64
}

// Series is the way of one error: against the known answer, or as estimated.
type Series struct {
	Panel     int
	Pen       string // colour
	Estimated bool   // drawn in dashes, open circles
	Errors    []float64
}

const (
	paneWidth, paneHeight, paneTop = 300.0, 300.0, 40.0
	paneStep                       = 390.0
	inset                          = 15.0
)

func (f *Figure) at(pane int, size, e float64) (x, y float64) {
	first, last := 1/float64(f.Cells[0]), 1/float64(f.Cells[len(f.Cells)-1])
	share := math.Log(size/last) / math.Log(first/last)
	return 70 + paneStep*float64(pane) + inset + (paneWidth-2*inset)*share, paneTop + paneHeight*math.Log10(e)/float64(f.Floor)
}

// Add draws a series.
func (f *Figure) Add(s Series) {
	var path strings.Builder
	fill, dash := s.Pen, ""
	if s.Estimated {
		fill, dash = "#fff", " stroke-dasharray=\"5 3\""
	}
	var dots strings.Builder
	for i, e := range s.Errors {
		x, y := f.at(s.Panel, 1/float64(f.Cells[i]), math.Min(1, math.Max(e, math.Pow(10, float64(f.Floor)))))
		fmt.Fprintf(&path, "%c%.1f %.1f", "ML"[min(i, 1)], x, y)
		fmt.Fprintf(&dots, "<circle cx=\"%.1f\" cy=\"%.1f\" r=\"3\" fill=\"%s\" stroke=\"%s\"/>", x, y, fill, s.Pen)
	}
	fmt.Fprintf(&f.marks, "<path d=\"%s\" fill=\"none\" stroke=\"%s\" stroke-width=\"1.5\"%s/>%s\n", path.String(), s.Pen, dash, dots.String())
}

// Key names a colour.
func (f *Figure) Key(pen, name string) {
	x, y := 80+paneStep*float64(f.keys%len(f.Panels)), paneTop+paneHeight+70+24*float64(f.keys/len(f.Panels))
	fmt.Fprintf(&f.marks, "<path d=\"M%.0f %.0fh30\" stroke=\"%s\" stroke-width=\"2\"/><text x=\"%.0f\" y=\"%.0f\">%s</text>\n", x, y, pen, x+38, y+4, name)
	f.keys++
}

// SVG returns the figure.
func (f *Figure) SVG() []byte {
	var b strings.Builder
	width := 20 + paneStep*float64(len(f.Panels))
	height := paneTop + paneHeight + 92 + 24*float64((f.keys-1)/len(f.Panels))
	fmt.Fprintf(&b, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %.0f %.0f\" font-family=\"sans-serif\" font-size=\"12\"><rect width=\"%.0f\" height=\"%.0f\" fill=\"#fff\"/>\n", width, height, width, height)
	for i, p := range f.Panels {
		f.frame(&b, i, p)
	}
	b.WriteString(f.marks.String() + "</svg>\n")
	return []byte(b.String())
}

func (f *Figure) frame(b *strings.Builder, pane int, p Panel) {
	left := 70 + paneStep*float64(pane)
	fmt.Fprintf(b, "<rect x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\" fill=\"none\" stroke=\"#444\"/><text x=\"%.1f\" y=\"28\" text-anchor=\"middle\">relative error: %s</text>\n", left, paneTop, paneWidth, paneHeight, left+paneWidth/2, p.Title)
	for k := 0; k >= f.Floor; k-- {
		_, y := f.at(pane, 1, math.Pow(10, float64(k)))
		fmt.Fprintf(b, "<path d=\"M%.1f %.1fh%.1f\" stroke=\"#e2e2e2\"/><text x=\"%.1f\" y=\"%.1f\" text-anchor=\"end\">1e%d</text>\n", left, y, paneWidth, left-5, y+4, k)
	}
	for _, n := range f.Cells {
		x, _ := f.at(pane, 1/float64(n), 1)
		fmt.Fprintf(b, "<path d=\"M%.1f %.1fv%.1f\" stroke=\"#e2e2e2\"/><text x=\"%.1f\" y=\"%.1f\" text-anchor=\"middle\">1/%d</text>\n", x, paneTop, paneHeight, x, paneTop+paneHeight+16, n)
	}
	fmt.Fprintf(b, "<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"middle\">element side over %s</text>\n", left+paneWidth/2, paneTop+paneHeight+34, f.Across)
	if n := len(f.Cells); p.Slope > 0 && n > 1 {
		coarse, fine := 1/float64(f.Cells[n-2]), 1/float64(f.Cells[n-1])
		x0, y0 := f.at(pane, coarse, 0.3)
		x1, y1 := f.at(pane, fine, 0.3*math.Pow(fine/coarse, p.Slope))
		fmt.Fprintf(b, "<path d=\"M%.1f %.1fL%.1f %.1fV%.1fZ\" fill=\"none\" stroke=\"#777\"/><text x=\"%.1f\" y=\"%.1f\" text-anchor=\"end\">%g</text>\n", x0, y0, x1, y1, y0, x1-4, (y0+y1)/2+4, p.Slope)
	}
}

// Order returns the order of the last step of a series of errors.
func (f *Figure) Order(errors []float64) float64 {
	n := len(errors)
	return math.Log(errors[n-2]/errors[n-1]) / math.Log(float64(f.Cells[n-1])/float64(f.Cells[n-2]))
}
