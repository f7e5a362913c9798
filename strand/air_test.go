package strand

import (
	"context"
	"math"
	"slices"
	"testing"

	"sinew/geom"
	"sinew/printer"
)

// airCard is a card that bridges 12 mm and knows supports.
func airCard() *printer.Card {
	c := *card()
	c.PlasticHeight, c.WallWidth, c.Overhang = 0.2, 0.6, math.Pi/4
	c.Bridge = &printer.Bridge{Span: 12, Feed: 20, Flow: 0.95, Fan: 1}
	c.Support = &printer.Support{Pitch: 2.5, Gap: 0.2, Side: 0.6}
	return &c
}

// pocketed is a plate of 80 × 60 mm with a rectangular opening w × h in its
// middle.
func pocketed(w, h float64) (whole, open geom.Region) {
	whole = rectangle(-40, -30, 80, 60)
	open = whole
	open.Holes = []geom.Loop{rectangle(-w/2, -h/2, w, h).Outer.Reverse()}
	return whole, open
}

// layOver lays a stack of bottom plastic and some composite layers in which the
// outline is below up to layer n-1 and whole from there.
func layOver(t *testing.T, c *printer.Card, s Settings, composite, n int, below geom.Region) *Print {
	t.Helper()
	whole, m := plate(80, 60, 4)
	shift := whole.Bounds().Middle()
	whole = whole.Map(func(p geom.Point) geom.Point { return p.Sub(shift) })
	for i := range m.Nodes {
		m.Nodes[i] = m.Nodes[i].Sub(shift)
	}
	s.Region, s.Walls = whole, 1
	inner, err := whole.Inset(c.WallWidth + c.BeadToWall)
	if err != nil {
		t.Fatal(err)
	}
	beneath, err := below.Inset(c.WallWidth + c.BeadToWall)
	if err != nil {
		t.Fatal(err)
	}
	l := layupOf(inner[0], m, composite, func(p geom.Point) float64 { return p.Y })
	top := composite + s.Bottom + s.Top - 1
	pr, err := LayIslands(context.Background(), l, c, s, []Island{{First: 0, Last: n - 1, Region: below, Composite: beneath[0]}, {First: n, Last: top, Region: whole, Composite: inner[0]}})
	if err != nil {
		t.Fatal(err)
	}
	return pr
}

func kindOf(l *Layer, k BeadKind) []Bead {
	return slices.DeleteFunc(slices.Clone(l.Beads), func(b Bead) bool { return b.Kind != k })
}

// Rows over a pocket run along its shorter side, from carried place to carried
// place, and fill it; no other bead lies over it.
func TestBridges(t *testing.T) {
	c := airCard()
	reach := c.PlasticHeight // at 45°
	for _, row := range []struct {
		name        string
		w, h, angle float64
	}{
		{"upright pocket", 10, 24, 0},
		{"lying pocket", 30, 8, math.Pi / 2},
	} {
		_, below := pocketed(row.w, row.h)
		pr := layOver(t, c, Settings{Bottom: 4, Top: 1}, 2, 2, below)
		area := rectangle(-row.w/2+reach, -row.h/2+reach, row.w-2*reach, row.h-2*reach).Flatten(0)
		clip := geom.NewClipper(area)
		covered := 0.0
		for _, b := range kindOf(&pr.Layers[2], Span) {
			if b.Flow != c.Bridge.Flow {
				t.Errorf("%s: flow %g", row.name, b.Flow)
			}
			for i := 1; i < len(b.Points); i++ {
				for _, p := range clip.Clip(geom.Path{Points: b.Points[i-1 : i+1]}) {
					d := unitVector(p.Points[len(p.Points)-1].Sub(p.Points[0]))
					sin, cos := math.Sincos(row.angle)
					if along := math.Abs(d.X*cos + d.Y*sin); p.Length() > 0.7 && along < 0.999 {
						t.Errorf("%s: a row over air runs along %v", row.name, d)
					}
					if p.Length() > math.Min(row.w, row.h) {
						t.Errorf("%s: spans %g mm", row.name, p.Length())
					}
					covered += p.Length() * b.Width
				}
			}
			if area.Contains(b.Points[0]) || area.Contains(b.last()) {
				t.Errorf("%s: a bridge ends over air at %v, %v", row.name, b.Points[0], b.last())
			}
		}
		if want := area.Area(); math.Abs(covered/want-1) > 0.06 {
			t.Errorf("%s: %.1f mm² of rows over %.1f mm² of air", row.name, covered, want)
		}
		for _, b := range pr.Layers[2].Beads {
			if over := lengthIn(clip, &b); b.Kind != Span && over > 0.01 {
				t.Errorf("%s: a %v lies over air by %.2f mm", row.name, b.Kind, over)
			}
		}
		for k := range pr.Layers {
			if n := len(kindOf(&pr.Layers[k], Span)); (n > 0) != (k == 2) {
				t.Errorf("%s: layer %d has %d bridges", row.name, k, n)
			}
		}
		r := pr.Raster(&pr.Layers[2], 0.1)
		r.AddBeads(pr.Layers[2].Beads)
		if gap, all := r.Area(r.Gap), whole().Area(); gap > 0.02*all {
			t.Errorf("%s: %.1f of %.0f mm² empty", row.name, gap, all)
		}
	}
}

func whole() geom.Region { w, _ := pocketed(1, 1); return w }

