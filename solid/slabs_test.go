package solid_test

import (
	"math"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/internal/shapes"
	"sinew/solid"
)

// slabsOf cuts a solid into n layers and joins them.
func slabsOf(t *testing.T, m *solid.Mesh, n int) []solid.Slab {
	t.Helper()
	s := mended(t, m)
	b := s.Bounds()
	z, h := middles(b, n)
	sections, err := solid.Cut(s, z, solid.CutSettings{})
	if err != nil {
		t.Fatal(err)
	}
	tops := make([]float64, n)
	for i := range tops {
		tops[i] = b.Min.Z + h*float64(i+1)
	}
	slabs, err := solid.Slabs(sections, b.Min.Z, tops)
	if err != nil {
		t.Fatal(err)
	}
	return slabs
}

// TestArcsComeBack: a prism over an outline with arcs gives the outline back,
// edge by edge.
func TestArcsComeBack(t *testing.T) {
	for _, c := range shapes.Parts() {
		for _, tol := range []float64{0.05, 0.01, 0.001} {
			slabs := slabsOf(t, shapes.Prism(c.Region, 0, 4, tol), 8)
			if len(slabs) != 1 || len(slabs[0].Regions) != 1 {
				t.Errorf("%s: %d slabs", c.Name, len(slabs))
				continue
			}
			got := slabs[0].Regions[0]
			if err := got.Validate(); err != nil {
				t.Errorf("%s, %g: %v", c.Name, tol, err)
			}
			if a, b := got.Area(), c.Region.Area(); math.Abs(a/b-1) > 1e-9 {
				t.Errorf("%s, chords within %g: area %.12g, drawn %.12g", c.Name, tol, a, b)
			}
			if a, b := got.Length(), c.Region.Length(); math.Abs(a/b-1) > 1e-9 {
				t.Errorf("%s, chords within %g: length %.12g, drawn %.12g", c.Name, tol, a, b)
			}
			if sag := slabs[0].Recovered.Sag; sag > tol*1.0001 {
				t.Errorf("%s: chords lie %g off the arcs, cut within %g", c.Name, sag, tol)
			}
		}
	}
}

// TestPolygonsStayPolygons: what is meant straight is not rounded.
func TestPolygonsStayPolygons(t *testing.T) {
	regular := func(n int) geom.Region {
		var p []geom.Point
		for i := range n {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			p = append(p, geom.Point{X: 10 * c, Y: 10 * s})
		}
		return geom.Region{Outer: geom.Polyline(p...)}
	}
	chamfered := geom.Region{Outer: geom.Polyline(geom.Point{X: 2}, geom.Point{X: 58}, geom.Point{X: 60, Y: 2}, geom.Point{X: 60, Y: 28}, geom.Point{X: 58, Y: 30}, geom.Point{X: 2, Y: 30}, geom.Point{Y: 28}, geom.Point{Y: 2})}
	for name, c := range map[string]struct {
		r     geom.Region
		edges int
		arcs  int
	}{
		"square":      {regular(4), 4, 0},
		"hexagon":     {regular(6), 6, 0},
		"octagon":     {regular(8), 8, 0},
		"twelve":      {regular(12), 2, 1},
		"sixty":       {regular(60), 2, 1},
		"chamfers":    {chamfered, 8, 0},
		"star":        {shapes.Star(7, 40, 12), 14, 0},
		"comb":        {shapes.Comb(6, 4, 0.5, 30), 24, 0},
		"flat bevels": {geom.Region{Outer: geom.Polyline(geom.Point{}, geom.Point{X: 50}, geom.Point{X: 51, Y: 20}, geom.Point{X: 50, Y: 40}, geom.Point{Y: 40})}, 5, 0},
	} {
		slab := slabsOf(t, shapes.Prism(c.r, 0, 2, 0.01), 4)[0]
		if got := len(slab.Regions[0].Outer); got != c.edges || slab.Recovered.Arcs != c.arcs {
			t.Errorf("%s: %d edges, %d arcs; want %d, %d", name, got, slab.Recovered.Arcs, c.edges, c.arcs)
		}
	}
}

func TestSlabs(t *testing.T) {
	plate, boss := shapes.Strip(100, 40, 10), shapes.Ring(15, 5)
	m := shapes.Steps([]shapes.Step{{Region: plate, Bottom: 0, Top: 3}, {Region: boss, Bottom: 3, Top: 5}}, 0.005)
	slabs := slabsOf(t, m, 20)
	if len(slabs) != 2 || slabs[0].Last != 11 || slabs[1].First != 12 {
		t.Fatalf("slabs %+v", slabs)
	}
	if want := "0 to 3 mm: 1 region, 3921.46 mm²"; slabs[0].String() != want {
		t.Errorf("%s, want %s", slabs[0].String(), want)
	}
	for i, want := range []float64{plate.Area(), boss.Area()} {
		if got := slabs[i].Area(); math.Abs(got/want-1) > 1e-9 {
			t.Errorf("slab %d: area %g, want %g", i, got, want)
		}
	}
	for i, r := range solid.Plan(slabs) {
		if i > 0 || len(r.Outer) != 4 || len(r.Holes) != 1 || math.Abs(r.Area()/plate.Area()-1) > 1e-9 {
			t.Errorf("plan %+v", r)
		}
	}
	if s := mended(t, m).Inclined(); s != 0 {
		t.Errorf("%g of a stepped plate is inclined", s)
	}
	ball := mended(t, shapes.Sphere(solid.Point{}, 10, 64))
	if s := ball.Inclined(); s < 0.9 {
		t.Errorf("only %g of a ball is inclined", s)
	}
	if n := len(slabsOf(t, shapes.Sphere(solid.Point{}, 10, 64), 50)); n < 40 {
		t.Errorf("a ball has %d slabs", n)
	}
}

func TestPiecesAboveOneAnother(t *testing.T) {
	s := mended(t, together(box(0, 0, 0, 10, 10, 2), box(0, 0, 5, 10, 10, 2)))
	z, h := middles(s.Bounds(), 7)
	sections, err := solid.Cut(s, z, solid.CutSettings{})
	if err != nil {
		t.Fatal(err)
	}
	tops := make([]float64, len(z))
	for i := range tops {
		tops[i] = z[i] + h/2
	}
	if _, err := solid.Slabs(sections, 0, tops); err == nil || !strings.Contains(err.Error(), "falls into pieces") {
		t.Errorf("%v", err)
	}
}

// TestPlanOfCrossedBars: no slab contains the other, so that the plan is their
// union.
func TestPlanOfCrossedBars(t *testing.T) {
	along := geom.Region{Outer: shapes.Stadium(60, 10).Outer, Holes: []geom.Loop{geom.Circle(geom.Point{X: 30}, 4).Reverse()}}
	across := along.Map(func(p geom.Point) geom.Point { return geom.Point{X: 30 - p.Y, Y: p.X - 30} })
	m := shapes.Steps([]shapes.Step{{Region: along, Bottom: 0, Top: 2}, {Region: across, Bottom: 2, Top: 4}}, 0.005)
	plan := solid.Plan(slabsOf(t, m, 8))
	want := 2*along.Area() - 400 + math.Pi*16 // they share a square less the hole
	if len(plan) != 1 || len(plan[0].Holes) != 1 || math.Abs(plan[0].Area()/want-1) > 1e-5 {
		t.Fatalf("plan %+v, want %g mm²", plan, want)
	}
	if got := len(plan[0].Outer); got != 12 { // four ends of one arc and two sides each
		t.Errorf("%d edges", got)
	}
}
