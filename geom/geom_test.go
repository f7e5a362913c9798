package geom_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/internal/shapes"
)

func TestAreas(t *testing.T) {
	const deg = math.Pi / 180
	for _, c := range []struct {
		name      string
		region    geom.Region
		area, rim float64
	}{
		{"stadium", shapes.Stadium(40, 5), 400 + 25*math.Pi, 80 + 10*math.Pi},
		{"ring", shapes.Ring(40, 25), math.Pi * (1600 - 625), 130 * math.Pi},
		{"bracket", shapes.LBracket(), 100*100 - 60*60 + 64*(1-math.Pi/4), 400 - 16 + 4*math.Pi},
		{"slotted plate", shapes.SlottedPlate(), 7200 - 36*(4-math.Pi) - 38*12 - 36*math.Pi, 2*(108+48) + 12*math.Pi + 76 + 12*math.Pi},
		{"strip", shapes.Strip(150, 36, 12), 5400 - 36*math.Pi, 372 + 12*math.Pi},
	} {
		if got := c.region.Area(); math.Abs(got-c.area) > 1e-9*c.area {
			t.Errorf("%s: area %.12g, want %.12g", c.name, got, c.area)
		}
		if got := c.region.Length(); math.Abs(got-c.rim) > 1e-9*c.rim {
			t.Errorf("%s: rim %.12g, want %.12g", c.name, got, c.rim)
		}
		turned := c.region.Map(func(p geom.Point) geom.Point {
			s, k := math.Sincos(37 * deg)
			return geom.Point{X: 3 * (k*p.X + s*p.Y), Y: 3 * (s*p.X - k*p.Y)} // mirrored, turned, scaled
		})
		if got := turned.Area(); math.Abs(got-9*c.area) > 1e-8*c.area || turned.Validate() != nil {
			t.Errorf("%s mirrored: area %g, want %g, %v", c.name, got, 9*c.area, turned.Validate())
		}
	}
}

func TestAllShapesValid(t *testing.T) {
	for _, s := range append(shapes.Parts(), shapes.Nasty()...) {
		if err := s.Region.Validate(); err != nil {
			t.Errorf("%s: %v", s.Name, err)
		}
	}
}

