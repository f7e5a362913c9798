package drawing

import (
	"fmt"
	"strings"

	"sinew/solid"
)

// transform sends (x, y, z) to rows·(x, y, z) + shift. A file lists it for row
// vectors: m00 m01 m02 m10 … m32, the last three the shift.
type transform struct {
	rows  [3]solid.Point
	shift solid.Point
}

// unmoved leaves points where they are.
func unmoved() transform {
	return transform{rows: [3]solid.Point{{X: 1}, {Y: 1}, {Z: 1}}}
}

// leastDeterminant, of a matrix scaled to unit rows, is where a transform
// counts as flattening what it places.
const leastDeterminant = 1e-9

func (r *modelReader) transform(text string) (transform, error) {
	words := strings.Fields(text)
	if len(words) != 12 {
		return transform{}, r.fail(fmt.Sprintf("a transform of %d numbers instead of 12", len(words)))
	}
	var m [12]float64
	for i, w := range words {
		v, err := r.decimal(w)
		if err != nil {
			return transform{}, err
		}
		m[i] = v
	}
	t := transform{
		rows:  [3]solid.Point{{X: m[0], Y: m[3], Z: m[6]}, {X: m[1], Y: m[4], Z: m[7]}, {X: m[2], Y: m[5], Z: m[8]}},
		shift: solid.Point{X: m[9], Y: m[10], Z: m[11]},
	}
	size := t.rows[0].Norm() * t.rows[1].Norm() * t.rows[2].Norm()
	if det := t.rows[0].Dot(t.rows[1].Cross(t.rows[2])); !(det > leastDeterminant*size || det < -leastDeterminant*size) {
		return transform{}, r.fail("a transform that flattens what it places")
	}
	return t, nil
}

func (t transform) apply(p solid.Point) solid.Point {
	return solid.Point{X: t.rows[0].Dot(p), Y: t.rows[1].Dot(p), Z: t.rows[2].Dot(p)}.Add(t.shift)
}

// after returns the transform that applies inner first.
func (t transform) after(inner transform) transform {
	column := func(v solid.Point) solid.Point { // of t's linear part times v
		return solid.Point{X: t.rows[0].Dot(v), Y: t.rows[1].Dot(v), Z: t.rows[2].Dot(v)}
	}
	x := column(solid.Point{X: inner.rows[0].X, Y: inner.rows[1].X, Z: inner.rows[2].X})
	y := column(solid.Point{X: inner.rows[0].Y, Y: inner.rows[1].Y, Z: inner.rows[2].Y})
	z := column(solid.Point{X: inner.rows[0].Z, Y: inner.rows[1].Z, Z: inner.rows[2].Z})
	return transform{
		rows:  [3]solid.Point{{X: x.X, Y: y.X, Z: z.X}, {X: x.Y, Y: y.Y, Z: z.Y}, {X: x.Z, Y: y.Z, Z: z.Z}},
		shift: t.apply(inner.shift),
	}
}

// builder puts objects together.
type builder struct {
	pack    *partPackage
	models  map[string]*model
	out     Surface
	skipped tally
	placed  int
}

// model returns a model part, read once.
func (b *builder) model(name string) (*model, error) {
	key := partName(name)
	if m := b.models[key]; m != nil {
		return m, nil
	}
	if len(b.models) == maxModels {
		return nil, &Error{Place: name, What: fmt.Sprintf("more than %d model parts", maxModels), Remedy: "export only the part"}
	}
	m, err := readModel(b.pack, name, &b.skipped)
	if err != nil {
		return nil, err
	}
	b.models[key] = m
	return m, nil
}

// build places all items of the root model.
func (b *builder) build(root *model, scale float64) error {
	if !root.built {
		return &Error{Place: root.name, What: "the model says nothing of what to build (the build element is missing)", Remedy: "export the part again"}
	}
	unit := transform{rows: [3]solid.Point{{X: scale}, {Y: scale}, {Z: scale}}}
	for _, p := range root.items {
		if err := b.place(root, root, p, unit, 0); err != nil {
			return err
		}
	}
	if len(b.out.Tris) == 0 {
		return &Error{Place: root.name, What: "the model builds no triangles", Remedy: "export the part as a solid"}
	}
	return nil
}

// place adds an object and what it is composed of.
func (b *builder) place(root, from *model, p placing, outer transform, depth int) error {
	fail := func(what string) error {
		return &Error{Place: p.place, What: what, Remedy: "the file breaks the rules of 3MF: export the part again"}
	}
	if b.placed++; b.placed > maxPlaced {
		return fail(fmt.Sprintf("more than %d objects are placed", maxPlaced))
	}
	m := from
	if p.path != "" {
		var err error
		if m, err = b.model(p.path); err != nil {
			return err
		}
	}
	o := m.objects[p.id]
	switch {
	case o == nil:
		return fail(fmt.Sprintf("there is no object %d in %s", p.id, m.name))
	case m.unit != root.unit:
		return fail(fmt.Sprintf("%s is in %s, but the model built is in %s", m.name, m.unit, root.unit))
	case o.open:
		return fail(fmt.Sprintf("object %d contains itself", p.id))
	case depth == maxDepth:
		return fail(fmt.Sprintf("components nest more than %d deep", maxDepth))
	case depth == 0 && o.kind == "other":
		return fail(fmt.Sprintf("object %d is of type other, which must not be built", p.id))
	case o.kind != "model" && o.kind != "other":
		b.skipped.add("object of type "+o.kind+", which is not the part's", o.place)
		return nil
	}
	o.open = true
	defer func() { o.open = false }()
	at := outer.after(p.at)
	for _, c := range o.components {
		if err := b.place(root, m, c, at, depth+1); err != nil {
			return err
		}
	}
	return b.addMesh(&o.mesh, at, p.place)
}

// addMesh adds triangles; where the transform mirrors they are turned round.
func (b *builder) addMesh(mesh *solid.Mesh, at transform, place string) error {
	if len(b.out.Tris)+len(mesh.Tris) > maxTriangles || len(b.out.Points)+len(mesh.Points) > 3*maxTriangles {
		return tooManyTriangles(place)
	}
	mirrors := at.rows[0].Dot(at.rows[1].Cross(at.rows[2])) < 0
	base := int32(len(b.out.Points))
	for _, p := range mesh.Points {
		q := at.apply(p)
		if !usable(q) {
			return badCorner(place, q)
		}
		b.out.Points = append(b.out.Points, q)
	}
	for _, t := range mesh.Tris {
		if mirrors {
			t[1], t[2] = t[2], t[1]
		}
		b.out.Tris = append(b.out.Tris, [3]int32{base + t[0], base + t[1], base + t[2]})
	}
	return nil
}
