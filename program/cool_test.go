package program

import (
	"bytes"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/printer"
	"sinew/strand"
)

// A layer that is laid in less than the card's least time is given the rest; no
// layer starts earlier than that after the one before.
func TestLayersCool(t *testing.T) {
	c := *builtIn(t, "twin-nozzle")
	c.LayerTime, c.Bridge = 40, nil // its layers reach out over air, which is not the question here
	pr := &strand.Print{Region: rectangle(30, 30)}
	for k := range 5 {
		side := float64(5 + 5*k)
		pr.Layers = append(pr.Layers, strand.Layer{Index: k, Height: c.PlasticHeight, Z: float64(k+1) * c.PlasticHeight, Composite: -1, Family: -1,
			Beads: []strand.Bead{{Kind: strand.Wall, Closed: true, Width: c.WallWidth, Points: []geom.Point{{}, {X: side}, {X: side, Y: side}, {Y: side}}}}})
	}
	text, sum := written(t, pr, &c, settings())
	frames, rep := played(t, text, &c)
	if len(rep.Findings) > 0 || sum.Times[Cooling] <= 0 || strings.Count(string(text), "\nG4 F") != 5 {
		t.Fatalf("%v, %v s of cooling, %d waits", rep.Findings, sum.Times[Cooling], strings.Count(string(text), "\nG4 F"))
	}
	starts := map[int]float64{}
	for _, f := range frames {
		if _, seen := starts[f.Layer]; !seen && f.Bead >= 0 {
			starts[f.Layer] = f.Start
		}
	}
	for k := 1; k < 5; k++ {
		if d := starts[k] - starts[k-1]; d < 40-1 {
			t.Errorf("layer %d starts %v s after the one before", k, d)
		}
	}
}

// A tool that is taken wipes its nozzle on the brush, from above and back up,
// and prints nothing there.
func TestNozzlesWipe(t *testing.T) {
	c := *builtIn(t, "twin-nozzle")
	c.Wipe = &printer.Wipe{At: geom.Point{X: 280, Y: 10}, Z: 3, Length: 21}
	pr := samplePrint(&c, 3)
	text, sum := written(t, pr, &c, settings())
	rb, err := Read(bytes.NewReader(text), &c)
	if err != nil || len(rb.Findings) > 0 {
		t.Fatalf("%v, %v", err, rb.Findings)
	}
	if cmp := Compare(pr, rb, &c, settings()); !cmp.Agrees() {
		t.Errorf("%v", cmp.Differences)
	}
	if got, want := strings.Count(string(text), "G0 X301"), sum.Swaps+1; got != want {
		t.Errorf("%d wipes, want %d", got, want)
	}
}
