package sparse

import (
	"fmt"
	"os"
	"testing"
	"time"
)

func TestScratchTime(t *testing.T) {
	for _, n := range []int{80, 160, 250} {
		a, at := platesix(n, n)
		fill(a)
		for _, w := range []int{1, 2} {
			t0 := time.Now()
			s, err := Analyze(a, Settings{Coords: at, Workers: w})
			t1 := time.Now()
			f, err := s.Factorize(a)
			t2 := time.Now()
			f.Refactorize(a)
			t3 := time.Now()
			b := make([]float64, 32*a.N)
			for i := range b {
				b[i] = float64(i % 7)
			}
			f.Solve(b, 1)
			t4 := time.Now()
			f.Solve(b, 32)
			t5 := time.Now()
			f.Solve(b, 32)
			t6 := time.Now()
			st := s.Stats()
			fmt.Fprintln(os.Stderr, a.N, w, err, "analyze", t1.Sub(t0), "factor", t2.Sub(t1), "refactor", t3.Sub(t2), "solve1", t4.Sub(t3), "solve32", t5.Sub(t4), t6.Sub(t5), st, s.trunk, len(s.branches), st.Fronts)
		}
	}
}

func fill(a *Symmetric) {
	for j := range a.N {
		for p := a.ColPtr[j]; p < a.ColPtr[j+1]; p++ {
			a.Val[p] = -1
			if int(a.Row[p]) == j {
				a.Val[p] = 60
			}
		}
	}
}
