package sinew_test

import (
	"math"
	"testing"

	"sinew/geom"
	"sinew/part"
)

// The twelve parts of the wall: plate-like, of our own, each a kind of loading
// that another does not have. All are 3.2 mm thick; loads are in N and stand
// for nothing, since only ratios are compared.

// wallPart is one of them.
type wallPart struct {
	part *part.Part
	mask float64 // mm from gripped and held sides, within which nothing is judged
}

func pt(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }

// roundedLoop is a polygon, counter-clockwise, with each corner rounded to its
// radius.
func roundedLoop(corners []geom.Point, radius ...float64) geom.Loop {
	var out geom.Loop
	n := len(corners)
	last := geom.Point{}
	for i, c := range corners {
		a, b := corners[(i+n-1)%n], corners[(i+1)%n]
		in, next := c.Sub(a), b.Sub(c)
		in, next = in.Scale(1/in.Norm()), next.Scale(1/next.Norm())
		half := math.Atan2(in.Cross(next), in.Dot(next)) / 2
		t := radius[i%len(radius)] * math.Abs(math.Tan(half))
		from, to := c.Sub(in.Scale(t)), c.Add(next.Scale(t))
		if i > 0 {
			out = append(out, geom.Edge{A: last, B: from})
		}
		if t > 0 {
			out = append(out, geom.Edge{A: from, B: to, Bulge: math.Tan(half / 2)})
		}
		last = to
	}
	return append(out, geom.Edge{A: last, B: out[0].A})
}

func rectangle(x0, y0, x1, y1 float64) []geom.Point {
	return []geom.Point{pt(x0, y0), pt(x1, y0), pt(x1, y1), pt(x0, y1)}
}

func holeAt(x, y, diameter float64) geom.Loop {
	return geom.Circle(pt(x, y), diameter/2).Reverse()
}

// capsule is an obround hole, ends round, its centres at a and b.
func capsule(a, b geom.Point, radius float64) geom.Loop {
	side := b.Sub(a).Scale(radius / b.Dist(a)).Left()
	return geom.Loop{
		{A: a.Sub(side), B: b.Sub(side)}, {A: b.Sub(side), B: b.Add(side), Bulge: 1},
		{A: b.Add(side), B: a.Add(side)}, {A: a.Add(side), B: a.Sub(side), Bulge: 1},
	}
}

// circleOf is a circle cut at the given angles (degrees, rising).
func circleOf(radius float64, degrees ...float64) geom.Loop {
	var out geom.Loop
	at := func(d float64) geom.Point {
		sin, cos := math.Sincos(d * math.Pi / 180)
		return pt(radius*cos, radius*sin)
	}
	for i, d := range degrees {
		next := degrees[(i+1)%len(degrees)]
		if next <= d {
			next += 360
		}
		out = append(out, geom.Edge{A: at(d), B: at(next), Bulge: math.Tan((next - d) * math.Pi / 720)})
	}
	return out
}

func side(name string, x, y float64) part.Pick {
	p := pt(x, y)
	return part.Pick{Name: name, Kind: part.Side, Near: &p}
}

func bore(name string, x, y float64) part.Pick {
	p := pt(x, y)
	return part.Pick{Name: name, Kind: part.Hole, Near: &p}
}

