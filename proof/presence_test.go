package proof

import (
	"context"
	"math"
	"testing"

	"sinew/geom"
	"sinew/mesh"
	"sinew/part"
	"sinew/strand"
)

// steppedBar is 120 by 20 mm: 3.2 mm thick, and 1.6 mm from x = 60 on; the
// step stands where the mesh has sides.
func steppedBar() (*part.Part, [2]geom.Region) {
	bar := func(w float64) geom.Region {
		return geom.Region{Outer: geom.Polyline(geom.Point{}, geom.Point{X: w}, geom.Point{X: w, Y: 20}, geom.Point{Y: 20})}
	}
	r := [2]geom.Region{bar(120), bar(60)}
	return &part.Part{
		Region: r[0], Thickness: 3.2,
		Slabs:    []part.Slab{{Bottom: 0, Top: 1.6, Regions: r[:1]}, {Bottom: 1.6, Top: 3.2, Regions: r[1:]}},
		Features: []part.Feature{{Name: "left", Kind: part.Side, Edges: []int{3}}, {Name: "right", Kind: part.Side, Edges: []int{1}}},
		Supports: []part.Support{{Feature: 0, Kind: part.Sliding}},
		Cases:    []part.Case{{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Grip, Force: geom.Point{X: 1000}}}}},
	}, r
}

// TestSteppedBar: two bars in series, F/k = F·L1/(E·A1) + F·L2/(E·A2). The
// place of the step is known to the mesh's integration points only, and near
// it the stress spreads: one per cent.
func TestSteppedBar(t *testing.T) {
	p, regions := steppedBar()
	p.Supports = append(p.Supports[:0], part.Support{Feature: 0, Kind: part.Fixed})
	m, err := mesh.Generate(p.Region, mesh.Settings{Size: 1.5})
	if err != nil {
		t.Fatal(err)
	}
	law := statedLaw(t)
	pr := &strand.Print{Region: p.Region, Composite: p.Region, SpacingMin: 0.65, SpacingMax: 2}
	for k := range 10 { // strands along x, a millimetre apart, cut at the step from layer 5 on
		length := []float64{120, 60}[k/5]
		l := strand.Layer{Index: k, Composite: k, Kind: strand.Composite, Z: 0.32 * float64(k+1), Height: 0.32}
		if k > 4 {
			l.Regions, l.Areas = regions[1:], regions[1:]
		}
		for y := 0.5; y < 20; y++ {
			st := strand.Strand{}
			for x := 0.0; x <= length; x += 0.5 {
				st.Points = append(st.Points, geom.Point{X: x, Y: y})
			}
			l.Strands = append(l.Strands, st)
		}
		pr.Layers = append(pr.Layers, l)
	}
	r, err := Prove(context.Background(), Input{Part: p, Mesh: m, Law: law, Plastic: plainOf(t, law), Print: pr, Plastics: []Plain{plainOf(t, law)}})
	if err != nil {
		t.Fatal(err)
	}
	modulus := map[string]float64{"as printed": law.Lamina(1).E1, "straight fibre, drilled": law.Lamina(1).E1, "plastic, no strands": plainOf(t, law).State.Lamina().E1}
	for name, e := range modulus {
		d := find(t, r, name)
		want := e * 20 / (60/3.2 + 60/1.6)
		if got := d.Cases[0].Stiffness; math.Abs(got/want-1) > 0.01 {
			t.Errorf("%s: %g N/mm, want %g", name, got, want)
		}
		if d.Cases[0].Margins[0].X < 55 {
			t.Errorf("%s fails at x = %g, in the thick half", name, d.Cases[0].Margins[0].X)
		}
	}
	volume := 20 * (60*3.2 + 60*1.6)
	if got, want := find(t, r, "plastic, no strands").Mass, volume*1.15e-3; math.Abs(got/want-1) > 0.01 {
		t.Errorf("plastic weighs %g g, want %g", got, want)
	}
}

