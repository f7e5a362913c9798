package program

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/internal/shapes"
	"sinew/printer"
	"sinew/strand"
)

// rowsOf are beads along x from a to b, side by side from y0 to y1.
func rowsOf(c *printer.Card, a, b, y0, y1 float64) []strand.Bead {
	var out []strand.Bead
	for y := y0; y < y1; y += c.WallWidth {
		out = append(out, strand.Bead{Kind: strand.Cover, Width: c.WallWidth, Points: []geom.Point{{X: a, Y: y}, {X: b, Y: y}}})
	}
	return out
}

// Read alone tells from the text what goes on over air for longer than a bridge
// may: the plan is not asked.
func TestReadFindsWhatLiesOverAir(t *testing.T) {
	c := builtIn(t, "twin-nozzle")
	post := func(z int, beads ...[]strand.Bead) strand.Layer {
		return strand.Layer{Index: z, Height: c.PlasticHeight, Z: float64(z+1) * c.PlasticHeight, Composite: -1, Family: -1, Beads: slices.Concat(beads...)}
	}
	for _, row := range []struct {
		name    string
		between float64 // from post to post, mm
		support bool    // loops under the roof, with a layer left out
		tow     bool    // the roof has a strand
		longest float64
		want    string // severity, "" for nothing
	}{
		{"a bridge", 11, false, false, 9, ""},
		{"too far", 20, false, false, 18, "warn"},
		{"carried by supports", 40, true, false, 0, ""},
		{"a strand over air", 20, false, true, 18, "stop"},
		{"a strand over supports", 40, true, true, 0, ""},
	} {
		far := 30 + row.between
		pr := &strand.Print{Region: shapes.Plate(far+30, 12)}
		for z := range 6 {
			l := post(z, rowsOf(c, 0, 30, 0, 12), rowsOf(c, far, far+30, 0, 12))
			if row.support && z < 5 {
				for x := 31.5; x < far-1; x += 2.5 {
					l.Beads = append(l.Beads, strand.Bead{Kind: strand.Support, Width: c.WallWidth, Points: []geom.Point{{X: x}, {X: x, Y: 12}}})
				}
			}
			pr.Layers = append(pr.Layers, l)
		}
		roof := post(6, rowsOf(c, 0, far+30, 0, 12))
		if row.tow {
			roof.Beads = nil
			roof.Strands = []strand.Strand{line(geom.Point{Y: 6}, geom.Point{X: far + 30, Y: 6}, 0.7)}
		}
		pr.Layers = append(pr.Layers, roof)
		text, _ := written(t, pr, c, settings())
		rb, err := Read(bytes.NewReader(text), c)
		if err != nil {
			t.Fatal(err)
		}
		if rb.LongestOverAir > row.longest+1 || rb.LongestOverAir < row.longest-1.5 {
			t.Errorf("%s: %g mm over air, want about %g mm", row.name, rb.LongestOverAir, row.longest)
		}
		got := ""
		lines := strings.Split(string(text), "\n")
		for _, f := range rb.Findings {
			if f.ID != "over-air" {
				t.Errorf("%s: %v", row.name, f)
			}
			got = fmt.Sprint(f.Severity)
			if at := slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, "layer 7 ") }); f.Line <= at {
				t.Errorf("%s: found in line %d, the roof begins in line %d", row.name, f.Line, at+1)
			}
		}
		if got != row.want {
			t.Errorf("%s: %q, want %q: %v", row.name, got, row.want, rb.Findings)
		}
	}
}
