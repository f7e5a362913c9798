package proof

import (
	"context"
	"reflect"
	"testing"

	"sinew/material"
	"sinew/plate"
)

// TestExamineAgreesWithProve examines each design alone and finds the margins
// that Prove found, and the least mean index behind each of them.
func TestExamineAgreesWithProve(t *testing.T) {
	law := statedLaw(t)
	p := strip()
	in := Input{Part: p, Mesh: stripMesh(t, p, 1), Law: law, Plastic: plainOf(t, law), Print: straightStrands(p, 1), StraightPrint: straightStrands(p, 1.2),
		Metals: []material.Metal{{Title: "metal", E: 70e3, Nu: 0.33, Density: 2.7e-3, Yield: 250, Ultimate: 300, PricePerKilo: 5}}, Plastics: []Plain{plainOf(t, law)}}
	zero := 0.0
	in.StraightAngle = &zero
	all, err := Prove(context.Background(), in)
	if err != nil {
		t.Fatal(err)
	}
	for i := range all.Designs {
		d := &all.Designs[i]
		x, err := Examine(context.Background(), in, d.Name)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(x.Design, *d) {
			t.Errorf("%s: %+v, alone %+v", d.Name, *d, x.Design)
		}
		worst := map[Mode]float64{}
		for k := range x.Plies() {
			for _, f := range x.Indices(k, 0) {
				for q, v := range f.Mean {
					if f.Holds == nil || f.Holds[q] {
						worst[f.Mode] = max(worst[f.Mode], v)
					}
				}
			}
		}
		for _, m := range d.Cases[0].Margins {
			if got := 1 / worst[m.Mode]; got != m.Reserve {
				t.Errorf("%s, %s: reserve %g, from the field %g", d.Name, m.Mode, m.Reserve, got)
			}
		}
	}
	if _, err := Examine(context.Background(), in, "nothing"); err == nil {
		t.Error("a design of no name was examined")
	}
}

// TestFibreStress holds the stress along straight strands, far from the hole,
// against force over section: layers of strands share the load alike.
func TestFibreStress(t *testing.T) {
	law := statedLaw(t)
	p := strip()
	in := Input{Part: p, Mesh: stripMesh(t, p, 1), Law: law, Plastic: plainOf(t, law), Print: straightStrands(p, 1)}
	x, err := Examine(context.Background(), in, "as printed")
	if err != nil {
		t.Fatal(err)
	}
	stress := x.LayerStress(0, -1, 0, plate.AtMiddle)
	sum, area := 0.0, 0.0
	for i, q := range x.System.Points() {
		if q.X > 110 && q.X < 130 {
			sum += stress[i][0] * x.System.Weights()[i]
			area += x.System.Weights()[i]
		}
	}
	if got, want := sum/area, 1000/(36*3.2); got < 0.98*want || got > 1.02*want {
		t.Errorf("mean stress %g MPa, want %g", got, want)
	}
}
