package figure

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"

	"sinew/geom"
)

// Sizes of the sheet in SVG user units, which a browser shows as pixels.
const (
	sheetWidth = 900.0
	margin     = 28.0
	footHeight = 58.0  // caption, scale bar, legend
	maxHeight  = 900.0 // of the part's picture: tall parts get a smaller scale
)

// Ink and paper of all drawings.
const (
	ink      = "#1d2a33"
	faintInk = "#7b868c"
	metalFil = "#e9e6dd"
	loadInk  = "#a8321f"
	holdInk  = "#1f5d8a"
)

// Drawing collects what is drawn of one part; SVG writes it.
type Drawing struct {
	caption string
	box     geom.Box
	scale   float64 // user units per mm
	height  float64
	body    strings.Builder
	legend  string
}

// New starts a drawing of what lies in box, with a caption.
func New(caption string, box geom.Box) *Drawing {
	w := math.Max(box.Max.X-box.Min.X, 1e-6)
	h := math.Max(box.Max.Y-box.Min.Y, 1e-6)
	pad := 0.06 * math.Max(w, h) // room for arrows and labels around the part
	box.Min = geom.Point{X: box.Min.X - pad, Y: box.Min.Y - pad}
	box.Max = geom.Point{X: box.Max.X + pad, Y: box.Max.Y + pad}
	w, h = w+2*pad, h+2*pad
	scale := math.Min((sheetWidth-2*margin)/w, maxHeight/h)
	return &Drawing{caption: caption, box: box, scale: scale, height: h*scale + 2*margin + footHeight}
}

// xy maps a point of the part to the sheet.
func (d *Drawing) xy(p geom.Point) (x, y float64) {
	return margin + (p.X-d.box.Min.X)*d.scale, margin + (d.box.Max.Y-p.Y)*d.scale
}

// num writes a coordinate with a tenth of a user unit: finer than a printer's
// dot at this size.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 1, 64)
	return strings.TrimSuffix(s, ".0")
}

// point writes "x y" on the sheet.
func (d *Drawing) point(p geom.Point) string {
	x, y := d.xy(p)
	return num(x) + " " + num(y)
}

// polyline writes the path data of a chain of points.
func (d *Drawing) polyline(points []geom.Point, closed bool) string {
	var b strings.Builder
	for i, p := range points {
		if i == 0 {
			b.WriteByte('M')
		} else {
			b.WriteByte('L')
		}
		b.WriteString(d.point(p))
	}
	if closed {
		b.WriteByte('Z')
	}
	return b.String()
}

// loop writes the path data of a loop; arcs stay arcs.
func (d *Drawing) loop(l geom.Loop) string {
	var b strings.Builder
	for i, e := range l {
		if i == 0 {
			b.WriteString("M" + d.point(e.A))
		}
		if e.Bulge == 0 {
			b.WriteString("L" + d.point(e.B))
			continue
		}
		r := e.Radius() * d.scale
		large, sweep := 0, 0
		if math.Abs(e.Bulge) > 1 { // more than half a turn
			large = 1
		}
		if e.Bulge < 0 { // clockwise in the part, y flipped on the sheet
			sweep = 1
		}
		fmt.Fprintf(&b, "A%s %s 0 %d %d %s", num(r), num(r), large, sweep, d.point(e.B))
	}
	b.WriteByte('Z')
	return b.String()
}

// Region draws the part's area, filled or as an outline only.
func (d *Drawing) Region(r geom.Region, filled bool) {
	fill := "none"
	if filled {
		fill = metalFil
	}
	var data strings.Builder
	for _, l := range r.Loops() {
		data.WriteString(d.loop(l))
	}
	fmt.Fprintf(&d.body, `<path d="%s" fill="%s" fill-rule="evenodd" stroke="%s" stroke-width="1.4"/>`+"\n", data.String(), fill, ink)
}

// Text writes a label at a point of the part, moved by dx, dy user units.
func (d *Drawing) Text(p geom.Point, dx, dy float64, anchor, text string) {
	x, y := d.xy(p)
	fmt.Fprintf(&d.body, `<text x="%s" y="%s" text-anchor="%s" class="n">%s</text>`+"\n", num(x+dx), num(y+dy), anchor, html.EscapeString(text))
}

// style is the same for all drawings; class n is small text with a halo so
// that it stays readable over lines.
const style = `<style>text{font:12px "DejaVu Sans","Liberation Sans",sans-serif;fill:` + ink + `}.c{font-size:13px;font-weight:600}.n{font-size:11px;paint-order:stroke;stroke:#fff;stroke-width:3px;stroke-linejoin:round}</style>`

// SVG returns the finished drawing.
func (d *Drawing) SVG() string {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" role="img" aria-label="%s">`+"\n", num(sheetWidth), num(d.height), html.EscapeString(d.caption))
	b.WriteString(style + "\n")
	b.WriteString(d.body.String())
	d.writeFoot(&b)
	b.WriteString("</svg>\n")
	return b.String()
}

// writeFoot writes caption, scale bar and legend below the part.
func (d *Drawing) writeFoot(b *strings.Builder) {
	y := d.height - footHeight
	fmt.Fprintf(b, `<line x1="%s" y1="%s" x2="%s" y2="%s" stroke="%s"/>`+"\n", num(margin), num(y), num(sheetWidth-margin), num(y), faintInk)
	fmt.Fprintf(b, `<text x="%s" y="%s" class="c">%s</text>`+"\n", num(margin), num(y+20), html.EscapeString(d.caption))
	length := roundLength(0.15 * (sheetWidth - 2*margin) / d.scale)
	fmt.Fprintf(b, `<path d="M%s %sv6h%sv-6" fill="none" stroke="%s"/><text x="%s" y="%s">%s mm</text>`+"\n",
		num(margin), num(y+34), num(length*d.scale), ink, num(margin+length*d.scale+8), num(y+42), num(length))
	b.WriteString(d.legend)
}

// roundLength returns the largest of 1, 2, 5 times a power of ten not above v.
func roundLength(v float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, m := range []float64{5, 2, 1} {
		if m*p <= v {
			return m * p
		}
	}
	return p
}
