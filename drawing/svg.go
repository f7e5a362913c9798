package drawing

import (
	"fmt"
	"io"
	"math"
	"strings"

	"sinew/geom"
)

// pixel is a CSS pixel in mm: 1/96 inch (CSS Values and Units 3, section 6.2).
const pixel = 25.4 / 96

// ReadSVG reads a drawing in the SVG format: path, rect, circle, ellipse,
// line, polyline, polygon, through groups, uses and transforms. The scale is
// that of width and height against the view box; a drawing whose width has no
// physical unit needs Settings.Units, which then is the unit of its user
// coordinates. The y axis is turned round, so that the part reads upright. A
// piece's layer is the id of the innermost group that has one.
func ReadSVG(r io.Reader, s Settings) (*Drawing, error) {
	data, err := readAll(r)
	if err != nil {
		return nil, err
	}
	root, err := parseTree(data)
	if err != nil {
		return nil, err
	}
	d := &svgDrawer{tol: s.tolerance(), out: &Drawing{}, ids: map[string]*svgNode{}}
	root.index(d.ids)
	m, err := d.viewport(root, s)
	if err != nil {
		return nil, err
	}
	for _, c := range root.children {
		if err := d.draw(c, frame{m: m}); err != nil {
			return nil, err
		}
	}
	d.out.Notes = d.notes.notes()
	return d.out, d.out.checkPieces()
}

// svgDrawer turns elements into pieces.
type svgDrawer struct {
	tol   float64
	out   *Drawing
	ids   map[string]*svgNode
	notes tally
	drawn int
}

func (n *svgNode) fail(what, remedy string) error { return &Error{n.place, n.name, what, remedy} }

// sameScale bounds the relative difference of the scales of width and height,
// which files round to a few digits.
const sameScale = 1e-3

// viewport returns the map from user coordinates to mm.
func (d *svgDrawer) viewport(root *svgNode, s Settings) (affine, error) {
	width, unit := physical(root.attrs["width"])
	height, _ := physical(root.attrs["height"])
	scale, x, y, h := pixel, 0.0, 0.0, height/pixel
	if box := root.attrs["viewBox"]; box != "" {
		v, err := numbers(box)
		if err != nil || len(v) != 4 || !(v[2] > 0) || !(v[3] > 0) {
			return affine{}, root.fail(fmt.Sprintf("viewBox is %q", box), "write four numbers: left, top, width, height")
		}
		x, y, h = v[0], v[1], v[3]
		scale = width / v[2]
		if height > 0 && width > 0 && math.Abs(height/v[3]/scale-1) > sameScale {
			return affine{}, root.fail("width, height and viewBox give two different scales", "export again with one scale for both axes")
		}
	}
	if width == 0 {
		unit = ""
	}
	unit, given, err := settleUnit(unit, scale, s.Units)
	if err != nil {
		return affine{}, err
	}
	if width == 0 {
		scale = given
	}
	d.out.Unit = unit
	return affine{a: scale, d: -scale, e: -scale * x, f: scale * (y + h)}, nil
}

// physical returns a length in mm and its unit, or zero if it has none.
func physical(text string) (float64, string) {
	number, unit := splitLength(text)
	size, ok := map[string]float64{"mm": 1, "cm": 10, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6, "Q": 0.25}[unit]
	if v := toNumber(number); ok && v > 0 && isFinite(v) {
		return v * size, unit
	}
	return 0, ""
}

func splitLength(text string) (number, unit string) {
	text = strings.TrimSpace(text)
	n := numberEnd(text)
	return text[:n], strings.TrimSpace(text[n:])
}

// length returns a length attribute in user units, def where it is left out.
func (n *svgNode) length(name string, def float64) (float64, error) {
	text, ok := n.attrs[name]
	if !ok || strings.TrimSpace(text) == "auto" {
		return def, nil
	}
	if mm, _ := physical(text); mm > 0 {
		return mm / pixel, nil
	}
	number, unit := splitLength(text)
	if v := toNumber(number); isFinite(v) && (unit == "" || unit == "px") {
		return v, nil
	}
	return 0, n.fail(fmt.Sprintf("%s is %.40q", name, text), "write a plain number, or one in px, mm, cm or in")
}

