package program

import (
	"math"
	"math/rand"
	"testing"

	"sinew/geom"
)

// Points of a circle have its radius, those of a line none, up to both ends;
// a thousandth of a millimetre of rounding changes little.
func TestBendRadii(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	for _, radius := range []float64{2, 5, 12, 80, math.Inf(1)} {
		var pts, rounded []geom.Point
		s := 0.0
		for range 60 {
			s += 0.1 + r.Float64()
			p := geom.Point{X: s}
			if !math.IsInf(radius, 1) {
				sin, cos := math.Sincos(s / radius)
				p = geom.Point{X: radius * cos, Y: radius * sin}
			}
			pts = append(pts, p)
			rounded = append(rounded, geom.Point{X: math.Round(p.X*1e3) / 1e3, Y: math.Round(p.Y*1e3) / 1e3})
		}
		var a, b bends
		exact, blurred := a.radii(pts), b.radii(rounded)
		for i := range pts {
			// The window's ends lie on chords c of up to 1.1 mm, by c²/8R inside
			// the circle; against its sagitta 1/2R that is c²/4.
			if !math.IsInf(radius, 1) && math.Abs(exact[i]/radius-1) > 1.1*1.1/4+0.01 {
				t.Errorf("radius %v, point %d: %v", radius, i, exact[i])
			}
			// Rounding by ½ µm moves the window's sagitta 1/2R by as much.
			if got, want := 1/blurred[i], 1/exact[i]; math.Abs(got-want) > 6e-3 {
				t.Errorf("radius %v, point %d: curvature %v, rounded %v", radius, i, want, got)
			}
		}
	}
}
