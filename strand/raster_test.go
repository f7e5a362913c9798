package strand

import (
	"math"
	"math/rand"
	"strings"
	"testing"

	"sinew/geom"
)

func TestRasterArea(t *testing.T) {
	r := geom.Region{Outer: geom.Circle(geom.Point{}, 8), Holes: []geom.Loop{geom.Circle(geom.Point{X: 1}, 4).Reverse()}}
	ra := NewRaster(r, 0.05)
	got, want := ra.Area(func(c int) bool { return ra.Inside[c] }), math.Pi*48
	if math.Abs(got-want) > 0.002*want {
		t.Errorf("area %g, want %g", got, want)
	}
}

// Distances against the plain search over all squares.
func TestDepthAgainstPlainSearch(t *testing.T) {
	r, _ := plate(6, 4, 1)
	ra := NewRaster(r, 0.25)
	rng := rand.New(rand.NewSource(3))
	mark := make([]bool, len(ra.Beads))
	for c := range mark {
		mark[c] = rng.Float64() < 0.9
	}
	got := make([]float64, len(mark))
	ra.depthTo(got, ra.squares(func(c int) bool { return mark[c] }))
	for c := range mark {
		want := math.Inf(1)
		for d := range mark {
			if !mark[d] {
				want = math.Min(want, math.Hypot(float64(c%ra.NX-d%ra.NX), float64(c/ra.NX-d/ra.NX)))
			}
		}
		want = math.Max(0, want-0.5) * ra.Cell
		if math.Abs(got[c]-want) > 1e-9 {
			t.Fatalf("square %d: %g, want %g", c, got[c], want)
		}
	}
}

func TestOverlapOfRows(t *testing.T) {
	r, _ := plate(20, 10, 5)
	strands := []Strand{rowAt(0.4, 19.6, 3), rowAt(0.4, 19.6, 3.35)}
	ra := NewRaster(r, 0.02)
	ra.AddStrands(strands, HalfBeads(strands, r, 2), 0.65, true)
	// Each bead's inner half is 0.325 for a way of 0.35: they share 0.3 mm, the
	// seams taken off.
	want := 19.2 * (0.3 - 2*seam)
	if got := ra.Area(ra.Overlapped); math.Abs(got-want) > 0.1*want {
		t.Errorf("overlap %g mm², want %g", got, want)
	}
}

func TestSerpentinesFill(t *testing.T) {
	for _, c := range []struct {
		name string
		r    geom.Region
	}{
		{"disc", geom.Region{Outer: geom.Circle(geom.Point{}, 10)}},
		{"ring", geom.Region{Outer: geom.Circle(geom.Point{}, 10), Holes: []geom.Loop{geom.Circle(geom.Point{}, 4).Reverse()}}},
	} {
		for _, angle := range []float64{0, 45, -45, 90} {
			const w = 0.6
			beads := rowsIn(c.r.Flatten(flattenWalls), angle*math.Pi/180, w)
			ra := NewRaster(c.r, 0.1)
			ra.AddBeads(beads)
			if gap := ra.Area(ra.Gap); gap > 0.02*c.r.Area() {
				t.Errorf("%s at %g°: %g mm² of %g left empty", c.name, angle, gap, c.r.Area())
			}
			if len(beads) > 8 {
				t.Errorf("%s at %g°: %d beads, rows are not joined", c.name, angle, len(beads))
			}
			for _, b := range beads {
				for _, p := range b.Points {
					if d := geom.NewBoundary(c.r).Nearest(p); !c.r.Contains(p) && d.Distance > flattenWalls*1.01 {
						t.Fatalf("%s: bead at %v, outside", c.name, p)
					}
				}
			}
		}
	}
}

func TestStack(t *testing.T) {
	lim := limits{composite: 0.32, plastic: 0.2}
	got, err := stack(12, lim, Settings{Bottom: 2, Top: 2, Thickness: 4.64})
	if err != nil || len(got) != 16 {
		t.Fatalf("%d layers, %v", len(got), err)
	}
	if z := got[15].Z; math.Abs(z-4.64) > 1e-12 {
		t.Errorf("top at %g, want 4.64", z)
	}
	if got[1].Kind != Plastic || got[2].Kind != Composite || got[2].Composite != 0 || got[13].Composite != 11 {
		t.Errorf("wrong order of layers: %+v", got)
	}
	_, err = stack(12, lim, Settings{Bottom: 2, Top: 2, Thickness: 4.8})
	if err == nil || !strings.Contains(err.Error(), "4.64 mm (12 composite layers) and 4.96 mm (13)") {
		t.Errorf("got %v, want the nearest thicknesses 4.64 and 4.96", err)
	}
}
