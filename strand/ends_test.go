package strand

import (
	"context"
	"math"
	"testing"

	"sinew/geom"
)

// necked is a lay-up whose strands come too near to each other midway, so that
// every second one or so ends there.
func necked(layers int) func(Settings) *Print {
	r, m := plate(200, 60, 2)
	phase := func(p geom.Point) float64 {
		y := p.Y - 30
		return y / (1 - 0.6*math.Exp(-(p.X-100)*(p.X-100)/800))
	}
	l := layupOf(r, m, layers, phase)
	return func(s Settings) *Print {
		pr, err := Lay(context.Background(), l, card(), s)
		if err != nil {
			panic(err)
		}
		return pr
	}
}

// innerEnds lists where a layer's strands end inside of the part, and where
// closed ones start, with their directions there; of strands no shorter than
// least.
func innerEnds(l *Layer, least float64) (at, dir []geom.Point) {
	for i := range l.Strands {
		s := &l.Strands[i]
		if s.Length() < least {
			continue
		}
		t := tangents(s.Points, false)
		if s.Closed || s.Start.isInner() {
			at, dir = append(at, s.Points[0]), append(dir, t[0])
		}
		if n := len(s.Points) - 1; !s.Closed && s.End.isInner() {
			at, dir = append(at, s.Points[n]), append(dir, t[n])
		}
	}
	return at, dir
}

// stacked counts the ends over which a strand of the two layers below ends
// within reach along it, no farther across than half of the widest bead.
func stacked(pr *Print, reach float64) (near, all int) {
	for i := range pr.Layers {
		at, dir := innerEnds(&pr.Layers[i], 45+reach) // others have no length to give
		for j, p := range at {
			all++
			over := false
			for k := max(0, i-staggerLayers); k < i; k++ {
				below, _ := innerEnds(&pr.Layers[k], 0)
				for _, q := range below {
					v := q.Sub(p)
					over = over || math.Abs(v.Dot(dir[j])) < reach && math.Abs(v.Cross(dir[j])) < 1
				}
			}
			if over {
				near++
			}
		}
	}
	return near, all
}

// Ends inside of the part lie over none of the two layers below, within the
// length over which an end takes up load; without staggering all of them do.
func TestEndsAreStaggered(t *testing.T) {
	make := necked(6)
	for _, stagger := range []float64{5, 8} {
		pr := make(Settings{Bare: true, Stagger: stagger})
		hold(t, "staggered", pr)
		for i := range pr.Layers { // the print's own count holds short strands, too
			if n := len(pr.StackedEnds(&pr.Layers[i])); n > 4 || i == 0 && n > 0 {
				t.Errorf("stagger %g mm: layer %d says that %d ends lie over others", stagger, i, n)
			}
		}
		if near, all := stacked(pr, stagger); near > 0 || all < 60 {
			t.Errorf("stagger %g mm: %d of %d ends lie over ends below", stagger, near, all)
		}
	}
	plain := make(Settings{Bare: true, Stagger: -1})
	if near, all := stacked(plain, 5); near < all/2 {
		t.Errorf("without staggering %d of %d ends lie over ends below: nothing was tried", near, all)
	}
	plain.Stagger = 5
	if n := len(plain.StackedEnds(&plain.Layers[2])); n < 20 {
		t.Errorf("without staggering layer 2 says that %d ends lie over others", n)
	}
	a, b := plain.Stats(), make(Settings{Bare: true}).Stats()
	if b.Count != a.Count || b.Length > a.Length || b.Length < 0.95*a.Length {
		t.Errorf("%d strands of %g mm became %d of %g mm", a.Count, a.Length, b.Count, b.Length)
	}
}

// An end goes back to where less pulls, and the strand stays long enough.
func TestEndsLieWhereLittlePulls(t *testing.T) {
	make := necked(1)
	toMiddle := func(p geom.Point) float64 { return math.Exp(-math.Abs(p.X-100) / 10) }
	mean := func(pr *Print) float64 {
		sum := 0.0
		ends, _ := innerEnds(&pr.Layers[0], 0)
		for _, p := range ends {
			sum += toMiddle(p) / float64(len(ends))
		}
		return sum
	}
	plain, quiet := make(Settings{Bare: true}), make(Settings{Bare: true, Quiet: toMiddle})
	hold(t, "quiet", quiet)
	if a, b := mean(plain), mean(quiet); !(b < 0.8*a) {
		t.Errorf("ends lie where %g pulls, without asking %g", b, a)
	}
}

