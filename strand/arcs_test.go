package strand

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"sinew/geom"
)

// Arcs fitted to a random smooth line join without a corner, pass its points,
// bend no tighter than it does and are far fewer than its points.
func TestArcsAreSmoothAndClose(t *testing.T) {
	rng := rand.New(rand.NewSource(7))
	for round := range 30 {
		a, b, w := 2+6*rng.Float64(), 20+20*rng.Float64(), rng.Float64()
		var p []geom.Point
		for x := 0.0; x <= 120; x += 0.5 {
			p = append(p, geom.Point{X: x, Y: a*math.Sin(x/b) + w*math.Sin(x/11)})
		}
		s := Strand{Points: p}
		const tol = 0.01
		edges := s.Arcs(tol)
		if len(edges) > len(p)/4 {
			t.Errorf("round %d: %d arcs for %d points", round, len(edges), len(p))
		}
		tight := math.Inf(1)
		for i, e := range edges {
			if e.IsArc() {
				tight = math.Min(tight, e.Radius())
			}
			if i == 0 {
				continue
			}
			if f := edges[i-1]; f.B != e.A {
				t.Fatalf("round %d: piece %d does not begin where the one before it ends", round, i)
			} else if turn := f.Tangent(1).Cross(e.Tangent(0)); math.Abs(turn) > 1e-3 {
				t.Fatalf("round %d: a corner of %g rad at piece %d", round, turn, i)
			}
		}
		for _, q := range p {
			near := math.Inf(1)
			for _, e := range edges {
				_, d := e.Nearest(q)
				near = math.Min(near, d)
			}
			if near > tol {
				t.Fatalf("round %d: %v lies %g mm off the arcs", round, q, near)
			}
		}
		if r := tightest(s.Radii()); tight < 50 && tight < 0.8*r {
			t.Errorf("round %d: an arc of %g mm on a line of %g mm", round, tight, r)
		}
	}
}

// Straight lines and circles come back as themselves.
func TestArcsOfLinesAndCircles(t *testing.T) {
	line := Strand{Points: geom.Path{Points: []geom.Point{{}, {X: 50, Y: 20}}}.Resample(0.5).Points}
	if e := line.Arcs(0.001); len(e) > 2 || e[0].IsArc() {
		t.Errorf("a straight line became %v", e)
	}
	ring := Strand{Closed: true, Points: geom.Path{Points: geom.Circle(geom.Point{}, 8).Flatten(1e-6), Closed: true}.Resample(0.5).Points}
	ring.Points = append(ring.Points, ring.Points[0])
	for _, e := range ring.Arcs(0.001) {
		if math.Abs(e.Radius()-8) > 0.02 {
			t.Errorf("a circle of 8 mm has an arc of %g mm", e.Radius())
		}
	}
}

func BenchmarkArcs(b *testing.B) {
	for _, n := range []int{100, 1000, 10_000} {
		p := make([]geom.Point, n)
		for i := range p {
			x := float64(i) / 2
			p[i] = geom.Point{X: x, Y: 5 * math.Sin(x/20)}
		}
		s := Strand{Points: p}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				s.Arcs(FitTolerance)
			}
		})
	}
}
