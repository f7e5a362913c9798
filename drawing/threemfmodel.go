package drawing

import (
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"

	"sinew/solid"
)

// Namespaces of 3MF.
const (
	coreSpace       = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
	productionSpace = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
	materialSpace   = "http://schemas.microsoft.com/3dmanufacturing/material/2015/02"
)

// model is one model part.
type model struct {
	name    string
	unit    string
	objects map[int]*object
	items   []placing
	built   bool // has a build element
}

// object is a mesh or a list of components.
type object struct {
	id         int
	kind       string
	mesh       solid.Mesh
	components []placing
	place      string // for messages
	open       bool   // being placed: met again, it contains itself
}

// placing puts an object somewhere.
type placing struct {
	path  string // model part, "" for this one
	id    int
	at    transform
	place string
}

// modelUnit returns the length of a unit of 3MF in mm.
func modelUnit(name string) (float64, bool) {
	switch name {
	case "micron":
		return 0.001, true
	case "millimeter":
		return 1, true
	case "centimeter":
		return 10, true
	case "inch":
		return 25.4, true
	case "foot":
		return 304.8, true
	case "meter":
		return 1000, true
	}
	return 0, false
}

// modelReader fills a model from its text.
type modelReader struct {
	x       *xmlWalk
	m       *model
	skipped *tally
	ids     map[int]bool // of resources
	names   map[string]bool
	object  *object
	foreign int // depth below an element of another namespace; its content is not read
}

func readModel(p *partPackage, name string, skipped *tally) (*model, error) {
	if _, err := p.relations(name); err != nil {
		return nil, err
	}
	x, err := p.walker(name)
	if err != nil {
		return nil, err
	}
	r := &modelReader{x: x, m: &model{name: name, objects: map[int]*object{}}, skipped: skipped, ids: map[int]bool{}, names: map[string]bool{}}
	if err := x.walk(r.open, r.shut); err != nil {
		return nil, err
	}
	return r.m, nil
}

func (r *modelReader) fail(what string) error {
	return r.x.fail(what, "the file breaks the rules of 3MF: export the part again")
}

func (r *modelReader) place() string {
	line, _ := r.x.dec.InputPos()
	return fmt.Sprintf("%s, line %d", r.m.name, line)
}

func (r *modelReader) shut(local string) error {
	if r.foreign > 0 {
		r.foreign--
		return nil
	}
	if local != "object" || r.object == nil {
		return nil
	}
	o := r.object
	r.object = nil
	for i, t := range o.mesh.Tris {
		if int(max(t[0], t[1], t[2])) >= len(o.mesh.Points) {
			return r.fail(fmt.Sprintf("triangle %d of object %d uses a corner that is not there (it has %d)", i, o.id, len(o.mesh.Points)))
		}
	}
	if len(o.mesh.Tris) > 0 && len(o.components) > 0 {
		return r.fail(fmt.Sprintf("object %d has both a mesh and components", o.id))
	}
	return nil
}

func (r *modelReader) open(e *xmlElement) error {
	if r.foreign > 0 {
		r.foreign++
		return nil
	}
	if e.parent == "" {
		return r.model(e)
	}
	for i := range e.attrs {
		if a := &e.attrs[i]; a.Name.Space == "xml" && a.Name.Local == "space" {
			return r.fail("has the attribute xml:space, which 3MF forbids")
		}
	}
	if e.space != coreSpace {
		r.foreign = 1
		return r.other(e)
	}
	switch e.parent + "/" + e.local {
	case "mesh/vertices":
		return r.bare(e)
	case "vertices/vertex":
		return r.vertex(e)
	case "triangles/triangle":
		return r.triangle(e)
	case "model/metadata":
		return r.metadata(e)
	case "model/build":
		r.m.built = true
	case "build/item":
		return r.placing(e, &r.m.items)
	case "components/component":
		return r.component(e)
	case "resources/object":
		return r.newObject(e)
	case "resources/basematerials":
		return r.resource(e)
	}
	return nil
}

// other notes an element of another namespace; resources have an id that must
// be theirs alone whatever they are.
func (r *modelReader) other(e *xmlElement) error {
	if e.space == "" {
		return r.fail(fmt.Sprintf("the element %q belongs to no namespace", shortened([]byte(e.local))))
	}
	r.skipped.add("elements that are not read, such as "+shortened([]byte(e.local)), r.place())
	if e.parent != "resources" {
		return nil
	}
	return r.resource(e)
}

func (r *modelReader) model(e *xmlElement) error {
	if e.local != "model" || e.space != coreSpace {
		return r.x.fail(fmt.Sprintf("the text starts with %q, not with a model of 3MF", shortened([]byte(e.local))), "is it a 3MF file? export the part again")
	}
	r.m.unit = "millimeter" // core specification, 3.4: the default
	for i := range e.attrs {
		switch a := &e.attrs[i]; {
		case a.Name.Space == "" && a.Name.Local == "unit":
			r.m.unit = a.Value
		case a.Name.Space == "xml" && a.Name.Local == "space":
			return r.fail("has the attribute xml:space, which 3MF forbids")
		}
	}
	if _, ok := modelUnit(r.m.unit); !ok {
		return r.fail(fmt.Sprintf("the unit %q is not one of 3MF", shortened([]byte(r.m.unit))))
	}
	for _, prefix := range strings.Fields(e.attr("requiredextensions")) {
		space, ok := r.x.spaces[prefix]
		if !ok {
			return r.fail(fmt.Sprintf("requires the extension %q without saying what it is", shortened([]byte(prefix))))
		}
		if space != productionSpace && space != materialSpace && space != coreSpace {
			return r.x.fail(fmt.Sprintf("requires the extension %q, which is not read", shortened([]byte(space))), "export the part as plain triangles")
		}
	}
	return nil
}

