package study

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"math"
	"strconv"

	"sinew/figure"
	"sinew/job"
)

//go:embed study.html
var pageText string

// drawnFigure is a drawing of the page.
type drawnFigure struct {
	SVG  template.HTML // from package figure alone, which escapes what it writes
	Text string
}

// page writes the report of a study: one file that needs nothing else.
func (r *Record) page() ([]byte, error) {
	t, err := template.New("study").Funcs(template.FuncMap{"fig": Number, "list": numbers, "short": func(hash string) string { return hash[:min(16, len(hash))] }}).Parse(pageText)
	if err != nil {
		panic("study: page template: " + err.Error())
	}
	var b bytes.Buffer
	err = t.Execute(&b, struct {
		*Record
		Caution  string
		Drawings []drawnFigure
	}{r, job.Caution, r.drawings()})
	if err != nil {
		return nil, fmt.Errorf("study page: %w", err)
	}
	return b.Bytes(), nil
}

// Number writes a figure for people, to four digits; a dash where there is none.
func Number(v *float64) string {
	if v == nil {
		return "–"
	}
	if a := math.Abs(*v); a >= 1000 && a < 1e15 {
		return strconv.FormatFloat(*v, 'f', 0, 64)
	}
	return strconv.FormatFloat(*v, 'g', 4, 64)
}

// numbers writes numbers of points.
func numbers(list []int) string {
	text := ""
	for i, n := range list {
		if i > 0 {
			text += ", "
		}
		text += strconv.Itoa(n)
	}
	return text
}

// drawings sets the first aim against every other; a single aim against the
// points' numbers.
func (r *Record) drawings() []drawnFigure {
	var aims []int
	for c := range r.Columns {
		if r.Columns[c].Want != "" {
			aims = append(aims, c)
		}
	}
	if len(aims) == 1 {
		aims = []int{aims[0], -1}
	}
	var out []drawnFigure
	for _, other := range aims[1:] {
		x, title := figure.Axis("number of the point"), r.Columns[aims[0]].Name
		if other >= 0 {
			x, title = r.axis(other), title+" and "+r.Columns[other].Name
		}
		svg := figure.Scatter(title, x, r.axis(aims[0]), r.clouds(other, aims[0]))
		out = append(out, drawnFigure{template.HTML(svg), "Numbers are those of the points. The front is in all aims, limits included; a drawing shows two of them."})
	}
	return out
}

// axis titles an axis by its column and says which way is better.
func (r *Record) axis(c int) figure.Axis {
	return figure.Axis(fmt.Sprintf("%s (wanted: %s)", r.Columns[c].Title(), r.Columns[c].Want))
}

// clouds sorts the points into the front, the others that meet the limits, and
// those that do not; x is a column, or -1 for the point's number.
func (r *Record) clouds(x, y int) []figure.Cloud {
	out := []figure.Cloud{{Name: "front", Labels: []string{}}, {Name: "meets the limits"}, {Name: "misses a limit"}}
	for i := range r.Points {
		p := &r.Points[i]
		at := [2]float64{float64(p.Number)}
		if p.Figures[y] == nil || x >= 0 && p.Figures[x] == nil {
			continue
		}
		at[1] = *p.Figures[y]
		if x >= 0 {
			at[0] = *p.Figures[x]
		}
		k := 2
		switch {
		case p.Rank == 1:
			k = 0
			out[0].Labels = append(out[0].Labels, strconv.Itoa(p.Number))
		case p.State == Meets:
			k = 1
		}
		out[k].Points = append(out[k].Points, at)
	}
	return out
}
