package strand

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"reflect"
	"strings"
	"testing"

	"sinew/field"
	"sinew/geom"
)

func lay(t testing.TB, l *field.Layup, s Settings) *Print {
	t.Helper()
	pr, err := Lay(context.Background(), l, card(), s)
	if err != nil {
		t.Fatal(err)
	}
	return pr
}

// Layers that differ are made side by side: the print is the same for any
// number of workers.
func TestSamePrintForAnyWorkers(t *testing.T) {
	r, m := holed(150, 36, 6, 96, 24)
	l := layupOf(r, m, 4, around(6), 1)
	l.Layers[1].Shift, l.Layers[3].Shift = 0.5, 0.5
	first := lay(t, l, Settings{Walls: 1, Bottom: 1, Top: 1, Workers: 1})
	for _, workers := range []int{2, 5} {
		if again := lay(t, l, Settings{Walls: 1, Bottom: 1, Top: 1, Workers: workers}); !reflect.DeepEqual(first, again) {
			t.Errorf("%d workers print something else than one", workers)
		}
	}
}

// Level lines of a distance are circles.
func TestTraceOfCircles(t *testing.T) {
	r, m := holed(80, 80, 6, 96, 24)
	pr := lay(t, layupOf(r, m, 2, func(p geom.Point) float64 { return p.Norm() - 6 }, 1), Settings{Bare: true})
	for _, l := range pr.Layers {
		for _, s := range l.Strands {
			if !s.Closed {
				continue
			}
			if s.Overlap < 5-1e-6 || s.Overlap > 6 {
				t.Errorf("overlap %g mm, want 5 to 6", s.Overlap)
			}
			for _, p := range s.Points {
				if d := p.Norm() - 6 - s.Level; math.Abs(d) > 0.01 {
					t.Fatalf("level %g: point %v is off by %g mm", s.Level, p, d)
				}
			}
		}
	}
}

// integral returns ∫|∇φ| over the refined triangles.
func integral(l *field.Layup) float64 {
	f := refine(&l.Families[0])
	sum := 0.0
	for _, t := range f.tris {
		a, b, c := f.nodes[t[0]], f.nodes[t[1]], f.nodes[t[2]]
		u, v := b.Sub(a), c.Sub(a)
		du, dv := f.values[t[1]]-f.values[t[0]], f.values[t[2]]-f.values[t[0]]
		// |∇φ|·area = |du·v - dv·u| / 2
		sum += v.Scale(du).Sub(u.Scale(dv)).Norm() / 2
	}
	return sum
}

// The drawn length is the integral of the phase's gradient.
func TestDrawnLengthIsTheIntegral(t *testing.T) {
	strip, sm := holed(150, 36, 6, 96, 24)
	flat, fm := plate(120, 30, 2)
	for _, c := range []struct {
		name string
		l    *field.Layup
	}{
		{"around a hole", layupOf(strip, sm, 2, around(6), 1)},
		{"lengthwise", layupOf(flat, fm, 2, func(p geom.Point) float64 { return p.Y })},
	} {
		pr := lay(t, c.l, Settings{Bare: true})
		want := integral(c.l)
		for _, l := range pr.Layers {
			got := l.Stats(pr).Length + l.DroppedLength
			// The strands end half a bead before the edges.
			ends := float64(2*len(l.Strands)) * 0.325
			// A shifted layer may hold one strand in thirty less.
			if math.Abs(got+ends-want) > 0.04*want || l.Shift == 0 && math.Abs(got+ends-want) > 0.01*want {
				t.Errorf("%s, shift %g: drawn %g mm, integral %g mm", c.name, l.Shift, got+ends, want)
			}
		}
	}
}

