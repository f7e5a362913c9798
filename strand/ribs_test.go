package strand

import (
	"testing"

	"sinew/geom"
)

// comb is a plate with ribs of the given widths, 20 mm long, standing on it.
func comb(widths ...float64) (geom.Region, []geom.Region) {
	pts := []geom.Point{{X: 0, Y: 0}, {X: 80, Y: 0}, {X: 80, Y: 20}}
	var ribs []geom.Region
	x := 75.0
	for _, w := range widths {
		pts = append(pts, geom.Point{X: x, Y: 20}, geom.Point{X: x, Y: 40}, geom.Point{X: x - w, Y: 40}, geom.Point{X: x - w, Y: 20})
		ribs = append(ribs, rectangle(x-w, 21.5, w, 17.5))
		x -= w + 5
	}
	return geom.Region{Outer: geom.Polyline(append(pts, geom.Point{X: 0, Y: 20})...)}, ribs
}

// Ribs from half a bead's width up are filled whatever their width, by one bead
// or more of varying width, without one bead on the other, in plain layers and
// with any number of walls.
func TestRibsAreKept(t *testing.T) {
	widths := []float64{0.4, 0.6, 0.75, 0.9, 1.1, 1.3, 1.5, 1.9, 2.4, 3}
	r, ribs := comb(widths...)
	for _, n := range []int{0, 1, 2} {
		walls, narrow, err := wallBeads(r, n, 0.6)
		if err != nil {
			t.Fatal(err)
		}
		inner, err := r.Inset((float64(n) + 0.5 - coverPress) * 0.6)
		if err != nil {
			t.Fatal(err)
		}
		rows, thin := plainArea(r, walls, flattened(inner), narrow, 0.6)
		for angle := range 2 {
			beads := follow(follow(walls, thin), rowsIn(rows, []float64{0.785, 0}[angle], 0.6))
			for i, rib := range ribs {
				all := rib.Area()
				q := NewRaster(rib, 0.05)
				q.AddBeads(beads)
				if gap := q.Area(q.Gap) / all; gap > 0.12 {
					t.Errorf("%d walls, rib of %g mm: %.0f %% empty", n, widths[i], 100*gap)
				}
				if over := q.Area(q.Overlapped) / all; over > 0.17 {
					t.Errorf("%d walls, rib of %g mm: %.0f %% covered twice", n, widths[i], 100*over)
				}
			}
			for _, b := range beads {
				for k := 1; k < len(b.Points); k++ {
					if w := b.WidthOn(k); w < 0.6*narrowest-1e-9 || w > 0.6*widest+1e-9 {
						t.Errorf("%d walls: a %v %g mm wide", n, b.Kind, w)
					}
				}
			}
		}
	}
}

// A part without ribs keeps its walls and rows as they are.
func TestPlatesHaveNoRibs(t *testing.T) {
	r := rectangle(0, 0, 60, 30)
	r.Holes = []geom.Loop{geom.Circle(geom.Point{X: 20, Y: 15}, 5).Reverse()}
	walls, narrow, err := wallBeads(r, 2, 0.6)
	if err != nil || narrow || len(walls) != 4 {
		t.Fatalf("%d walls, ribs %v, %v", len(walls), narrow, err)
	}
	inner, _ := r.Inset(2.4 * 0.6)
	flat := flattened(inner)
	rows, thin := plainArea(r, walls, flat, narrow, 0.6)
	if len(thin) > 0 || rows.Area() != flat.Area() {
		t.Errorf("%d beads of varying width, rows on %g of %g mm²", len(thin), rows.Area(), flat.Area())
	}
}
