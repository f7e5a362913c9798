package drawing

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// ring draws a polygon of n lines, each an entity of its own, as DXF.
func ring(n int) string {
	var b strings.Builder
	at := func(i int) (x, y float64) {
		s, c := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
		return 100 * c, 100 * s
	}
	for i := range n {
		x, y := at(i)
		u, v := at(i + 1)
		fmt.Fprintf(&b, " 0 LINE 8 A 10 %.9f 20 %.9f 11 %.9f 21 %.9f", x, y, u, v)
	}
	return dxf("4", "", b.String())
}

func BenchmarkReadDXF(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		text := ring(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for range b.N {
				if _, err := ReadDXF(strings.NewReader(text), Settings{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkRegions(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		d, err := ReadDXF(strings.NewReader(ring(n)), Settings{})
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				if _, err := d.Regions(JoinSettings{Tolerance: 0.01}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
