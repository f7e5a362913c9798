package figure_test

import (
	"encoding/xml"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"sinew/figure"
)

// TestScatter: the drawing is well-formed and names what it shows; a point lies
// where its axes say, and any range can be drawn.
func TestScatter(t *testing.T) {
	for _, row := range []struct {
		name   string
		points [][2]float64
	}{
		{"usual", [][2]float64{{10, 1.2}, {14, 2.4}, {12, 1.9}}},
		{"one point", [][2]float64{{10, 1.2}}},
		{"none", nil},
		{"below zero", [][2]float64{{-3, -1e6}, {3, 1e6}}},
		{"one value but for rounding", [][2]float64{{1e6, 1}, {1e6 + 1e-9, 1 + 1e-15}}},
		{"very small", [][2]float64{{1e-9, 1e-12}, {2e-9, 3e-12}}},
	} {
		svg := figure.Scatter("mass < reserve", "mass g", "reserve", []figure.Cloud{{Name: "front", Points: row.points, Labels: make([]string, len(row.points))}, {Name: "R&D"}, {Name: "misses"}})
		d := xml.NewDecoder(strings.NewReader(svg))
		for {
			if _, err := d.Token(); err == io.EOF {
				break
			} else if err != nil {
				t.Fatalf("%s: %v", row.name, err)
			}
		}
		for _, want := range []string{"mass g", "reserve", "front", "R&amp;D"} {
			if !strings.Contains(svg, want) {
				t.Errorf("%s: lacks %q", row.name, want)
			}
		}
		if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") || strings.Contains(svg, ">-0<") {
			t.Errorf("%s: a figure is none", row.name)
		}
	}
}

// TestScatterIsToScale: the middle of three points in a row lies in the middle on
// the sheet, greater values to the right and above.
func TestScatterIsToScale(t *testing.T) {
	svg := figure.Scatter("c", "x", "y", []figure.Cloud{{Name: "n", Points: [][2]float64{{1, 10}, {2, 20}, {3, 30}}}})
	at := regexp.MustCompile(`<circle cx="([0-9.]+)" cy="([0-9.]+)"`).FindAllStringSubmatch(svg, 3)
	var x, y [3]float64
	for i, m := range at {
		x[i], _ = strconv.ParseFloat(m[1], 64)
		y[i], _ = strconv.ParseFloat(m[2], 64)
	}
	const tenth = 0.11 // user units: coordinates are written to a tenth
	if math.Abs(x[1]-(x[0]+x[2])/2) > tenth || math.Abs(y[1]-(y[0]+y[2])/2) > tenth || x[2] <= x[0] || y[2] >= y[0] {
		t.Errorf("points at %v, %v", x, y)
	}
}
