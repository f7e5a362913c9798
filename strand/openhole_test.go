package strand

import (
	"context"
	"math"
	"testing"

	"sinew/field"
	"sinew/geom"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
	"sinew/stress"
)

// openHole plans the strip 150 × 36 × 3.2 mm with a hole of 12 mm, pulled at
// its ends, with ten layers of one steered family.
func openHole(t testing.TB, spacing float64) *field.Layup {
	t.Helper()
	pt := func(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }
	r := geom.Region{
		Outer: geom.Polyline(pt(-75, -18), pt(75, -18), pt(75, 18), pt(-75, 18)),
		Holes: []geom.Loop{geom.Circle(geom.Point{}, 6).Reverse()},
	}
	p := &part.Part{
		Region: r, Thickness: 3.2,
		Features: []part.Feature{
			{Name: "hole", Kind: part.Hole, Loop: 1, Edges: []int{0, 1}, Diameter: 12},
			{Name: "left", Kind: part.Side, Edges: []int{3}, Center: pt(-75, 0)},
			{Name: "right", Kind: part.Side, Edges: []int{1}, Center: pt(75, 0)},
		},
		Supports: []part.Support{{Feature: 1, Kind: part.Fixed}},
		Cases:    []part.Case{{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: 2, Kind: part.Grip, Force: pt(10e3, 0)}}}},
	}
	m, err := mesh.Generate(r, mesh.Settings{Size: 2})
	if err != nil {
		t.Fatal(err)
	}
	sys, err := stress.NewSystem(m, p, stress.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	fibre := material.Phase{E1: 230e3, E2: 15e3, G12: 15e3, G23: 7e3, Nu12: 0.2, Density: 1.8e-3}
	resin := material.IsotropicPhase(3000, 0.35)
	resin.Density = 1.2e-3
	law, err := material.NewLaw(material.LawSettings{
		Tow: material.Tow{ID: "tow", Fibre: fibre, Resin: resin, FibreArea: 0.057, Area: 0.1036, FailureStrain: 0.0178},
		Plastic: material.Plastic{ID: "plastic", Density: 1.15e-3, Nu: 0.35,
			Dry: material.Curves{Modulus: [][2]float64{{23, 2200}}, Tension: [][2]float64{{23, 50}}}},
		Height: 0.32, SpacingMin: 0.65, SpacingMax: 2,
		Explicit: &material.Explicit{
			FibreModulus: 230e3, Efficiency: 0.95, MatrixModulus: 2200, MatrixShear: 850, InclusionModulus: 15e3,
			Nu12: 0.33, FibreTension: 0.0132, FibreCompression: 0.0066, Yt: 25, Yc: 80, S: 35,
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	l, err := field.Plan(context.Background(), field.Input{
		Part: p, System: sys, Region: r, Stack: field.Stack{Law: law, Plastic: material.Isotropic(2200, 0.35, 0, 1.15e-3).Reduced(), PlasticDensity: 1.14e-3},
	}, field.Settings{Families: []field.Request{{Kind: field.Steered, Layers: 10, Spacing: spacing}}, Mask: 10})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// The strip of the textbook: what its strands must keep.
func TestOpenHoleStrip(t *testing.T) {
	l := openHole(t, 1)
	pr := lay(t, l, Settings{Thickness: 3.2})
	hold(t, "open hole", pr)
	const planned = 5286.9 // mm of strand in a layer: the strip's area at 1 mm
	for i := range pr.Layers {
		y := &pr.Layers[i]
		st := y.Stats(pr)
		if st.Shortest < 45 || st.CutByHole > 0 || y.Dropped > 0 || y.Opened > 0 {
			t.Errorf("layer %d: shortest %g mm, %d ends at the hole, %d pieces dropped, %d places opened", i, st.Shortest, st.CutByHole, y.Dropped, y.Opened)
		}
		if st.MinRadius < 5 {
			t.Errorf("layer %d: least radius %g mm at %v, want 5", i, st.MinRadius, st.MinAt)
		}
		if st.Width[1] < 0.62-0.01 || st.WithinLimits < 0.99 {
			t.Errorf("layer %d: widths %v, %.4f of the length within limits", i, st.Width, st.WithinLimits)
		}
		if math.Abs(st.Length-planned) > 0.04*planned {
			t.Errorf("layer %d: %g mm of strand, planned %g", i, st.Length, planned)
		}
		// Mirror images on either side of the hole.
		if n := len(y.Strands); n%2 != 0 {
			t.Errorf("layer %d: %d strands, want as many on either side", i, n)
		}
	}
}
