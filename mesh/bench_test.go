package mesh

import (
	"fmt"
	"testing"

	"sinew/geom"
)

func BenchmarkFind(b *testing.B) {
	for _, size := range []float64{4, 1, 0.25} {
		m, err := Generate(strip(), Settings{Size: size})
		if err != nil {
			b.Fatal(err)
		}
		l := NewLocator(m)
		b.Run(fmt.Sprintf("%d triangles", len(m.Tris)), func(b *testing.B) {
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				l.Find(geom.Point{X: float64(i%149) - 74.3, Y: float64(i%35) - 17.2})
			}
		})
	}
}
