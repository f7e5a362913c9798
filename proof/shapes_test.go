package proof

import (
	"context"
	"math"
	"testing"

	"sinew/geom"
	"sinew/material"
	"sinew/part"
	"sinew/plate"
)

// bentStrip is the strip pressed along and across, with all that can be asked
// of a plate.
func bentStrip(t *testing.T) Input {
	law := statedLaw(t)
	p := strip()
	p.Supports = append(p.Supports, part.Support{Feature: 2, Kind: part.Resting, Across: part.Held})
	p.Cases = []part.Case{
		{Name: "pressed", Factor: 1, Loads: []part.Load{{Feature: 2, Kind: part.Even, Force: geom.Point{X: -200}}}},
		{Name: "across", Factor: 1, Bending: part.Bending{Pressure: 0.01}},
	}
	return Input{Part: p, Mesh: stripMesh(t, p, 2), Law: law, Plastic: plainOf(t, law), Print: straightStrands(p, 1),
		Plate: PlateWish{Buckling: 2, Frequencies: 2, Warp: true, Cooling: 60}}
}

// TestShapesAgreeWithProve holds the shapes against the figures that Prove
// found, and fields of a bent case against its margins.
func TestShapesAgreeWithProve(t *testing.T) {
	in := bentStrip(t)
	all, err := Prove(context.Background(), in)
	if err != nil {
		t.Fatal(err)
	}
	x, err := Examine(context.Background(), in, designPrinted)
	if err != nil {
		t.Fatal(err)
	}
	for c, want := range all.Plate.Cases {
		list, err := x.Shapes(Deflected, c)
		if err != nil || len(list) != 1 {
			t.Fatal(list, err)
		}
		if got := greatestAcross(list[0]); got != math.Abs(want.Deflection) {
			t.Errorf("case %d: deflection %g, want %g", c, got, want.Deflection)
		}
		list, err = x.Shapes(Buckled, c)
		if err != nil || len(list) < len(want.Buckling) {
			t.Fatalf("case %d: %d shapes of %d factors, %v", c, len(list), len(want.Buckling), err)
		}
		for k, f := range want.Buckling {
			if list[k].Value != f || greatestAcross(list[k]) != 1 {
				t.Errorf("case %d: mode %d of %g, greatest %g; want factor %g", c, k, list[k].Value, greatestAcross(list[k]), f)
			}
		}
	}
	if len(all.Plate.Cases[0].Buckling) == 0 {
		t.Error("the pressed strip never buckles")
	}
	list, err := x.Shapes(Swinging, 1)
	if err != nil || len(list) != 2 || list[0].Value != all.Plate.Frequencies[0] {
		t.Errorf("%d shapes, %v; want frequencies %v", len(list), err, all.Plate.Frequencies)
	}
	if list, err = x.Shapes(Warped, 0); err != nil || len(list) != 1 {
		t.Errorf("warp: %d shapes, %v", len(list), err)
	}
	d := x.Design
	for _, m := range d.Cases[1].Margins {
		if m.Mode == Interlaminar { // lies between kinds of layer, in the field of none
			continue
		}
		worst := 0.0
		for k := range x.Plies() {
			for _, f := range x.Indices(k, 1) {
				for q, v := range f.Mean {
					if f.Mode == m.Mode && (f.Holds == nil || f.Holds[q]) {
						worst = math.Max(worst, v)
					}
				}
			}
		}
		if 1/worst != m.Reserve {
			t.Errorf("bent, %s: reserve %g, from the field %g", m.Mode, m.Reserve, 1/worst)
		}
	}
}

func greatestAcross(s Shape) float64 {
	best := 0.0
	for _, u := range s.U {
		best = math.Max(best, math.Abs(u[2]))
	}
	return best
}

// TestLayerStressOfBentCase: across the middle of a plate pressed from one side
// the outermost layer is pulled at one face more than at the other, by as much
// as the middle lies between them.
func TestLayerStressOfBentCase(t *testing.T) {
	x, err := Examine(context.Background(), bentStrip(t), designPrinted)
	if err != nil {
		t.Fatal(err)
	}
	b := x.Beads(0)
	top := b.Layers[len(b.Layers)-1]
	low, mid, high := x.LayerStress(0, top, 1, plate.AtBottom), x.LayerStress(0, top, 1, plate.AtMiddle), x.LayerStress(0, top, 1, plate.AtTop)
	covered := 0
	for p := range mid {
		if math.IsNaN(mid[p][0]) {
			continue
		}
		covered++
		for k := range 3 {
			if want := (low[p][k] + high[p][k]) / 2; math.Abs(mid[p][k]-want) > 1e-9*(1+math.Abs(low[p][k])+math.Abs(high[p][k])) {
				t.Fatalf("point %d: middle %g between %g and %g", p, mid[p][k], low[p][k], high[p][k])
			}
		}
		if math.Abs(high[p][0]) < math.Abs(low[p][0])*(1-1e-9) && math.Abs(high[p][0]) > 1e-3 {
			t.Fatalf("point %d: %g at the face, %g nearer to the middle", p, high[p][0], low[p][0])
		}
	}
	if covered == 0 {
		t.Fatal("no point is covered")
	}
	in := x.LayerStress(0, -1, 0, plate.AtBottom)
	for p, s := range x.LayerStress(0, top, 0, plate.AtTop) {
		if s != in[p] && !math.IsNaN(s[0]) {
			t.Fatal("a case that does not bend differs from face to face")
		}
	}
}

// TestCriterionAgreesWithCriteria holds the field of each criterion against the
// margins that stand in the result.
func TestCriterionAgreesWithCriteria(t *testing.T) {
	in := bentStrip(t)
	in.Part.Cases = in.Part.Cases[:1]
	in.Plate = PlateWish{}
	all, err := Prove(context.Background(), in)
	if err != nil {
		t.Fatal(err)
	}
	x, err := Examine(context.Background(), in, designPrinted)
	if err != nil {
		t.Fatal(err)
	}
	if len(all.Printed.Criteria[0]) != len(material.CriterionNames()) {
		t.Fatalf("%d criteria", len(all.Printed.Criteria[0]))
	}
	for _, want := range all.Printed.Criteria[0] {
		worst := 0.0
		for k := range x.Plies() {
			for _, v := range x.Criterion(k, 0, want.Criterion) {
				if !math.IsNaN(v) {
					worst = math.Max(worst, v)
				}
			}
		}
		if 1/worst != want.Reserve {
			t.Errorf("%v: reserve %g, from the field %g", want.Criterion, want.Reserve, 1/worst)
		}
	}
}
