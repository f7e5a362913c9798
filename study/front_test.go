package study

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

// peel is the plain reference: take the points that none of the rest dominates
// away, again and again.
func peel(figures [][]float64) []int {
	rank := make([]int, len(figures))
	for r, left := 1, len(figures); left > 0; r++ {
		var front []int
		for i := range figures {
			if rank[i] == 0 {
				beaten := false
				for k := range figures {
					beaten = beaten || rank[k] == 0 && dominates(figures[k], figures[i])
				}
				if !beaten {
					front = append(front, i)
				}
			}
		}
		for _, i := range front {
			rank[i] = r
			left--
		}
	}
	return rank
}

// TestRanksAgainstPeeling over random points with few distinct figures, so that
// ties abound; the order of the points does not matter.
func TestRanksAgainstPeeling(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for round := range 300 {
		n, aims, values := rng.IntN(40), 1+rng.IntN(4), 2+rng.IntN(6)
		figures := make([][]float64, n)
		for i := range figures {
			for range aims {
				figures[i] = append(figures[i], float64(rng.IntN(values)-2))
			}
		}
		got, want := ranks(figures), peel(figures)
		if !slices.Equal(got, want) {
			t.Fatalf("round %d: %v\nranks %v, want %v", round, figures, got, want)
		}
		order := rng.Perm(n)
		mixed := make([][]float64, n)
		for i, k := range order {
			mixed[i] = figures[k]
		}
		for i, r := range ranks(mixed) {
			if r != got[order[i]] {
				t.Fatalf("round %d: another order gives other ranks", round)
			}
		}
	}
}

func TestTies(t *testing.T) {
	figures := [][]float64{{1, 2}, {2, 1}, {1, 2}, {0, 3}, {2, 1}, {1, 2}}
	got := ties([]int{0, 1, 2, 3, 4, 5}, figures)
	if len(got) != 2 || !slices.Equal(got[0], []int{0, 2, 5}) || !slices.Equal(got[1], []int{1, 4}) {
		t.Errorf("ties %v", got)
	}
	if got := ties([]int{0, 1, 3}, figures); got != nil {
		t.Errorf("ties where there are none: %v", got)
	}
}

func BenchmarkRanks(b *testing.B) {
	for _, n := range []int{100, 1000, 5000} {
		rng := rand.New(rand.NewPCG(3, 4))
		figures := make([][]float64, n)
		for i := range figures {
			figures[i] = []float64{rng.Float64(), rng.Float64(), rng.Float64()}
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				ranks(figures)
			}
		})
	}
}
