package proof

import (
	"context"
	"math"
	"testing"

	"sinew/part"
)

// A body of one material, free to grow, is not stressed by a uniform change of
// temperature, whatever its direction; fixed at an end it is.
func TestFreeGrowthStressesNothing(t *testing.T) {
	p, law := strip(), statedLaw(t)
	p.Cases = []part.Case{{Name: "warm", Factor: 1, DeltaT: 40}}
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
