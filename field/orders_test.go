package field

import (
	"math"
	"slices"
	"testing"
)

// outer is the worth of an order whose family 0 gains with the square of its
// distance from the middle, as in bending, and by how much.
func outer(gain float64) func(order []int) (float64, error) {
	return func(order []int) (float64, error) {
		v := 0.0
		for k, f := range order {
			if z := float64(2*k+1)/float64(len(order)) - 1; f == 0 {
				v -= gain * z * z
			}
		}
		return v, nil
	}
}

// bestOrder tries all orders of the counts, symmetric ones alone where asked.
func bestOrder(counts []int, symmetric bool, worth func([]int) (float64, error)) float64 {
	best := math.Inf(1)
	var fill func(order, left []int)
	fill = func(order, left []int) {
		if sum(left) == 0 {
			if symmetric && !isSymmetric(order) {
				return
			}
			v, _ := worth(order)
			for k := range order[1:] {
				if order[k] == order[k+1] {
					v += blockCost
				}
			}
			best = math.Min(best, v)
			return
		}
		for f, n := range left {
			if n > 0 {
				next := slices.Clone(left)
				next[f]--
				fill(append(slices.Clone(order), f), next)
			}
		}
	}
	fill(nil, counts)
	return best
}

func TestOrderIsTheBest(t *testing.T) {
	for _, row := range []struct {
		name        string
		counts      []int
		gain        float64
		unsymmetric bool
	}{
		{"bending", []int{4, 4}, 1, false},
		{"three families", []int{2, 4, 2}, 1, false},
		{"an odd one in the middle", []int{3, 4}, 1, false},
		{"unsymmetric", []int{3, 3}, 1, true},
		{"hardly any gain: spread", []int{4, 4}, 0.001, false},
	} {
		found, err := FindOrder(row.counts, OrderSettings{Unsymmetric: row.unsymmetric, Worth: outer(row.gain)})
		if err != nil {
			t.Fatal(err)
		}
		got := found.Worth[len(found.Worth)-1]
		if want := bestOrder(row.counts, !row.unsymmetric, outer(row.gain)); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: order %v is worth %.4f, the best of all %.4f", row.name, found.Order, got, want)
		}
		if !row.unsymmetric && !isSymmetric(found.Order) {
			t.Errorf("%s: order %v is not symmetric", row.name, found.Order)
		}
		for i := range found.Worth[1:] {
			if found.Worth[i+1] >= found.Worth[i] {
				t.Errorf("%s: exchange %d does not help: %v", row.name, i+1, found.Worth)
			}
		}
	}
	asked := 0
	stopped, err := FindOrder([]int{4, 4}, OrderSettings{Worth: outer(1), Stop: func() bool { asked++; return asked > 2 }})
	if err != nil || !stopped.Stopped || stopped.Tried != 3 {
		t.Errorf("stopped %v after %d orders, want 3: %v", stopped.Stopped, stopped.Tried, err)
	}
}
