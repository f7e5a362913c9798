package figure_test

import (
	"fmt"
	"strings"

	"sinew/figure"
	"sinew/geom"
)

func ExampleDrawing() {
	r := geom.Region{Outer: geom.Polyline(geom.Point{}, geom.Point{X: 40}, geom.Point{X: 40, Y: 20}, geom.Point{Y: 20})}
	d := figure.New("a plate", r.Outer.Bounds())
	d.Region(r, true)
	d.Arrow(geom.Point{X: 40, Y: 10}, geom.Point{X: 1}, 40, "1 kN")
	fmt.Println(strings.Count(d.SVG(), "<path"))
	// Output: 4
}
