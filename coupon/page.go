package coupon

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"math"
	"strings"

	"sinew/geom"
	"sinew/strand"
)

//go:embed page.html
var pageText string

// pageRow is one line of the table to be filled in.
type pageRow struct{ Name, What, Nominal string }

// pageView is what the page shows.
type pageView struct {
	Title, Machine, Plastic, Program, Caution string
	How                                       []string
	Columns                                   [3]string
	Rows                                      []pageRow
	Drawing                                   template.HTML
	Data                                      string // name of the data file
}

// PageHead says what a page names besides the print.
type PageHead struct{ Machine, Plastic, Program, Data, Caution string }

// Page returns the page of a calibration print: what to do, where to measure,
// and room to write it down.
func (k *Calibration) Page(h PageHead) []byte {
	v := h.view(k.Title, k.How)
	v.Columns = [3]string{"Reading", "From … to", "A machine in order shows"}
	var marks []mark
	for _, r := range k.Readings {
		nominal := ""
		if !math.IsNaN(r.Nominal) {
			nominal = strings.TrimSpace(fmt.Sprintf("%.4g %s", r.Nominal, r.Unit))
		}
		v.Rows = append(v.Rows, pageRow{r.Name, r.What, nominal})
		marks = append(marks, mark{r.At, r.Name})
	}
	v.Drawing = drawing(k.Print, nil, marks)
	return v.html()
}

// Page returns the page of a panel: where to saw, how to test, and room for
// what was measured.
func (p *Panel) Page(h PageHead) []byte {
	how := []string{
		fmt.Sprintf("Saw %d coupons of %s × %s out of the plate as drawn, cool and without delamination; grind the edges.", p.Count, plain(p.Length), plain(p.Width)),
		fmt.Sprintf("Condition and test them by %s (%s): strength = %s.", p.Test.Standard, p.Test.Title, p.Test.Formula),
		fmt.Sprintf("The composite is %d layers, %s thick, strands every %s.", p.Layers, plain(p.Thickness), plain(p.Spacing)),
		"Sizes are from memory of the standard: hold them against your copy before you test.",
	}
	if p.Test.Tabs > 0 {
		how = append(how, fmt.Sprintf("Each end is held over %s.", plain(p.Test.Tabs)))
	}
	v := h.view("Coupons: "+p.Test.Title, append(how, p.Notes...))
	v.Columns = [3]string{"Coupon", "Width, thickness", "Greatest force, modulus"}
	var marks []mark
	for i, b := range p.Coupons {
		name := fmt.Sprintf("%s-%d", p.Test.Name, i+1)
		v.Rows = append(v.Rows, pageRow{name, "", ""})
		marks = append(marks, mark{b.Middle(), fmt.Sprint(i + 1)})
	}
	v.Drawing = drawing(p.Print, p.Coupons, marks)
	return v.html()
}

// plain is a length in mm, whatever its size: a page is read beside a ruler.
func plain(v float64) string { return fmt.Sprintf("%.4g mm", v) }

func (h PageHead) view(title string, how []string) pageView {
	return pageView{Title: title, Machine: h.Machine, Plastic: h.Plastic, Program: h.Program, Data: h.Data, Caution: h.Caution, How: how}
}

func (v pageView) html() []byte {
	t, err := template.New("page").Parse(pageText)
	if err != nil {
		panic("coupon: page template: " + err.Error())
	}
	var b bytes.Buffer
	if err := t.Execute(&b, v); err != nil {
		panic("coupon: page: " + err.Error())
	}
	return b.Bytes()
}

// mark is a name at a place of the drawing.
type mark struct {
	at   geom.Point
	name string
}

// drawing shows the top layer, boxes to saw along, and marks, in SVG; y up.
func drawing(pr *strand.Print, boxes []geom.Box, marks []mark) template.HTML {
	box := pr.Region.Bounds().Grow(2)
	size := box.Size()
	var b strings.Builder
	fmt.Fprintf(&b, `<svg viewBox="0 0 %.2f %.2f" xmlns="http://www.w3.org/2000/svg" role="img" aria-label="the print from above">`, size.X, size.Y)
	at := func(p geom.Point) string { return fmt.Sprintf("%.2f,%.2f", p.X-box.Min.X, box.Max.Y-p.Y) }
	path := func(pts []geom.Point, closed bool, colour string, width float64) {
		var s []string
		for _, p := range pts {
			s = append(s, at(p))
		}
		tag := "polyline"
		if closed {
			tag = "polygon"
		}
		fmt.Fprintf(&b, `<%s points="%s" fill="none" stroke="%s" stroke-width="%.2f"/>`, tag, strings.Join(s, " "), colour, width)
	}
	for i := range pr.Layers {
		l := &pr.Layers[i]
		if i < len(pr.Layers)-1 && i > 0 {
			continue // the lowest and the top layer show all there is
		}
		for _, k := range l.Beads {
			colour := "#b08d3c"
			if k.Kind == strand.Cover {
				colour = "#eee6cf"
			}
			path(k.Points, k.Closed, colour, k.Width)
		}
		for _, s := range l.Strands {
			path(s.Points, false, "#3c4a52", 0.35)
		}
	}
	for _, c := range boxes {
		path([]geom.Point{c.Min, {X: c.Max.X, Y: c.Min.Y}, c.Max, {X: c.Min.X, Y: c.Max.Y}}, true, "#a8321f", 0.6)
	}
	font := math.Max(2.5, math.Max(size.X, size.Y)/60)
	for _, m := range marks {
		p := at(m.at)
		x, y, _ := strings.Cut(p, ",")
		fmt.Fprintf(&b, `<text x="%s" y="%s" font-size="%.1f" fill="#a8321f" stroke="#fff" stroke-width="%.2f" paint-order="stroke" text-anchor="middle">%s</text>`, x, y, font, font/4, template.HTMLEscapeString(m.name))
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}
