package part_test

import (
	"fmt"

	"sinew/geom"
	"sinew/part"
)

func Example() {
	r := geom.Region{
		Outer: geom.Polyline(geom.Point{}, geom.Point{X: 60}, geom.Point{X: 60, Y: 20}, geom.Point{Y: 20}),
		Holes: []geom.Loop{
			geom.Circle(geom.Point{X: 10, Y: 10}, 3).Reverse(),
			geom.Circle(geom.Point{X: 50, Y: 10}, 3).Reverse(),
		},
	}
	_, errs := part.Features(r, []part.Pick{{Name: "pin", Kind: part.Hole, Diameter: 6}})
	fmt.Println(errs[0])
	list, _ := part.Features(r, []part.Pick{{Name: "pin", Kind: part.Hole, Near: &geom.Point{X: 48, Y: 10}}})
	fmt.Println(list[0].Name, list[0].Center, list[0].Diameter)
	// Output:
	// 2 holes fit (6 mm at (10, 10), 6 mm at (50, 10)); add near = ["x mm", "y mm"] or a diameter
	// pin {50 10} 6
}
