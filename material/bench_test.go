package material

import (
	"fmt"
	"math"
	"testing"
)

// BenchmarkLawReduced is the inner call of every field and stress loop.
func BenchmarkLawReduced(b *testing.B) {
	l := newLaw(b, carbonSettings())
	var sum float64
	b.ReportAllocs()
	for i := range b.N {
		q, dq := l.Reduced(0.4 + 0.001*float64(i&1023))
		sum += q.Q11 + dq.Q66
	}
	_ = sum
}

// BenchmarkStack is one stack of layers: A, B, D, response, and the reserve by
// all six criteria at every layer.
func BenchmarkStack(b *testing.B) {
	for _, n := range []int{4, 16, 64} {
		for _, bending := range []bool{false, true} {
			b.Run(fmt.Sprintf("layers=%d/bending=%v", n, bending), func(b *testing.B) {
				b.ReportAllocs()
				b.RunParallel(func(pb *testing.PB) {
					layers := exampleStack(b, n)
					moment := [3]float64{}
					if bending {
						moment = [3]float64{5, -3, 1}
					}
					var e Evaluation
					var k float64
					for pb.Next() {
						k += 1e-4
						layers[0].Theta = k
						if !e.Evaluate(layers, [3]float64{120, -30, 40}, moment) {
							b.Fatal("no stiffness")
						}
					}
				})
				b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "stacks/s")
			})
		}
	}
}

// exampleStack is a symmetric stack of plies of two fibre shares, turned by
// 0, 45, 90, -45 degrees in this order.
func exampleStack(tb testing.TB, n int) []Layer {
	l := newLaw(tb, carbonSettings())
	var plies []*Ply
	for _, rho := range []float64{0.7, 1.2} {
		p, err := NewPly(l.Lamina(rho), l.Strength(rho), Judge{})
		if err != nil {
			tb.Fatal(err)
		}
		plies = append(plies, p)
	}
	layers := make([]Layer, n)
	for i := range layers {
		k := min(i, n-1-i)
		layers[i] = Layer{Ply: plies[k&1], Theta: float64(k&3) * math.Pi / 4, Thickness: 0.32}
	}
	return layers
}
