package geom

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// Two ways to the same offset: arcs filtered by distance, and winding numbers.
func TestOffsetTwoWays(t *testing.T) {
	g := rand.New(rand.NewPCG(3, 4))
	for trial := range 40 {
		n := 3 + g.IntN(12)
		p := make(Polygon, n)
		for i := range p {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			p[i] = Point{c, s}.Scale(10 + 20*g.Float64())
		}
		for _, d := range []float64{-6, -2, 1, 5} {
			a := Polygons{p}.Offset(d, 1e-3).Area()
			b := offsetByWinding([]chained{{p.Loop(), nil, p.Area()}}, d, 1e-3).Area()
			// Chords of arcs: 1e-3 over at most 300 mm of rim.
			if math.Abs(a-b) > 0.3 {
				t.Errorf("trial %d, %g: %g by distance, %g by winding", trial, d, a, b)
			}
		}
	}
}

// Signs against rational arithmetic, on points that are nearly or exactly
// collinear or on one circle.
func TestPredicatesAgainstRationals(t *testing.T) {
	g := rand.New(rand.NewPCG(5, 6))
	rat := func(v float64) *big.Rat { return new(big.Rat).SetFloat64(v) }
	sub := func(a, b float64) *big.Rat { return new(big.Rat).Sub(rat(a), rat(b)) }
	mul := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
	minus := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
	plus := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Add(a, b) }
	sign := func(v float64) int {
		switch {
		case v > 0:
			return 1
		case v < 0:
			return -1
		}
		return 0
	}
	ulp := func(v float64) float64 { return v + float64(g.IntN(3)-1)*(math.Nextafter(v, 1e9)-v) }
	zeros := 0
	for trial := range 8000 {
		// Points of the circle x² + y² = 25² with whole coordinates, shifted.
		whole := []Point{{25, 0}, {7, 24}, {-15, 20}, {-24, -7}, {0, -25}, {20, -15}, {24, 7}, {-7, 24}}
		k := g.Perm(len(whole))
		var p [4]Point
		for i := range p {
			p[i] = whole[k[i]].Add(Point{float64(trial % 7), 0.5})
			if trial%3 > 0 {
				p[i] = Point{ulp(p[i].X * 1.1), ulp(p[i].Y * 1.1)}
			}
		}
		// Sizes and places from nanometres to kilometres and beyond; every seventh
		// case draws each coordinate at a size of its own.
		scale := math.Pow(10, float64(trial%25-12))
		for i := range p {
			p[i] = p[i].Scale(scale)
			if trial%5 == 4 {
				p[i] = p[i].Add(Point{1e5, -3e4})
			}
			if trial%7 == 6 {
				span := []int{24, 300}[trial/7%2]
				p[i] = Point{g.NormFloat64() * math.Pow(10, float64(g.IntN(span)-span/2)), g.NormFloat64() * math.Pow(10, float64(g.IntN(span)-span/2))}
			}
		}
		a, b, c, d := p[0], p[1], p[2], p[3]
		if Orient(a, b, c) < 0 {
			a, b = b, a
		}
		row := func(q Point) (x, y, l *big.Rat) {
			x, y = sub(q.X, d.X), sub(q.Y, d.Y)
			return x, y, plus(mul(x, x), mul(y, y))
		}
		ax, ay, al := row(a)
		bx, by, bl := row(b)
		cx, cy, cl := row(c)
		want := plus(plus(mul(al, minus(mul(bx, cy), mul(cx, by))), mul(bl, minus(mul(cx, ay), mul(ax, cy)))), mul(cl, minus(mul(ax, by), mul(bx, ay)))).Sign()
		if want == 0 {
			zeros++
		}
		if got := sign(InCircle(a, b, c, d)); got != want {
			t.Fatalf("InCircle(%v %v %v %v) = %d, want %d", a, b, c, d, got, want)
		}
		m := a.Lerp(b, 0.1*float64(g.IntN(11)))
		m = Point{ulp(m.X), ulp(m.Y)}
		want = minus(mul(sub(b.X, a.X), sub(m.Y, a.Y)), mul(sub(b.Y, a.Y), sub(m.X, a.X))).Sign()
		if got := sign(Orient(a, b, m)); got != want {
			t.Fatalf("Orient(%v %v %v) = %d, want %d", a, b, m, got, want)
		}
	}
	if zeros < 500 {
		t.Errorf("only %d exact ties among the cases", zeros)
	}
}
