package job

import (
	"context"
	"math"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/strand"
)

// Sparse covers, their shares by region, border and ring come out in the print
// and in its program, and the stack's worth follows.
func TestSparseCovers(t *testing.T) {
	text := replaceOnce(smallText, "covers = { bottom = 1, top = 1 }", "border = 3\nring = \"5 mm\"\ncovers = { bottom = 4, top = 1, fill = \"hexagons\", share = \"40 %\" }")
	text = replaceOnce(text, `"1.04 mm"`, `"1.64 mm"`) // two layers of 0.32 mm and five of 0.2 mm
	j, err := Open(writeFiles(t, map[string]string{FileName: text, sampleName: string(sampleDrawing)}), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if got, want := j.coverVolume(), (2+0.4*2+1)*j.in.printer.PlasticHeight; math.Abs(got-want) > 1e-12 {
		t.Errorf("covers hold %v mm, want %v", got, want)
	}
	if got, want := j.coverWorth(), (2+0.4/(3-2*0.4)*2+1)*j.in.printer.PlasticHeight; math.Abs(got-want) > 1e-12 {
		t.Errorf("covers are as stiff as %v mm, want %v", got, want)
	}
	r, err := j.Run(context.Background(), Lay, "lay")
	if err != nil {
		t.Fatal(err)
	}
	count := func(layer int, k strand.BeadKind) int {
		n := 0
		for _, b := range r.Print.Layers[layer].Beads {
			if b.Kind == k {
				n++
			}
		}
		return n
	}
	for layer, sparse := range []bool{false, true, true, false} {
		if got := count(layer, strand.Sparse) > 0; got != sparse {
			t.Errorf("layer %d is sparse %v, want %v", layer, got, sparse)
		}
	}
	if count(0, strand.Border) != 4 || count(1, strand.Border) != 0 || r.Print.Layers[0].Beads[0].Kind != strand.Border {
		t.Errorf("%d beads beside the part on the bed, %d above", count(0, strand.Border), count(1, strand.Border))
	}
}

func TestBadPlastic(t *testing.T) {
	covers := func(text string) string { return replaceOnce(smallText, "covers = { bottom = 1, top = 1 }", text) }
	for _, row := range []struct{ name, text, want string }{
		{"unknown pattern", covers(`covers = { bottom = 1, top = 1, fill = "stars" }`), "layup.covers.fill"},
		{"share of solid covers", covers(`covers = { bottom = 1, top = 1, share = "20 %" }`), "layup.covers.share"},
		{"hardly any share", covers(`covers = { bottom = 1, top = 1, fill = "gyroid", share = "1 %" }`), "at least 5 %"},
		{"unknown feature", covers(`covers = { bottom = 1, top = 1, fill = "gyroid", region = [{ at = "nowhere", within = "3 mm" }] }`), "layup.covers.region[0].at"},
		{"region of no size", covers(`covers = { bottom = 1, top = 1, fill = "gyroid", region = [{ at = "left hole" }] }`), "layup.covers.region[0].within"},
		{"border of many beads", replaceOnce(smallText, "[layup]\n", "[layup]\nborder = 99\n"), "layup.border"},
	} {
		_, err := Open(writeFiles(t, map[string]string{FileName: row.text, sampleName: string(sampleDrawing)}), Options{})
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v", row.name, err)
		}
	}
}

// A capsule has the area of its rectangle and circle; around a hole lies a
// disc.
func TestAround(t *testing.T) {
	c := capsule(geom.Point{X: 1, Y: 2}, geom.Point{X: 11, Y: 7}, 3)
	want := 2*3*math.Hypot(10, 5) + math.Pi*9
	if got := c.Area(); math.Abs(got-want) > 0.01*want {
		t.Errorf("area %v, want %v", got, want)
	}
	if got := capsule(geom.Point{}, geom.Point{}, 3).Area(); math.Abs(got-math.Pi*9) > 2*math.Pi*3*aroundFlat {
		t.Errorf("area of a point's %v", got)
	}
}
