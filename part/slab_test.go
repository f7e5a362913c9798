package part

import (
	"math"
	"strings"
	"testing"

	"sinew/geom"
)

// stepped is the plate 4 mm thick with a ring of 3 mm around its 16 mm hole.
func stepped() *Part {
	r := plate()
	ring := geom.Region{Outer: geom.Circle(geom.Point{X: 45, Y: 20}, 14), Holes: []geom.Loop{r.Holes[1]}}
	features, _ := Features(r, []Pick{{Name: "bored", Kind: Hole, Diameter: 16}, {Name: "end", Kind: Side, End: "right"}})
	return &Part{Region: r, Thickness: 7, Features: features, Slabs: []Slab{{0, 4, []geom.Region{r}}, {4, 7, []geom.Region{ring}}}}
}

func TestThicknessOfSlabs(t *testing.T) {
	p := stepped()
	flat := *p
	flat.Slabs = nil
	for _, c := range []struct {
		x, y, want float64
	}{{20, 5, 4}, {45, 31, 7}, {45, 20, 0}, {-1, 0, 0}} {
		at := geom.Point{X: c.x, Y: c.y}
		if got := p.ThicknessAt(at); got != c.want {
			t.Errorf("at %v: %g mm, want %g", at, got, c.want)
		}
		if got := flat.ThicknessAt(at); got != 7 {
			t.Errorf("flat: %g mm", got)
		}
	}
	for i, want := range []float64{7, 4} {
		if got := p.FaceThickness(i); math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: face of %g mm, want %g", p.Features[i].Name, got, want)
		}
		if got := flat.FaceThickness(i); got != 7 || flat.FaceMiddle(i) != 0 {
			t.Errorf("flat: face of %g mm at %g", got, flat.FaceMiddle(i))
		}
	}
	for i, want := range []float64{0, -1.5} { // 7 of 7 mm; the lower 4 of 7 mm
		if got := p.FaceMiddle(i); math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: middle of the face at %g mm, want %g", p.Features[i].Name, got, want)
		}
	}
}

func TestBadSlabs(t *testing.T) {
	for name, c := range map[string]struct {
		change func(p *Part)
		want   string
	}{
		"a gap":     {func(p *Part) { p.Slabs[1].Bottom = 5 }, "slab 2: runs from 5 to 7 mm, after 4 mm"},
		"no height": {func(p *Part) { p.Slabs[0].Top = 0 }, "slab 1: runs from 0 to 0 mm"},
		"too low":   {func(p *Part) { p.Thickness = 9 }, "slabs: reach 7 mm of 9 mm"},
		"empty":     {func(p *Part) { p.Slabs[1].Regions = nil }, "slab 2: has no region"},
	} {
		p := stepped()
		c.change(p)
		if err := p.Validate(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	if err := stepped().Validate(); err == nil || strings.Contains(err.Error(), "slab") {
		t.Errorf("good slabs: %v", err)
	}
}
