package drawing

import (
	"bufio"
	"io"
	"strconv"
	"strings"

	"sinew/geom"
)

// Trace is a line to be written: straight pieces and arcs, each from where the
// one before ended, on a drawing layer.
type Trace struct {
	Layer  string
	Edges  []geom.Edge
	Closed bool // the last edge ends where the first begins
}

// WriteDXF writes lines as LWPOLYLINE entities in millimetres, DXF of the release
// AC1015 with no more than ReadDXF needs: what is read back is the same to the
// last digit written, a hundred-thousandth of a millimetre.
func WriteDXF(w io.Writer, list []Trace) error {
	b := bufio.NewWriter(w)
	pair := func(code int, value string) {
		b.WriteString(strconv.Itoa(code))
		b.WriteByte('\n')
		b.WriteString(value)
		b.WriteByte('\n')
	}
	number := func(code int, v float64) { pair(code, strconv.FormatFloat(v, 'f', 5, 64)) }
	point := func(p geom.Point, bulge float64) {
		number(10, p.X)
		number(20, p.Y)
		if bulge != 0 {
			pair(42, strconv.FormatFloat(bulge, 'g', 9, 64))
		}
	}
	pair(0, "SECTION")
	pair(2, "HEADER")
	pair(9, "$ACADVER")
	pair(1, "AC1015")
	pair(9, "$INSUNITS")
	pair(70, "4")
	pair(0, "ENDSEC")
	pair(0, "SECTION")
	pair(2, "ENTITIES")
	for _, t := range list {
		if len(t.Edges) == 0 {
			continue
		}
		corners, flag := len(t.Edges)+1, "0"
		if t.Closed {
			corners, flag = len(t.Edges), "1"
		}
		pair(0, "LWPOLYLINE")
		pair(8, layerName(t.Layer))
		pair(90, strconv.Itoa(corners))
		pair(70, flag)
		for _, e := range t.Edges {
			point(e.A, e.Bulge)
		}
		if !t.Closed {
			point(t.Edges[len(t.Edges)-1].B, 0)
		}
	}
	pair(0, "ENDSEC")
	pair(0, "EOF")
	return b.Flush()
}

// layerName replaces what the name of a drawing layer may not hold.
func layerName(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || strings.ContainsRune("<>/\\\":;?*|,='`", r) {
			return '-'
		}
		return r
	}, s)
}
