package strand

import (
	"context"
	"math"
	"reflect"
	"strings"
	"testing"

	"sinew/geom"
)

// rectangle has its lower left corner at (x, y).
func rectangle(x, y, w, h float64) geom.Region {
	return geom.Region{Outer: geom.Polyline(geom.Point{X: x, Y: y}, geom.Point{X: x + w, Y: y}, geom.Point{X: x + w, Y: y + h}, geom.Point{X: x, Y: y + h})}
}

// TestIslands: two layers over the whole plate, then two over each of two
// bosses: strands, walls and covers keep to their own.
func TestIslands(t *testing.T) {
	r, m := plate(200, 60, 3)
	l := layupOf(r, m, 4, func(p geom.Point) float64 { return p.Y })
	c := card()
	s := Settings{Region: r, Thickness: 4*c.CompositeHeight + 2*c.PlasticHeight, Bottom: 1, Top: 1, Stagger: -1} // every end at its edge
	box := r.Bounds()
	left, right := rectangle(box.Min.X, box.Min.Y, 60, 60), rectangle(box.Max.X-80, box.Min.Y, 80, 60)
	islands := []Island{{First: 0, Last: 2, Region: r, Composite: r}, {First: 3, Last: 5, Region: left, Composite: left}, {First: 3, Last: 5, Region: right, Composite: right}}
	pr, err := LayIslands(context.Background(), l, c, s, islands)
	if err != nil {
		t.Fatal(err)
	}
	whole, err := Lay(context.Background(), l, c, s)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(pr.Layers[1].Strands, whole.Layers[1].Strands) {
		t.Error("the first layer differs from the plate's own")
	}
	for i := range pr.Layers {
		y := &pr.Layers[i]
		if y.Z != whole.Layers[i].Z || y.Index != i || y.Composite != whole.Layers[i].Composite {
			t.Errorf("layer %d: %+v", i, y)
		}
		areas := []geom.Region{r}
		if i > 2 {
			areas = []geom.Region{left, right}
		}
		length := 0.0
		for k := range y.Strands {
			st := &y.Strands[k]
			length += st.Length()
			for _, p := range st.Points {
				if !within(areas, p) {
					t.Fatalf("layer %d: a strand at %v", i, p)
				}
			}
			if st.Width[len(st.Width)/2] < c.SpacingMin/2 {
				t.Errorf("layer %d: a bead %g mm wide", i, st.Width[0])
			}
		}
		for _, b := range y.Beads {
			for _, p := range b.Points {
				if !within(areas, p) {
					t.Fatalf("layer %d: a plastic bead at %v", i, p)
				}
			}
		}
		area := 0.0
		for _, a := range areas {
			area += a.Area()
		}
		if y.Kind == Composite && math.Abs(length/area-1) > 0.05 { // a millimetre apart, but for the edges
			t.Errorf("layer %d: %g mm of strand on %g mm²", i, length, area)
		}
		ra := pr.Raster(y, 0.2)
		ra.AddStrands(y.Strands, pr.Halves(y), c.SpacingMin, false)
		ra.AddBeads(y.Beads)
		if inside := ra.Area(func(k int) bool { return ra.Inside[k] }); math.Abs(inside/area-1) > 0.01 {
			t.Errorf("layer %d: squares over %g mm², outlines of %g mm²", i, inside, area)
		}
		if gap := ra.Area(ra.Gap); gap > 0.05*area {
			t.Errorf("layer %d: %g of %g mm² empty", i, gap, area)
		}
	}
}

func within(areas []geom.Region, p geom.Point) bool {
	for _, a := range areas {
		if a.Bounds().Grow(1e-6).Contains(p) {
			return true
		}
	}
	return false
}

// TestIslandsGripTheBed: only what stands on the bed gets a border.
func TestIslandsGripTheBed(t *testing.T) {
	r, m := plate(100, 40, 4)
	l := layupOf(r, m, 2, func(p geom.Point) float64 { return p.Y })
	pr, err := LayIslands(context.Background(), l, card(), Settings{Region: r, Bottom: 1, Top: 1, Grip: Grip{Border: 2}}, []Island{{First: 0, Last: 1, Region: r, Composite: r}, {First: 2, Last: 3, Region: r, Composite: r}})
	if err != nil {
		t.Fatal(err)
	}
	for i, y := range pr.Layers {
		n := 0
		for _, b := range y.Beads {
			if b.Kind == Border {
				n++
			}
		}
		if (n > 0) != (i == 0) {
			t.Errorf("layer %d has %d border beads", i, n)
		}
	}
}

func TestBadIslands(t *testing.T) {
	r, m := plate(100, 40, 4)
	l := layupOf(r, m, 2, func(p geom.Point) float64 { return p.Y })
	small := rectangle(0, 0, 0.5, 0.5)
	for name, c := range map[string]struct {
		islands []Island
		want    string
	}{
		"outside the stack": {[]Island{{First: 0, Last: 9, Region: r, Composite: r}}, "layers 0 to 9 in a stack of 2"},
		"no room for walls": {[]Island{{First: 0, Last: 1, Region: small, Composite: small}}, "layers 0 to 1 at (0.25, 0.25): wall 1 of 1"},
	} {
		if _, err := LayIslands(context.Background(), l, card(), Settings{Region: r, Walls: 1}, c.islands); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}
