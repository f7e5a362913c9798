package proof

import (
	"context"
	"fmt"

	"sinew/geom"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
)

// A strip of aluminium in tension: 2 kN on 20 by 2 mm are 50 MPa, against a
// yield strength of 240.
func ExampleProve() {
	p := &part.Part{
		Region:    geom.Region{Outer: geom.Polyline(geom.Point{}, geom.Point{X: 80}, geom.Point{X: 80, Y: 20}, geom.Point{Y: 20})},
		Thickness: 2,
		Features:  []part.Feature{{Name: "left", Kind: part.Side, Edges: []int{3}}, {Name: "right", Kind: part.Side, Edges: []int{1}}, {Name: "bottom", Kind: part.Side, Edges: []int{0}}},
		Supports:  []part.Support{{Feature: 0, Kind: part.Sliding}, {Feature: 2, Kind: part.Sliding, Angle: 1.5707963267948966}},
		Cases:     []part.Case{{Name: "pull", Factor: 2, Loads: []part.Load{{Feature: 1, Kind: part.Even, Force: geom.Point{X: 1000}}}}},
	}
	m, err := mesh.Generate(p.Region, mesh.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	metal := material.Metal{Title: "aluminium", E: 70e3, Nu: 0.33, Yield: 240, Ultimate: 290, Density: 2.7e-3}
	r, err := Prove(context.Background(), Input{Part: p, Mesh: m, Metals: []material.Metal{metal}})
	if err != nil {
		fmt.Println(err)
		return
	}
	governing, inCase := r.Designs[0].Governing()
	fmt.Printf("%s, %.2f g: %s at %.2f times the required load, case %q\n", r.Designs[0].Name, r.Designs[0].Mass, governing.Mode, governing.Reserve, inCase)
	// Output: aluminium, 8.64 g: yield at 4.80 times the required load, case "pull"
}
