package field

import (
	"math"
	"testing"

	"sinew/geom"
)

// A figure of eight is tangent to both circles and as long as an open crossed
// belt: 2·(wrap of both) + the leg that runs through + what is left of the other.
func TestEightPath(t *testing.T) {
	a, b := geom.Point{X: -30, Y: 5}, geom.Point{X: 40, Y: 25}
	const a0, b0, s, n = 6.0, 8.0, 1.0, 3
	d := a.Dist(b)
	for k := range n {
		p := eightPath(a, b, a0, b0, s, k, n)
		ra, rb := a0+float64(k)*s, b0+float64(n-1-k)*s
		nearA, nearB := math.Inf(1), math.Inf(1)
		for _, q := range p.Resample(0.05).Points {
			nearA, nearB = math.Min(nearA, q.Dist(a)), math.Min(nearB, q.Dist(b))
		}
		if math.Abs(nearA-ra) > 0.02 || math.Abs(nearB-rb) > 0.02 {
			t.Errorf("turn %d comes as near as %g and %g mm, want %g and %g", k, nearA, nearB, ra, rb)
		}
		alpha := math.Asin((ra + rb) / d)
		belt := (math.Pi+2*alpha)*(ra+rb) + 2*math.Sqrt(d*d-(ra+rb)*(ra+rb))
		if l := p.Length(); l > belt-s || l < belt-4*(n+2)*s {
			t.Errorf("turn %d is %g mm long, the closed belt %g mm", k, l, belt)
		}
		if r, _ := p.Resample(0.5).LeastRadius(); r < math.Min(ra, rb)*0.8 {
			t.Errorf("turn %d bends to %g mm", k, r)
		}
		m := mirrored(p, a, b)
		if math.Abs(m.Length()-p.Length()) > 1e-9 {
			t.Errorf("the mirror image is %g mm long, not %g", m.Length(), p.Length())
		}
	}
}
