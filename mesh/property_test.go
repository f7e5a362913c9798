package mesh

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/internal/shapes"
)

// check holds a mesh against the region: conforming, boundary complete and on
// the edges it names, area right, no element folded.
func check(t *testing.T, name string, r geom.Region, m *Mesh) {
	t.Helper()
	q := m.Quality()
	if q.LeastJacobian <= 0 {
		t.Errorf("%s: element folded: least determinant %g", name, q.LeastJacobian)
	}
	// A parabola through three points of an arc of sweep s misses area by about
	// s⁴/… of the segment: far under 1e-4 of the whole for sides of r/10.
	if want := r.Area(); math.Abs(m.Area()-want) > 2e-4*want {
		t.Errorf("%s: area %.9g, want %.9g", name, m.Area(), want)
	}
	type side [2]int32
	count := map[side]int32{}
	for _, tri := range m.Tris {
		for k := range 3 {
			s := side{tri[k], tri[(k+1)%3]}
			if _, twice := count[s]; twice {
				t.Fatalf("%s: side %v used twice in one sense", name, s)
			}
			count[s] = tri[3+k]
		}
	}
	rim := map[side]bool{}
	loops := r.Loops()
	length := 0.0
	for _, b := range m.Boundary {
		rim[side{b.A, b.B}] = true
		e := loops[b.Loop][b.Edge]
		for _, n := range [3]int32{b.A, b.Mid, b.B} {
			if _, d := e.Nearest(m.Nodes[n]); d > 1e-9*(1+m.Nodes[n].Norm()) {
				t.Fatalf("%s: node %v is %g off loop %d edge %d", name, m.Nodes[n], d, b.Loop, b.Edge)
			}
		}
		length += m.Nodes[b.A].Dist(m.Nodes[b.Mid]) + m.Nodes[b.Mid].Dist(m.Nodes[b.B])
	}
	if want := r.Length(); math.Abs(length-want) > 5e-3*want {
		t.Errorf("%s: boundary %g long, want %g", name, length, want)
	}
	for s, mid := range count {
		back, inner := count[side{s[1], s[0]}]
		if inner == rim[s] || inner && back != mid {
			t.Fatalf("%s: side %v: inner %v, on the rim %v, middle %d and %d", name, s, inner, rim[s], mid, back)
		}
	}
}

// sharp reports whether the region has a corner under 60°.
func sharp(r geom.Region) bool {
	for _, l := range r.Loops() {
		for i, e := range l {
			if insideAngle(e, l[(i+1)%len(l)]) < sharpCorner {
				return true
			}
		}
	}
	return false
}

func TestPartsAndNastyShapes(t *testing.T) {
	for _, s := range append(shapes.Parts(), shapes.Nasty()...) {
		m, err := Generate(s.Region, Settings{})
		if err != nil {
			t.Errorf("%s: %v", s.Name, err)
			continue
		}
		check(t, s.Name, s.Region, m)
		q := m.Quality()
		t.Logf("%-16s %6d triangles, least angle %.1f°, mean %.1f°", s.Name, q.Triangles, q.LeastAngle, q.MeanLeastAngle)
		if q.LeastAngle < 28-1e-9 && !sharp(s.Region) {
			t.Errorf("%s: least angle %g though no corner is sharp", s.Name, q.LeastAngle)
		}
	}
}

func TestRandomOutlines(t *testing.T) {
	limited := 0
	for seed := range uint64(400) {
		r := shapes.Random(seed)
		if seed >= 200 {
			r = shapes.Filleted(seed)
		}
		m, err := Generate(r, Settings{})
		if err != nil {
			if !strings.Contains(err.Error(), "(") {
				t.Errorf("seed %d: refused without a place: %v", seed, err)
			}
			t.Logf("seed %d: %v", seed, err)
			limited++
			continue
		}
		check(t, "random", r, m)
		if q := m.Quality(); q.LeastAngle < 25 {
			if !sharp(r) {
				t.Errorf("seed %d: least angle %.2f°, no corner sharp, at %v", seed, q.LeastAngle, m.Nodes[m.Tris[q.Worst][0]])
			}
			limited++
		}
	}
	t.Logf("%d of 400 limited by their corners", limited)
}

