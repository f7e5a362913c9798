package proof

import (
	"context"
	"math"
	"testing"

	"sinew/internal/near"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
)

// A body of one material, free to grow, is not stressed by a uniform change of
// temperature, whatever its direction; fixed at an end it is.
func TestFreeGrowthStressesNothing(t *testing.T) {
	p, law := strip(), statedLaw(t)
	p.Cases = []part.Case{{Name: "warm", Factor: 1, Heat: part.Heat{Change: 40}}}
	p.Features = append(p.Features, part.Feature{Name: "bottom", Kind: part.Side, Edges: []int{0}})
	m := stripMesh(t, p, 1)
	for _, angle := range []float64{0, 0.5, math.Pi / 2, -1.1} {
		p.Supports = []part.Support{{Feature: 1, Kind: part.Sliding}, {Feature: 3, Kind: part.Sliding, Angle: math.Pi / 2}}
		if math.Mod(angle, math.Pi/2) != 0 { // shear growth: let it go but for the hole
			p.Supports = []part.Support{{Feature: 0, Kind: part.Fixed}}
		}
		in := Input{Part: p, Mesh: m, Law: law, Plastic: plainOf(t, law), Print: straightStrands(p, 1), StraightAngle: &angle}
		r, err := Prove(context.Background(), in)
		if err != nil {
			t.Fatal(err)
		}
		d := find(t, r, "straight fibre, drilled")
		far := true
		for _, c := range d.Cases[0].Margins {
			far = far && math.Hypot(c.X-75, c.Y-18) > 15
		}
		if isFree := p.Supports[0].Kind == part.Sliding; isFree && len(d.Cases[0].Margins) != 0 {
			t.Errorf("angle %g: free growth is judged %+v", angle, d.Cases[0].Margins)
		} else if !isFree && (len(d.Cases[0].Margins) == 0 || far) {
			t.Errorf("angle %g: a hole that cannot grow must be stressed at its edge: %+v", angle, d.Cases[0].Margins)
		}
	}
}

// Clamped all around and warmer on one face, a plate of one metal is judged by
// the stress at its faces, E·α·ΔT/2/(1-ν) both ways, equal on both.
func TestWarmerFaceIsJudged(t *testing.T) {
	p := plainStrip()
	p.Features = []part.Feature{{Name: "rim", Kind: part.Side, Edges: []int{0, 1, 2, 3}}}
	p.Supports = []part.Support{{Feature: 0}}
	const rise, factor = 30.0, 1.4
	p.Cases = []part.Case{{Name: "warm", Factor: factor, Heat: part.Heat{Across: rise / p.Thickness}}}
	m, err := mesh.Generate(p.Region, mesh.Settings{Size: 6})
	if err != nil {
		t.Fatal(err)
	}
	metal := material.Metal{ID: "m", Title: "metal", E: 70e3, Nu: 0.33, Alpha: 2.3e-5, Yield: 240, Ultimate: 290, Density: 2.7e-3}
	r, err := Prove(context.Background(), Input{Part: p, Mesh: m, Metals: []material.Metal{metal}})
	if err != nil {
		t.Fatal(err)
	}
	stress := 70e3 * 2.3e-5 * rise * factor / 2 / (1 - 0.33)
	if got, want := r.Designs[0].Cases[0].Of(Yield).Reserve, 240/stress; !near.Equal(got, want, 0, 1e-6) {
		t.Errorf("reserve against yield %g, want %g", got, want)
	}
}
