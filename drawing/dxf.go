package drawing

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"sinew/geom"
)

// record is one entity or table entry: its name and the groups up to the next
// code 0.
type record struct {
	name   string
	at     int
	groups []group
}

// dxfBlock is a named collection of entities, drawn by INSERT.
type dxfBlock struct {
	base     geom.Point
	entities []record
}

// dxfFile is what of the file is needed.
type dxfFile struct {
	in       *groupReader
	units    string // value of $INSUNITS; empty if not stated
	blocks   map[string]*dxfBlock
	entities []record
}

// ReadDXF reads a drawing in the DXF format, R12 to current, text or binary.
// Of the entities it reads LINE, ARC, CIRCLE, ELLIPSE, LWPOLYLINE, POLYLINE,
// SPLINE and INSERT; others are counted in the notes.
func ReadDXF(r io.Reader, s Settings) (*Drawing, error) {
	data, err := readAll(r)
	if err != nil {
		return nil, err
	}
	f := &dxfFile{in: newGroupReader(data), blocks: map[string]*dxfBlock{}}
	if err := f.read(); err != nil {
		return nil, err
	}
	unit, scale, err := f.unit(s)
	if err != nil {
		return nil, err
	}
	d := &dxfDrawer{file: f, tol: s.tolerance(), out: &Drawing{Unit: unit}}
	top := frame{m: scaling(scale, scale)}
	for _, e := range f.entities {
		if err := d.draw(e, top); err != nil {
			return nil, err
		}
	}
	d.out.Notes = append(d.notes.notes(), d.out.Notes...)
	return d.out, d.out.checkPieces()
}

// read walks through the sections.
func (f *dxfFile) read() error {
	records, err := f.records()
	if err != nil {
		return err
	}
	section, ended := "", false
	var block *dxfBlock
	for _, r := range records {
		switch {
		case r.name == "SECTION":
			section, _ = r.text(2)
			if section == "HEADER" {
				f.header(r)
			}
		case r.name == "ENDSEC":
			section, block = "", nil
		case r.name == "EOF":
			ended = true
		case section == "BLOCKS" && r.name == "BLOCK":
			block = &dxfBlock{base: r.point(10)}
			name, _ := r.text(2)
			f.blocks[strings.ToUpper(name)] = block
		case section == "BLOCKS" && r.name == "ENDBLK":
			block = nil
		case block != nil:
			block.entities = append(block.entities, r)
		case section == "ENTITIES":
			f.entities = append(f.entities, r)
		}
		if ended {
			break
		}
	}
	if !ended {
		return f.in.fail(max(f.in.line, f.in.pos*btoi(f.in.binary)), "the file ends without its EOF mark: it is cut off", exportAgain)
	}
	f.entities = foldPolylines(f.entities)
	for _, b := range f.blocks {
		b.entities = foldPolylines(b.entities)
	}
	return nil
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// records reads the file up to its EOF mark; what follows is not looked at.
func (f *dxfFile) records() ([]record, error) {
	var list []record
	for {
		g, err := f.in.next()
		if errors.Is(err, io.EOF) {
			return list, nil
		}
		if err != nil {
			if len(list) == 0 {
				return nil, &Error{What: "this is not a DXF file", Remedy: exportAgain}
			}
			return nil, err
		}
		switch {
		case g.code == 0:
			list = append(list, record{name: strings.TrimSpace(g.value), at: g.at})
			if list[len(list)-1].name == "EOF" {
				return list, nil
			}
		case len(list) == 0 && g.code != 999:
			return nil, &Error{Place: f.in.place(g.at), What: "this is not a DXF file: it does not start with a section", Remedy: exportAgain}
		case len(list) > 0:
			r := &list[len(list)-1]
			r.groups = append(r.groups, g)
		}
	}
}

// header finds the drawing's unit.
func (f *dxfFile) header(r record) {
	for i, g := range r.groups {
		if g.code == 9 && strings.TrimSpace(g.value) == "$INSUNITS" && i+1 < len(r.groups) {
			f.units = strings.TrimSpace(r.groups[i+1].value)
		}
	}
}

// unit returns the drawing's unit and its length in mm.
func (f *dxfFile) unit(s Settings) (string, float64, error) {
	stated, scale := "", 0.0
	switch f.units {
	case "", "0":
	case "1":
		stated, scale = "in", 25.4
	case "2":
		stated, scale = "ft", 304.8
	case "4":
		stated, scale = "mm", 1
	case "5":
		stated, scale = "cm", 10
	case "6":
		stated, scale = "m", 1000
	case "9":
		stated, scale = "mil", 0.0254
	case "13":
		stated, scale = "µm", 0.001
	case "14":
		stated, scale = "dm", 100
	default:
		return "", 0, &Error{What: "the drawing's unit, $INSUNITS = " + f.units + ", is not one for parts", Remedy: "set millimetres and export again"}
	}
	return settleUnit(stated, scale, s.Units)
}

// settleUnit weighs what the drawing states against what the caller states.
func settleUnit(stated string, scale float64, given string) (string, float64, error) {
	if given == "" && stated == "" {
		return "", 0, &Error{What: "the drawing states no unit", Remedy: "state it in the job: units = \"mm\", \"cm\", \"m\" or \"in\""}
	}
	if given == "" {
		return stated, scale, nil
	}
	size, ok := unitLength(given)
	if !ok {
		return "", 0, &Error{What: fmt.Sprintf("unit %q is unknown", given), Remedy: "write mm, cm, m or in"}
	}
	if stated != "" && stated != given {
		return "", 0, &Error{What: fmt.Sprintf("the drawing states %s, the job %s", stated, given), Remedy: "leave units out of the job, or export the drawing in the unit meant"}
	}
	return given, size, nil
}

// foldPolylines puts the vertices of each POLYLINE into its record: the groups
// of a vertex follow a group 0 "VERTEX".
func foldPolylines(list []record) []record {
	var out []record
	open := false
	for _, r := range list {
		switch {
		case r.name == "SEQEND":
			open = false
			continue
		case open && r.name == "VERTEX":
			last := &out[len(out)-1]
			last.groups = append(append(last.groups, group{0, "VERTEX", r.at}), r.groups...)
			continue
		}
		open = r.name == "POLYLINE"
		out = append(out, r)
	}
	return out
}

// text returns the first value of a code.
func (r record) text(code int) (string, bool) {
	for _, g := range r.groups {
		if g.code == code {
			return strings.TrimSpace(g.value), true
		}
	}
	return "", false
}

// number returns the first value of a code as a number, or def. A value that
// is no number reads as NaN, which the drawer refuses.
func (r record) number(code int, def float64) float64 {
	text, ok := r.text(code)
	if !ok {
		return def
	}
	return toNumber(text)
}

func toNumber(text string) float64 {
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// point returns the point at a code and the code ten above it.
func (r record) point(code int) geom.Point {
	return geom.Point{X: r.number(code, 0), Y: r.number(code+10, 0)}
}

// flag reports whether a bit is set in the value of a code.
func (r record) flag(code, bit int) bool {
	v, _ := strconv.Atoi(func() string { t, _ := r.text(code); return t }())
	return v&bit != 0
}
