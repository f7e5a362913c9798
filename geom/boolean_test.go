package geom_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"sinew/geom"
	"sinew/internal/shapes"
)

func flower(n int, r, wave float64, lobes int) geom.Polygons {
	p := make(geom.Polygon, n)
	for i := range p {
		a := 2 * math.Pi * float64(i) / float64(n)
		s, c := math.Sincos(a)
		p[i] = geom.Point{X: c, Y: s}.Scale(r + wave*math.Cos(float64(lobes)*a))
	}
	return geom.Polygons{p}
}

// Inclusion and exclusion: |A∩B| + |A∪B| = |A| + |B|, |A\B| = |A| - |A∩B|, and
// membership of random points by the definition.
func TestBooleansAgreeWithSets(t *testing.T) {
	g := rand.New(rand.NewPCG(1, 2))
	for trial := range 60 {
		a := shapes.Random(uint64(trial)).Flatten(0.05).Union(nil)
		b := shapes.Random(uint64(trial + 1000)).Flatten(0.05).Union(nil)
		and, or, sub := a.Intersect(b), a.Union(b), a.Subtract(b)
		scale := a.Area() + b.Area()
		if d := and.Area() + or.Area() - scale; math.Abs(d) > 1e-6*scale {
			t.Errorf("trial %d: inclusion-exclusion off by %g of %g", trial, d, scale)
		}
		if d := sub.Area() + and.Area() - a.Area(); math.Abs(d) > 1e-6*scale {
			t.Errorf("trial %d: difference off by %g", trial, d)
		}
		box := or.Bounds()
		for range 300 {
			p := box.Min.Add(geom.Point{X: box.Size().X * g.Float64(), Y: box.Size().Y * g.Float64()})
			ina, inb := a.Contains(p), b.Contains(p)
			if and.Contains(p) != (ina && inb) || or.Contains(p) != (ina || inb) || sub.Contains(p) != (ina && !inb) {
				t.Fatalf("trial %d: %v in a %v, b %v; and %v or %v sub %v", trial, p, ina, inb, and.Contains(p), or.Contains(p), sub.Contains(p))
			}
		}
	}
}

func TestBooleanTable(t *testing.T) {
	sq := func(x, y, s float64) geom.Polygons { return shapes.Rectangle(x, y, s, s).Flatten(1) }
	for _, c := range []struct {
		name  string
		got   geom.Polygons
		parts int
		area  float64
	}{
		{"same twice", sq(0, 0, 10).Union(sq(0, 0, 10)), 1, 100},
		{"side by side", sq(0, 0, 10).Union(sq(10, 0, 10)), 1, 200},
		{"corner to corner", sq(0, 0, 10).Union(sq(10, 10, 10)), 2, 200},
		{"apart", sq(0, 0, 10).Intersect(sq(20, 0, 10)), 0, 0},
		{"hole", sq(0, 0, 10).Subtract(sq(3, 3, 4)), 2, 84},
		{"all gone", sq(3, 3, 4).Subtract(sq(0, 0, 10)), 0, 0},
		{"nothing", geom.Polygons{}.Union(nil), 0, 0},
		{"with nothing", sq(0, 0, 10).Union(nil), 1, 100},
	} {
		if len(c.got) != c.parts || math.Abs(c.got.Area()-c.area) > 1e-4 {
			t.Errorf("%s: %d polygons, area %.9g; want %d, %g", c.name, len(c.got), c.got.Area(), c.parts, c.area)
		}
	}
}

func TestPolygonOffset(t *testing.T) {
	square := shapes.Plate(100, 100).Flatten(1)
	for _, c := range []struct {
		name string
		got  geom.Polygons
		want float64
	}{
		{"square out", square.Offset(5, 1e-3), 12000 + 25*math.Pi},
		{"square in", square.Offset(-5, 1e-3), 8100},
		{"square gone", square.Offset(-51, 1e-3), 0},
		{"hole grows", shapes.Strip(150, 36, 12).Flatten(1e-4).Offset(-2, 1e-3), 146*32 - 64*math.Pi},
		{"hole shut", shapes.Strip(150, 36, 12).Flatten(1e-4).Offset(6.5, 1e-3), 150*36 + 2*186*6.5 + math.Pi*6.5*6.5},
	} {
		if math.Abs(c.got.Area()-c.want) > 1e-3*math.Sqrt(c.want)+1e-3 && math.Abs(c.got.Area()-c.want) > 1e-4*c.want {
			t.Errorf("%s: area %.8g, want %.8g", c.name, c.got.Area(), c.want)
		}
	}
}

func BenchmarkOffset(b *testing.B) {
	for _, n := range []int{1000, 10000, 100000} {
		b.Run(fmt.Sprintf("%d points", n), func(b *testing.B) {
			f := flower(n, 50, 5, 40)
			for b.Loop() {
				f.Offset(1, 1e-3)
			}
		})
	}
}
