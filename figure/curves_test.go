package figure_test

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"sinew/figure"
)

// TestPlot: the plot is well-formed, names every curve and axis as text, and
// keeps every point within the sheet.
func TestPlot(t *testing.T) {
	svg := figure.Plot("load < movement", "movement, mm", "load factor", []figure.Curve{
		{Name: "as printed", Points: [][2]float64{{0, 0}, {0.58, 17.2}, {0.79, 22.7}, {1.2, 8.5}}},
		{Name: "R&D", Points: [][2]float64{{0, 0}, {0.3, 5}}},
	})
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	for _, want := range []string{"as printed", "R&amp;D", "movement, mm", "load factor", "load &lt; movement", ">20<", ">0.2<"} {
		if !strings.Contains(svg, want) {
			t.Errorf("the plot lacks %q", want)
		}
	}
	if empty := figure.Plot("nothing", "x", "y", nil); !strings.Contains(empty, "nothing") {
		t.Error("an empty plot has no caption")
	}
}