func TestValidateRefuses(t *testing.T) {
	pt := func(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }
	plate := func(holes ...geom.Loop) geom.Region {
		r := shapes.Plate(100, 40)
		r.Holes = holes
		return r
	}
	hole := func(x, y, r float64) geom.Loop { return geom.Circle(pt(x, y), r).Reverse() }
	open := shapes.Plate(10, 10)
	open.Outer[2].B.X += 0.5
	for _, c := range []struct {
		name   string
		region geom.Region
		want   string
	}{
		{"empty", geom.Region{}, "encloses nothing"},
		{"bow tie", geom.Region{Outer: geom.Polyline(pt(0, 0), pt(30, 0), pt(5, 10), pt(30, 25))}, "crosses or touches itself"},
		{"open", open, "open"},
		{"outside", plate(hole(150, 20, 5)), "outside the outline"},
		{"touching", plate(hole(50, 35, 5)), "crosses or touches the outline"},
		{"over the rim", plate(hole(50, 38, 5)), "crosses or touches the outline"},
		{"overlap", plate(hole(50, 20, 5), hole(57, 20, 5)), "crosses or touches hole 2"},
		{"hole in hole", plate(hole(50, 20, 15), hole(50, 20, 5)), "inside hole 1"},
		{"clockwise", geom.Region{Outer: shapes.Plate(10, 10).Outer.Reverse()}, "clockwise"},
		{"hole the wrong way", plate(geom.Circle(pt(50, 20), 5)), "counter-clockwise"},
		{"no area", geom.Region{Outer: geom.Polyline(pt(0, 0), pt(10, 0))}, "no area"},
		{"no length", geom.Region{Outer: geom.Polyline(pt(0, 0), pt(0, 0), pt(10, 0), pt(0, 10))}, "no length"},
		{"not a number", geom.Region{Outer: geom.Polyline(pt(0, 0), pt(10, math.NaN()), pt(0, 10))}, "not a number"},
		{"spike", geom.Region{Outer: geom.Polyline(pt(0, 0), pt(10, 0), pt(10, 10), pt(10, 20), pt(10, 15), pt(0, 10))}, "touches itself"},
	} {
		err := c.region.Validate()
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}

func TestNearestAgainstBruteForce(t *testing.T) {
	g := rand.New(rand.NewPCG(7, 8))
	for _, s := range append(shapes.Parts(), shapes.Nasty()...) {
		near := geom.NewBoundary(s.Region)
		box := s.Region.Bounds().Grow(30)
		for range 200 {
			p := box.Min.Add(geom.Point{X: box.Size().X * g.Float64(), Y: box.Size().Y * g.Float64()})
			want := math.Inf(1)
			for _, l := range s.Region.Loops() {
				for _, e := range l {
					_, d := e.Nearest(p)
					want = math.Min(want, d)
				}
			}
			got := near.Nearest(p)
			if math.Abs(got.Distance-want) > 1e-9*(1+p.Norm()) || math.Abs(got.Point.Dist(p)-want) > 1e-9*(1+p.Norm()) {
				t.Fatalf("%s: nearest to %v at %g, want %g", s.Name, p, got.Distance, want)
			}
			if near.Contains(p) != s.Region.Contains(p) {
				t.Fatalf("%s: %v inside by the nearest edge: %v", s.Name, p, near.Contains(p))
			}
			// Inside is to the left of the nearest point's tangent.
			if in := got.Tangent.Cross(p.Sub(got.Point)) > 0; in != s.Region.Contains(p) && got.T > 1e-9 && got.T < 1-1e-9 {
				t.Fatalf("%s: %v left of the rim: %v, inside: %v", s.Name, p, in, !in)
			}
		}
	}
}

func TestGridAgainstBruteForce(t *testing.T) {
	g := rand.New(rand.NewPCG(9, 10))
	pts := make([]geom.Point, 500)
	for i := range pts {
		pts[i] = geom.Point{X: 100 * g.Float64(), Y: g.NormFloat64()}
	}
	grid := geom.NewGrid(pts)
	for range 300 {
		p := geom.Point{X: 120*g.Float64() - 10, Y: 3 * g.NormFloat64()}
		want, dist := -1, math.Inf(1)
		within := 0
		for i, q := range pts {
			if d := p.Dist(q); d < dist {
				want, dist = i, d
			}
			if p.Dist(q) <= 2 {
				within++
			}
		}
		if got, _ := grid.Nearest(p); got != want {
			t.Fatalf("nearest to %v: %d, want %d", p, got, want)
		}
		grid.Within(p, 2, func(int) bool { within--; return true })
		if within != 0 {
			t.Fatalf("within 2 of %v: off by %d", p, within)
		}
	}
}

func TestPaths(t *testing.T) {
	c := geom.Circle(geom.Point{X: 3}, 10)
	ring := geom.Path{Points: c.Flatten(1e-4), Closed: true}
	if r, _ := ring.LeastRadius(); math.Abs(r-10) > 1e-9 {
		t.Errorf("radius of a circle's samples %g", r)
	}
	if a := ring.TotalTurning(); math.Abs(a-2*math.Pi) > 1e-9 {
		t.Errorf("turning %g", a)
	}
	if l := ring.Resample(0.5).Length(); math.Abs(l-20*math.Pi) > 0.02 {
		t.Errorf("length %g", l)
	}
	line := geom.Path{Points: []geom.Point{{}, {X: 7}, {X: 10}}}
	got := line.Resample(2.5)
	for i, p := range got.Points {
		if math.Abs(p.X-2.5*float64(i)) > 1e-12 || len(got.Points) != 5 {
			t.Errorf("resampled %v", got.Points)
		}
	}
	if p := line.At(8); p != (geom.Point{X: 8}) {
		t.Errorf("at 8: %v", p)
	}
}

func TestClipByDefinition(t *testing.T) {
	area := shapes.FiveHolePlate().Flatten(1e-3)
	line := geom.Path{Points: []geom.Point{{X: -10, Y: 40}, {X: 200, Y: 40}}}
	got := geom.ClipPath(line, area)
	if len(got) != 2 || math.Abs(got[0].Length()-55) > 1e-2 || math.Abs(got[1].Length()-55) > 1e-2 {
		t.Errorf("line over the middle hole: %v", got)
	}
	inside := geom.Path{Points: shapes.Rectangle(40, 5, 60, 15).Outer.Flatten(1), Closed: true}
	if got := geom.ClipPath(inside, area); len(got) != 1 || !got[0].Closed {
		t.Errorf("closed path inside: %v", got)
	}
	through := geom.Path{Points: geom.Circle(geom.Point{X: 70, Y: 40}, 60).Flatten(1e-3), Closed: true}
	sum := 0.0
	for _, p := range geom.ClipPath(through, area) {
		sum += p.Length()
	}
	want, fine := 0.0, geom.Circle(geom.Point{X: 70, Y: 40}, 60)[0]
	const n = 200000
	for i := range n {
		p := fine.At((float64(i) + 0.5) / n)
		if area.Contains(p) {
			want += math.Pi * 60 / n
		}
		if area.Contains(geom.Point{X: p.X, Y: 80 - p.Y}) {
			want += math.Pi * 60 / n
		}
	}
	if math.Abs(sum-want) > 0.05 {
		t.Errorf("clipped circle %g long, want %g", sum, want)
	}
}

// gridMesh is a square of n × n cells cut into triangles.
func gridMesh(n int) (nodes []geom.Point, tris [][3]int32) {
	for j := range n + 1 {
		for i := range n + 1 {
			nodes = append(nodes, geom.Point{X: float64(i), Y: float64(j)})
		}
	}
	at := func(i, j int) int32 { return int32(j*(n+1) + i) }
	for j := range n {
		for i := range n {
			tris = append(tris, [3]int32{at(i, j), at(i+1, j), at(i+1, j+1)}, [3]int32{at(i, j), at(i+1, j+1), at(i, j+1)})
		}
	}
	return nodes, tris
}

// BenchmarkLevelLines draws level lines about as far apart as strands, two
// triangles' sides, of a curved field on 100 000 triangles.
func BenchmarkLevelLines(b *testing.B) {
	nodes, tris := gridMesh(224)
	values := make([]float64, len(nodes))
	for i, p := range nodes {
		values[i] = math.Hypot(p.X-30, p.Y-80) / 2
	}
	var levels []float64
	for v := 0.5; v < 130; v++ {
		levels = append(levels, v)
	}
	for b.Loop() {
		geom.LevelLines(nodes, tris, values, levels)
	}
}

func TestLevelLines(t *testing.T) {
	nodes, tris := gridMesh(20)
	field := func(f func(p geom.Point) float64) []float64 {
		v := make([]float64, len(nodes))
		for i, p := range nodes {
			v[i] = f(p)
		}
		return v
	}
	for _, c := range []struct {
		name   string
		values []float64
		level  float64
		lines  int
		closed int
		length float64
		within float64
	}{
		{"along nodes", field(func(p geom.Point) float64 { return p.X }), 7, 1, 0, 20, 1e-12},
		{"between nodes", field(func(p geom.Point) float64 { return p.X + 0.25*p.Y }), 7.1, 1, 0, 20 * math.Hypot(1, 0.25), 1e-9},
		{"ring", field(func(p geom.Point) float64 { return p.Dist(geom.Point{X: 10, Y: 10}) }), 6, 1, 1, 12 * math.Pi, 0.3},
		{"saddle through a node", field(func(p geom.Point) float64 { return (p.X - 10) * (p.Y - 10) }), 0, 2, 0, 36 + 2*math.Sqrt2, 1e-9}, // each turns off one cell before the saddle
		{"plateau", field(func(geom.Point) float64 { return 3 }), 3, 0, 0, 0, 0},
		{"beyond", field(func(p geom.Point) float64 { return p.X }), 30, 0, 0, 0, 0},
	} {
		got := geom.LevelLines(nodes, tris, c.values, []float64{c.level})[0]
		length, closed := 0.0, 0
		for _, p := range got {
			length += p.Length()
			if p.Closed {
				closed++
			}
		}
		if len(got) != c.lines || closed != c.closed || math.Abs(length-c.length) > c.within {
			t.Errorf("%s: %d lines, %d closed, %g long; want %d, %d, %g", c.name, len(got), closed, length, c.lines, c.closed, c.length)
		}
	}
	up := geom.LevelLines(nodes, tris, field(func(p geom.Point) float64 { return p.X }), []float64{7.5})[0][0]
	if d := up.Points[len(up.Points)-1].Sub(up.Points[0]); d.Y >= 0 {
		t.Errorf("higher values lie right of the line: it runs %v", d)
	}
}

func ExampleRegion_Inset() {
	part := shapes.Stadium(40, 5)
	inner, err := part.Inset(2)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d region, end radius %.1f mm\n", len(inner), inner[0].Outer[1].Radius())
	// Output: 1 region, end radius 3.0 mm
}

// TestPredicatesOfNoNumbers: what is no number has no sign, and does not panic.
func TestPredicatesOfNoNumbers(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		p := geom.Point{bad, 1}
		for i, got := range []float64{geom.Orient(p, geom.Point{1, 0}, geom.Point{0, 1}), geom.Orient(geom.Point{1, 0}, geom.Point{0, 1}, p), geom.InCircle(geom.Point{1, 0}, geom.Point{0, 1}, geom.Point{-1, 0}, p)} {
			if !math.IsNaN(got) {
				t.Errorf("%g, %d: %g", bad, i, got)
			}
		}
	}
}
