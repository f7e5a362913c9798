package shapes

import (
	"math"

	"sinew/geom"
)

// Named is a region with the property it is kept for.
type Named struct {
	Name   string
	Region geom.Region
}

// Parts returns the well-shaped parts.
func Parts() []Named {
	return []Named{
		{"plate", Plate(100, 40)},
		{"strip with hole", Strip(150, 36, 12)},
		{"link", Link(120, 40, 14, 16)},
		{"bracket", LBracket()},
		{"ring", Ring(40, 25)},
		{"slotted plate", SlottedPlate()},
		{"three pins", ThreePinPlate()},
		{"frame", CFrame()},
		{"eccentric lug", EccentricLug()},
		{"wheel", Wheel(5)},
		{"tapered lever", TaperedLever()},
		{"five holes", FiveHolePlate()},
	}
}

// Nasty returns valid regions that trouble meshers and offsets: needles, thin
// ligaments, short edges, reflex corners, near tangents.
func Nasty() []Named {
	thin := Strip(100, 40, 0)
	thin.Holes = []geom.Loop{hole(0, 10, 19.9)}
	chain := Strip(100, 40, 0)
	for i := range 6 {
		chain.Holes = append(chain.Holes, hole(-30+10.05*float64(i), 0, 10))
	}
	short := geom.Region{Outer: geom.Polyline(pt(0, 0), pt(50, 0), pt(50, 0.01), pt(50.01, 20), pt(0, 20))}
	return []Named{
		{"thin ligament", thin},
		{"chain of holes", chain},
		{"short edge", short},
		{"needle", geom.Region{Outer: geom.Polyline(pt(0, 0), pt(100, 0), pt(100, 3))}},
		{"star", Star(7, 40, 12)},
		{"comb", Comb(6, 4, 0.5, 30)},
		{"almost a circle", almostCircle(97, 30)},
		{"crescent", Crescent(30, 29, 6)},
		{"sharp notch", geom.Region{Outer: geom.Polyline(pt(0, 0), pt(60, 0), pt(60, 30), pt(31, 30), pt(30, 5), pt(29, 30), pt(0, 30))}},
		{"flat arcs", flatArcs()},
		{"far away", FiveHolePlate().Map(func(p geom.Point) geom.Point { return p.Add(pt(1e5, -2e5)) })},
	}
}

// Star returns a star with n points.
func Star(n int, outer, inner float64) geom.Region {
	var p []geom.Point
	for i := range 2 * n {
		r := outer
		if i%2 == 1 {
			r = inner
		}
		a := math.Pi * float64(i) / float64(n)
		p = append(p, pt(r*math.Cos(a), r*math.Sin(a)))
	}
	return geom.Region{Outer: geom.Polyline(p...)}
}

// Comb returns a bar with teeth: n teeth of the given width and gap.
func Comb(n int, width, gap, length float64) geom.Region {
	total := float64(n)*width + float64(n-1)*gap
	p := []geom.Point{pt(0, 0), pt(total, 0)}
	for i := n - 1; i >= 0; i-- {
		x := float64(i) * (width + gap)
		p = append(p, pt(x+width, 10+length), pt(x, 10+length))
		if i > 0 {
			p = append(p, pt(x, 10), pt(x-gap, 10))
		}
	}
	return geom.Region{Outer: geom.Polyline(p...)}
}

func almostCircle(n int, r float64) geom.Region {
	var p []geom.Point
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		p = append(p, pt(r*math.Cos(a), r*math.Sin(a)))
	}
	return geom.Region{Outer: geom.Polyline(p...)}
}

// Crescent returns the part of a circle of radius r outside one of radius s
// whose centre is shifted by d: two arcs with sharp tips.
func Crescent(r, s, d float64) geom.Region {
	x := (d*d + r*r - s*s) / (2 * d)
	y := math.Sqrt(r*r - x*x)
	a, b := pt(x, y), pt(x, -y)
	outer := 2*math.Pi - 2*math.Atan2(y, x)
	inner := 2*math.Pi - 2*math.Atan2(y, x-d)
	return geom.Region{Outer: geom.Loop{
		{A: a, B: b, Bulge: math.Tan(outer / 4)},
		{A: b, B: a, Bulge: -math.Tan(inner / 4)},
	}}
}

// flatArcs returns a rectangle whose sides are arcs of great radius.
func flatArcs() geom.Region {
	l := geom.Polyline(pt(0, 0), pt(80, 0), pt(80, 30), pt(0, 30))
	for i, b := range []float64{1e-3, -1e-4, -1e-2, 1e-6} {
		l[i].Bulge = b
	}
	return geom.Region{Outer: l}
}

// Random returns a valid region drawn from the seed: a star-shaped outline of
// segments and arcs, some corners short or needle-like, with holes that stay
// clear of each other by a random, sometimes tiny, ligament.
func Random(seed uint64) geom.Region {
	for try := uint64(0); ; try++ {
		if r := draw(&dice{seed<<20 + try}); r.Validate() == nil {
			return r
		}
	}
}

func draw(g *dice) geom.Region {
	n := 3 + g.IntN(10)
	radius := 10 * math.Pow(10, g.Float64())
	angles := make([]float64, n)
	sum := 0.0
	for i := range angles {
		sum += 0.05 + g.Float64()
		angles[i] = sum
	}
	pts := make([]geom.Point, n)
	for i, a := range angles {
		a *= 2 * math.Pi / (sum + 0.05)
		r := radius * (0.35 + 0.65*g.Float64())
		pts[i] = pt(r*math.Cos(a), r*math.Sin(a))
	}
	loop := geom.Polyline(pts...)
	for i := range loop {
		if g.IntN(3) == 0 {
			loop[i].Bulge = 0.8 * (g.Float64() - 0.4)
		}
	}
	region := geom.Region{Outer: loop}
	for range g.IntN(5) {
		c := pt(radius*(g.Float64()-0.5), radius*(g.Float64()-0.5))
		near := geom.NewBoundary(region).Nearest(c)
		if !region.Contains(c) {
			continue
		}
		ligament := near.Distance * math.Pow(10, -3*g.Float64())
		if r := near.Distance - ligament; r > radius/100 {
			region.Holes = append(region.Holes, geom.Circle(c, r).Reverse())
		}
	}
	return region
}

// dice draws numbers from a seed (splitmix64: S. Vigna, public domain, 2015).
type dice struct{ state uint64 }

func (d *dice) next() uint64 {
	d.state += 0x9e3779b97f4a7c15
	z := d.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// Float64 draws from [0, 1).
func (d *dice) Float64() float64 { return float64(d.next()>>11) / (1 << 53) }

// IntN draws from 0 to n-1.
func (d *dice) IntN(n int) int { return int(d.next() % uint64(n)) }
