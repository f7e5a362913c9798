package geom

import (
	"compress/gzip"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
)

// draws is the generator of bench/geometry/areas.mjs (splitmix64: S. Vigna,
// public domain, 2015).
type draws uint64

func (d *draws) below(n uint64) int {
	*d += 0x9e3779b97f4a7c15
	z := uint64(*d)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return int((z ^ z>>31) % n)
}

// polygon draws whole micrometres: star-shaped when simple, else crossing
// itself.
func (d *draws) polygon(simple bool) [][2]int {
	p := make([][2]int, 3+d.below(13))
	for i := range p {
		p[i] = [2]int{d.below(100001) - 50000, d.below(100001) - 50000}
	}
	half := func(q [2]int) int {
		if q[1] < 0 || q[1] == 0 && q[0] < 0 {
			return 1
		}
		return 0
	}
	if simple {
		slices.SortStableFunc(p, func(a, b [2]int) int {
			if h := half(a) - half(b); h != 0 {
				return h
			}
			return b[0]*a[1] - b[1]*a[0]
		})
	}
	return p
}

func millimetres(p [][2]int, dx, dy int) Polygons {
	out := make(Polygon, len(p))
	for i, q := range p {
		out[i] = Point{float64(q[0]+dx) / 1000, float64(q[1]+dy) / 1000}
	}
	return Polygons{out}
}

const (
	// areaSlack is how far areas may lie apart, mm² for each mm of outline: both
	// sides round corners to a nanometre, and so do the crossings they add.
	areaSlack = 4e-6
	// offsetSlack is the same for offsets: chords within half offsetTolerance of the
	// arcs here, within 0.1 µm there.
	offsetSlack     = 3e-4
	offsetTolerance = 1e-3
)

// Areas of 10 000 pairs of random polygons against those of an independent
// library (bench/geometry), half of them star-shaped, half crossing themselves.
func TestAreasAgreeWithAnotherLibrary(t *testing.T) {
	file, err := os.Open("testdata/areas.txt.gz")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	plain, err := gzip.NewReader(file)
	if err != nil {
		t.Fatal(err)
	}
	text, err := io.ReadAll(plain)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(text)), "\n")
	if len(lines) != 10000 {
		t.Fatalf("%d lines", len(lines))
	}
	const groups = 8
	for g := range groups {
		t.Run(fmt.Sprint(g), func(t *testing.T) {
			t.Parallel()
			for i := g; i < len(lines); i += groups {
				comparePair(t, i, lines[i])
			}
		})
	}
}

func comparePair(t *testing.T, i int, line string) {
	var want [5]float64
	if _, err := fmt.Sscan(line, &want[0], &want[1], &want[2], &want[3], &want[4]); err != nil {
		t.Fatal(err)
	}
	d := draws(uint64(i) << 20)
	p := millimetres(d.polygon(i%2 == 0), 0, 0)
	dx, dy := d.below(40001)-20000, d.below(40001)-20000
	q := millimetres(d.polygon(i%2 == 0), dx, dy)
	by := float64(100+d.below(5000)) / 1000
	grown, shrunk := p.Offset(by, offsetTolerance), p.Offset(-by, offsetTolerance)
	got := [5]float64{p.Union(q).Area(), p.Intersect(q).Area(), p.Subtract(q).Area(), grown.Area(), shrunk.Area()}
	length := outline(p) + outline(q)
	slack := [5]float64{areaSlack * length, areaSlack * length, areaSlack * length, offsetSlack * outline(grown), offsetSlack * math.Max(outline(shrunk), 1)}
	for k, name := range []string{"union", "intersection", "difference", "grown", "shrunk"} {
		if !(math.Abs(got[k]-want[k]) <= slack[k]+1e-8*want[k]) {
			t.Errorf("pair %d: %s %.9g mm², the other library %.9g (offset by %g)", i, name, got[k], want[k], by)
		}
	}
}

func outline(ps Polygons) float64 {
	sum := 0.0
	for _, p := range ps {
		sum += p.Loop().Length()
	}
	return sum
}
