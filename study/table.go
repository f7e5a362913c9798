package study

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
)

// csv writes a line a point, for a spreadsheet.
func (r *Record) csv() ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	head := []string{"point"}
	for _, v := range r.Variables {
		head = append(head, v.Name)
	}
	head = append(head, "state", "rank")
	for _, c := range r.Columns {
		head = append(head, c.Title())
	}
	if err := w.Write(append(head, "governed by", "in case", "x mm", "y mm", "same as", "reasons")); err != nil {
		return nil, err
	}
	for i := range r.Points {
		if err := w.Write(r.Points[i].row()); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}

func (p *PointRecord) row() []string {
	row := append([]string{strconv.Itoa(p.Number)}, p.Values...)
	row = append(row, p.State, unlessZero(p.Rank))
	for _, f := range p.Figures {
		text := ""
		if f != nil {
			text = strconv.FormatFloat(*f, 'g', -1, 64)
		}
		row = append(row, text)
	}
	governed := []string{"", "", "", ""}
	if g := p.Governing; g != nil {
		governed = []string{g.Mode, g.Case, strconv.FormatFloat(g.X, 'f', 2, 64), strconv.FormatFloat(g.Y, 'f', 2, 64)}
	}
	return append(append(row, governed...), unlessZero(p.SameAs), strings.Join(p.Reasons, "; "))
}

func unlessZero(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}