func lengthIn(clip *geom.Clipper, b *Bead) float64 {
	sum := 0.0
	for _, p := range clip.Clip(geom.Path{Points: b.Points, Closed: b.Closed}) {
		sum += p.Length()
	}
	return sum
}

// What no row can span is not bridged: too wide both ways, or open to a side.
func TestNoBridge(t *testing.T) {
	_, wide := pocketed(20, 20)
	for name, below := range map[string]geom.Region{
		"too wide":     wide,
		"cantilever":   rectangle(-40, -30, 70, 60),
		"open corner":  {Outer: geom.Polyline(geom.Point{X: -40, Y: -30}, geom.Point{X: 30, Y: -30}, geom.Point{X: 30, Y: -20}, geom.Point{X: 40, Y: -20}, geom.Point{X: 40, Y: 30}, geom.Point{X: -40, Y: 30})},
		"small enough": rectangle(-40, -30, 80, 59.9), // 0.1 mm is within the overhang
	} {
		pr := layOver(t, airCard(), Settings{Bottom: 4, Top: 1, Supports: name == "small enough"}, 2, 2, below)
		for k := range pr.Layers {
			if n := len(kindOf(&pr.Layers[k], Span)) + len(kindOf(&pr.Layers[k], Support)); n > 0 {
				t.Errorf("%s: layer %d has %d bridges and supports", name, k, n)
			}
		}
	}
}

// Supports stand under all that reaches out over air, on the bed or on the
// part, each bead on the one below, with their gaps to the part.
func TestSupports(t *testing.T) {
	_, pocket := pocketed(24, 16)
	for _, row := range []struct {
		name         string
		below        geom.Region
		free         geom.Polygons // over air beyond what may overhang, less the side gap
		first, roof  int
		bottom, comp int
	}{
		{"pocket", pocket, rectangle(-11.4, -7.4, 22.8, 14.8).Flatten(0), 0, 6, 2, 8},
		{"ledge", rectangle(-40, -30, 70, 60), rectangle(30.6, -30, 9.4, 60).Flatten(0), 0, 6, 2, 8},
		{"narrow ledge", rectangle(-40, -30, 78.4, 60), rectangle(39.0, -30, 1, 60).Flatten(0), 0, 5, 2, 8},
	} {
		c := airCard()
		pr := layOver(t, c, Settings{Bottom: row.bottom, Top: 1, Supports: true}, row.comp, row.roof, row.below)
		var under []Bead
		for k := range pr.Layers {
			s := kindOf(&pr.Layers[k], Support)
			if stands := k >= row.first && k < row.roof-1; (len(s) > 0) != stands {
				t.Fatalf("%s: layer %d of roof %d has %d support beads", row.name, k, row.roof, len(s))
			}
			for _, b := range s {
				back := slices.Clone(b.Points)
				slices.Reverse(back)
				if k > 0 && !slices.ContainsFunc(under, func(u Bead) bool { return slices.Equal(u.Points, b.Points) || slices.Equal(u.Points, back) }) {
					t.Errorf("%s: layer %d: a support bead lies on none", row.name, k)
				}
			}
			if under = s; k > row.roof {
				continue
			}
			edge := geom.NewBoundary(row.below)
			for _, b := range s {
				for _, p := range (geom.Path{Points: b.Points, Closed: b.Closed}).Resample(0.5).Points {
					if d := edge.Nearest(p).Distance - b.Width/2; d < c.Support.Side-0.05 || row.below.Contains(p) {
						t.Fatalf("%s: layer %d: %.3f mm from the part at %v", row.name, k, d, p)
					}
				}
			}
		}
		beads := kindOf(&pr.Layers[0], Support)
		r := newRaster(regionsOf(row.free), 0.2)
		for i := range beads {
			beads[i].Width, beads[i].Widths = 2*c.Support.Pitch, nil
		}
		r.AddBeads(beads)
		if bare := r.Area(r.Gap); bare > 0.01*row.free.Area() {
			t.Errorf("%s: %.1f of %.1f mm² without support", row.name, bare, row.free.Area())
		}
	}
}

// A support that stands on the part leaves the gap below it too; what another
// layer of the part covers is not supported through it.
func TestSupportOnPart(t *testing.T) {
	c := airCard()
	base, m := plate(80, 60, 4)
	post := rectangle(base.Bounds().Min.X, base.Bounds().Min.Y, 30, 60)
	l := layupOf(base, m, 10, func(p geom.Point) float64 { return p.Y })
	pr, err := LayIslands(context.Background(), l, c, Settings{Region: base, Supports: true}, []Island{{First: 0, Last: 1, Region: base, Composite: base}, {First: 2, Last: 7, Region: post, Composite: post}, {First: 8, Last: 9, Region: base, Composite: base}})
	if err != nil {
		t.Fatal(err)
	}
	for k := range pr.Layers {
		if n := len(kindOf(&pr.Layers[k], Support)); (n > 0) != (k >= 3 && k <= 6) {
			t.Errorf("layer %d has %d support beads", k, n)
		}
	}
}

// The volume of a support of nested loops is that of its loops.
func TestSupportVolume(t *testing.T) {
	lim := limitsOf(airCard())
	area := rectangle(0, 0, 20, 10).Flatten(0)
	got := 0.0
	for _, b := range supportLoops(area, lim) {
		got += b.Length()
	}
	want := 0.0
	for d := 0.3; d < 5; d += 2.5 {
		want += 2 * (20 + 10 - 4*d)
	}
	if math.Abs(got-want) > 0.1 {
		t.Errorf("%.2f mm of loops, want %.2f", got, want)
	}
}