// Starts of closed strands of neighbouring layers lie apart, too.
func TestStartsAreStaggered(t *testing.T) {
	r, m := holed(80, 80, 10, 96, 24)
	l := layupOf(r, m, 6, func(p geom.Point) float64 { return p.Norm() - 10 }, 1)
	for i := range l.Families {
		l.Families[i].Turns = 3
	}
	pr := lay(t, l, Settings{Bare: true, Quiet: func(p geom.Point) float64 { return 1 + p.X/100 }})
	if near, all := stacked(pr, 5); near > 0 || all != 18 {
		t.Errorf("%d of %d starts lie over starts below", near, all)
	}
}

// Layers that end at the edge of a terrace end there one after the other, and
// say so; those below run through, and at the part's own edge all end alike.
func TestLayersDropOffOneAfterTheOther(t *testing.T) {
	whole, m := plate(160, 40, 2)
	top := rectangle(0, 0, 90, 40)
	l := layupOf(whole, m, 6, func(p geom.Point) float64 { return p.Y })
	pr, err := LayIslands(context.Background(), l, card(), Settings{Bare: true, Region: whole}, []Island{{First: 0, Last: 1, Region: whole, Composite: whole}, {First: 2, Last: 5, Region: top, Composite: top}})
	if err != nil {
		t.Fatal(err)
	}

	for i := range pr.Layers {
		for k := range pr.Layers[i].Strands {
			s := &pr.Layers[i].Strands[k]
			for _, e := range []struct {
				why End
				p   geom.Point
			}{{s.Start, s.Points[0]}, {s.End, s.Points[len(s.Points)-1]}} {
				want := AtEdge
				if i >= 2 && e.p.X > 50 {
					want = AtDrop
				} else if x := math.Min(e.p.X, 160-e.p.X); math.Abs(x-0.325) > 0.01 {
					t.Errorf("layer %d: an end at the part's edge lies at %v", i, e.p)
				}
				if e.why != want {
					t.Fatalf("layer %d: end at %v: %s, want %s", i, e.p, e.why, want)
				}
			}
		}
	}
	if near, all := stacked(pr, 5); near > 0 || all < 100 {
		t.Errorf("%d of %d ends lie over ends below", near, all)
	}
}

// Where the ends of layers lie apart, as at the edge of a terrace, each layer's
// plain plastic fills what its own strands leave: none keeps more room than a few
// ends' corners, or fills more of it twice than the first that ends there.
func TestPatchesFitTheirLayersEnds(t *testing.T) {
	r, m := plate(120, 30, 2)
	l := layupOf(r, m, 8, func(p geom.Point) float64 { return p.Y })
	b := r.Bounds()
	left := rectangle(b.Min.X, b.Min.Y, 80, 30)
	islands := []Island{{First: 0, Last: 1, Region: r, Composite: r}, {First: 2, Last: 7, Region: left, Composite: left}}
	pr, err := LayIslands(context.Background(), l, card(), Settings{Region: r, Stagger: 5}, islands)
	if err != nil {
		t.Fatal(err)
	}
	var gap, twice []float64
	for i := 2; i < len(pr.Layers); i++ {
		y := &pr.Layers[i]
		ra := pr.Raster(y, fillCell)
		ra.AddStrands(y.Strands, pr.Halves(y), pr.SpacingMin, true)
		ra.AddBeads(y.Beads)
		gap, twice = append(gap, ra.Area(ra.Gap)), append(twice, ra.Area(ra.Overlapped))
	}
	t.Logf("mm² empty %.1f, filled twice %.1f", gap, twice)
	for i := range gap {
		if gap[i] > 6 || twice[i] > 1.5*twice[0]+2 {
			t.Errorf("layer %d: %.1f mm² stay empty and %.1f are filled twice; in the first %.1f and %.1f", i+2, gap[i], twice[i], gap[0], twice[0])
		}
	}
}

// Every reason that a strand can end for has its number in the list, and words.
func TestReasonsOfEndsHaveWords(t *testing.T) {
	for i, e := range Ends() {
		if int(e) != i || e.String() == "unknown" {
			t.Errorf("reason %d has number %d and says %q", i, e, e)
		}
	}
	if s := End(len(Ends())).String(); s != "unknown" {
		t.Errorf("%q is not listed", s)
	}
}
