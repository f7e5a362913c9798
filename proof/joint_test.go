package proof

import (
	"context"
	"math"
	"testing"

	"sinew/geom"
	"sinew/internal/near"
	"sinew/material"
	"sinew/part"
)

// TestJointByHand: a metal strip whose hole a pin pulls to the right, worked by
// the trade's formulas: P/(d·t), P/((w-d)·t), P/(2·e·t).
func TestJointByHand(t *testing.T) {
	p := strip()
	p.Cases[0].Loads = []part.Load{{Feature: 0, Kind: part.Bearing, Force: geom.Point{X: 3000}}}
	p.Cases[0].Factor = 2
	metal := material.Metal{ID: "m", Title: "aluminium", E: 70e3, Nu: 0.33, Yield: 240, Ultimate: 290, Shear: 170, Bearing: 500, Density: 2.7e-3}
	r, err := Prove(context.Background(), Input{Part: p, Mesh: stripMesh(t, p, 1), Metals: []material.Metal{metal}})
	if err != nil {
		t.Fatal(err)
	}
	joints := r.Designs[0].Cases[0].Joints
	if len(joints) != 1 {
		t.Fatalf("joints %+v", joints)
	}
	g := joints[0]
	if !near.Equal(g.Width, 36, 0.02, 0) || !near.Equal(g.Edge, 75, 0.02, 0) || g.Force != 6000 || g.Direction != 0 {
		t.Errorf("lug %+v", g)
	}
	for i, want := range []struct {
		check   string
		reserve float64
	}{
		{"bearing", 500 / (6000 / (12 * 3.2))}, {"net section", 290 / (6000 / (24 * 3.2))}, {"shear-out", 170 / (6000 / (2 * 75 * 3.2))},
	} {
		if c := g.Checks[i]; c.Check != want.check || !near.Equal(c.Reserve, want.reserve, 0, 1e-3) {
			t.Errorf("%+v, want %s %g", c, want.check, want.reserve)
		}
	}
}

// TestJointOfBeads: for straight strands along the load the net section stands
// the bead's tensile strength, whatever the direction of the pin the pull across
// them that of the matrix; a held hole is a joint too.
func TestJointOfBeads(t *testing.T) {
	p, law := strip(), statedLaw(t)
	pin := part.Load{Feature: 0, Kind: part.Bearing, Force: geom.Point{X: 1000}}
	across := pin
	across.Force = geom.Point{Y: 1000}
	p.Cases = []part.Case{{Name: "along", Factor: 1, Loads: []part.Load{pin}}, {Name: "across", Factor: 1, Loads: []part.Load{across}}}
	r, err := Prove(context.Background(), Input{Part: p, Mesh: stripMesh(t, p, 1), Law: law, Plastic: plainOf(t, law), Print: straightStrands(p, 1)})
	if err != nil {
		t.Fatal(err)
	}
	d := find(t, r, "as printed")
	x := law.Strength(1)
	for i, want := range []float64{x.Xt, x.Yt} {
		g := d.Cases[i].Joints[0]
		if net := g.Checks[1]; net.Check != "net section" || !near.Equal(net.Strength, want, 0, 0.02) {
			t.Errorf("%s: %+v, want strength %g", d.Cases[i].Case, net, want)
		}
	}
	if g := d.Cases[1].Joints[0]; !near.Equal(g.Edge, 18, 0.02, 0) || !near.Equal(g.Direction, math.Pi/2, 1e-12, 0) {
		t.Errorf("pin across: %+v", g)
	}
	// The same strip held by its hole and pulled at the end.
	p.Supports = []part.Support{{Feature: 0, Kind: part.Fixed}}
	p.Cases = []part.Case{{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: 2, Kind: part.Even, Force: geom.Point{X: 1000}}}}}
	if r, err = Prove(context.Background(), Input{Part: p, Mesh: stripMesh(t, p, 1), Law: law, Plastic: plainOf(t, law), Print: straightStrands(p, 1)}); err != nil {
		t.Fatal(err)
	}
	if g := r.Designs[0].Cases[0].Joints; len(g) != 1 || !near.Equal(g[0].Force, 1000, 0, 1e-6) || !near.Equal(math.Abs(g[0].Direction), math.Pi, 1e-6, 0) {
		t.Errorf("held hole: %+v", g)
	}
}

// TestLookInto: what is told of the print alone agrees with what is known of
// straight strands: the criteria with the margins, the ends at the hole with
// the hand formula, and a symmetric stack that does not warp.
func TestLookInto(t *testing.T) {
	r := proveStrip(t, Settings{Mask: 10, Transfer: 2, CoolDown: -100})
	d, c := r.Printed, &r.Designs[0].Cases[0]
	if len(d.Criteria) != 1 || len(d.Criteria[0]) != len(material.CriterionNames()) {
		t.Fatalf("criteria %+v", d.Criteria)
	}
	least := math.Inf(1)
	for _, m := range c.Margins {
		if m.Mode == Matrix || m.Mode == FibreTension || m.Mode == FibreCompression {
			least = math.Min(least, m.Reserve)
		}
	}
	for _, m := range d.Criteria[0] {
		t.Logf("%v: %.3f by %v, %v, at (%.1f, %.1f)", m.Criterion, m.Reserve, m.What, m.Stress, m.X, m.Y)
		if m.Reserve < 0.6*least || m.Reserve > 1.2*least {
			t.Errorf("%v: reserve %g, margins from %g", m.Criterion, m.Reserve, least)
		}
	}
	if d.Ends == nil || math.Abs(d.Ends.At.X-75) > 7 || math.Abs(d.Ends.At.Y-18) > 7 {
		t.Fatalf("ends %+v: the most loaded end is not at the hole", d.Ends)
	}
	law := statedLaw(t)
	if want := d.Ends.Stress * 0.32 / (2 * law.Strength(1).Sis); !near.Equal(d.Ends.Need, want, 0, 0.02) || !near.Equal(d.Ends.Reserve, 2/d.Ends.Need, 0, 1e-12) {
		t.Errorf("ends %+v, by hand %g mm", d.Ends, want)
	}
	for _, s := range d.Stacks {
		if !s.Balance.Symmetric || s.Bow > 1e-6 {
			t.Errorf("stack %+v", s)
		}
	}
}

