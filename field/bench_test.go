package field

import (
	"context"
	"fmt"
	"testing"
)

// BenchmarkPlan plans a plate with a hole at three areas and the same elements:
// least squares alone, and with refinement. Cost should grow little faster
// than area.
func BenchmarkPlan(b *testing.B) {
	for _, size := range []float64{1, 2, 4} {
		in := input(b, plate(60*size, 24*size, 4*size), 2, 0)
		for name, steps := range map[string]int{"quick": 0, "refined": 20} {
			b.Run(fmt.Sprintf("area=%.0fmm2/nodes=%d/%s", 1440*size*size, len(in.System.Mesh().Nodes), name), func(b *testing.B) {
				for b.Loop() {
					if _, err := Plan(context.Background(), in, Settings{Families: []Request{{Kind: Steered, Layers: 10}}, Refine: Refine{Steps: steps}}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
