package shapes

import (
	"math"

	"sinew/geom"
)

// Filleted returns a valid region drawn from the seed as a drawing of a part may
// be: a polygon whose corners are rounded by tangent arcs, some hardly, with
// slots, slits of no more than a hundredth of the part's width, round holes and
// ligaments down to a thousandth of it.
func Filleted(seed uint64) geom.Region {
	for try := uint64(0); ; try++ {
		g := &dice{0x5eed<<32 + seed<<10 + try}
		r := geom.Region{Outer: rounded(g)}
		if r.Validate() != nil {
			continue
		}
		for range g.IntN(6) {
			with := r
			with.Holes = append(append([]geom.Loop(nil), r.Holes...), cutout(g, r))
			if with.Validate() == nil {
				r = with
			}
		}
		return r
	}
}

// rounded draws a star-shaped polygon and rounds its corners.
func rounded(g *dice) geom.Loop {
	n := 3 + g.IntN(8)
	pts := make([]geom.Point, n)
	for i := range pts {
		a := 2 * math.Pi * (float64(i) + 0.6*g.Float64()) / float64(n)
		r := 50 * (0.4 + 0.6*g.Float64())
		pts[i] = pt(r*math.Cos(a), r*math.Sin(a))
	}
	var loop geom.Loop
	last := geom.Point{}
	for i, p := range pts {
		before, after := pts[(i+n-1)%n], pts[(i+1)%n]
		in, out := p.Sub(before), after.Sub(p)
		turn := math.Atan2(in.Cross(out), in.Dot(out))
		// A fillet begins this far from the corner, between a thousandth and
		// nearly half of the shorter side.
		d := 0.45 * math.Min(in.Norm(), out.Norm()) * math.Pow(10, -2.6*g.Float64())
		from, to := p.Sub(in.Scale(d/in.Norm())), p.Add(out.Scale(d/out.Norm()))
		if i > 0 {
			loop = append(loop, geom.Edge{A: last, B: from})
		}
		loop = append(loop, geom.Edge{A: from, B: to, Bulge: math.Tan(turn / 4)})
		last = to
	}
	return append(loop, geom.Edge{A: last, B: loop[0].A})
}

// cutout draws a hole: round, a slot or a slit.
func cutout(g *dice, r geom.Region) geom.Loop {
	c := pt(60*(g.Float64()-0.5), 60*(g.Float64()-0.5))
	clear := geom.NewBoundary(r).Nearest(c).Distance
	switch g.IntN(3) {
	case 0: // up to a thin ligament
		return geom.Circle(c, math.Max(clear*(1-math.Pow(10, -3*g.Float64())), 0.01)).Reverse()
	case 1:
		return slot(c, math.Pi*g.Float64(), clear, clear*(0.1+0.4*g.Float64()))
	}
	return slot(c, math.Pi*g.Float64(), clear, 0.2+0.3*g.Float64())
}

// slot is a hole with round ends about c: reach to either end, half as wide as
// given.
func slot(c geom.Point, angle, reach, half float64) geom.Loop {
	half = math.Min(half, reach/2)
	d := pt(math.Cos(angle), math.Sin(angle))
	side, along := pt(-d.Y, d.X).Scale(half), d.Scale(reach-half)
	a, b := c.Sub(along), c.Add(along)
	return geom.Loop{
		{A: a.Sub(side), B: b.Sub(side)},
		{A: b.Sub(side), B: b.Add(side), Bulge: 1},
		{A: b.Add(side), B: a.Add(side)},
		{A: a.Add(side), B: a.Sub(side), Bulge: 1},
	}.Reverse()
}
