package program

import (
	"bytes"
	"fmt"
	"math"
	"math/rand"
	"reflect"
	"testing"

	"sinew/geom"
	"sinew/internal/shapes"
	"sinew/printer"
)

func ell(a, b, w float64) geom.Region {
	return geom.Region{Outer: geom.Polygon{{}, {X: a}, {X: a, Y: w}, {X: w, Y: w}, {X: w, Y: b}, {Y: b}}.Loop()}
}

// Copies lie on the bed and at least the spacing apart: checked edge by edge,
// without the raster.
func TestNestKeepsApart(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	beds := []printer.Bed{{X: 320, Y: 260}, {X: 300, Y: 300, Round: true}, {X: 97.3, Y: 61.9}}
	for trial := range 12 {
		bed := beds[trial%len(beds)]
		shape := ell(20+40*r.Float64(), 20+40*r.Float64(), 5+10*r.Float64())
		if trial%4 == 3 {
			shape = geom.Region{Outer: geom.Circle(geom.Point{X: 7, Y: -3}, 8+20*r.Float64())}
		}
		spacing := 1 + 6*r.Float64()
		places := Nest(shape, bed, 12, spacing)
		if len(places) == 0 {
			t.Fatalf("trial %d: nothing fits", trial)
		}
		var polys []geom.Polygon
		for _, p := range places {
			var poly geom.Polygon
			for _, q := range shape.Outer.Flatten(0.01) {
				q = p.Place(q)
				if off := bed.Outside(q); off > 1e-9 {
					t.Fatalf("trial %d: %v mm off the bed", trial, off)
				}
				poly = append(poly, q)
			}
			polys = append(polys, poly)
		}
		for i := range polys {
			for k := range i {
				if near := (geom.Polygons{polys[i]}).Bounds().Grow(spacing); !near.Meets((geom.Polygons{polys[k]}).Bounds()) {
					continue
				}
				if d := gapOf(polys[i], polys[k]); d < spacing-0.02 {
					t.Errorf("trial %d: copies %d and %d are %v mm apart, want %v", trial, k, i, d, spacing)
				}
			}
		}
		if again := Nest(shape, bed, 12, spacing); !reflect.DeepEqual(again, places) {
			t.Errorf("trial %d: other places the second time", trial)
		}
	}
}

// gapOf is the least distance of two outlines, 0 where one holds the other's
// corner.
func gapOf(a, b geom.Polygon) float64 {
	if a.Contains(b[0]) || b.Contains(a[0]) {
		return 0
	}
	best := math.Inf(1)
	for _, pair := range [2][2]geom.Polygon{{a, b}, {b, a}} {
		edge := geom.NewBoundary(geom.Region{Outer: pair[0].Loop()})
		for _, p := range (geom.Path{Points: pair[1], Closed: true}).Resample(0.5).Points {
			best = math.Min(best, edge.Nearest(p).Distance)
		}
	}
	return best
}

// Rectangles that fit in rows and columns: the count is that of the grid, less
// what the squares round up.
func TestNestCounts(t *testing.T) {
	bed := printer.Bed{X: 320, Y: 260}
	for _, row := range []struct {
		w, h, spacing float64
		want          int
	}{
		{50, 30, 4, 40}, // a pitch of 54 by 34 mm, or turned: 5 rows and 3 rows over
		{300, 20, 5, 10},
		{400, 20, 5, 0},
		{20, 300, 5, 10}, // fits only turned
	} {
		n := len(Nest(shapes.Plate(row.w, row.h), bed, 1000, row.spacing))
		if n < row.want*8/10 || n > row.want+4 {
			t.Errorf("%v × %v mm: %d copies, about %d fit", row.w, row.h, n, row.want)
		}
	}
	if p := Nest(shapes.Plate(100, 50), bed, 1, 5); len(p) != 1 || p[0].At != (geom.Point{X: 110, Y: 105}) || p[0].Turns != 0 {
		t.Errorf("one copy is placed at %+v", p)
	}
}

// A program of six copies reads back as the plan of six copies, with six times
// the tow and one swap a layer as for one.
func TestCopiesReadBack(t *testing.T) {
	for _, id := range []string{"twin-nozzle", "ironing-nozzle"} {
		c, s := builtIn(t, id), settings()
		pr := samplePrint(c, 5)
		_, one := written(t, pr, c, s)
		places := Nest(pr.Region, c.Bed, 4, 5)
		all := Copies(pr, places)
		s.Placed = true
		text, sum := written(t, all, c, s)
		rb, err := Read(bytes.NewReader(text), c)
		if err != nil || len(rb.Findings) > 0 {
			t.Fatalf("%s: %v, %v", id, err, rb.Findings)
		}
		n := float64(len(places))
		if cmp := Compare(all, rb, c, s); !cmp.Agrees() {
			t.Errorf("%s: %v", id, cmp.Differences)
		}
		if len(places) < 2 || math.Abs(sum.Tow-n*one.Tow) > 1e-6 || sum.Swaps != one.Swaps || sum.Strands != len(places)*one.Strands {
			t.Errorf("%s: %d copies, tow %v of %v, %d swaps of %d", id, len(places), sum.Tow, one.Tow, sum.Swaps, one.Swaps)
		}
	}
}

func BenchmarkNest(b *testing.B) {
	for _, n := range []int{10, 100, 1000} {
		side := 300 / math.Sqrt(float64(n)) / 2
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				Nest(ell(side, side, side/3), printer.Bed{X: 320, Y: 260}, n, 2)
			}
		})
	}
}

func ExampleNest() {
	places := Nest(shapes.Plate(100, 50), printer.Bed{X: 320, Y: 260}, 3, 5)
	for _, p := range places {
		fmt.Printf("turned %d times, corner at (%.0f, %.0f)\n", p.Turns, p.At.X, p.At.Y)
	}
	// Output:
	// turned 0 times, corner at (4, 105)
	// turned 0 times, corner at (110, 105)
	// turned 0 times, corner at (216, 105)
}
