package strand

import (
	"context"
	"math"
	"testing"

	"sinew/geom"
	"sinew/printer"
)

// ironing is a printer whose beads are 0.816 mm wide, all of them.
func ironing() *printer.Card {
	c := card()
	c.Process, c.PregArea, c.CompositeHeight = printer.PreImpregnated, 0.102, 0.125
	c.CutterDistance, c.SpacingMin, c.SpacingMax = 60, 0.82, 1.6
	return c
}

// Strands that fan out from 0.9 to 2.6 mm: beads of fixed width stay as wide as
// they are, further strands come in between, and none lies too near to another.
func TestFixedWidthAddsStrands(t *testing.T) {
	r, m := plate(200, 60, 2)
	fan := func(p geom.Point) float64 { return (p.Y - 30) / (0.9 + 1.7*p.X/200) }
	l := layupOf(r, m, 2, fan)
	quiet := func(p geom.Point) float64 { return 1 + p.X }
	pr, err := Lay(context.Background(), l, ironing(), Settings{Bare: true, Quiet: quiet})
	if err != nil {
		t.Fatal(err)
	}
	wide := ironing()
	wide.Process = printer.CoExtruded
	once, err := Lay(context.Background(), l, wide, Settings{Bare: true, Quiet: quiet})
	if err != nil {
		t.Fatal(err)
	}
	for i := range pr.Layers {
		y := &pr.Layers[i]
		if len(Crossings(y.Strands)) > 0 {
			t.Errorf("layer %d: strands cross", i)
		}
		length := 0.0
		for k := range y.Strands {
			s := &y.Strands[k]
			length += s.Length()
			if s.Length() < 60 {
				t.Errorf("layer %d: a strand of %g mm", i, s.Length())
			}
			for j, w := range s.Width {
				if w > 0.816+1e-9 || w < 0.9*0.82 {
					t.Fatalf("layer %d: a bead %g mm wide at %v", i, w, s.Points[j])
				}
			}
		}
		before := once.Layers[i].Stats(once).Length * 0.816 / r.Area()
		after := length * 0.816 / r.Area()
		t.Logf("layer %d: %d strands added, beads over %.3f of the area instead of %.3f", i, y.Added, after, before)
		if y.Added < 8 || after < before+0.12 || after > 1 {
			t.Errorf("layer %d: %d strands were added, beads cover %.3f of the area instead of %.3f", i, y.Added, after, before)
		}
	}
}

// Strands that converge to 0.4 mm: they end until the rest lies a bead apart,
// and where load differs those that carry least end.
func TestFixedWidthEndsStrands(t *testing.T) {
	r, m := plate(200, 60, 2)
	fan := func(p geom.Point) float64 { return (p.Y - 30) / (0.4 + 0.9*p.X/200) }
	l := layupOf(r, m, 1, fan)
	lay := func(quiet func(geom.Point) float64) *Print {
		pr, err := Lay(context.Background(), l, ironing(), Settings{Bare: true, Stagger: -1, Quiet: quiet})
		if err != nil {
			t.Fatal(err)
		}
		return pr
	}
	// Strands at the left end, above the middle and below.
	sides := func(pr *Print) (above, below int) {
		for _, s := range pr.Layers[0].Strands {
			if math.Min(s.Points[0].X, s.Points[len(s.Points)-1].X) < 10 {
				if p := s.Points[len(s.Points)/2]; p.Y > 30 {
					above++
				} else {
					below++
				}
			}
		}
		return above, below
	}
	pr := lay(func(p geom.Point) float64 { return 1 + p.Y })
	packed := 0.0
	for _, s := range pr.Layers[0].Strands {
		for j, w := range s.Width {
			if j > 0 && w < fixedPacked*0.82 {
				packed += s.Points[j].Dist(s.Points[j-1])
			}
		}
	}
	if packed > 0.02*pr.Stats().Length {
		t.Errorf("%g mm of %g mm of strand lie nearer than a bead is wide", packed, pr.Stats().Length)
	}
	// Of 60 mm lines within 21 mm of the middle are long enough to be laid.
	a, b := sides(pr)
	t.Logf("%d strands reach the narrow end above the middle, %d below", a, b)
	if a+b < 40 || a+b > 52 {
		t.Errorf("%d strands reach the narrow end, 52 beads fit", a+b)
	}
	// Fewer of them are ended where more is carried.
	meanY := func(pr *Print) float64 {
		sum := 0.0
		at, _ := innerEnds(&pr.Layers[0], 0)
		for _, p := range at {
			sum += p.Y / float64(len(at))
		}
		return sum
	}
	up, down := meanY(pr), meanY(lay(func(p geom.Point) float64 { return 61 - p.Y }))
	t.Logf("ends lie at y = %.2f mm where more is carried above, at %.2f mm where below", up, down)
	if !(up < down) {
		t.Errorf("ends lie at y = %.2f mm where more is carried above, at %.2f mm where below", up, down)
	}
}