// wallPartOf puts features on a region; feature 0 is held fixed.
func wallPartOf(t testing.TB, name string, r geom.Region, picks []part.Pick, cases ...part.Case) *part.Part {
	t.Helper()
	if err := r.Validate(); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	features, errs := part.Features(r, picks)
	for _, err := range errs {
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	return &part.Part{Name: name, Region: r, Thickness: 3.2, Features: features, Supports: []part.Support{{Feature: 0, Kind: part.Fixed}}, Cases: cases}
}

func loadCase(name string, loads ...part.Load) part.Case {
	return part.Case{Name: name, Factor: 1, Loads: loads}
}

func force(feature int, kind part.LoadKind, x, y float64) part.Load {
	return part.Load{Feature: feature, Kind: kind, Force: pt(x, y)}
}

// wallParts makes all twelve.
func wallParts(t testing.TB) []wallPart {
	hole := openHole().part
	hole.Name = "strip with hole"
	lightened := link()
	lightened.Name = "link with lightening hole"
	two := link()
	two.Name, two.Region.Holes, two.Features = "two-pin link", two.Region.Holes[:2], two.Features[:2]
	corner := bracket()
	corner.Name = "L-bracket in bending"
	return []wallPart{
		{hole, 10},
		{two, 0},
		{lightened, 0},
		{corner, 10},
		cFrame(t), triangle(t), lug(t), slotted(t), wheel(t), lever(t), fiveHoles(t), ring(t),
	}
}

// cFrame is a clamp's frame: its jaws are forced apart.
func cFrame(t testing.TB) wallPart {
	outline := []geom.Point{pt(0, 0), pt(90, 0), pt(90, 30), pt(34, 30), pt(34, 80), pt(90, 80), pt(90, 110), pt(0, 110)}
	r := geom.Region{
		Outer: roundedLoop(outline, 20, 12, 12, 10, 10, 12, 12, 20),
		Holes: []geom.Loop{holeAt(76, 15, 10), holeAt(76, 95, 10)},
	}
	return wallPart{wallPartOf(t, "C-frame", r, []part.Pick{bore("lower jaw", 76, 15), bore("upper jaw", 76, 95)},
		loadCase("jaws apart", force(1, part.Bearing, 0, 400))), 0}
}

// triangle hangs from one pin and is pulled at two.
func triangle(t testing.TB) wallPart {
	c := []geom.Point{pt(-60, 0), pt(60, 0), pt(0, 90)}
	grow := 34.0 // corners this far out give 14 mm around each pin
	mid := pt(0, 30)
	var outline []geom.Point
	for _, p := range c {
		v := p.Sub(mid)
		outline = append(outline, p.Add(v.Scale(grow/v.Norm())))
	}
	r := geom.Region{Outer: roundedLoop(outline, 14), Holes: []geom.Loop{holeAt(-60, 0, 10), holeAt(60, 0, 10), holeAt(0, 90, 10)}}
	return wallPart{wallPartOf(t, "triangle with three pins", r, []part.Pick{bore("top", 0, 90), bore("left", -60, 0), bore("right", 60, 0)},
		loadCase("pull", force(1, part.Bearing, -300, -500), force(2, part.Bearing, 300, -500))), 0}
}

// lug is clamped at one end; its pin lies off the middle.
func lug(t testing.TB) wallPart {
	r := geom.Region{
		Outer: roundedLoop([]geom.Point{pt(0, 0), pt(110, 0), pt(110, 44), pt(0, 44)}, 0, 15, 22, 0),
		Holes: []geom.Loop{holeAt(88, 27, 14)},
	}
	return wallPart{wallPartOf(t, "eccentric lug", r, []part.Pick{side("clamp", 0, 22), bore("pin", 88, 27)},
		loadCase("pull", force(1, part.Bearing, 1000, 0))), 10}
}

// slotted is a strip with a slot across its pull, longer than wide.
func slotted(t testing.TB) wallPart {
	r := geom.Region{
		Outer: roundedLoop(rectangle(0, 0, 150, 44), 0),
		Holes: []geom.Loop{capsule(pt(68, 22), pt(82, 22), 7).Reverse()},
	}
	r.Holes[0] = capsule(pt(82, 22), pt(68, 22), 7)
	if r.Holes[0].Area() > 0 {
		r.Holes[0] = r.Holes[0].Reverse()
	}
	return wallPart{wallPartOf(t, "slotted plate", r, []part.Pick{side("left", 0, 22), side("right", 150, 22)},
		loadCase("pull", force(1, part.Grip, 1000, 0))), 10}
}

// wheel stands on a spoke, then between two; its hub is held.
func wheel(t testing.TB) wallPart {
	const rim, inner, hub, half = 62.0, 50.0, 19.0, 6.5
	r := geom.Region{Outer: circleOf(rim, -95, -85, -50, -40, 45, 135, 225), Holes: []geom.Loop{holeAt(0, 0, 16)}}
	for k := range 4 {
		r.Holes = append(r.Holes, window(inner, hub, half, float64(k)*math.Pi/2))
	}
	diagonal := rim * math.Sqrt2 / 2
	return wallPart{wallPartOf(t, "wheel with hub and spokes", r, []part.Pick{bore("hub", 0, 0), side("ground", 0, -rim), side("ground between spokes", diagonal, -diagonal)},
		loadCase("on a spoke", force(1, part.Even, 0, 1000)), loadCase("between spokes", force(2, part.Even, -300, 300))), 4}
}

// window is the opening between two spokes, its corners rounded.
func window(inner, hub, half, turn float64) geom.Loop {
	var pts geom.Polygon
	arc := func(r float64, back bool) {
		a := math.Asin(half / r)
		b := math.Pi/2 - a
		for i := range 25 {
			u := float64(i) / 24
			if back {
				u = 1 - u
			}
			sin, cos := math.Sincos(a + (b-a)*u)
			pts = append(pts, pt(r*cos, r*sin))
		}
	}
	arc(inner, false)
	arc(hub, true)
	const round, tol = 6.0, 0.05
	soft := geom.Polygons{pts}.Offset(-round, tol).Offset(round, tol)[0]
	sin, cos := math.Sincos(turn)
	thin := geom.Path{Points: soft, Closed: true}.Simplify(0.02).Points
	for i, p := range thin {
		thin[i] = pt(p.X*cos-p.Y*sin, p.X*sin+p.Y*cos)
	}
	l := geom.Polyline(thin...)
	if l.Area() > 0 {
		l = l.Reverse()
	}
	return l
}

// lever turns about a shaft in its wide end; a rod pushes it against a stop at
// its tip.
func lever(t testing.TB) wallPart {
	r := geom.Region{
		Outer: roundedLoop([]geom.Point{pt(-24, -22), pt(126, -11), pt(126, 11), pt(-24, 22)}, 18, 9, 9, 18),
		Holes: []geom.Loop{holeAt(0, 0, 14), holeAt(45, 0, 10), holeAt(114, 0, 8)},
	}
	p := wallPartOf(t, "tapered lever", r, []part.Pick{bore("shaft", 0, 0), bore("rod", 45, 0), bore("tip", 114, 0)},
		loadCase("push", force(1, part.Bearing, 0, 600)))
	p.Supports = []part.Support{{Feature: 0, Kind: part.Pinned}, {Feature: 2, Kind: part.Sliding, Angle: math.Pi / 2}}
	return wallPart{p, 0}
}

// fiveHoles is a plate with a large and four small holes, pulled and sheared.
func fiveHoles(t testing.TB) wallPart {
	r := geom.Region{
		Outer: roundedLoop(rectangle(0, 0, 140, 70), 0),
		Holes: []geom.Loop{holeAt(70, 35, 24), holeAt(35, 18, 8), holeAt(105, 18, 8), holeAt(35, 52, 8), holeAt(105, 52, 8)},
	}
	return wallPart{wallPartOf(t, "plate with five holes", r, []part.Pick{side("left", 0, 35), side("right", 140, 35)},
		loadCase("pull", force(1, part.Even, 2000, 0)), loadCase("shear", force(1, part.Even, 0, 400))), 10}
}

// ring is pressed across its diameter.
func ring(t testing.TB) wallPart {
	r := geom.Region{Outer: circleOf(45, -95, -85, 85, 95), Holes: []geom.Loop{holeAt(0, 0, 58)}}
	return wallPart{wallPartOf(t, "ring under diametral load", r, []part.Pick{side("ground", 0, -45), side("load", 0, 45)},
		loadCase("pressed", force(1, part.Even, 0, -500))), 4}
}
