package mesh

import (
	"fmt"
	"math"
	"testing"

	"sinew/geom"
)

func strip() geom.Region {
	r := geom.Region{Outer: geom.Polyline(geom.Point{X: -75, Y: -18}, geom.Point{X: 75, Y: -18}, geom.Point{X: 75, Y: 18}, geom.Point{X: -75, Y: 18})}
	r.Holes = []geom.Loop{geom.Circle(geom.Point{}, 6).Reverse()}
	return r
}

func TestStripMesh(t *testing.T) {
	for _, size := range []float64{8, 2, 0.5} {
		m, err := Generate(strip(), Settings{Size: size})
		if err != nil {
			t.Fatal(err)
		}
		q := m.Quality()
		t.Logf("%+v", q)
		if want := 150*36 - math.Pi*36; math.Abs(m.Area()-want) > 1e-3*want {
			t.Errorf("area %g, want %g", m.Area(), want)
		}
		if q.LeastAngle < 28-1e-9 || q.LeastJacobian <= 0 {
			t.Errorf("quality %+v", q)
		}
	}
}

func BenchmarkGenerate(b *testing.B) {
	for _, size := range []float64{2, 1, 0.5, 0.25} {
		b.Run(fmt.Sprintf("size %g", size), func(b *testing.B) {
			n := 0
			for b.Loop() {
				m, err := Generate(strip(), Settings{Size: size})
				if err != nil {
					b.Fatal(err)
				}
				n = len(m.Tris)
			}
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "tris/s")
			b.ReportMetric(float64(n), "tris")
		})
	}
}
