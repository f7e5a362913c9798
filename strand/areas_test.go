package strand

import (
	"math"
	"testing"

	"sinew/geom"
)

// Beads of which the areas are known: two rows that overlap, a ring, a gap.
func TestAreasOfKnownBeads(t *testing.T) {
	r := rectangle(0, 0, 100, 40)
	row := func(y float64) Strand {
		s := Strand{}
		for x := 0.0; x <= 100; x += 0.5 {
			s.Points = append(s.Points, geom.Point{X: x, Y: y})
		}
		return s
	}
	pr := &Print{Region: r, Composite: r, SpacingMin: 1, SpacingMax: 2}
	// At 0.6 mm beads of at least 1 mm overlap by 0.4 mm, less the seam on
	// either side.
	pr.Layers = []Layer{{Kind: Composite, Strands: []Strand{row(20), row(20.6)}}}
	got := pr.Areas(&pr.Layers[0])
	if want := 100 * (0.4 - 2*seam); math.Abs(got.Overlap-want) > 1e-6*want || got.Multiple != got.Overlap {
		t.Errorf("rows overlap on %.6g and %.6g mm², want %.6g", got.Overlap, got.Multiple, want)
	}
	// The two reach 1 mm outwards from their centre lines, and the seam.
	if want := 100 * (40 - 0.6 - 2*(1+seam)); math.Abs(got.Gap-want) > 1e-6*want || math.Abs(got.Inside-4000) > 1e-6 {
		t.Errorf("%.6g mm² of %.6g are empty, want %.6g", got.Gap, got.Inside, want)
	}
	// Three on one another count twice.
	pr.Layers[0].Strands = []Strand{row(20), row(20.01), row(20.02)}
	if got := pr.Areas(&pr.Layers[0]); got.Multiple < 1.9*got.Overlap {
		t.Errorf("three rows: %.6g mm² under more than one, counted %.6g", got.Overlap, got.Multiple)
	}
	// A ring of plain plastic 1 mm wide.
	ring := Bead{Closed: true, Width: 1, Points: geom.Circle(geom.Point{X: 50, Y: 20}, 10).Flatten(1e-4)}
	pr.Layers[0].Strands, pr.Layers[0].Beads = nil, []Bead{ring}
	got = pr.Areas(&pr.Layers[0])
	if want := math.Pi * (math.Pow(10.5+seam, 2) - math.Pow(9.5-seam, 2)); math.Abs(4000-got.Gap-want) > 1e-3*want || got.Overlap != 0 {
		t.Errorf("the ring covers %.6g mm², want %.6g; on itself %.3g", 4000-got.Gap, want, got.Overlap)
	}
}

// Exact areas and squares tell the same of real layers, within a thousandth of the
// layer's area.
func TestAreasAgainstSquares(t *testing.T) {
	r, m := holed(100, 40, 6, 96, 24)
	pr := lay(t, layupOf(r, m, 2, around(6), 1), Settings{Walls: 0, Overlap: 5})
	for i := range pr.Layers {
		l := &pr.Layers[i]
		exact := pr.Areas(l)
		for _, cell := range []float64{0.1, 0.05} {
			ra := pr.Raster(l, cell)
			ra.AddStrands(l.Strands, pr.Halves(l), pr.SpacingMin, true)
			ra.AddBeads(l.Beads)
			bound := 0.001 * exact.Inside
			gap, overlap := ra.Area(ra.Gap), ra.Area(ra.Overlapped)
			t.Logf("layer %d, squares of %g mm: gaps %.3f and exactly %.3f mm², overlaps %.3f and %.3f, bound %.2f", i, cell, gap, exact.Gap, overlap, exact.Overlap, bound)
			if math.Abs(gap-exact.Gap) > bound || math.Abs(overlap-exact.Overlap) > bound {
				t.Errorf("layer %d, squares of %g mm: gaps %.3f and exactly %.3f mm², overlaps %.3f and %.3f", i, cell, gap, exact.Gap, overlap, exact.Overlap)
			}
		}
	}
}

// Two layers of rows, the one with rows that overlap, the other with a row
// missing: the sum of both, where they lie.
func TestBuildUpAddsLayers(t *testing.T) {
	r := rectangle(0, 0, 60, 10)
	var full, gappy []Strand
	for k := range 10 {
		s := Strand{}
		for x := 0.0; x <= 60; x += 0.5 {
			s.Points = append(s.Points, geom.Point{X: x, Y: float64(k) + 0.5})
		}
		full = append(full, s)
		if k != 7 {
			gappy = append(gappy, s)
		}
	}
	double := append([]Strand(nil), full...)
	double = append(double, full[2]) // the same bead once more
	pr := &Print{Region: r, Composite: r, SpacingMin: 1, SpacingMax: 1, Layers: []Layer{
		{Kind: Composite, Height: 0.3, Strands: double}, {Kind: Composite, Height: 0.2, Strands: gappy},
	}}
	b := pr.BuildUp(0.1)
	for _, c := range []struct{ y, want float64 }{{2.5, 0.3}, {7.5, -0.2}, {5.5, 0}} {
		if v, ok := b.Mean(geom.Point{X: 30, Y: c.y}, 0.3); !ok || math.Abs(v-c.want) > 1e-9 {
			t.Errorf("at y = %g: %g mm, want %g", c.y, v, c.want)
		}
	}
	high, low, up, down := b.Most(0.3)
	if math.Abs(high-0.3) > 1e-9 || math.Abs(low+0.2) > 1e-9 || math.Abs(up.Y-2.5) > 0.3 || math.Abs(down.Y-7.5) > 0.3 {
		t.Errorf("from %g mm at %v to %g mm at %v", low, down, high, up)
	}
	if _, ok := b.Mean(geom.Point{X: -20}, 0.3); ok {
		t.Error("there is build-up off the part")
	}
}