// lengths returns several length attributes, zero where left out.
func (n *svgNode) lengths(names ...string) ([]float64, error) {
	list := make([]float64, len(names))
	for i, name := range names {
		v, err := n.length(name, 0)
		if err != nil {
			return nil, err
		}
		list[i] = v
	}
	return list, nil
}

// draw draws one element and what lies in it.
func (d *svgDrawer) draw(n *svgNode, f frame) error {
	if d.drawn++; d.drawn > maxNodes {
		return n.fail("the drawing has too many elements", "export the part's outline alone")
	}
	if n.hidden() {
		d.notes.add("hidden "+n.name+" ignored", n.place)
		return nil
	}
	if t := n.attrs["transform"]; t != "" {
		m, err := parseTransform(t)
		if err != nil {
			return n.fail(fmt.Sprintf("transform %.60q: %v", t, err), "export as plain SVG")
		}
		f.m = f.m.after(m)
	}
	for _, cut := range []string{"clip-path", "mask"} {
		if v := n.style(cut); v != "" && v != "none" {
			d.notes.add(cut+" ignored: the whole shape is read", n.place)
		}
	}
	switch n.name {
	case "g", "a":
		return d.group(n, f)
	case "use":
		return d.use(n, f)
	case "svg":
		return n.fail("an svg within the svg is not read", "export as plain SVG")
	case "defs", "symbol", "title", "desc", "metadata":
		return nil
	}
	shapes, ok, err := n.shape(d.tol, f.m)
	if err != nil {
		return err
	}
	if !ok {
		d.notes.add(n.name+" ignored", n.place)
		return nil
	}
	return d.put(n, f, shapes)
}

func (d *svgDrawer) group(n *svgNode, f frame) error {
	if id := n.attrs["id"]; id != "" {
		f.layer = id
	}
	for _, c := range n.children {
		if err := d.draw(c, f); err != nil {
			return err
		}
	}
	return nil
}

func (d *svgDrawer) use(n *svgNode, f frame) error {
	id, local := strings.CutPrefix(strings.TrimSpace(n.attrs["href"]), "#")
	target := d.ids[id]
	switch {
	case !local:
		return n.fail(fmt.Sprintf("it refers to %.60q outside the file", n.attrs["href"]), "export as plain SVG")
	case target == nil:
		return n.fail(fmt.Sprintf("there is no element %.60q", id), "export again")
	case len(f.path) >= maxDepth:
		return n.fail(fmt.Sprintf("uses of uses go more than %d deep: %.200s", maxDepth, strings.Join(f.path, " → ")), "export as plain SVG")
	}
	for _, p := range f.path {
		if p == id {
			return n.fail(fmt.Sprintf("element %q uses itself", id), "export as plain SVG")
		}
	}
	at, err := n.lengths("x", "y")
	if err != nil {
		return err
	}
	f.m = f.m.after(shifting(at[0], at[1]))
	f.path = append(append([]string{}, f.path...), id)
	if target.name != "symbol" {
		return d.draw(target, f)
	}
	if target.attrs["viewBox"] != "" {
		return n.fail("a symbol with a view box of its own is not read", "export as plain SVG")
	}
	return d.group(target, f)
}

func (d *svgDrawer) put(n *svgNode, f frame, edges []geom.Edge) error {
	for _, e := range edges {
		e.Label = f.layer
		d.out.Pieces = append(d.out.Pieces, Piece{e, n.name, n.place})
	}
	if len(d.out.Pieces) > maxPieces {
		return n.fail(fmt.Sprintf("the drawing has more than %d pieces", maxPieces), "export the part's outline alone")
	}
	return nil
}