func TestSameMeshFromMovedInput(t *testing.T) {
	r := shapes.Link(120, 40, 14, 16)
	a, _ := Generate(r, Settings{Size: 3})
	b, _ := Generate(r, Settings{Size: 3})
	if !reflect.DeepEqual(a, b) {
		t.Error("two runs differ")
	}
	for _, scale := range []float64{1e-2, 1, 1e2} {
		turned := r.Map(func(p geom.Point) geom.Point {
			s, c := math.Sincos(0.7)
			return geom.Point{X: scale * (c*p.X + s*p.Y), Y: scale * (s*p.X - c*p.Y)}
		})
		m, err := Generate(turned, Settings{Size: 3 * scale})
		if err != nil {
			t.Fatal(err)
		}
		check(t, "turned", turned, m)
		if q := m.Quality(); q.LeastAngle < 28-1e-9 || math.Abs(float64(len(m.Tris))/float64(len(a.Tris))-1) > 0.2 {
			t.Errorf("scale %g: %d triangles against %d, least angle %g", scale, len(m.Tris), len(a.Tris), q.LeastAngle)
		}
	}
}

func TestSizes(t *testing.T) {
	r := shapes.Strip(150, 36, 12)
	at := geom.Point{X: 40, Y: 5}
	m, err := Generate(r, Settings{Size: 4, MinSize: 0.05, SizeAt: func(p geom.Point) float64 { return 0.2 + 0.2*p.Dist(at) }})
	if err != nil {
		t.Fatal(err)
	}
	check(t, "sized", r, m)
	tri, _, _ := NewLocator(m).Find(at)
	n := m.Tris[tri]
	if l := m.Nodes[n[0]].Dist(m.Nodes[n[1]]); l > 0.3 {
		t.Errorf("side %g at the fine place", l)
	}
	for _, b := range m.Boundary {
		if l := m.Nodes[b.A].Dist(m.Nodes[b.B]); b.Loop == 1 && l > 0.6+1e-9 {
			t.Errorf("side %g on the hole", l)
		}
	}
	if _, err := Generate(r, Settings{Size: 0.01, MaxNodes: 10000}); err == nil || !strings.Contains(err.Error(), "10000 nodes") {
		t.Errorf("no refusal of too many nodes: %v", err)
	}
	for _, bad := range []Settings{{Size: -1}, {Size: math.NaN()}, {MinAngle: 40}} {
		if _, err := Generate(r, bad); err == nil {
			t.Errorf("%+v accepted", bad)
		}
	}
	if _, err := Generate(r, Settings{Cancel: func() bool { return true }}); err == nil {
		t.Error("not cancelled")
	}
}

// At and Find are inverse to each other, on straight and curved elements; the
// shape functions sum to one and their gradients reproduce a linear field.
func TestLocatorAndShape(t *testing.T) {
	for _, s := range shapes.Parts() {
		m, err := Generate(s.Region, Settings{ArcSize: 0.7})
		if err != nil {
			t.Fatal(err)
		}
		l := NewLocator(m)
		for i := range m.Tris {
			b := [3]float64{0.1, 0.25, 0.65}
			if i%2 == 0 {
				b = [3]float64{0.001, 0.5, 0.499}
			}
			p := m.At(i, b)
			tri, c, ok := l.Find(p)
			if !ok || m.At(tri, c).Dist(p) > 1e-9*(1+p.Norm()) {
				t.Fatalf("%s: %v of triangle %d found in %d at %v", s.Name, p, i, tri, c)
			}
			dN, _ := m.Gradient(i, b)
			var gx, gy, cross float64
			for k, n := range m.Tris[i] {
				gx += dN[k].X * m.Nodes[n].X
				gy += dN[k].Y * m.Nodes[n].Y
				cross += dN[k].X * m.Nodes[n].Y
			}
			if math.Abs(gx-1)+math.Abs(gy-1)+math.Abs(cross) > 1e-9 {
				t.Fatalf("%s: gradient of a linear field %g %g %g", s.Name, gx, gy, cross)
			}
		}
		out := s.Region.Bounds().Grow(5).Min
		if _, _, ok := l.Find(out); ok {
			t.Errorf("%s: found %v outside", s.Name, out)
		}
	}
}

func TestRefusals(t *testing.T) {
	needle := geom.Region{Outer: geom.Polyline(geom.Point{}, geom.Point{X: 100}, geom.Point{X: 100, Y: 0.5})}
	if _, err := Generate(needle, Settings{}); err == nil || !strings.Contains(err.Error(), "inside angle") {
		t.Errorf("needle: %v", err)
	}
	hole := shapes.Plate(10, 10)
	hole.Holes = []geom.Loop{geom.Circle(geom.Point{X: 50}, 2).Reverse()}
	if _, err := Generate(hole, Settings{}); err == nil || !strings.Contains(err.Error(), "outside the outline") {
		t.Errorf("hole outside: %v", err)
	}
}
