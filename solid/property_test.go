package solid_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"sinew/internal/shapes"
	"sinew/solid"
)

// TestRandomDamageIsMended: triangles torn apart, shuffled, turned round,
// doubled, and some that share no corner left out; the whole perhaps inside
// out. The solid comes back with its volume, and its layers with theirs.
func TestRandomDamageIsMended(t *testing.T) {
	whole := map[string]*solid.Mesh{
		"five holes": shapes.Prism(shapes.FiveHolePlate(), 0, 6, 0.05),
		"sphere":     shapes.Sphere(solid.Point{X: 100}, 20, 24),
		"torus":      shapes.Torus(30, 8, 24),
		"pocketed":   shapes.PocketedLink(14, 2, 5, 0.05),
		"wheel":      shapes.Prism(shapes.Wheel(5), -3, 3, 0.1),
	}
	for name, mesh := range whole {
		want := mesh.Volume()
		n := 20
		layers := layeredVolume(t, mended(t, mesh), n)
		for seed := range uint64(40) {
			rng := rand.New(rand.NewPCG(seed, 7))
			s, err := solid.Mend(damage(mesh, rng), solid.Settings{})
			if err != nil {
				t.Fatalf("%s, seed %d: %v", name, seed, err)
			}
			if v := s.Volume(); math.Abs(v/want-1) > 1e-9 {
				t.Fatalf("%s, seed %d: volume %g, want %g (%v)", name, seed, v, want, s.Repairs)
			}
			if v := layeredVolume(t, s, n); math.Abs(v/layers-1) > 1e-9 {
				t.Fatalf("%s, seed %d: volume of layers %g, want %g", name, seed, v, layers)
			}
		}
	}
}

// damage returns a mesh as a bad exporter writes it.
func damage(m *solid.Mesh, rng *rand.Rand) *solid.Mesh {
	tris := append([][3]int32(nil), m.Tris...)
	rng.Shuffle(len(tris), func(i, k int) { tris[i], tris[k] = tris[k], tris[i] })
	used := map[solid.Point]bool{} // corners of what was left out
	inverted := rng.IntN(3) == 0
	out := &solid.Mesh{}
	for i, tri := range tris {
		a, b, c := m.Points[tri[0]], m.Points[tri[1]], m.Points[tri[2]]
		if i < 4 && !used[a] && !used[b] && !used[c] {
			used[a], used[b], used[c] = true, true, true
			continue
		}
		copies := 1
		if rng.IntN(30) == 0 {
			copies = 2
		}
		if inverted != (rng.IntN(12) == 0 && copies == 1) {
			tri[1], tri[2] = tri[2], tri[1]
		}
		for range copies {
			base := int32(len(out.Points))
			for _, v := range tri {
				out.Points = append(out.Points, m.Points[v])
			}
			out.Tris = append(out.Tris, [3]int32{base, base + 1, base + 2})
		}
	}
	return out
}
