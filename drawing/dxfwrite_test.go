package drawing

import (
	"bytes"
	"math"
	"testing"

	"sinew/geom"
)

// What is written is read back: layers, lengths, places, closed or open.
func TestDXFIsReadBack(t *testing.T) {
	ring := geom.Circle(geom.Point{X: 20, Y: 5}, 4)
	list := []Trace{
		{Layer: "along", Edges: []geom.Edge{{A: geom.Point{X: 1.25, Y: -3}, B: geom.Point{X: 40, Y: -3}}, {A: geom.Point{X: 40, Y: -3}, B: geom.Point{X: 40, Y: 7}, Bulge: 1}}},
		{Layer: "nothing"},
		{Layer: "a/b: \"rim\"", Edges: ring, Closed: true},
	}
	var b bytes.Buffer
	if err := WriteDXF(&b, list); err != nil {
		t.Fatal(err)
	}
	d, err := ReadDXF(&b, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		layer  string
		length float64
		closed bool
		first  geom.Point
	}{
		{"along", 38.75 + 5*math.Pi, false, geom.Point{X: 1.25, Y: -3}},
		{"a-b- -rim-", 8 * math.Pi, true, ring[0].A},
	} {
		lines, err := d.Lines(JoinSettings{Layers: []string{c.layer}})
		if err != nil || len(lines) != 1 {
			t.Fatalf("layer %q: %d lines, %v", c.layer, len(lines), err)
		}
		p := lines[0].Path(1e-5)
		if math.Abs(p.Length()-c.length) > 1e-3 || p.Closed != c.closed || p.Points[0].Dist(c.first) > 1e-5 {
			t.Errorf("layer %q: %g mm, closed %v, from %v; want %g, %v, %v", c.layer, p.Length(), p.Closed, p.Points[0], c.length, c.closed, c.first)
		}
	}
}
