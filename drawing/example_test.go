package drawing_test

import (
	"fmt"
	"strings"

	"sinew/drawing"
)

func Example() {
	d, err := drawing.ReadSVG(strings.NewReader(`
		<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="20mm" viewBox="0 0 60 20">
		  <rect width="60" height="20" rx="5"/>
		  <circle cx="10" cy="10" r="3"/>
		  <text>60 × 20</text>
		</svg>`), drawing.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	regions, err := d.Regions(drawing.JoinSettings{Tolerance: 0.01})
	fmt.Println(len(regions), len(regions[0].Outer), len(regions[0].Holes), err)
	fmt.Println(d.Notes)
	_, err = drawing.ReadSVG(strings.NewReader(`<svg viewBox="0 0 60 20"/>`), drawing.Settings{})
	fmt.Println(err)
	// Output:
	// 1 8 1 <nil>
	// [1 × text ignored (first at line 5)]
	// the drawing states no unit; state it in the job: units = "mm", "cm", "m" or "in"
}