// hold demands what Lay guarantees of any phase.
func hold(t *testing.T, name string, pr *Print) {
	t.Helper()
	edge := geom.NewBoundary(pr.Composite)
	for _, l := range pr.Layers {
		if c := Crossings(l.Strands); len(c) > 0 {
			t.Errorf("%s, layer %d: %d crossings, the first at %v", name, l.Index, len(c), c[0])
		}
		for i := range l.Strands {
			s := &l.Strands[i]
			if n := s.Length(); n < 45 {
				t.Errorf("%s: strand of %g mm", name, n)
			}
			if len(s.Width) != len(s.Points) {
				t.Fatalf("%s: %d widths for %d points", name, len(s.Width), len(s.Points))
			}
			if s.Closed != (s.Start == Whole) || s.Closed != (s.End == Whole) {
				t.Errorf("%s: closed %v, ends %v and %v", name, s.Closed, s.Start, s.End)
			}
			for k, p := range s.Points {
				if d := edge.Nearest(p).Distance; d < 0.325-2e-3 || !pr.Composite.Contains(p) {
					t.Fatalf("%s: point %v lies %g mm from the edge", name, p, d)
				}
				if s.Width[k] > 2+1e-9 || s.Width[k] <= 0 {
					t.Fatalf("%s: width %g", name, s.Width[k])
				}
			}
		}
	}
}

// wave is a random smooth phase: a slope with a few long waves on it.
func wave(rng *rand.Rand, tilt float64) func(geom.Point) float64 {
	type term struct{ k, a, p float64 }
	var terms []term
	for range 3 {
		terms = append(terms, term{0.05 + 0.1*rng.Float64(), 1.5 * rng.Float64(), 6 * rng.Float64()})
	}
	s, c := math.Sincos(tilt)
	return func(p geom.Point) float64 {
		v := 0.8 * (c*p.Y - s*p.X)
		for _, w := range terms {
			v += w.a * math.Sin(w.k*(p.X+0.4*p.Y)+w.p)
		}
		return v
	}
}

func TestRandomPhases(t *testing.T) {
	rng := rand.New(rand.NewSource(6))
	flat, fm := plate(100, 40, 2)
	strip, sm := holed(100, 40, 6, 64, 16)
	for i := range 16 {
		r, m := flat, fm
		if i%2 == 1 {
			r, m = strip, sm
		}
		phase := wave(rng, math.Pi*rng.Float64())
		hold(t, fmt.Sprintf("phase %d", i), lay(t, layupOf(r, m, 2, phase), Settings{Bare: true}))
	}
}

func TestHoleKeepsItsStrandsWhole(t *testing.T) {
	r, m := holed(150, 36, 6, 96, 24)
	pr := lay(t, layupOf(r, m, 4, around(6), 1), Settings{Thickness: 1.28})
	hold(t, "around a hole", pr)
	st := pr.Stats()
	if st.CutByHole != 0 {
		t.Errorf("%d strands are cut by the hole", st.CutByHole)
	}
	if st.WithinLimits < 0.99 {
		t.Errorf("%g of the length within the limits of spacing", st.WithinLimits)
	}
	if st.MinRadius < 4.5 {
		t.Errorf("least radius %g mm at %v", st.MinRadius, st.MinAt)
	}
	if st.Count != st.Cuts || st.Shortest < 45 || st.Length < 1000 {
		t.Errorf("odd statistics: %+v", st)
	}
}

// Layers of one family alternate the side at which a place is cut.
func TestLayersAreCutFromOppositeSides(t *testing.T) {
	r, m := plate(100, 10, 2)
	l := layupOf(r, m, 2, func(p geom.Point) float64 { return p.Y })
	l.Layers[1].Shift = 0
	pr := lay(t, l, Settings{Bare: true})
	a, b := pr.Layers[0].Strands, pr.Layers[1].Strands
	for i := range a {
		p, q := a[i].Points, b[len(b)-1-i].Points
		if p[len(p)-1] != q[0] {
			t.Errorf("strand %d ends at %v, in the next layer it starts at %v", i, p[len(p)-1], q[0])
		}
	}
}

