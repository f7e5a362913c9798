package strand

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"sinew/geom"
)

func travel(s []Strand) float64 {
	sum := 0.0
	for i := 1; i < len(s); i++ {
		p := s[i-1].Points
		sum += p[len(p)-1].Dist(s[i].Points[0])
	}
	return sum
}

// Rows are laid to and fro: the way between them is their distance.
func TestOrderOfRows(t *testing.T) {
	var rows []Strand
	for y := range 20 {
		rows = append(rows, rowAt(0, 50, float64(y)))
	}
	rng := rand.New(rand.NewSource(4))
	first := rows[0]
	rng.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
	k := slices.IndexFunc(rows, func(s Strand) bool { return s.Points[0] == first.Points[0] })
	rows[0], rows[k] = rows[k], rows[0]
	if got := travel(order(rows, false)); math.Abs(got-19) > 1e-9 {
		t.Errorf("way of %g mm, want 19", got)
	}
}

// The tour back lays every strand the other way, in the other order.
func TestOrderBack(t *testing.T) {
	var rows []Strand
	for y := range 7 {
		rows = append(rows, rowAt(0, 50, float64(y)))
	}
	there, back := order(rows, false), order(rows, true)
	for i := range there {
		p, q := there[i].Points, back[len(back)-1-i].Points
		if p[0] != q[len(q)-1] || p[len(p)-1] != q[0] {
			t.Errorf("strand %d is not laid the other way", i)
		}
	}
}

// Improvement never lengthens the way, whatever the strands.
func TestImproveShortens(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	for range 50 {
		var tour []leg
		for i := range 15 {
			tour = append(tour, leg{i, false, geom.Point{X: rng.Float64(), Y: rng.Float64()}, geom.Point{X: rng.Float64(), Y: rng.Float64()}})
		}
		length := func() (sum float64) {
			for i := 1; i < len(tour); i++ {
				sum += tour[i-1].to.Dist(tour[i].from)
			}
			return sum
		}
		for was := length(); improve(tour); was = length() {
			if now := length(); now >= was {
				t.Fatalf("way %g after %g", now, was)
			}
		}
	}
}

func TestReversedClosedStrandKeepsItsStart(t *testing.T) {
	s := Strand{Points: circle(6, 0.5), Closed: true}
	s.Points, s.Overlap = overlap(s.Points, 5)
	r := s.reversed()
	if r.Points[0] != s.Points[0] || len(r.Points) != len(s.Points) || math.Abs(r.Overlap-s.Overlap) > 1e-9 {
		t.Errorf("start %v and %v, %d and %d points", r.Points[0], s.Points[0], len(r.Points), len(s.Points))
	}
	if !slices.Equal(r.reversed().Points, s.Points) {
		t.Error("turned twice it is another strand")
	}
}

func TestStartsLieApartAndQuiet(t *testing.T) {
	s := starts{ends: &endings{}, quiet: func(p geom.Point) float64 { return p.X }}
	p := circle(20, 0.5)
	gap := make([]float64, len(p))
	a := p[s.choose(p, gap)]
	if a.X > -19.9 {
		t.Errorf("first start at %v, want the quietest place", a)
	}
	for i := range 2 {
		b := p[s.choose(p, gap)]
		if d := a.Dist(b); d < 5 && i == 0 {
			t.Errorf("start %d at %v, %g mm beside the first", i, b, d)
		}
		if b.X > 5 {
			t.Errorf("start at %v, in the loaded part", b)
		}
	}
}

// With a least time between neighbours no strand is laid next to the one before;
// the way grows by less than twice.
func TestNeighboursAreNotLaidAtOnce(t *testing.T) {
	c := *card()
	c.Composite.FeedMax, c.RestartLength, c.RestartFeed = 20, 46, 12
	var rows []Strand
	for y := range 20 {
		rows = append(rows, rowAt(0, 100, float64(y)))
	}
	takes := 46.0/12 + 100.0/20
	for _, row := range []struct {
		least float64
		apart int // strands between the starts of neighbours, at least
	}{{0, 1}, {takes - 0.1, 1}, {takes + 0.1, 9}, {60, 9}} {
		c.NeighbourTime = row.least
		m := layer{limits: limitsOf(&c)}
		got := order(rows, false)
		if m.hurried(rows) {
			got = alternately(rows, false)
		}
		at := map[float64]int{}
		for i, s := range got {
			at[s.Points[0].Y] = i
		}
		for y := range 19 {
			if d := at[float64(y+1)] - at[float64(y)]; max(d, -d) < row.apart {
				t.Errorf("least %.1f s: rows %d and %d are laid %d strands apart", row.least, y, y+1, d)
			}
		}
		if len(at) != 20 || travel(got) > 2*19+math.Hypot(20, 100) {
			t.Errorf("least %.1f s: %d rows, a way of %.0f mm", row.least, len(at), travel(got))
		}
	}
}