// bare holds an element to what the schema allows: no attributes.
func (r *modelReader) bare(e *xmlElement) error {
	for _, a := range e.attrs {
		if a.Name.Space != "xmlns" && a.Name.Local != "xmlns" {
			return r.fail(fmt.Sprintf("%q has the attribute %q, which its schema does not know", e.local, shortened([]byte(a.Name.Local))))
		}
	}
	return nil
}

func (r *modelReader) metadata(e *xmlElement) error {
	name := e.attr("name")
	if r.names[name] {
		return r.fail(fmt.Sprintf("the metadata %q is there twice", shortened([]byte(name))))
	}
	r.names[name] = true
	return nil
}

// resource takes down an id.
func (r *modelReader) resource(e *xmlElement) error {
	id, err := r.integer(e, "id")
	if err != nil {
		return err
	}
	if r.ids[id] {
		return r.fail(fmt.Sprintf("the resource id %d is there twice", id))
	}
	r.ids[id] = true
	return nil
}

func (r *modelReader) newObject(e *xmlElement) error {
	if err := r.resource(e); err != nil {
		return err
	}
	id, err := r.integer(e, "id")
	if err != nil {
		return err
	}
	kind := "model"
	if k, ok := e.find("type"); ok {
		kind = k
	}
	if !slices.Contains([]string{"model", "solidsupport", "support", "surface", "other"}, kind) {
		return r.fail(fmt.Sprintf("object %d has the type %q, which 3MF does not know", id, shortened([]byte(kind))))
	}
	r.object = &object{id: id, kind: kind, place: r.place()}
	r.m.objects[id] = r.object
	return nil
}

func (r *modelReader) vertex(e *xmlElement) error {
	if r.object == nil {
		return r.fail("a vertex outside an object")
	}
	if len(r.object.mesh.Points) >= 3*maxTriangles {
		return r.fail(fmt.Sprintf("object %d has more than %d corners", r.object.id, 3*maxTriangles))
	}
	var v [3]float64
	found := 0
	for i := range e.attrs {
		a := &e.attrs[i]
		if k := strings.Index("xyz", a.Name.Local); a.Name.Space == "" && k >= 0 && len(a.Name.Local) == 1 {
			x, err := r.decimal(a.Value)
			if err != nil {
				return err
			}
			v[k] = x
			found |= 1 << k
		}
	}
	if found != 7 {
		return r.fail("a vertex without x, y or z")
	}
	r.object.mesh.Points = append(r.object.mesh.Points, solid.Point{X: v[0], Y: v[1], Z: v[2]})
	return nil
}

func (r *modelReader) triangle(e *xmlElement) error {
	if r.object == nil {
		return r.fail("a triangle outside an object")
	}
	if len(r.object.mesh.Tris) >= maxTriangles {
		return tooManyTriangles(r.place())
	}
	var t [3]int32
	found := 0
	for i := range e.attrs {
		a := &e.attrs[i]
		n := a.Name.Local
		if a.Name.Space != "" || len(n) != 2 || n[0] != 'v' || n[1] < '1' || n[1] > '3' {
			continue
		}
		v, err := strconv.ParseInt(a.Value, 10, 32)
		if err != nil || v < 0 {
			return r.fail(fmt.Sprintf("%q is no corner", shortened([]byte(a.Value))))
		}
		t[n[1]-'1'] = int32(v)
		found |= 1 << (n[1] - '1')
	}
	if found != 7 {
		return r.fail("a triangle without v1, v2 or v3")
	}
	r.object.mesh.Tris = append(r.object.mesh.Tris, t)
	return nil
}

func (r *modelReader) component(e *xmlElement) error {
	if r.object == nil {
		return r.fail("a component outside an object")
	}
	return r.placing(e, &r.object.components)
}

// placing reads a build item or a component.
func (r *modelReader) placing(e *xmlElement, list *[]placing) error {
	if len(*list) >= maxPlaced {
		return r.fail(fmt.Sprintf("more than %d objects are placed", maxPlaced))
	}
	p := placing{at: unmoved(), place: r.place()}
	var err error
	if p.id, err = r.integer(e, "objectid"); err != nil {
		return err
	}
	for i := range e.attrs {
		if a := &e.attrs[i]; a.Name.Local == "path" && r.x.spaces[a.Name.Space] == productionSpace {
			p.path = a.Value
			if !strings.HasPrefix(p.path, "/") {
				p.path = path.Join(path.Dir(r.m.name), p.path)
			}
		}
	}
	if text, ok := e.find("transform"); ok {
		if p.at, err = r.transform(text); err != nil {
			return err
		}
	}
	*list = append(*list, p)
	return nil
}

func (r *modelReader) integer(e *xmlElement, name string) (int, error) {
	text := e.attr(name)
	v, err := strconv.ParseInt(text, 10, 32)
	if err != nil || v < 1 {
		return 0, r.fail(fmt.Sprintf("%s of %q is %q, not a positive whole number", name, shortened([]byte(e.local)), shortened([]byte(text))))
	}
	return int(v), nil
}

func (r *modelReader) decimal(text string) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !plainDecimal([]byte(text)) {
		return 0, r.fail(fmt.Sprintf("%q is no number", shortened([]byte(text))))
	}
	return v, nil
}