func TestActiveElementsBoundTheStrands(t *testing.T) {
	r, m := plate(100, 20, 2)
	l := layupOf(r, m, 1, func(p geom.Point) float64 { return p.Y })
	act := make([]bool, len(m.Tris))
	for i, tri := range m.Tris {
		mid := m.Nodes[tri[0]].Add(m.Nodes[tri[1]]).Add(m.Nodes[tri[2]]).Scale(1.0 / 3)
		act[i] = mid.X < 60 && mid.Y < 10
	}
	l.Families[0].Active = act
	pr := lay(t, l, Settings{Bare: true})
	if n := len(pr.Layers[0].Strands); n != 10 {
		t.Fatalf("%d strands, want 10", n)
	}
	for _, s := range pr.Layers[0].Strands {
		if s.Start == s.End || s.Start != AtBand && s.End != AtBand {
			t.Errorf("ends %v and %v, want one at the end of the family's area", s.Start, s.End)
		}
		for _, p := range s.Points {
			if p.X > 60.001 {
				t.Fatalf("point %v outside of the active elements", p)
			}
		}
	}
}

// A short piece is joined to one that goes on where it ends.
func TestMergeJoinsEndToEnd(t *testing.T) {
	r, _ := plate(100, 20, 2)
	e := fringe{r, geom.NewBoundary(r), 0.325}
	of := func(s Strand) piece {
		return piece{run: run{pts: s.Points, start: AtEdge, end: AtBand}, length: s.Length()}
	}
	got := e.merge([]piece{of(rowAt(1, 30, 5)), of(rowAt(32, 99, 5.2)), of(rowAt(1, 20, 9)), of(rowAt(40, 60, 9))}, 45, 2)
	if len(got) != 3 {
		t.Fatalf("%d pieces, want 3: one pair joined, one gap too wide", len(got))
	}
	if n := got[0].length; math.Abs(n-98.01) > 0.05 {
		t.Errorf("joined piece %g mm long, want 98", n)
	}
	if blocked := e.merge([]piece{of(rowAt(1, 30, 5)), of(rowAt(32, 99, 5)), {run: run{pts: []geom.Point{{X: 31, Y: 1}, {X: 31, Y: 9}, {X: 31, Y: 19}}}, length: 60}}, 45, 2); len(blocked) != 3 {
		t.Errorf("%d pieces, want 3: a strand lies between", len(blocked))
	}
}

// Strands that converge to 0.4 mm are ended until those that pass have room.
func TestNeckEndsStrands(t *testing.T) {
	r, m := plate(200, 40, 2)
	l := layupOf(r, m, 1, func(p geom.Point) float64 {
		return (p.Y - 20) * (1 + 1.5*math.Exp(-math.Pow((p.X-100)/25, 2))) * 0.8
	})
	pr := lay(t, l, Settings{Bare: true})
	hold(t, "neck", pr)
	y := pr.Layers[0]
	if y.Opened == 0 {
		t.Fatal("no strand was ended")
	}
	atLimit := 0
	for i := range y.Strands {
		s := &y.Strands[i]
		run := 0.0
		for k := range s.Points {
			if k == 0 || s.Width[k] >= packedBelow*0.65 {
				run = 0
				continue
			}
			if run += s.Points[k].Dist(s.Points[k-1]); run > packedLength+0.5 {
				t.Fatalf("packed over %g mm at %v: width %g", run, s.Points[k], s.Width[k])
			}
		}
		for _, e := range [2]End{s.Start, s.End} {
			if e == AtLimit {
				atLimit++
			}
		}
	}
	if atLimit == 0 {
		t.Error("no end says that it keeps a limit")
	}
	// Not more than needed: half the width of the neck is still fibre.
	passing := 0
	for _, s := range y.Strands {
		for k := 1; k < len(s.Points); k++ {
			if (s.Points[k].X > 100) != (s.Points[k-1].X > 100) {
				passing++
			}
		}
	}
	if passing < 28 || passing > 72 {
		t.Errorf("%d strands pass the neck, 61 fit", passing)
	}
}

