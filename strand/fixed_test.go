package strand

import (
	"context"
	"math"
	"testing"

	"sinew/field"
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

// Where strands fan out, beads of fixed width are added until no level line,
// looked for at every twentieth of a strand, has room for one more that the
// cutter lets lie: what stays open is too short for fibre, and plastic's.
func TestFixedWidthIsFilled(t *testing.T) {
	r, m := plate(200, 60, 2)
	for _, row := range []struct {
		name  string
		phase func(geom.Point) float64
		least float64 // of the room beyond the greatest spacing that is closed
	}{
		{"fan to 2.6 mm", func(p geom.Point) float64 { return (p.Y - 30) / (0.9 + 1.7*p.X/200) }, 0.7},
		{"fan to 5 mm", func(p geom.Point) float64 { return (p.Y - 30) / (0.9 + 4.1*p.X/200) }, 0.75},
		{"rays", func(p geom.Point) float64 { return 60 * math.Atan2(p.Y-30, p.X+40) }, 0.65},
	} {
		l := layupOf(r, m, 1, row.phase)
		lay := func(c *printer.Card) []Strand {
			pr, err := Lay(context.Background(), l, c, Settings{Bare: true})
			if err != nil {
				t.Fatal(err)
			}
			return pr.Layers[0].Strands
		}
		plain := ironing()
		plain.Process = printer.CoExtruded
		full := lay(ironing())
		before, after := farShare(lay(plain)), farShare(full)
		t.Logf("%s: %.3f of the area lies beyond the greatest spacing, without further strands %.3f", row.name, after, before)
		if after > (1-row.least)*before {
			t.Errorf("%s: %.3f of the area lies beyond the greatest spacing, without further strands %.3f", row.name, after, before)
		}
		if room := longestRoom(l, full); room >= ironing().CutterDistance {
			t.Errorf("%s: a level line has room for a further strand of %.1f mm", row.name, room)
		}
	}
}

// farShare is the share of the plate that lies farther than half of the
// greatest spacing from every centre line.
func farShare(strands []Strand) float64 {
	there := newSegments(strandSegments(strands))
	far, all := 0, 0
	for x := 1.0; x < 199; x += 0.5 {
		for y := 1.0; y < 59; y += 0.5 {
			all++
			if !there.within(geom.Point{X: x, Y: y}, ironing().SpacingMax/2) {
				far++
			}
		}
	}
	return float64(far) / float64(all)
}

// longestRoom is the longest stretch of any level line that lies a bead's width
// off all strands.
func longestRoom(l *field.Layup, strands []Strand) float64 {
	m := newLayer(l, limitsOf(ironing()), Settings{}.withDefaults(l))
	there := newSegments(strandSegments(strands))
	var lv []float64
	for v := -70.0; v < 70; v += 0.05 {
		lv = append(lv, v)
	}
	longest := 0.0
	for _, paths := range geom.LevelLines(m.fine[0].nodes, m.fine[0].tris, m.fine[0].values, lv) {
		for _, p := range paths {
			for _, r := range m.fringe.clip(p) {
				free := 0.0
				for k := 1; k < len(r.pts); k++ {
					free += r.pts[k].Dist(r.pts[k-1])
					if there.within(r.pts[k], fixedClear*m.limits.fixed) {
						free = 0
					}
					longest = math.Max(longest, free)
				}
			}
		}
	}
	return longest
}
