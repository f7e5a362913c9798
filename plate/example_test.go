package plate_test

import (
	"context"
	"fmt"
	"math"

	"sinew/geom"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
	"sinew/plate"
)

// A clamped square of steel, 100 by 100 by 1 mm, under 0.01 MPa: theory gives
// 0.00126·q·a⁴/D.
func ExampleSystem_Solve() {
	square := geom.Region{Outer: geom.Polyline(geom.Point{}, geom.Point{X: 100}, geom.Point{X: 100, Y: 100}, geom.Point{Y: 100})}
	p := &part.Part{
		Region: square, Thickness: 1,
		Features: []part.Feature{{Name: "edge", Kind: part.Side, Edges: []int{0, 1, 2, 3}}},
		Supports: []part.Support{{Feature: 0, Kind: part.Fixed}},
		Cases:    []part.Case{{Name: "press", Factor: 1, Bending: part.Bending{Pressure: 0.01}}},
	}
	m, err := mesh.Generate(square, mesh.Settings{Size: 10})
	if err != nil {
		fmt.Println(err)
		return
	}
	s, err := plate.NewSystem(m, p, plate.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	steel := plate.Homogeneous(material.Lamina{E1: 210e3, E2: 210e3, G12: 80.8e3, G13: 80.8e3, G23: 80.8e3, Nu12: 0.3}, 1)
	sol, err := s.Solve(context.Background(), &steel)
	if err != nil {
		fmt.Println(err)
		return
	}
	w, at := s.Greatest(&sol.Cases[0])
	fmt.Printf("%.3f mm near the middle: %v; the edge takes %.1f N\n", w, at.Dist(geom.Point{X: 50, Y: 50}) < 8, sol.Cases[0].Reactions[0][2])
	d := 210e3 / (12 * (1 - 0.09))
	fmt.Printf("theory: %.3f mm\n", 0.00126532*0.01*math.Pow(100, 4)/d)
	// Output:
	// 0.066 mm near the middle: true; the edge takes -100.0 N
	// theory: 0.066 mm
}