// Loops that are nearly squares: their corners are rounded and they stay closed.
func TestCornersAreRounded(t *testing.T) {
	r, m := plate(80, 80, 2)
	square := func(spacing float64) func(geom.Point) float64 {
		return func(p geom.Point) float64 {
			x, y := math.Abs(p.X-40), math.Abs(p.Y-40)
			return math.Pow(math.Pow(x, 12)+math.Pow(y, 12), 1.0/12) / spacing
		}
	}
	for _, c := range []struct {
		name    string
		spacing float64
	}{{"close", 0.8}, {"wide", 4}} {
		pr := lay(t, layupOf(r, m, 1, square(c.spacing)), Settings{Bare: true})
		hold(t, c.name, pr)
		y := &pr.Layers[0]
		st := y.Stats(pr)
		if st.MinRadius < 5 {
			t.Errorf("%s: radius %g mm at %v", c.name, st.MinRadius, st.MinAt)
		}
		if y.Opened > 0 || st.Closed != st.Count {
			t.Errorf("%s: %d places ended, %d of %d strands closed", c.name, y.Opened, st.Closed, st.Count)
		}
	}
}

func TestWithoutAStretchOfAClosedStrand(t *testing.T) {
	s := Strand{Points: circle(10, 0.5), Closed: true}
	n := len(s.Points)
	for _, c := range []stretch{{from: 0, to: 2}, {from: 30, to: 34}, {from: n - 3, to: n - 1}} {
		got := s.without(c)
		if len(got) != 1 || got[0].Closed || got[0].Start != AtLimit || got[0].End != AtLimit {
			t.Fatalf("%+v: %d pieces", c, len(got))
		}
		want := s.Length() - polyLength(s.Points[c.from:c.to+1])
		if d := got[0].Length() - want; math.Abs(d) > 1e-9 {
			t.Errorf("from %d to %d: %g mm left, want %g", c.from, c.to, got[0].Length(), want)
		}
	}
}

func TestLayIsDeterministic(t *testing.T) {
	r, m := holed(100, 40, 6, 64, 16)
	l := layupOf(r, m, 3, around(6), 1)
	if a, b := lay(t, l, Settings{}), lay(t, l, Settings{}); !reflect.DeepEqual(a, b) {
		t.Error("two runs differ")
	}
}

func TestWallsAndCovers(t *testing.T) {
	part, m := holed(100, 40, 6, 64, 16)
	inner, err := part.Inset(0.6)
	if err != nil {
		t.Fatal(err)
	}
	l := layupOf(inner[0], m, 2, around(6), 1)
	pr := lay(t, l, Settings{Region: part, Walls: 1, Bottom: 1, Top: 1, Thickness: 1.04})
	if len(pr.Layers) != 4 {
		t.Fatalf("%d layers, want 4", len(pr.Layers))
	}
	for _, l := range pr.Layers {
		kinds := map[BeadKind]int{}
		for _, b := range l.Beads {
			kinds[b.Kind]++
		}
		if kinds[Wall] != 2 || (kinds[Cover] > 0) != (l.Kind == Plastic) {
			t.Errorf("layer %d: %v", l.Index, kinds)
		}
		ra := NewRaster(part, 0.1)
		ra.AddStrands(l.Strands, HalfBeads(l.Strands, pr.Composite, 2), 0.65, false)
		ra.AddBeads(l.Beads)
		if gap := ra.Area(ra.Gap); gap > 0.06*part.Area() {
			t.Errorf("layer %d: %g of %g mm² empty", l.Index, gap, part.Area())
		}
	}
}

