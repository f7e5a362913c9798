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

// Where stress is even, the stress told beside a margin times its reserve is the
// allowable told there: strands pulled along, pushed along and pulled across, a
// metal, plain plastic. By every rule, in the plane and bent.
func TestStressBesideMargin(t *testing.T) {
	law := statedLaw(t)
	metal := material.Metal{ID: "m", Title: "metal", E: 70e3, Yield: 240, Ultimate: 290, Density: 2.7e-3}
	for _, row := range []struct {
		name, layers string
		force        float64
		mode         Mode
		component    int
	}{
		{"pulled along", "xxxxxxxxxx", 1000, FibreTension, 0},
		{"pushed along", "xxxxxxxxxx", -1000, FibreCompression, 0},
		{"pulled across", "yyyyyyyyyy", 100, Matrix, 1},
		{"pushed across", "yyyyyyyyyy", -100, Matrix, 1},
	} {
		for _, bending := range []bool{false, true} {
			p := bare(part.Case{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Even, Force: geom.Point{X: row.force}}}})
			p.Supports[0].Kind = part.Sliding
			p.Supports = append(p.Supports, part.Support{Feature: 2, Kind: part.Sliding, Angle: math.Pi / 2})
			p.Features = append(p.Features, part.Feature{Name: "lower", Kind: part.Side, Edges: []int{0}})
			in := Input{Part: p, Mesh: coarse(t, p), Law: law, Plastic: plainOf(t, law), Print: straightPrint(p, row.layers), Metals: []material.Metal{metal}}
			in.Plate.Bending = bending
			r, err := Prove(context.Background(), in)
			if err != nil {
				t.Fatal(err)
			}
			c := &find(t, r, "as printed").Cases[0]
			for _, by := range c.ByRule {
				m := by.Of(row.mode)
				if m == nil {
					t.Fatalf("%s, bending %v: %+v", row.name, bending, by.Margins)
				}
				if got := math.Abs(m.Stress[row.component]) * m.Reserve; !near.Equal(got, m.Allowable[0], 0, 1e-4) || !near.Equal(m.Stress[row.component], row.force/20, 0, 1e-4) {
					t.Errorf("%s, bending %v, %s: %+v", row.name, bending, by.Rule, m)
				}
			}
			if m := find(t, r, "metal").Cases[0].Of(Yield); !near.Equal(math.Abs(m.Stress[0]), math.Abs(row.force)/20, 0, 1e-6) || m.Allowable != [2]float64{240} {
				t.Errorf("%s: metal %+v", row.name, m)
			}
			there := r.Printed.AtGoverning[0]
			if len(there) != len(material.CriterionNames()) {
				t.Fatalf("%s: %d criteria at the governing place", row.name, len(there))
			}
			// Alone, one stress fails by all criteria alike, but for the strain that
			// Poisson's ratio adds.
			for _, k := range there {
				if k.Criterion != material.MaxStrain && !near.Equal(k.Reserve, c.Margins[0].Reserve, 0, 1e-3) || k.X != c.Margins[0].X {
					t.Errorf("%s, bending %v: %s %+v beside %+v", row.name, bending, k.Criterion, k.Margin, c.Margins[0])
				}
			}
		}
	}
}

// Criteria of a case that bends the part see the bending: the strip bent by an
// end moment is as the same strip under the stress of its outer layer.
func TestCriteriaOfBentPart(t *testing.T) {
	law := statedLaw(t)
	p := bare(part.Case{Name: "bend", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Even, Moment: geom.Point{Y: 400}}}})
	r, err := Prove(context.Background(), Input{Part: p, Mesh: coarse(t, p), Law: law, Plastic: plainOf(t, law), Print: straightPrint(p, "xxxxxxxxxx"), Settings: Settings{Mask: 15}})
	if err != nil {
		t.Fatal(err)
	}
	list := r.Printed.Criteria[0]
	if len(list) != len(material.CriterionNames()) {
		t.Fatalf("criteria %+v", list)
	}
	// 6·M/(b·h²) = 60 MPa on both faces; compression governs.
	for _, c := range list[:material.MaxStress+1] {
		if !near.Equal(c.Stress[0], -60, 0, 0.03) || !near.Equal(c.Reserve, law.Strength(1).Xc/60, 0, 0.03) {
			t.Errorf("%s: %+v", c.Criterion, c.Margin)
		}
	}
}
