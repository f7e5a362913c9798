package program

import (
	"bytes"
	"math"
	"testing"

	"sinew/geom"
	"sinew/strand"
)

// A round wall and one with rounded corners go out as arcs and come back with
// their length, on the circle they were taken from.
func TestArcsWritten(t *testing.T) {
	c, s := builtIn(t, "ironing-nozzle"), settings()
	round := geom.Region{Outer: geom.Loop{
		{A: geom.Point{X: 20}, B: geom.Point{X: -20}, Bulge: 1}, {A: geom.Point{X: -20}, B: geom.Point{X: 20}, Bulge: 1}}}
	slot := geom.Region{Outer: geom.Loop{
		{A: geom.Point{X: -15, Y: -8}, B: geom.Point{X: 15, Y: -8}}, {A: geom.Point{X: 15, Y: -8}, B: geom.Point{X: 15, Y: 8}, Bulge: 1},
		{A: geom.Point{X: 15, Y: 8}, B: geom.Point{X: -15, Y: 8}}, {A: geom.Point{X: -15, Y: 8}, B: geom.Point{X: -15, Y: -8}, Bulge: 1}}}
	for _, row := range []struct {
		name   string
		region geom.Region
		want   float64
		arcs   int // at least
		off    func(p geom.Point) float64
	}{
		{"circle", round, 40 * math.Pi, 2, func(p geom.Point) float64 { return math.Abs(p.Norm() - 20) }},
		{"slot", slot, 60 + 16*math.Pi, 2, func(p geom.Point) float64 {
			return math.Abs(math.Hypot(math.Max(0, math.Abs(p.X)-15), p.Y) - 8)
		}},
	} {
		wall := strand.Bead{Kind: strand.Wall, Closed: true, Width: c.WallWidth, Points: row.region.Outer.Flatten(0.01)}
		pr := &strand.Print{Region: row.region, Layers: []strand.Layer{{Height: c.PlasticHeight, Z: c.PlasticHeight, Beads: []strand.Bead{wall}}}}
		text, _ := written(t, pr, c, s)
		if n := bytes.Count(text, []byte("\nG3")); n < row.arcs || n > 6 {
			t.Errorf("%s: %d arcs in\n%s", row.name, n, text)
		}
		rb, err := Read(bytes.NewReader(text), c)
		if err != nil || len(rb.Findings) > 0 || len(rb.AllBeads) != 1 {
			t.Fatalf("%s: %v, %v, %d beads", row.name, err, rb.Findings, len(rb.AllBeads))
		}
		// Chords of the read-back lie within the arc tolerance: their length
		// falls short of the arc's by less than a thousandth.
		if got := rb.AllBeads[0].Length; math.Abs(got-row.want) > 1e-3*row.want {
			t.Errorf("%s: length %v, want %v", row.name, got, row.want)
		}
		for _, p := range rb.AllBeads[0].Points {
			if d := row.off(p.Sub(s.place(pr, c))); d > 0.01 {
				t.Errorf("%s: %v lies %v mm off its line", row.name, p, d)
			}
		}
		if cmp := Compare(pr, rb, c, s); !cmp.Agrees() {
			t.Errorf("%s: %v", row.name, cmp.Differences)
		}
	}
}
