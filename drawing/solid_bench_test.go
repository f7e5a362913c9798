package drawing

import (
	"fmt"
	"testing"

	"sinew/internal/shapes"
	"sinew/solid"
)

// BenchmarkSolid reads, mends and cuts a torus into 300 layers; its grain is
// the number of triangles.
func BenchmarkSolid(b *testing.B) {
	for _, n := range []int{71, 224, 708} { // 2·n² triangles
		mesh := shapes.Torus(60, 20, n)
		b.Run(fmt.Sprintf("stl-%d", len(mesh.Tris)), func(b *testing.B) { benchSolid(b, binarySTL(mesh), 300) })
		b.Run(fmt.Sprintf("stl-text-%d", len(mesh.Tris)), func(b *testing.B) { benchSolid(b, textSTL(mesh), 300) })
		b.Run(fmt.Sprintf("stl-broken-%d", len(mesh.Tris)), func(b *testing.B) { benchSolid(b, binarySTL(broken(mesh)), 300) })
	}
}

// broken turns every 97th triangle round and leaves out every 5003rd.
func broken(m *solid.Mesh) *solid.Mesh {
	out := &solid.Mesh{Points: m.Points}
	for i, t := range m.Tris {
		if i%97 == 0 {
			t[1], t[2] = t[2], t[1]
		}
		if i%5003 != 0 {
			out.Tris = append(out.Tris, t)
		}
	}
	return out
}

func benchSolid(b *testing.B, data []byte, layers int) {
	b.ReportAllocs()
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		d, err := ReadSTL(data, Settings{Units: "mm"})
		if err != nil {
			b.Fatal(err)
		}
		s, err := solid.Mend(&d.Mesh, solid.Settings{})
		if err != nil {
			b.Fatal(err)
		}
		box := s.Bounds()
		var z []float64
		for i := range layers {
			z = append(z, box.Min.Z+box.Size().Z*(float64(i)+0.5)/float64(layers))
		}
		if _, err := solid.Cut(s, z, solid.CutSettings{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkRead3MF reads packages.
func BenchmarkRead3MF(b *testing.B) {
	for _, n := range []int{32, 100, 316} {
		mesh := shapes.Torus(60, 20, n)
		data := model3MF(modelHead + "<resources><object id=\"1\">" + meshXML(mesh) + `</object></resources><build><item objectid="1"/></build></model>`)
		b.Run(fmt.Sprintf("%d", len(mesh.Tris)), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Read3MF(data, Settings{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
