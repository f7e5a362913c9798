package strand

import (
	"math"
	"math/rand"
	"testing"

	"sinew/geom"
)

func rowAt(x0, x1, y float64) Strand {
	var s Strand
	n := int(math.Round((x1 - x0) / 0.5))
	for i := 0; i <= n; i++ {
		s.Points = append(s.Points, geom.Point{X: x0 + (x1-x0)*float64(i)/float64(n), Y: y})
	}
	return s
}

func TestHalfBeadsOfRows(t *testing.T) {
	r, _ := plate(20, 10, 5)
	strands := []Strand{rowAt(1, 19, 0.4), rowAt(1, 19, 1.4), rowAt(1, 19, 2.2), rowAt(1, 19, 7)}
	want := [][2]float64{{0.5, 0.4}, {0.4, 0.5}, {1, 0.4}, {1, 1}} // left, right
	for i, h := range HalfBeads(strands, r, 2) {
		for k := range h.Left {
			if math.Abs(h.Left[k]-want[i][0]) > 1e-12 || math.Abs(h.Right[k]-want[i][1]) > 1e-12 {
				t.Fatalf("strand %d point %d: %g %g, want %v", i, k, h.Left[k], h.Right[k], want[i])
			}
		}
	}
}

// Around circles half-beads share the gap, and turning a strand round swaps its
// sides.
func TestHalfBeadsOfRings(t *testing.T) {
	r := geom.Region{Outer: geom.Circle(geom.Point{}, 8), Holes: []geom.Loop{geom.Circle(geom.Point{}, 4).Reverse()}}
	ring := func(radius float64) Strand { return Strand{Points: circle(radius, 0.5), Closed: true} }
	strands := []Strand{ring(4.5), ring(5.5), ring(7.2)}
	want := [][2]float64{{0.5, 0.5}, {0.5, 0.85}, {0.85, 0.8}} // inwards (left of counter-clockwise), outwards
	for i, h := range HalfBeads(strands, r, 2) {
		for k := range h.Left {
			if math.Abs(h.Left[k]-want[i][0]) > 0.02 || math.Abs(h.Right[k]-want[i][1]) > 0.02 {
				t.Fatalf("ring %d point %d: %g %g, want %v", i, k, h.Left[k], h.Right[k], want[i])
			}
		}
	}
	back := strands[1].reversed()
	h := HalfBeads([]Strand{strands[0], back, strands[2]}, r, 2)[1]
	if math.Abs(h.Left[3]-0.85) > 0.02 || math.Abs(h.Right[3]-0.5) > 0.02 {
		t.Errorf("turned ring: %g %g, want 0.85 0.5", h.Left[3], h.Right[3])
	}
}

// Coverage against the plain search over all pieces.
func TestCoverageAgainstPlainSearch(t *testing.T) {
	r, m := holed(60, 40, 6, 64, 16)
	pr := lay(t, layupOf(r, m, 1, around(6), 1), Settings{Bare: true})
	strands := pr.Layers[0].Strands
	h := HalfBeads(strands, r, 2)
	c := NewCoverage(strands, h)
	list := strandSegments(strands)
	rng := rand.New(rand.NewSource(2))
	covered := 0
	for range 3000 {
		p := geom.Point{X: 64*rng.Float64() - 32, Y: 44*rng.Float64() - 22}
		got, ok := c.At(p)
		best, dist := -1, math.Inf(1)
		for i := range list {
			if _, d := list[i].foot(p); d < dist {
				best, dist = i, d
			}
		}
		if !ok {
			continue
		}
		covered++
		if got.Strand != int(list[best].owner) || math.Abs(math.Abs(got.Offset)-dist) > 1e-12 {
			t.Fatalf("%v: strand %d at %g, plain search %d at %g", p, got.Strand, got.Offset, list[best].owner, dist)
		}
		if !r.Contains(p) {
			t.Fatalf("%v: covered, but outside", p)
		}
	}
	if covered < 2000 {
		t.Errorf("%d of 3000 points covered", covered)
	}
}

// Beads and gaps fill the area: what half-beads cover, by length times width,
// is the area less the gaps, within 1 %.
func TestBeadsConserveArea(t *testing.T) {
	r, m := holed(150, 36, 6, 96, 24)
	pr := lay(t, layupOf(r, m, 1, around(6), 1), Settings{Bare: true})
	l := &pr.Layers[0]
	sum := 0.0
	for _, s := range l.Strands {
		for k := 1; k < len(s.Points); k++ {
			sum += s.Points[k].Dist(s.Points[k-1]) * (s.Width[k] + s.Width[k-1]) / 2
		}
	}
	ra := NewRaster(r, 0.1)
	ra.AddStrands(l.Strands, HalfBeads(l.Strands, r, 2), 0, false)
	if want := r.Area() - ra.Area(ra.Gap); math.Abs(sum-want) > 0.01*want {
		t.Errorf("beads %g mm², area less gaps %g mm²", sum, want)
	}
}
