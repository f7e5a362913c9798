package solid_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"sinew/internal/shapes"
	"sinew/solid"
)

func mended(t testing.TB, m *solid.Mesh) *solid.Solid {
	t.Helper()
	s, err := solid.Mend(m, solid.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// middles returns the middle heights of n equal layers of a solid.
func middles(b solid.Box, n int) (z []float64, h float64) {
	h = b.Size().Z / float64(n)
	for i := range n {
		z = append(z, b.Min.Z+(float64(i)+0.5)*h)
	}
	return z, h
}

func layeredVolume(t testing.TB, s *solid.Solid, n int) float64 {
	t.Helper()
	z, h := middles(s.Bounds(), n)
	sections, err := solid.Cut(s, z, solid.CutSettings{})
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for i := range sections {
		sum += h * sections[i].Area()
	}
	return sum
}

// TestLayeredVolumeConverges: midpoint layers are of second order in the
// layer height, chords of second order in their number.
func TestLayeredVolumeConverges(t *testing.T) {
	for name, c := range map[string]struct {
		make func(n int) *solid.Mesh
		want float64
	}{
		"sphere": {func(n int) *solid.Mesh { return shapes.Sphere(solid.Point{X: 3, Y: -2, Z: 7}, 10, n) }, 4. / 3 * math.Pi * 1000},
		"torus":  {func(n int) *solid.Mesh { return shapes.Torus(20, 6, n) }, 2 * math.Pi * math.Pi * 20 * 36},
	} {
		var off []float64
		for _, n := range []int{24, 48, 96, 192} {
			s := mended(t, c.make(n))
			if len(s.Repairs) > 0 {
				t.Errorf("%s: %v", name, s.Repairs)
			}
			off = append(off, math.Abs(layeredVolume(t, s, n)/c.want-1))
		}
		for i := 1; i < len(off); i++ {
			if rate := math.Log2(off[i-1] / off[i]); rate < 1.75 {
				t.Errorf("%s: errors %v fall at rate %.2f, want about 2", name, off, rate)
			}
		}
		if last := off[len(off)-1]; last > 1e-3 {
			t.Errorf("%s: the finest misses the formula by %g", name, last)
		}
	}
}

// TestPrismsAreExact: every section of a prism has the area of its outline,
// and so has the solid its volume.
func TestPrismsAreExact(t *testing.T) {
	list := append(shapes.Parts(), shapes.Nasty()...)
	for seed := range uint64(60) {
		list = append(list, shapes.Named{Name: fmt.Sprint("random ", seed), Region: shapes.Random(seed)})
	}
	for _, c := range list {
		const tol = 0.002 // finer than the ligaments between holes
		want := c.Region.Flatten(tol).Area()
		s := mended(t, shapes.Prism(c.Region, -1, 4, tol))
		if len(s.Repairs) > 0 {
			t.Errorf("%s: %v", c.Name, s.Repairs)
		}
		for _, got := range []float64{s.Volume() / 5, layeredVolume(t, s, 7) / 5} {
			if math.Abs(got-want) > 1e-9*want {
				t.Errorf("%s: area %.12g, want %.12g", c.Name, got, want)
			}
		}
	}
}

// TestAnyCutOfRandomTurns: a turned prism is cut through corners, edges and
// faces alike; the volume by layers converges to the prism's.
func TestAnyCutOfRandomTurns(t *testing.T) {
	r := shapes.FiveHolePlate()
	prism := shapes.Prism(r, 0, 30, 0.1)
	want := mended(t, prism).Volume()
	for k := range 12 {
		a, b := 0.3+0.5*float64(k), 0.2*float64(k)
		s1, c1 := math.Sincos(a)
		s2, c2 := math.Sincos(b)
		rows := [3]solid.Point{{X: c1, Y: -s1}, {X: c2 * s1, Y: c2 * c1, Z: -s2}, {X: s2 * s1, Y: s2 * c1, Z: c2}}
		if k%3 == 2 {
			rows[0] = rows[0].Scale(-1) // mirrored
		}
		s := mended(t, prism.Map(rows, solid.Point{X: 5, Y: 6, Z: 7}))
		if math.Abs(s.Volume()/want-1) > 1e-9 {
			t.Errorf("turn %d: volume %g, want %g", k, s.Volume(), want)
		}
		if got := layeredVolume(t, s, 400); math.Abs(got/want-1) > 1e-3 {
			t.Errorf("turn %d: layered volume %g, want %g", k, got, want)
		}
	}
}

// TestCutsThroughCorners cuts exactly at the heights of corners and of level
// faces: the section is that of the solid just below.
func TestCutsThroughCorners(t *testing.T) {
	low, high := shapes.Rectangle(0, 0, 40, 20), shapes.Rectangle(10, 5, 10, 10)
	s := mended(t, shapes.Steps([]shapes.Step{{Region: low, Bottom: 0, Top: 3}, {Region: high, Bottom: 3, Top: 5}}, 0.01))
	sections, err := solid.Cut(s, []float64{0, 1, 3, 4, 5, 6}, solid.CutSettings{})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0, 800, 800, 100, 100, 0} {
		if got := sections[i].Area(); math.Abs(got-want) > 1e-9 {
			t.Errorf("z = %g: area %g, want %g", sections[i].Z, got, want)
		}
	}
}

func TestWorkersDoNotMatter(t *testing.T) {
	s := mended(t, shapes.Torus(20, 6, 60))
	z, _ := middles(s.Bounds(), 50)
	a, err := solid.Cut(s, z, solid.CutSettings{Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	b, err := solid.Cut(s, z, solid.CutSettings{Workers: 3})
	if err != nil {
		t.Fatal(err)
	}
	if fmt.Sprint(a) != fmt.Sprint(b) {
		t.Error("sections differ with the number of workers")
	}
}

// box is a box as a mesh with corners of its own.
func box(x, y, z, w, d, h float64) *solid.Mesh {
	return shapes.Prism(shapes.Rectangle(x, y, w, d), z, z+h, 1)
}

func together(list ...*solid.Mesh) *solid.Mesh {
	out := &solid.Mesh{}
	for _, m := range list {
		base := int32(len(out.Points))
		out.Points = append(out.Points, m.Points...)
		for _, t := range m.Tris {
			out.Tris = append(out.Tris, [3]int32{base + t[0], base + t[1], base + t[2]})
		}
	}
	return out
}

func insideOut(m *solid.Mesh) *solid.Mesh {
	out := &solid.Mesh{Points: m.Points}
	for _, t := range m.Tris {
		out.Tris = append(out.Tris, [3]int32{t[0], t[2], t[1]})
	}
	return out
}

// without leaves out a triangle.
func without(m *solid.Mesh, gone ...int) *solid.Mesh {
	out := &solid.Mesh{Points: m.Points}
	for i, t := range m.Tris {
		keep := true
		for _, g := range gone {
			keep = keep && i != g
		}
		if keep {
			out.Tris = append(out.Tris, t)
		}
	}
	return out
}

func TestMend(t *testing.T) {
	cube := box(0, 0, 0, 10, 10, 10)
	flipped := together(cube)
	flipped.Tris[3][1], flipped.Tris[3][2] = flipped.Tris[3][2], flipped.Tris[3][1]
	soup := &solid.Mesh{} // no corner shared
	for _, tri := range cube.Tris {
		n := int32(len(soup.Points))
		soup.Points = append(soup.Points, cube.Points[tri[0]], cube.Points[tri[1]], cube.Points[tri[2]])
		soup.Tris = append(soup.Tris, [3]int32{n, n + 1, n + 2})
	}
	cracked := &solid.Mesh{Points: append([]solid.Point(nil), soup.Points...), Tris: soup.Tris}
	cracked.Points[0].X += 0.004
	needle := together(cube)
	needle.Tris = append(needle.Tris, [3]int32{0, 1, 1})
	split := without(cube, 0) // the side is split at the middle of an edge that its neighbour has whole
	mid := split.Points[cube.Tris[0][0]].Add(split.Points[cube.Tris[0][1]]).Scale(0.5)
	split.Points = append(split.Points, mid)
	m := int32(len(split.Points) - 1)
	split.Tris = append(split.Tris, [3]int32{cube.Tris[0][0], m, cube.Tris[0][2]}, [3]int32{m, cube.Tris[0][1], cube.Tris[0][2]})
	for name, c := range map[string]struct {
		mesh   *solid.Mesh
		volume float64
		note   string // "": none
	}{
		"cube":                      {cube, 1000, ""},
		"triangles apart":           {soup, 1000, ""},
		"inside out":                {insideOut(cube), 1000, "shells turned inside out"},
		"one flipped":               {flipped, 1000, "1 flipped triangles turned round"},
		"one missing":               {without(cube, 5), 1000, "1 holes in the surface filled"},
		"a side missing":            {without(cube, 0, 1), 1000, "1 holes in the surface filled"},
		"two missing at a corner":   {without(cube, cornerPair(cube)...), 1000, "2 holes in the surface filled"},
		"a needle":                  {needle, 1000, "1 triangles without width dropped"},
		"one doubled":               {together(cube, &solid.Mesh{Points: cube.Points, Tris: cube.Tris[:1]}), 1000, "1 doubled triangles dropped"},
		"all doubled":               {together(cube, cube), 1000, "12 doubled triangles dropped"},
		"a crack":                   {cracked, 1000, "pairs of loose corners joined"},
		"a corner on an edge":       {split, 1000, "edges split at corners"},
		"two apart":                 {together(cube, box(20, 0, 0, 5, 5, 5)), 1125, ""},
		"cavity":                    {together(cube, insideOut(box(2, 2, 2, 5, 5, 5))), 875, ""},
		"cavity, inside out":        {insideOut(together(cube, insideOut(box(2, 2, 2, 5, 5, 5)))), 875, "shells turned inside out"},
		"face to face":              {together(cube, box(10, 0, 0, 10, 10, 10)), 2000, ""},
		"two, the second flipped":   {together(cube, insideOut(box(20, 0, 0, 5, 5, 5))), 1125, "shells turned inside out"},
		"island in a cavity":        {together(cube, insideOut(box(2, 2, 2, 5, 5, 5)), box(3, 3, 3, 1, 1, 1)), 876, ""},
		"corner to corner":          {together(cube, box(10, 10, 10, 1, 1, 1)), 1001, ""},
		"edge to edge, two bodies":  {together(cube, box(10, 10, 0, 10, 10, 10)), 2000, ""},
		"unused corners of no size": {&solid.Mesh{Points: append(append([]solid.Point(nil), cube.Points...), solid.Point{X: 1e300}), Tris: cube.Tris}, 1000, ""},
	} {
		s, err := solid.Mend(c.mesh, solid.Settings{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if v := s.Volume(); math.Abs(v-c.volume) > 0.1 {
			t.Errorf("%s: volume %g, want %g", name, v, c.volume)
		}
		notes := fmt.Sprint(s.Repairs)
		if c.note == "" && len(s.Repairs) > 0 || !strings.Contains(notes, c.note) {
			t.Errorf("%s: notes %s, want %q", name, notes, c.note)
		}
		if v := layeredVolume(t, s, 110); math.Abs(v-c.volume) > 0.1 {
			t.Errorf("%s: volume of layers %g, want %g", name, v, c.volume)
		}
	}
}

// cornerPair returns two triangles that share one corner alone.
func cornerPair(m *solid.Mesh) []int {
	for i := range m.Tris {
		for k := range i {
			shared := 0
			for _, a := range m.Tris[i] {
				for _, b := range m.Tris[k] {
					if m.Points[a] == m.Points[b] {
						shared++
					}
				}
			}
			if shared == 1 {
				return []int{k, i}
			}
		}
	}
	panic("no such pair")
}

func TestRefused(t *testing.T) {
	cube := box(0, 0, 0, 10, 10, 10)
	strip := &solid.Mesh{} // a band with one twist
	const n = 12
	for i := range n {
		a := 2 * math.Pi * float64(i) / n
		s, c := math.Sincos(a)
		s2, c2 := math.Sincos(a / 2)
		for _, w := range []float64{-2, 2} {
			strip.Points = append(strip.Points, solid.Point{X: (10 + w*c2) * c, Y: (10 + w*c2) * s, Z: w * s2})
		}
	}
	for i := range int32(n) {
		a, b, c, d := 2*i, 2*i+1, 2*i+2, 2*i+3
		if i == n-1 {
			c, d = 1, 0
		}
		strip.Tris = append(strip.Tris, [3]int32{a, c, b}, [3]int32{b, c, d})
	}
	sphere := shapes.Sphere(solid.Point{}, 10, 16)
	for name, c := range map[string]struct {
		mesh *solid.Mesh
		want string
	}{
		"nothing":           {&solid.Mesh{}, "no triangles"},
		"needles only":      {&solid.Mesh{Points: cube.Points, Tris: [][3]int32{{0, 0, 1}}}, "without width"},
		"one-sided":         {strip, "one-sided there: remodel it"},
		"a round hole":      {without(sphere, 40, 41, 42, 43, 44, 45), "open edges, the first at ("},
		"a single triangle": {&solid.Mesh{Points: cube.Points, Tris: cube.Tris[:1]}, ""},
	} {
		_, err := solid.Mend(c.mesh, solid.Settings{})
		if c.want == "" { // closed by its own back: no volume, but no fault either
			continue
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

// TestBodiesThatOverlap are joined, and the section says so.
func TestBodiesThatOverlap(t *testing.T) {
	s := mended(t, together(box(0, 0, 0, 10, 10, 10), box(5, 5, 2, 10, 10, 4)))
	sections, err := solid.Cut(s, []float64{1, 4, 9}, solid.CutSettings{})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{100, 175, 100} {
		if got := sections[i].Area(); math.Abs(got-want) > 1e-6 {
			t.Errorf("section %d: area %g, want %g", i, got, want)
		}
	}
	if !sections[1].Joined || math.Abs(sections[1].Overlap-25) > 1e-6 || sections[0].Joined {
		t.Errorf("joined %v, overlap %g", sections[1].Joined, sections[1].Overlap)
	}
	poking := mended(t, together(box(0, 0, 0, 10, 10, 10), insideOut(box(1, 1, 1, 3, 3, 3))))
	for i := range poking.Points { // push the cavity through the wall
		if p := &poking.Points[i]; p.X == 1 && p.Y < 9 && p.Z > 0 && p.Z < 9 {
			p.X = -5
		}
	}
	if _, err := solid.Cut(poking, []float64{2}, solid.CutSettings{}); err == nil || !strings.Contains(err.Error(), "inside out") {
		t.Errorf("a cavity outside the body: %v", err)
	}
}

func TestBadHeights(t *testing.T) {
	s := mended(t, box(0, 0, 0, 1, 1, 1))
	for _, z := range [][]float64{{1, 1}, {2, 1}, {math.NaN()}, {math.Inf(1)}} {
		if _, err := solid.Cut(s, z, solid.CutSettings{}); err == nil {
			t.Errorf("heights %v are accepted", z)
		}
	}
	if _, err := solid.Cut(s, []float64{0.5}, solid.CutSettings{Cancel: func() bool { return true }}); err == nil {
		t.Error("a cancelled cut returns sections")
	}
}

func Example() {
	block := shapes.Prism(shapes.Strip(60, 20, 8), 0, 5, 0.001)
	s, err := solid.Mend(block, solid.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	sections, _ := solid.Cut(s, []float64{1, 3}, solid.CutSettings{})
	fmt.Printf("%d shells, %.0f mm², %d loops\n", s.Shells, sections[0].Area(), len(sections[0].Loops))
	// Output: 1 shells, 1150 mm², 2 loops
}
