// Package shapes holds outlines for tests, sorted by what is special about
// them. All regions are valid unless their name says otherwise; lengths are mm.
package shapes

import (
	"math"

	"sinew/geom"
)

func pt(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }

// hole returns a round hole.
func hole(x, y, d float64) geom.Loop { return geom.Circle(pt(x, y), d/2).Reverse() }

// Rectangle returns a rectangle with its lower left corner at (x, y).
func Rectangle(x, y, w, h float64) geom.Region {
	return geom.Region{Outer: geom.Polyline(pt(x, y), pt(x+w, y), pt(x+w, y+h), pt(x, y+h))}
}

// Plate returns a rectangle with its lower left corner at the origin.
func Plate(length, width float64) geom.Region { return Rectangle(0, 0, length, width) }

// Strip returns a strip along x, centred on the origin, with a hole in the
// middle (none for diameter 0). Edges: bottom, right, top, left.
func Strip(length, width, holeDiameter float64) geom.Region {
	r := Rectangle(-length/2, -width/2, length, width)
	if holeDiameter > 0 {
		r.Holes = []geom.Loop{hole(0, 0, holeDiameter)}
	}
	return r
}

// Link returns a two-pin link: round ends of the given width around pin holes
// at (0, 0) and (pitch, 0), and a lightening hole midway (none for diameter 0).
// Loop 1 is the left pin, 2 the right, 3 the lightening hole.
func Link(pitch, width, pinDiameter, lighteningDiameter float64) geom.Region {
	r := geom.Region{Outer: stadium(0, pitch, width/2)}
	r.Holes = []geom.Loop{hole(0, 0, pinDiameter), hole(pitch, 0, pinDiameter)}
	if lighteningDiameter > 0 {
		r.Holes = append(r.Holes, hole(pitch/2, 0, lighteningDiameter))
	}
	return r
}

// stadium returns two half circles of radius r around (x0, 0) and (x1, 0) and
// their tangents: bottom, right end, top, left end.
func stadium(x0, x1, r float64) geom.Loop {
	a, b, c, d := pt(x0, -r), pt(x1, -r), pt(x1, r), pt(x0, r)
	return geom.Loop{{A: a, B: b}, {A: b, B: c, Bulge: 1}, {A: c, B: d}, {A: d, B: a, Bulge: 1}}
}

// Stadium returns the area between two half circles of radius r, centres
// length apart.
func Stadium(length, r float64) geom.Region {
	return geom.Region{Outer: stadium(0, length, r)}
}

// quarter is the bulge of a quarter turn to the left.
var quarter = math.Tan(math.Pi / 8)

// LBracket returns an L of two legs 100 long and 40 wide with an inner fillet
// of radius 8. Edges: bottom, end of the lower leg, its top, fillet, inner side
// of the upright leg, its end, back.
func LBracket() geom.Region {
	const l, w, f = 100, 40, 8
	p := []geom.Point{pt(0, 0), pt(l, 0), pt(l, w), pt(w+f, w), pt(w, w+f), pt(w, l), pt(0, l)}
	loop := geom.Polyline(p...)
	loop[3].Bulge = -quarter
	return geom.Region{Outer: loop}
}

// Ring returns an annulus around the origin.
func Ring(outer, inner float64) geom.Region {
	return geom.Region{
		Outer: geom.Circle(pt(0, 0), outer),
		Holes: []geom.Loop{geom.Circle(pt(0, 0), inner).Reverse()},
	}
}

// SlottedPlate returns a plate 120 × 60 with a slot 50 long and 12 wide and
// corners rounded by 6.
func SlottedPlate() geom.Region {
	slot := stadium(41, 79, 6).Reverse()
	for i := range slot {
		slot[i].A.Y += 30
		slot[i].B.Y += 30
	}
	return geom.Region{Outer: roundedRectangle(120, 60, 6), Holes: []geom.Loop{slot}}
}

func roundedRectangle(w, h, r float64) geom.Loop {
	p := []geom.Point{
		pt(r, 0), pt(w-r, 0), pt(w, r), pt(w, h-r), pt(w-r, h), pt(r, h), pt(0, h-r), pt(0, r),
	}
	l := geom.Polyline(p...)
	for i := 1; i < len(l); i += 2 {
		l[i].Bulge = quarter
	}
	return l
}

// hull returns the outline around circles of radius r at the points, which
// must be convex and counter-clockwise: tangents and arcs.
func hull(r float64, centres ...geom.Point) geom.Loop {
	var l geom.Loop
	n := len(centres)
	for i, c := range centres {
		prev, next := centres[(i+n-1)%n], centres[(i+1)%n]
		in, out := c.Sub(prev), next.Sub(c)
		in, out = in.Scale(1/in.Norm()), out.Scale(1/out.Norm())
		a, b := c.Sub(in.Left().Scale(r)), c.Sub(out.Left().Scale(r))
		turn := math.Atan2(in.Cross(out), in.Dot(out))
		l = append(l, geom.Edge{A: a, B: b, Bulge: math.Tan(turn / 4)})
		l = append(l, geom.Edge{A: b, B: next.Sub(out.Left().Scale(r))})
	}
	return l
}

