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

// A cantilever of strands along it, pushed across at its end, is sheared like
// one half of a short beam under twice the force: 0.75·P/(b·h) at half height.
// Only beads that bend are judged so.
func TestShearBetweenLayers(t *testing.T) {
	const force = 20.0
	law := statedLaw(t)
	p := bare(part.Case{Name: "push", Factor: 2, Loads: []part.Load{{Feature: 1, Kind: part.Even, Out: force / 2}}})
	in := Input{Part: p, Mesh: stripMesh(t, p, 1.5), Law: law, Plastic: plainOf(t, law), Print: straightPrint(p, "xxxxxxxxxx"),
		Metals: []material.Metal{{ID: "m", Title: "metal", E: 70e3, Yield: 240, Ultimate: 290, Density: 2.7e-3}}, Settings: Settings{Mask: 12}}
	r, err := Prove(context.Background(), in)
	if err != nil {
		t.Fatal(err)
	}
	c := &find(t, r, "as printed").Cases[0]
	m := c.Of(Interlaminar)
	if m == nil {
		t.Fatalf("margins %+v", c.Margins)
	}
	want := material.ShortBeam(2*force, 10, 2)
	t.Logf("tau_xz %g MPa, by hand %g; reserve %g; layer %d", m.Stress[0], want, m.Reserve, m.Layer)
	// The greatest of all points lies at the strip's side, where the layer that a
	// free edge has adds to the beam's share.
	const sideShare = 0.1
	if !near.Equal(math.Abs(m.Stress[0]), want, 0, sideShare) || !near.Equal(m.Reserve, law.Strength(1).Sis/want, 0, sideShare) || m.Allowable[0] != law.Strength(1).Sis {
		t.Errorf("got %+v, want %g MPa of %g", m, want, law.Strength(1).Sis)
	}
	if m.Layer != 4 && m.Layer != 5 {
		t.Errorf("found in composite layer %d, want one beside the middle", m.Layer)
	}
	if m := find(t, r, "metal").Cases[0].Of(Interlaminar); m != nil {
		t.Errorf("a metal has no layers: %+v", m)
	}
	// Pulled alone, nothing is sheared between the layers.
	p.Cases[0].Loads = []part.Load{{Feature: 1, Kind: part.Even, Force: geom.Point{X: 100}}}
	if r, err = Prove(context.Background(), in); err != nil {
		t.Fatal(err)
	}
	if m := find(t, r, "as printed").Cases[0].Of(Interlaminar); m != nil {
		t.Errorf("pulled alone: %+v", m)
	}
}

// A linear field is read at the plane's points as it is.
func TestToPointIsLinearExact(t *testing.T) {
	a := 0.091576213509771
	b := 0.445948490915965
	field := func(x, y float64) [2]float64 { return [2]float64{1 + 2*x - 3*y, x} }
	var six [][2]float64
	for _, low := range []float64{b, a} {
		for k := range 3 {
			at := [3]float64{low, low, low}
			at[k] = 1 - 2*low
			six = append(six, field(at[1], at[2]))
		}
	}
	for q := range 3 {
		at := [3]float64{1.0 / 6, 1.0 / 6, 1.0 / 6}
		at[q] = 2.0 / 3
		got, want := toPoint(six, q), field(at[1], at[2])
		for k := range got {
			if math.Abs(got[k]-want[k]) > 1e-14 {
				t.Errorf("point %d: %v, want %v", q, got, want)
			}
		}
	}
}
