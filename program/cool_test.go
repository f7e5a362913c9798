package program

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/internal/shapes"
	"sinew/strand"
)

// A layer that is laid in less than the card's least time is given the rest; no
// layer starts earlier than that after the one before.
func TestLayersCool(t *testing.T) {
	c := *builtIn(t, "twin-nozzle")
	c.LayerTime, c.Bridge = 40, nil // its layers reach out over air, which is not the question here
	pr := &strand.Print{Region: shapes.Plate(30, 30)}
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

// A tool that is taken wipes its nozzle on the brush of its card, from above and
// back up, and prints nothing there; the text alone shows it, and where it is
// missing.
func TestNozzlesWipe(t *testing.T) {
	c := builtIn(t, "ironing-nozzle")
	pr := samplePrint(c, 3)
	text, sum := written(t, pr, c, settings())
	frames, rep := played(t, text, c)
	if len(rep.Findings) > 0 {
		t.Fatal(rep.Findings)
	}
	wipes := 0
	for _, f := range frames {
		if f.From[2] == c.Wipe.Z && f.To[2] == c.Wipe.Z && math.Abs(f.From[0]-f.To[0]) == c.Wipe.Length {
			wipes++
			if f.Activity != Travelling || f.Section > 0 || f.From[1] != c.Wipe.At.Y {
				t.Errorf("a wipe is %+v", f)
			}
		}
	}
	if want := 2 * (sum.Swaps + 1); wipes != want {
		t.Errorf("%d ways through the brush, want %d", wipes, want)
	}
	// One wipe deleted: both ways, with the block that lowers the nozzle.
	lines := strings.Split(string(text), "\n")
	down := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, "G0 Z2 ") })
	lines = slices.Delete(lines, down, down+3)
	rb, err := Read(strings.NewReader(strings.Join(lines, "\n")), c)
	if err != nil || len(rb.Findings) != 1 || rb.Findings[0].ID != "not-wiped" || rb.Findings[0].Line <= down {
		t.Errorf("%v, %v", err, rb.Findings)
	}
	// A print over the brush.
	set := settings()
	set.Placed, set.Place = true, c.Wipe.At.Sub(geom.Point{X: 40, Y: 5})
	text, _ = written(t, pr, c, set)
	if rb, err = Read(bytes.NewReader(text), c); err != nil || !slices.ContainsFunc(rb.Findings, func(f Finding) bool { return f.ID == "on-brush" }) {
		t.Errorf("%v, %v", err, rb.Findings)
	}
}
