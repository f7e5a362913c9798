package drawing

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"sinew/geom"
)

// frame is where an entity is drawn: the map of its block, the layer that
// layer 0 stands for, and the blocks it lies in.
type frame struct {
	m     affine
	layer string
	path  []string
}

// dxfDrawer turns entities into pieces.
type dxfDrawer struct {
	file  *dxfFile
	tol   float64
	out   *Drawing
	notes tally
	drawn int // blocks and entities drawn by INSERT
}

func (d *dxfDrawer) fail(e record, what, remedy string) error {
	return &Error{d.file.in.place(e.at), e.name, what, remedy}
}

// draw draws one entity.
func (d *dxfDrawer) draw(e record, f frame) error {
	place := d.file.in.place(e.at)
	if e.flag(67, 1) {
		d.notes.add("entity on a paper sheet ignored", place)
		return nil
	}
	if e.flag(60, 1) {
		d.notes.add("invisible entity ignored", place)
		return nil
	}
	if l, _ := e.text(8); l != "" && l != "0" {
		f.layer = l
	} else if f.layer == "" {
		f.layer = "0"
	}
	var edges []geom.Edge
	var err error
	switch e.name {
	case "LINE":
		d.noteHeight(e, e.number(30, 0) != e.number(31, 0))
		edges = []geom.Edge{{A: e.point(10), B: e.point(11)}}
	case "ARC", "CIRCLE":
		edges, err = d.circle(e)
	case "ELLIPSE":
		edges, err = d.ellipse(e, f)
	case "LWPOLYLINE":
		edges, err = d.polyline(e, e.lightVertices())
	case "POLYLINE":
		edges, err = d.heavyPolyline(e)
	case "SPLINE":
		edges, err = d.spline(e, f)
	case "INSERT":
		return d.insert(e, f)
	default:
		d.notes.add(e.name+" ignored", place)
		return nil
	}
	if err != nil {
		return err
	}
	if ocs := e.name; ocs != "LINE" && ocs != "ELLIPSE" && ocs != "SPLINE" {
		m, err := d.plane(e)
		if err != nil {
			return err
		}
		f.m = f.m.after(m)
	}
	return d.put(e, f, edges)
}

// put maps edges into the drawing.
func (d *dxfDrawer) put(e record, f frame, edges []geom.Edge) error {
	place := d.file.in.place(e.at)
	for _, edge := range edges {
		if !isFinite(edge.A.X, edge.A.Y, edge.B.X, edge.B.Y, edge.Bulge) {
			return d.fail(e, "a coordinate is missing or is no number", "redraw it, or export again")
		}
		for _, m := range f.m.mapEdge(edge, d.tol) {
			m.Label = f.layer
			d.out.Pieces = append(d.out.Pieces, Piece{m, e.name, place})
		}
	}
	if len(d.out.Pieces) > maxPieces {
		return d.fail(e, fmt.Sprintf("the drawing has more than %d pieces", maxPieces), "export the part's outline alone")
	}
	return nil
}