// TestSlabsOfOneOutline: cut into slabs that all have the plate's outline, a
// plate gives the figures of the plate.
func TestSlabsOfOneOutline(t *testing.T) {
	p := strip()
	m := stripMesh(t, p, 12)
	law := statedLaw(t)
	run := func(p *part.Part) *Result {
		r, err := Prove(context.Background(), Input{Part: p, Mesh: m, Law: law, Plastic: plainOf(t, law), Print: straightStrands(p, 1)})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	whole := run(p)
	cut := *p
	cut.Slabs = []part.Slab{{Bottom: 0, Top: 0.64, Regions: []geom.Region{p.Region}}, {Bottom: 0.64, Top: 3.2, Regions: []geom.Region{p.Region}}}
	for i, d := range run(&cut).Designs {
		w := whole.Designs[i]
		if math.Abs(d.Mass/w.Mass-1) > 1e-6 || math.Abs(d.Cases[0].Stiffness/w.Cases[0].Stiffness-1) > 1e-6 {
			t.Errorf("%s: %g g, %g N/mm; plate %g g, %g N/mm", d.Name, d.Mass, d.Cases[0].Stiffness, w.Mass, w.Cases[0].Stiffness)
		}
		if a, b := d.Cases[0].Margins[0].Reserve, w.Cases[0].Margins[0].Reserve; math.Abs(a/b-1) > 1e-4 {
			t.Errorf("%s: reserve %g, plate %g", d.Name, a, b)
		}
	}
}

// TestSparseCoversCountByPlace: a bar whose covers are filled to two fifths on
// one half: two bars in series, and each half's own mass; the covers lie where
// they are printed, at their whole height.
func TestSparseCoversCountByPlace(t *testing.T) {
	p, _ := steppedBar()
	p.Slabs = nil
	p.Supports = append(p.Supports[:0], part.Support{Feature: 0, Kind: part.Fixed})
	m, err := mesh.Generate(p.Region, mesh.Settings{Size: 1.5})
	if err != nil {
		t.Fatal(err)
	}
	law := statedLaw(t)
	pr := &strand.Print{Region: p.Region, Composite: p.Region, SpacingMin: 0.65, SpacingMax: 2}
	z := 0.0
	for k := range 13 {
		l := strand.Layer{Index: k, Composite: k - 4, Kind: strand.Composite, Height: 0.32}
		if k < 4 || k > 8 {
			l.Kind, l.Height, l.Composite = strand.Plastic, 0.2, -1
		} else {
			for y := 0.5; y < 20; y++ {
				st := strand.Strand{}
				for x := 0.0; x <= 120; x += 0.5 {
					st.Points = append(st.Points, geom.Point{X: x, Y: y})
				}
				l.Strands = append(l.Strands, st)
			}
		}
		z += l.Height
		l.Z = z
		pr.Layers = append(pr.Layers, l)
	}
	plain := plainOf(t, law)
	in := Input{Part: p, Mesh: m, Law: law, Plastic: plain, Print: pr, CoverHeight: 1.6, CoverFill: func(q geom.Point) (volume, keeps float64) {
		if q.X < 60 {
			return 0.4, 0.2
		}
		return 1, 1
	}}
	r, err := Prove(context.Background(), in)
	if err != nil {
		t.Fatal(err)
	}
	d := find(t, r, "as printed")
	e1, ep := law.Lamina(1).E1, plain.State.Lamina().E1
	want := 20 / (60/(1.6*e1+0.2*1.6*ep) + 60/(1.6*e1+1.6*ep))
	if got := d.Cases[0].Stiffness; math.Abs(got/want-1) > 0.005 {
		t.Errorf("%g N/mm, want %g", got, want)
	}
	for _, k := range r.Printed.Stacks {
		keeps := 1.0
		if k.At.X < 60 {
			keeps = 0.2
		}
		if got := k.Laminate.Layers[0].Ply.Lamina.E1; math.Abs(got/(keeps*ep)-1) > 1e-12 {
			t.Errorf("the pile at %v has a cover of %g MPa, want %g", k.At, got, keeps*ep)
		}
	}
	in.CoverFill = nil
	solid, err := Prove(context.Background(), in)
	if err != nil {
		t.Fatal(err)
	}
	density := plainOf(t, law).Density
	if density == 0 {
		density = plain.State.Phase.Density
	}
	if got, want := find(t, solid, "as printed").Mass-d.Mass, 60*20*1.6*0.6*density; math.Abs(got/want-1) > 0.01 {
		t.Errorf("sparse covers save %g g, want %g", got, want)
	}
	v, _, err := newProver(context.Background(), &in)
	if err != nil {
		t.Fatal(err)
	}
	stack := v.stackOf(v.covers(), nil)
	if n := len(stack.Layers); n != 2 || math.Abs(stack.Layers[0].Bottom[0]+1.6) > 1e-9 || math.Abs(stack.Layers[1].Bottom[0]-0.8) > 1e-9 {
		t.Errorf("covers in the plate: %+v", stack.Layers)
	}
}
