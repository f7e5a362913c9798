package proof

import (
	"context"
	"testing"

	"sinew/geom"
	"sinew/internal/grids"
	"sinew/internal/near"
	"sinew/material"
	"sinew/part"
)

// steppedStrip is a strip 60 by 10 with a foot of 2 mm on its left half and 1 mm
// on its right half, which lie flush below, or above.
func steppedStrip(flushBelow bool, l part.Load) *part.Part {
	thin := []geom.Region{{Outer: geom.Polyline(geom.Point{}, geom.Point{X: 30}, geom.Point{X: 30, Y: 10}, geom.Point{Y: 10})}}
	p := bare(part.Case{Name: "c", Factor: 1, Loads: []part.Load{l}})
	p.Slabs = []part.Slab{{Bottom: 0, Top: 1, Regions: []geom.Region{p.Region}}, {Bottom: 1, Top: 2, Regions: thin}}
	if !flushBelow {
		p.Slabs[0].Regions, p.Slabs[1].Regions = p.Slabs[1].Regions, p.Slabs[0].Regions
	}
	return p
}

// A strip whose thickness steps on one side is bent by a pull that goes through
// the middle of its thin end: the foot by F·e, e half the step, its face to
// F/(b·h)·(1 + 6e/h); the thin part hardly. Both ways up, and by forces that
// grip, press on and spread along the end alike. A force across bends both
// parts about their own middles: beam theory, exact for Poisson's ratio 0.
func TestSteppedStripBends(t *testing.T) {
	const force, width, yield = 500.0, 10.0, 240.0
	metal := material.Metal{ID: "m", Title: "metal", E: 70e3, Yield: yield, Ultimate: 290, Density: 2.7e-3}
	for _, row := range []struct {
		name  string
		load  part.Load
		below bool
		sigma float64
	}{
		{"pulled, flush below", part.Load{Kind: part.Even, Force: geom.Point{X: force}}, true, force / (width * 2) * (1 + 6*0.5/2)},
		{"pulled, flush above", part.Load{Kind: part.Even, Force: geom.Point{X: force}}, false, force / (width * 2) * (1 + 6*0.5/2)},
		{"as a stress on the face", part.Load{Kind: part.Traction, Force: geom.Point{X: force / width}}, true, force / (width * 2) * (1 + 6*0.5/2)},
		{"pushed", part.Load{Kind: part.Even, Force: geom.Point{X: -force}}, true, force / (width * 2) * (1 + 6*0.5/2)},
		{"bent by a moment", part.Load{Kind: part.Even, Moment: geom.Point{Y: 100}}, true, 6 * 100 / (width * 1 * 1)},
	} {
		row.load.Feature = 1
		p := steppedStrip(row.below, row.load)
		r, err := Prove(context.Background(), Input{Part: p, Mesh: grids.Rectangle(24, 4, 60, 10), Metals: []material.Metal{metal}, Plate: PlateWish{Bending: true}})
		if err != nil {
			t.Fatal(err)
		}
		got := r.Designs[0].Cases[0].Of(Yield)
		if want := yield / row.sigma; !near.Equal(got.Raw, want, 0, 0.02) {
			t.Errorf("%s: reserve %g at (%g, %g), want %g", row.name, got.Raw, got.X, got.Y, want)
		}
	}
}
