package strand

import (
	"math"
	"math/rand"
	"testing"

	"sinew/geom"
)

func circle(radius, step float64) []geom.Point {
	n := int(math.Round(2 * math.Pi * radius / step))
	p := make([]geom.Point, n+1)
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		p[i] = geom.Point{X: radius * c, Y: radius * s}
	}
	p[n] = p[0]
	return p
}

// A closed line of equal steps on a circle is shrunk by exactly the factor of
// its wave.
func TestSmoothShrinksACircleByItsWave(t *testing.T) {
	for _, radius := range []float64{3, 6, 20} {
		p := circle(radius, 0.5)
		w := make([]float64, len(p))
		for i := range w {
			w[i] = smoothWeight
		}
		q := smooth(p, true, w)
		a := 2 - 2*math.Cos(2*math.Pi/float64(len(p)-1))
		want := radius / (1 + smoothWeight*a*a)
		for i := range q {
			if got := q[i].Norm(); math.Abs(got-want) > 1e-6 {
				t.Fatalf("radius %g: point %d at %.9g, want %.9g", radius, i, got, want)
			}
		}
	}
}

// The five-banded solution fulfils the normal equations, found by differences.
func TestSmoothIsTheMinimum(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	p := make([]geom.Point, 30)
	w := make([]float64, len(p))
	for i := range p {
		p[i] = geom.Point{X: float64(i) + 0.3*rng.Float64(), Y: rng.Float64()}
		w[i] = 3 * rng.Float64()
	}
	cost := func(q []geom.Point) float64 {
		sum := 0.0
		for i := range q {
			d := q[i].Sub(p[i])
			sum += d.Dot(d)
			if i > 0 && i < len(q)-1 {
				b := q[i-1].Add(q[i+1]).Sub(q[i].Scale(2))
				sum += w[i] * b.Dot(b)
			}
		}
		return sum
	}
	q := smooth(p, false, w)
	if q[0] != p[0] || q[len(q)-1] != p[len(p)-1] {
		t.Fatal("the ends moved")
	}
	least := cost(q)
	for i := 1; i < len(q)-1; i++ {
		for _, d := range []geom.Point{{X: 1e-3}, {X: -1e-3}, {Y: 1e-3}, {Y: -1e-3}} {
			moved := append([]geom.Point(nil), q...)
			moved[i] = moved[i].Add(d)
			if cost(moved) <= least {
				t.Fatalf("moving point %d by %v lowers the cost", i, d)
			}
		}
	}
}

func TestBendsOfACircle(t *testing.T) {
	for _, radius := range []float64{2, 5, 40} {
		p := circle(radius, 0.5)
		for i, k := range bends(p, true, 0.5) {
			if math.Abs(k*radius-1) > 1e-9 {
				t.Fatalf("radius %g, point %d: curvature %g", radius, i, k)
			}
		}
	}
}

// A right angle is rounded as far as the drift allows, a gentle one to the
// wanted radius.
func TestFairRoundsCorners(t *testing.T) {
	corner := func(turn float64) []geom.Point {
		var p []geom.Point
		for s := -10.0; s < 0; s += 0.5 {
			p = append(p, geom.Point{X: s})
		}
		for s := 0.0; s <= 10; s += 0.5 {
			p = append(p, geom.Point{X: s * math.Cos(turn), Y: s * math.Sin(turn)})
		}
		return p
	}
	const radius, drift = 5.0, 0.2
	for _, c := range []struct {
		turn  float64
		least float64
	}{{0.2, radius}, {0.3, 4}, {math.Pi / 2, 0.5}} {
		p := corner(c.turn)
		q := fair(p, false, 0.5, radius, all(len(p), drift))
		if farther(p, q, all(len(p), drift)) {
			t.Errorf("turn %g: a point moved by more than %g", c.turn, drift)
		}
		worst := math.Inf(1)
		for _, k := range bends(q, false, 0.5) {
			worst = math.Min(worst, 1/math.Abs(k))
		}
		if worst < c.least {
			t.Errorf("turn %g: radius %g, want at least %g", c.turn, worst, c.least)
		}
	}
}