// TestUnsymmetricStackWarps: strands along x over plastic bend as a strip of two
// materials does, Timoshenko, J. Opt. Soc. Am. 11 (1925) 233, eq. 4, across the
// strands' direction too little to matter.
func TestUnsymmetricStackWarps(t *testing.T) {
	p, law := plainStrip(), statedLaw(t)
	pr := straightStrands(p, 1)
	for k := range 5 {
		pr.Layers[k].Kind, pr.Layers[k].Strands = 0, nil
		pr.Layers[k].Composite = -1
	}
	for k := 5; k < 10; k++ {
		pr.Layers[k].Composite = k - 5
	}
	m := stripMesh(t, p, 6)
	r, err := Prove(context.Background(), Input{Part: p, Mesh: m, Law: law, Plastic: plainOf(t, law), CoverHeight: 1.6, Print: pr, Settings: Settings{CoolDown: -50}})
	if err != nil {
		t.Fatal(err)
	}
	var got *Stack
	for i := range r.Printed.Stacks {
		if s := &r.Printed.Stacks[i]; s.Why == "where stretching bends the part most" {
			got = s
		}
	}
	if got == nil {
		t.Fatalf("stacks %+v", r.Printed.Stacks)
	}
	plastic := plainOf(t, law).State.Phase
	e := law.Lamina(1)
	a := 50 * (plastic.Alpha1 - e.Alpha1)
	n := e.E1 / plastic.E1
	want := 6 * a * 4 / (3.2 * (3*4 + (1+n)*(1+1/n))) // equal thicknesses: m = 1
	if !near.Equal(math.Abs(got.Warp.Curvature[0]), want, 0, 0.08) {
		t.Errorf("curvature along the strands %g, strip of two materials %g", got.Warp.Curvature[0], want)
	}
}

// TestUprightPlastic: a printed plate loaded across its lines and one loaded
// across its layers stand their card's shares of the full strength, at the same
// stiffness and mass.
func TestUprightPlastic(t *testing.T) {
	p, law := strip(), statedLaw(t)
	full := plainOf(t, law)
	printed := full
	full.ID, printed.ID, printed.AcrossLines, printed.AcrossLayers = "full", "printed", 0.8, 0.5
	r, err := Prove(context.Background(), Input{Part: p, Mesh: stripMesh(t, p, 1), Plastics: []Plain{full, printed}})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Designs) != 3 {
		t.Fatalf("%d designs", len(r.Designs))
	}
	whole := r.Designs[0].Cases[0].Of(PlasticBreak).Reserve
	for i, share := range []float64{1, 0.8, 0.5} {
		d := &r.Designs[i]
		if got := d.Cases[0].Of(PlasticBreak).Reserve; !near.Equal(got, share*whole, 0, 1e-9) {
			t.Errorf("%s: reserve %g, want %g", d.Name, got, share*whole)
		}
		if d.Mass != r.Designs[0].Mass || d.Cost != r.Designs[0].Cost || d.Cases[0].Stiffness != r.Designs[0].Cases[0].Stiffness {
			t.Errorf("%s: mass, cost or stiffness changed", d.Name)
		}
	}
	if r.Designs[2].ID != "printed-upright" {
		t.Errorf("ID %q", r.Designs[2].ID)
	}
}

// A bolt or half-pin loads a hole as a pin does: the same formulas. Beside them
// stands what the finite elements find around that hole, and no other.
func TestJointsOfEveryPin(t *testing.T) {
	metal := material.Metal{ID: "m", Title: "aluminium", E: 70e3, Nu: 0.33, Yield: 240, Ultimate: 290, Shear: 170, Bearing: 500, Density: 2.7e-3}
	var of []Joint
	for _, kind := range []part.LoadKind{part.Bearing, part.HalfPin, part.Bolt} {
		p := strip()
		p.Cases[0].Loads = []part.Load{{Feature: 0, Kind: kind, Force: geom.Point{X: 3000}}}
		r, err := Prove(context.Background(), Input{Part: p, Mesh: stripMesh(t, p, 1), Metals: []material.Metal{metal}})
		if err != nil {
			t.Fatal(err)
		}
		c := &r.Designs[0].Cases[0]
		if len(c.Joints) != 1 {
			t.Fatalf("%v: joints %+v", kind, c.Joints)
		}
		g := c.Joints[0]
		if g.Elements == nil || g.Elements.Mode != Yield || math.Hypot(g.Elements.X-75, g.Elements.Y-18) > 12 {
			t.Errorf("%v: around the hole %+v", kind, g.Elements)
		} else if yield := c.Of(Yield); yield.Feature == 0 && g.Elements.Reserve != yield.Reserve || g.Elements.Reserve < yield.Reserve {
			t.Errorf("%v: reserve %g at the hole, %g of the part at feature %d", kind, g.Elements.Reserve, yield.Reserve, yield.Feature)
		}
		of = append(of, g)
	}
	for _, g := range of[1:] {
		if len(g.Checks) != len(of[0].Checks) || g.Checks[0] != of[0].Checks[0] || g.Width != of[0].Width {
			t.Errorf("%+v, for a pin %+v", g, of[0])
		}
	}
}
