package sparse

import (
	"fmt"
	"testing"
)

func BenchmarkPlate(b *testing.B) {
	for _, n := range []int{50, 150, 300} {
		a, at := plate(n, n)
		y, err := Analyze(a, Settings{Coords: at})
		if err != nil {
			b.Fatal(err)
		}
		f, err := y.Factorize(a)
		if err != nil {
			b.Fatal(err)
		}
		x := make([]float64, 32*a.N)
		steps := []struct {
			name string
			do   func()
		}{
			{"analyse", func() { _, err = Analyze(a, Settings{Coords: at}) }},
			{"refactor", func() { err = f.Refactorize(a) }},
			{"solve1", func() { f.Solve(x, 1) }},
			{"solve32", func() { f.Solve(x, 32) }},
		}
		for _, s := range steps {
			b.Run(fmt.Sprintf("%s/%d", s.name, a.N), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if s.do(); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