func TestBadLayups(t *testing.T) {
	r, m := plate(60, 10, 2)
	good := func() *field.Layup { return layupOf(r, m, 1, func(p geom.Point) float64 { return p.Y }) }
	for _, c := range []struct {
		name, want string
		spoil      func(*field.Layup)
	}{
		{"phase too short", "phases for", func(l *field.Layup) { l.Families[0].Phase = l.Families[0].Phase[:3] }},
		{"marks too short", "marks for", func(l *field.Layup) { l.Families[0].Active = []bool{true} }},
		{"phase not a number", "not a number at node 5", func(l *field.Layup) { l.Families[0].Phase[5] = math.NaN() }},
		{"no such family", "no family 3", func(l *field.Layup) { l.Layers[0].Family = 3 }},
	} {
		l := good()
		c.spoil(l)
		if _, err := Lay(context.Background(), l, card(), Settings{}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", c.name, err, c.want)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Lay(ctx, good(), card(), Settings{}); err != context.Canceled {
		t.Errorf("cancelled: got %v", err)
	}
}

func ExampleLay() {
	region, m := plate(100, 10, 2)
	l := layupOf(region, m, 2, func(p geom.Point) float64 { return p.Y })
	pr, err := Lay(context.Background(), l, card(), Settings{Thickness: 0.64})
	if err != nil {
		fmt.Println(err)
		return
	}
	for i := range pr.Layers {
		st := pr.Layers[i].Stats(pr)
		fmt.Printf("layer %d: %d strands, %.1f mm, shortest %.1f mm\n", i, st.Count, st.Length, st.Shortest)
	}
	// Output:
	// layer 0: 10 strands, 993.5 mm, shortest 99.3 mm
	// layer 1: 9 strands, 894.1 mm, shortest 99.3 mm
}

var sizes = []struct {
	name string
	size float64
}{{"5k", 3}, {"20k", 1.5}, {"100k", 0.67}}

// BenchmarkTrace traces level lines through six-node meshes.
func BenchmarkTrace(b *testing.B) {
	for _, c := range sizes {
		r, m := plate(150, 150, c.size)
		l := layupOf(r, m, 1, func(p geom.Point) float64 { return p.Y + 3*math.Sin(p.X/20) })
		fine := refine(&l.Families[0])
		b.Run(fmt.Sprintf("%s/%d", c.name, len(m.Tris)), func(b *testing.B) {
			for b.Loop() {
				trace(&l.Families[0], fine, 0)
			}
		})
	}
}

// BenchmarkLay lays one layer.
func BenchmarkLay(b *testing.B) {
	for _, w := range []float64{75, 150, 300} {
		r, m := plate(w, w, 2)
		l := layupOf(r, m, 1, func(p geom.Point) float64 { return p.Y + 3*math.Sin(p.X/20) })
		b.Run(fmt.Sprintf("%gmm", w), func(b *testing.B) {
			for b.Loop() {
				lay(b, l, Settings{})
			}
		})
	}
}

// Nested loops with sharp tips: rolled discs keep the radius, the nesting and
// the loops closed.
func TestTipsOfLoopsAreRounded(t *testing.T) {
	r, m := plate(120, 80, 2)
	lens := func(p geom.Point) float64 { // two arcs that meet in tips of 60°
		x, y := math.Abs(p.X-60), math.Abs(p.Y-40)
		return (math.Hypot(x, y+20) - 10) / 1.2
	}
	pr := lay(t, layupOf(r, m, 1, lens), Settings{Bare: true})
	hold(t, "lens", pr)
	y := &pr.Layers[0]
	st := y.Stats(pr)
	if st.MinRadius < 5 {
		t.Errorf("radius %g mm at %v", st.MinRadius, st.MinAt)
	}
	for _, s := range y.Strands {
		if half := 1.2*s.Level - 10; half > 6 && half < 38 && !s.Closed {
			t.Errorf("the loop %.1f mm high is open", 2*half)
		}
	}
	if st.Closed < 20 {
		t.Errorf("%d closed loops", st.Closed)
	}
}
