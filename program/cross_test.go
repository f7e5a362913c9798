package program

import (
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/strand"
)

func poly(xy ...float64) []geom.Point {
	var out []geom.Point
	for i := 0; i+1 < len(xy); i += 2 {
		out = append(out, geom.Point{X: xy[i], Y: xy[i+1]})
	}
	return out
}

func TestCrossings(t *testing.T) {
	circle := ring(geom.Point{X: 50, Y: 50}, 10, 0.7)
	rows := []struct {
		name    string
		strands [][]geom.Point
		want    int  // index of the strand that crosses, -1: none
		self    bool // itself
	}{
		{"side by side", [][]geom.Point{poly(0, 0, 100, 0), poly(0, 0.7, 100, 0.7)}, -1, false},
		{"a cross", [][]geom.Point{poly(0, 0, 100, 0), poly(50, -20, 50, 20)}, 1, false},
		{"far along a long row", [][]geom.Point{poly(0, 0, 300, 1), poly(299, 0, 299, 5)}, 1, false},
		{"a cross through a common point", [][]geom.Point{poly(0, 0, 50, 0, 100, 0), poly(50, -20, 50, 0, 50, 20)}, 1, false},
		{"end to end", [][]geom.Point{poly(0, 0, 50, 0), poly(50, 0, 100, 0)}, -1, false},
		{"one on the other", [][]geom.Point{poly(0, 0, 100, 0), poly(0, 0, 100, 0)}, -1, false},
		{"a closed one over its start", [][]geom.Point{circle.Points}, -1, false},
		{"a figure of eight", [][]geom.Point{poly(0, 0, 100, 50, 100, 0, 0, 50)}, 0, true},
		{"a corner turned right", [][]geom.Point{poly(0, 0, 10, 0, 20, -10, 20, -60)}, -1, false},
	}
	for _, row := range rows {
		var c crossings
		got, self := -1, false
		for i, s := range row.strands {
			hit, crosses, overflow := c.add(0, 10+i, s, 1000)
			if overflow {
				t.Fatalf("%s: too much", row.name)
			}
			if crosses {
				got, self = i, hit.other == 10+i
			}
		}
		if got != row.want || self != row.self {
			t.Errorf("%s: strand %d crosses (itself %v), want %d (%v)", row.name, got, self, row.want, row.self)
		}
	}
}

// Random polylines against the plan's exact search over all pairs.
func TestCrossingsAgainstPlan(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	crossed := 0
	for trial := range 300 {
		var c crossings
		var all []strand.Strand
		for i := range 6 {
			p := geom.Point{X: 80 * r.Float64(), Y: 80 * r.Float64()}
			angle, pts := 7*r.Float64(), []geom.Point{p}
			for range 12 {
				angle += 0.3 * r.NormFloat64()
				sin, cos := math.Sincos(angle)
				p = p.Add(geom.Point{X: cos, Y: sin}.Scale(0.2 + 4*r.Float64()))
				pts = append(pts, p)
			}
			all = append(all, strand.Strand{Points: pts})
			_, got, _ := c.add(trial, i, pts, 1000)
			want := false
			for _, x := range strand.Crossings(all) {
				want = want || max(x.A, x.B) == i
			}
			if got != want {
				t.Fatalf("trial %d, strand %d: crosses %v, the plan says %v", trial, i, got, want)
			}
			if want {
				crossed++
			}
		}
	}
	if crossed < 100 {
		t.Errorf("only %d strands crossed: the trials show little", crossed)
	}
}

// Crossings far apart, and a layer of ten million pairs in one square, end in
// bounded work.
func TestCrossingsBounded(t *testing.T) {
	c := builtIn(t, "twin-nozzle")
	var b strings.Builder
	b.WriteString("G71\nG90 G94\nM93 P2 S260\nT2 M6\nG0 X10 Y10 Z0.32 F600\nM95 L46 F720\n")
	for i := range 60_000 {
		fmt.Fprintf(&b, "G1 X%d Y10.%03d E0.01 F150\n", 10+i%2, i%1000)
	}
	b.WriteString("M96 L45\nM97\nM30\n")
	rb, err := Read(strings.NewReader(b.String()), c)
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]bool{}
	for _, f := range rb.Findings {
		found[f.ID] = true
	}
	if !found["crossing"] && !found["crossing-unknown"] {
		t.Errorf("findings %v", rb.Findings[:min(5, len(rb.Findings))])
	}
}