// ThreePinPlate returns a rounded triangle with a pin hole of diameter 12 at
// each corner, loops 1 to 3.
func ThreePinPlate() geom.Region {
	c := []geom.Point{pt(0, 0), pt(120, 0), pt(45, 90)}
	r := geom.Region{Outer: hull(15, c...)}
	for _, p := range c {
		r.Holes = append(r.Holes, hole(p.X, p.Y, 12))
	}
	return r
}

// CFrame returns a C-shaped frame, 100 × 120, arms 30 wide, inner corners
// rounded by 10, a pin hole of diameter 10 in each arm's end.
func CFrame() geom.Region {
	const f = 10
	p := []geom.Point{
		pt(0, 0), pt(100, 0), pt(100, 30), pt(30+f, 30), pt(30, 30+f), pt(30, 90-f), pt(30+f, 90), pt(100, 90), pt(100, 120), pt(0, 120),
	}
	l := geom.Polyline(p...)
	l[3].Bulge, l[5].Bulge = -quarter, -quarter
	return geom.Region{Outer: l, Holes: []geom.Loop{hole(85, 15, 10), hole(85, 105, 10)}}
}

// EccentricLug returns a lug 40 wide with a round end of radius 20 and a hole
// of diameter 16 set 4 mm off its centre.
func EccentricLug() geom.Region {
	l := geom.Polyline(pt(-80, -20), pt(0, -20), pt(0, 20), pt(-80, 20))
	l[1].Bulge = 1
	return geom.Region{Outer: l, Holes: []geom.Loop{hole(2, 3.4, 16)}}
}

// Wheel returns a wheel of radius 60 with a bored hub of radius 16 and spokes
// left between windows whose corners are sharp.
func Wheel(spokes int) geom.Region {
	const rim, hub, half = 50.0, 20.0, 4.0 // half a spoke's width
	r := geom.Region{Outer: geom.Circle(pt(0, 0), 60), Holes: []geom.Loop{hole(0, 0, 16)}}
	step := 2 * math.Pi / float64(spokes)
	for i := range spokes {
		a := step * float64(i)
		at := func(radius float64, end float64) geom.Point {
			// On the circle, half a spoke's width off the spoke's axis.
			off := math.Asin(half / radius)
			ang := a + off
			if end > 0 {
				ang = a + step - off
			}
			return pt(radius*math.Cos(ang), radius*math.Sin(ang))
		}
		sweep := func(radius float64) float64 { return step - 2*math.Asin(half/radius) }
		o0, o1, i0, i1 := at(rim, 0), at(rim, 1), at(hub, 0), at(hub, 1)
		r.Holes = append(r.Holes, geom.Loop{
			{A: i0, B: i1, Bulge: math.Tan(sweep(hub) / 4)},
			{A: i1, B: o1},
			{A: o1, B: o0, Bulge: -math.Tan(sweep(rim) / 4)},
			{A: o0, B: i0},
		}.Reverse())
		if last := &r.Holes[len(r.Holes)-1]; last.Area() > 0 {
			*last = last.Reverse()
		}
	}
	return r
}

// TaperedLever returns a lever from a big round end to a small one, joined by
// tangents, a hole in each.
func TaperedLever() geom.Region {
	const l, R, s = 120.0, 24.0, 12.0
	phi := math.Asin((R - s) / l) // tangents lean in by this
	sin, cos := math.Sincos(phi)
	a, b := pt(R*sin, -R*cos), pt(l+s*sin, -s*cos)
	c, d := pt(l+s*sin, s*cos), pt(R*sin, R*cos)
	loop := geom.Loop{
		{A: a, B: b},
		{A: b, B: c, Bulge: math.Tan((math.Pi - 2*phi) / 4)},
		{A: c, B: d},
		{A: d, B: a, Bulge: math.Tan((math.Pi + 2*phi) / 4)},
	}
	return geom.Region{Outer: loop, Holes: []geom.Loop{hole(0, 0, 24), hole(l, 0, 10)}}
}

// FiveHolePlate returns a plate 140 × 80 with five holes of different sizes.
func FiveHolePlate() geom.Region {
	r := Plate(140, 80)
	r.Holes = []geom.Loop{hole(20, 20, 10), hole(120, 20, 12), hole(120, 60, 8), hole(20, 60, 14), hole(70, 40, 30)}
	return r
}