func isFinite(list ...float64) bool {
	for _, v := range list {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

func (d *dxfDrawer) noteHeight(e record, sloped bool) {
	if sloped {
		d.notes.add("sloped "+e.name+" seen from above", d.file.in.place(e.at))
	}
}

// Directions of extrusion: within straight of the z axis an entity counts as
// lying in the plane; 1e-6 of the length tilts a metre by 1 µm.
const straight = 1e-6

// plane returns the map from an entity's own coordinates to the drawing's: x
// turns round where the entity is seen from below.
func (d *dxfDrawer) plane(e record) (affine, error) {
	x, y, z := e.number(210, 0), e.number(220, 0), e.number(230, 1)
	if n := math.Sqrt(x*x + y*y + z*z); !(math.Hypot(x, y) <= straight*n) || n == 0 {
		return affine{}, d.fail(e, fmt.Sprintf("it lies in a plane of its own, normal (%g, %g, %g)", x, y, z), "draw the outline in the xy plane")
	}
	if z < 0 {
		return scaling(-1, 1), nil
	}
	return identity(), nil
}

func (d *dxfDrawer) circle(e record) ([]geom.Edge, error) {
	r := e.number(40, math.NaN())
	if !(r > 0) {
		return nil, d.fail(e, fmt.Sprintf("its radius is %g", r), "delete or redraw it")
	}
	if e.name == "CIRCLE" {
		return arcEdges(e.point(10), r, 0, 2*math.Pi), nil
	}
	a, b := e.number(50, 0), e.number(51, 360)
	sweep := math.Mod(b-a, 360)
	if sweep <= 0 {
		sweep += 360
	}
	return arcEdges(e.point(10), r, a*math.Pi/180, sweep*math.Pi/180), nil
}

// ellipse draws center + major·cos t + minor·sin t; its points are in the
// drawing's coordinates, the minor axis is the normal times the major axis.
func (d *dxfDrawer) ellipse(e record, f frame) ([]geom.Edge, error) {
	m, err := d.plane(e)
	if err != nil {
		return nil, err
	}
	c, major, ratio := e.point(10), e.point(11), e.number(40, 1)
	if !(major.Norm() > 0) || !(ratio > 0) {
		return nil, d.fail(e, "one of its axes has no length", "delete or redraw it")
	}
	minor := major.Left().Scale(ratio * m.determinant())
	t0, t1 := e.number(41, 0), e.number(42, 2*math.Pi)
	sweep := math.Mod(t1-t0, 2*math.Pi)
	const turn = 1e-9 // rad: files write 2π with fewer digits
	if sweep <= turn {
		sweep += 2 * math.Pi
	}
	if math.Abs(sweep-2*math.Pi) < turn*1e3 {
		sweep = 2 * math.Pi
	}
	axes := affine{major.X, major.Y, minor.X, minor.Y, c.X, c.Y}
	var edges []geom.Edge
	for _, arc := range arcEdges(geom.Point{}, 1, t0, sweep) {
		edges = append(edges, axes.mapEdge(arc, d.tol/f.m.size())...)
	}
	return edges, nil
}

// size returns the larger stretch of the map, as the longest column or so: a
// bound within a factor √2, for tolerances.
func (m affine) size() float64 {
	s := math.Hypot(math.Hypot(m.a, m.b), math.Hypot(m.c, m.d))
	if s == 0 {
		return 1
	}
	return s
}

// vertex is a corner of a polyline with the bulge of the edge that starts
// there.
type vertex struct {
	p     geom.Point
	bulge float64
}

// lightVertices reads the corners of a LWPOLYLINE: each code 10 starts one.
func (r record) lightVertices() []vertex {
	var list []vertex
	for _, g := range r.groups {
		if g.code == 10 {
			list = append(list, vertex{p: geom.Point{X: toNumber(g.value)}})
			continue
		}
		if len(list) == 0 {
			continue
		}
		switch v := &list[len(list)-1]; g.code {
		case 20:
			v.p.Y = toNumber(g.value)
		case 42:
			v.bulge = toNumber(g.value)
		}
	}
	return list
}

// polyline joins corners by edges.
func (d *dxfDrawer) polyline(e record, list []vertex) ([]geom.Edge, error) {
	n := len(list)
	if n < 2 {
		return nil, d.fail(e, fmt.Sprintf("it has %d vertices", n), "delete or redraw it")
	}
	if !e.flag(70, 1) {
		n--
	}
	var edges []geom.Edge
	for i := range n {
		a, b := list[i], list[(i+1)%len(list)]
		edges = append(edges, geom.Edge{A: a.p, B: b.p, Bulge: a.bulge})
	}
	return edges, nil
}

// heavyPolyline reads a POLYLINE with its vertices. Meshes of surfaces share
// the name and are ignored; of a smoothed one, the corners of its frame.
func (d *dxfDrawer) heavyPolyline(e record) ([]geom.Edge, error) {
	if e.flag(70, 16) || e.flag(70, 64) {
		d.notes.add("POLYLINE of a surface ignored", d.file.in.place(e.at))
		return nil, nil
	}
	i := slices.IndexFunc(e.groups, func(g group) bool { return g.code == 0 })
	if i < 0 {
		return nil, d.fail(e, "it has no vertices", "delete or redraw it")
	}
	own := record{e.name, e.at, e.groups[:i]}
	var list []vertex
	for _, v := range splitVertices(e.groups[i:]) {
		if v.flag(70, 16) {
			continue // a control point, not on the curve
		}
		d.noteHeight(own, own.flag(70, 8) && v.number(30, 0) != 0)
		list = append(list, vertex{v.point(10), v.number(42, 0)})
	}
	return d.polyline(own, list)
}

func splitVertices(groups []group) []record {
	var list []record
	for _, g := range groups {
		if g.code == 0 {
			list = append(list, record{name: g.value, at: g.at})
			continue
		}
		v := &list[len(list)-1]
		v.groups = append(v.groups, g)
	}
	return list
}

// maxCopies bounds the rows times columns of one INSERT.
const maxCopies = 10_000

// insert draws a block: base moved to the origin, scaled, set out in rows and
// columns, turned, moved.
func (d *dxfDrawer) insert(e record, f frame) error {
	name, _ := e.text(2)
	key := strings.ToUpper(name)
	b, ok := d.file.blocks[key]
	if !ok {
		return d.fail(e, fmt.Sprintf("there is no block %q", name), exportAgain)
	}
	if slices.Contains(f.path, key) {
		return d.fail(e, fmt.Sprintf("block %q contains itself: %s", name, strings.Join(append(f.path, key), " → ")), "explode the blocks and export again")
	}
	if len(f.path) >= maxDepth {
		return d.fail(e, fmt.Sprintf("blocks lie within blocks more than %d deep", maxDepth), "explode the blocks and export again")
	}
	own, err := d.plane(e)
	if err != nil {
		return err
	}
	sx, sy := e.number(41, 1), e.number(42, 1)
	columns, rows := e.number(70, 1), e.number(71, 1)
	if !(columns >= 1 && rows >= 1 && columns*rows <= maxCopies) {
		return d.fail(e, fmt.Sprintf("it asks for %g × %g copies", columns, rows), fmt.Sprintf("ask for 1 to %d", maxCopies))
	}
	if !isFinite(sx, sy) || sx*sy == 0 {
		return d.fail(e, fmt.Sprintf("its scale is %g × %g", sx, sy), "redraw it")
	}
	at, turn := e.point(10), e.number(50, 0)*math.Pi/180
	set := f.m.after(own).after(shifting(at.X, at.Y)).after(turning(turn))
	block := scaling(sx, sy).after(shifting(-b.base.X, -b.base.Y))
	path := append(slices.Clone(f.path), key)
	for i := range int(rows) {
		for k := range int(columns) {
			m := set.after(shifting(float64(k)*e.number(44, 0), float64(i)*e.number(45, 0))).after(block)
			if err := d.drawBlock(b, frame{m, f.layer, path}, e); err != nil {
				return err
			}
		}
	}
	return nil
}

// maxDrawn bounds the entities drawn through blocks: blocks of blocks grow as
// a power of their depth, even where they hold no line.
const maxDrawn = 2_000_000

func (d *dxfDrawer) drawBlock(b *dxfBlock, f frame, by record) error {
	if d.drawn += 1 + len(b.entities); d.drawn > maxDrawn {
		return d.fail(by, fmt.Sprintf("its blocks draw more than %d entities", maxDrawn), "explode the blocks and export the outline alone")
	}
	for _, e := range b.entities {
		if err := d.draw(e, f); err != nil {
			return err
		}
	}
	return nil
}
