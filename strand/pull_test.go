package strand

import (
	"context"
	"math"
	"reflect"
	"testing"

	"sinew/geom"
)

// On a circle the tow comes to lie ℓ²/R inside, whichever way it is laid.
func TestPullOnACircle(t *testing.T) {
	const length = 0.8
	for _, radius := range []float64{5, 12, 40} {
		p := circle(radius, 0.25)
		for range 2 {
			for _, q := range pulled(p, true, length) {
				if want := length * length / radius; math.Abs(radius-q.Norm()-want) > 0.01*want {
					t.Fatalf("radius %g mm: pulled in by %g mm, want %g", radius, radius-q.Norm(), want)
				}
			}
			for i, j := 0, len(p)-1; i < j; i, j = i+1, j-1 {
				p[i], p[j] = p[j], p[i]
			}
		}
	}
}

// bent is a line with an arc between straight legs, at steps of h.
func bent(radius, angle, leg, h float64) []geom.Point {
	var pts []geom.Point
	for s := -leg; s < 0; s += h {
		pts = append(pts, geom.Point{X: s})
	}
	n := math.Ceil(radius * angle / h)
	for i := range int(n) + 1 {
		sin, cos := math.Sincos(angle * float64(i) / n)
		pts = append(pts, geom.Point{X: radius * sin, Y: radius * (1 - cos)})
	}
	sin, cos := math.Sincos(angle)
	end := pts[len(pts)-1]
	for s := h; s <= leg; s += h {
		pts = append(pts, end.Add(geom.Point{X: cos, Y: sin}.Scale(s)))
	}
	return geom.Path{Points: pts}.Resample(h).Points
}

// In an arc between straight legs the pull is that of the closed form: it grows
// with the angle and with the tension, and falls with the radius.
func TestPullInAnArc(t *testing.T) {
	for _, c := range []struct{ radius, degrees, length float64 }{
		{5, 20, 1.5}, {5, 90, 1.5}, {5, 180, 1.5}, {5, 90, 0.7}, {20, 45, 2}, {8, 60, 3},
	} {
		angle := c.degrees * math.Pi / 180
		p := bent(c.radius, angle, 40, 0.1)
		most := 0.0
		for i, q := range pulled(p, false, c.length) {
			most = math.Max(most, q.Dist(p[i]))
		}
		want := c.length * c.length / c.radius * (1 - math.Exp(-c.radius*angle/2/c.length))
		if math.Abs(most-want) > 0.02*want {
			t.Errorf("radius %g mm, %g°, length %g mm: %g mm, want %g", c.radius, c.degrees, c.length, most, want)
		}
	}
}

// The nozzle's path lies outside of the bends and the tow where it was planned:
// proof and checks see the plan, the machine the path.
func TestPathAllowsForThePull(t *testing.T) {
	r, m := plate(80, 80, 2)
	square := func(p geom.Point) float64 {
		x, y := math.Abs(p.X-40), math.Abs(p.Y-40)
		return math.Pow(math.Pow(x, 12)+math.Pow(y, 12), 1.0/12) / 1.2
	}
	l := layupOf(r, m, 2, square)
	plain := lay(t, l, Settings{Bare: true})
	c := card()
	c.TowTension, c.CornerHold = 0.6, 1.5
	pr, err := Lay(context.Background(), l, c, Settings{Bare: true})
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(plain.Driven(), plain) || plain.Layers[0].Pull != 0 {
		t.Error("without tension the nozzle goes elsewhere than the tow")
	}
	driven := pr.Driven()
	for i := range pr.Layers {
		y := &pr.Layers[i]
		if y.Pull < 0.03 || y.Pull > 0.4/4 || y.PullMissed > 1e-3 {
			t.Errorf("layer %d: pulled in by %g mm, off the plan by %g mm", i, y.Pull, y.PullMissed)
		}
		for k := range y.Strands {
			s, was, path := &y.Strands[k], &plain.Layers[i].Strands[k], &driven.Layers[i].Strands[k]
			if len(s.Points) != len(was.Points) || len(path.Points) != len(s.Width) {
				t.Fatalf("strand %d: %d points and %d of the path, planned %d", k, len(s.Points), len(path.Points), len(was.Points))
			}
			outside := 0.0
			for j, p := range s.Points {
				if p.Dist(was.Points[j]) > 1e-3 {
					t.Fatalf("strand %d lies at %v, planned at %v", k, p, was.Points[j])
				}
				mid := geom.Point{X: 40, Y: 40}
				outside = math.Max(outside, path.Points[j].Dist(mid)-p.Dist(mid))
			}
			if s.Closed && outside < 0.02 {
				t.Errorf("strand %d: the nozzle goes no more than %g mm outside of the tow", k, outside)
			}
		}
	}
}
