package figure

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"sinew/geom"
	"sinew/mesh"
	"sinew/strand"
)

// plate is a strip with a hole: straight edges, arcs of half a turn.
func plate() geom.Region {
	return geom.Region{
		Outer: geom.Polyline(geom.Point{}, geom.Point{X: 40}, geom.Point{X: 40, Y: 20}, geom.Point{Y: 20}),
		Holes: []geom.Loop{geom.Circle(geom.Point{X: 20, Y: 10}, 4).Reverse()},
	}
}

// wellFormed fails the test unless the text is one XML element.
func wellFormed(t *testing.T, svg string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatalf("not well-formed: %v\n%s", err, svg)
		}
	}
}

func full(t *testing.T) string {
	m, err := mesh.Generate(plate(), mesh.Settings{Size: 4})
	if err != nil {
		t.Fatal(err)
	}
	values := make([]float64, len(m.Tris))
	for i := range values {
		values[i] = float64(i%7) - 3
	}
	values[0] = math.NaN()
	d := New("a <plate> & its \"loads\"", plate().Outer.Bounds())
	d.Region(plate(), true)
	d.Field(m, values, ScaleFor("stress, MPa", values, 0.99))
	d.Crosses([]Cross{{At: geom.Point{X: 5, Y: 5}, Angle: 0.3, S1: 2, S2: -1}, {At: geom.Point{X: 5.1, Y: 5}, S1: 1}}, 2)
	d.Arrow(geom.Point{X: 40, Y: 10}, geom.Point{X: 1}, 50, "1 kN")
	d.Hold(geom.Point{Y: 10}, "fixed", 0)
	d.Hold(geom.Point{Y: 10}, "sliding", 0.5)
	d.Hold(geom.Point{Y: 10}, "pinned", 0)
	d.Flag(geom.Point{X: 3, Y: 3}, "stop", "1")
	d.Layer(&strand.Layer{
		Strands: []strand.Strand{{Points: []geom.Point{{X: 1, Y: 1}, {X: 20, Y: 1.0001}, {X: 39, Y: 1}}}},
		Beads:   []strand.Bead{{Points: []geom.Point{{X: 1, Y: 19}, {X: 39, Y: 19}}}, {Kind: strand.Support, Points: []geom.Point{{X: 1, Y: 18}, {X: 39, Y: 18}}}},
	})
	return d.SVG()
}

func TestDrawingIsWellFormedAndRepeats(t *testing.T) {
	svg := full(t)
	wellFormed(t, svg)
	if again := full(t); again != svg {
		t.Error("two drawings of the same differ")
	}
	for _, want := range []string{"a &lt;plate&gt; &amp; its", "stress, MPa", " mm</text>", "stroke-dasharray=\"4 2\""} {
		if !strings.Contains(svg, want) {
			t.Errorf("%q is missing", want)
		}
	}
	if strings.Contains(svg, "NaN") {
		t.Error("a blank element was drawn")
	}
}

func TestScaleBarIsToScale(t *testing.T) {
	tests := []struct{ v, want float64 }{{0.15, 0.1}, {0.99, 0.5}, {1, 1}, {3, 2}, {7, 5}, {22, 20}, {999, 500}}
	for _, tt := range tests {
		if got := roundLength(tt.v); math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("roundLength(%g) = %g, want %g", tt.v, got, tt.want)
		}
	}
	d := New("x", geom.Box{Max: geom.Point{X: 100, Y: 10}})
	x0, _ := d.xy(geom.Point{})
	x1, _ := d.xy(geom.Point{X: 10})
	if got := x1 - x0; math.Abs(got-10*d.scale) > 1e-9 {
		t.Errorf("10 mm are %g units, want %g", got, 10*d.scale)
	}
}

func TestScaleBandsCoverTheRange(t *testing.T) {
	s := ScaleFor("v", []float64{-2, 0, 4}, 1)
	if !s.Diverges || s.Lo != -4 || s.Hi != 4 {
		t.Errorf("scale %+v, want one around zero up to 4", s)
	}
	if s.band(-9) != 0 || s.band(9) != bands-1 || s.band(math.NaN()) != 0 {
		t.Error("values beyond the ends must take the end's colour")
	}
	last := -1
	for v := -4.0; v <= 4; v += 0.01 {
		b := s.band(v)
		if b < last {
			t.Fatalf("band falls at %g", v)
		}
		last = b
	}
}

// TestRampsStayReadable holds that lightness falls steadily along the
// sequential ramp, and on either side of the middle of the diverging one, so
// that drawings survive grey print and colour blindness. Luminance is that of
// WCAG 2.2 (W3C, 2023), relative luminance.
func TestRampsStayReadable(t *testing.T) {
	light := func(c rgb) float64 {
		lin := func(v float64) float64 {
			v /= 255
			if v <= 0.04045 {
				return v / 12.92
			}
			return math.Pow((v+0.055)/1.055, 2.4)
		}
		return 0.2126*lin(c[0]) + 0.7152*lin(c[1]) + 0.0722*lin(c[2])
	}
	for i := 1; i < len(sequential); i++ {
		if light(sequential[i]) >= light(sequential[i-1]) {
			t.Errorf("sequential colour %d is not darker than the one before", i)
		}
	}
	mid := len(diverging) / 2
	for i := 1; i <= mid; i++ {
		if light(diverging[mid-i]) >= light(diverging[mid-i+1]) || light(diverging[mid+i]) >= light(diverging[mid+i-1]) {
			t.Errorf("diverging colours %d from the middle are not darker", i)
		}
	}
}

func TestThinKeepsTheShape(t *testing.T) {
	var pts []geom.Point
	for i := range 1000 {
		a := float64(i) / 999 * math.Pi
		pts = append(pts, geom.Point{X: 50 * math.Cos(a), Y: 50 * math.Sin(a)})
	}
	const tol = 0.1
	out := thin(pts, tol)
	if len(out) > 100 || out[0] != pts[0] || out[len(out)-1] != pts[len(pts)-1] {
		t.Fatalf("%d points kept", len(out))
	}
	for _, p := range pts {
		best := math.Inf(1)
		for i := 1; i < len(out); i++ {
			_, d := geom.Edge{A: out[i-1], B: out[i]}.Nearest(p)
			best = math.Min(best, d)
		}
		if best > tol {
			t.Fatalf("(%g, %g) lies %g from the thinned line", p.X, p.Y, best)
		}
	}
}

func BenchmarkThin(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		pts := make([]geom.Point, n)
		for i := range pts {
			a := float64(i) / float64(n) * 6
			pts[i] = geom.Point{X: 50 * math.Cos(a), Y: 30 * math.Sin(a)}
		}
		b.Run(map[int]string{100: "100", 1000: "1000", 10000: "10000"}[n], func(b *testing.B) {
			for b.Loop() {
				thin(pts, 0.05)
			}
		})
	}
}
