package field

import (
	"cmp"
	"fmt"
	"slices"

	"sinew/geom"
)

func sortedPoints(pts []geom.Point) []geom.Point {
	pts = slices.Clone(pts)
	slices.SortFunc(pts, func(a, b geom.Point) int {
		if c := cmp.Compare(a.X, b.X); c != 0 {
			return c
		}
		return cmp.Compare(a.Y, b.Y)
	})
	return slices.Compact(pts)
}

// StackUp orders the layers, bottom to top: symmetric about the middle, each
// family spread as evenly as whole layers allow, families with an odd number
// meeting at the middle. symmetric is false when more than one number is odd.
func StackUp(counts []int) (order []int, symmetric bool) {
	half := make([]int, len(counts))
	var middle []int
	for i, n := range counts {
		half[i] = n / 2
		if n%2 == 1 {
			middle = append(middle, i)
		}
	}
	lower := interleave(half)
	order = append(order, lower...)
	order = append(order, middle...)
	for i := len(lower) - 1; i >= 0; i-- {
		order = append(order, lower[i])
	}
	return order, len(middle) <= 1
}

// interleave spreads the families over a sequence: the next layer goes to the
// family that lags most behind its share, the first of equals.
func interleave(counts []int) []int {
	total := 0
	for _, n := range counts {
		total += n
	}
	used := make([]int, len(counts))
	var out []int
	for k := 1; k <= total; k++ {
		best := -1
		for i, n := range counts {
			// Shares compared as whole numbers: n·k - used·total.
			if used[i] < n && (best < 0 || n*k-used[i]*total > counts[best]*k-used[best]*total) {
				best = i
			}
		}
		used[best]++
		out = append(out, best)
	}
	return out
}

// layersOf gives every other layer of a family its shift.
func layersOf(order []int, families int, shift bool) []Layer {
	seen := make([]int, families)
	var out []Layer
	for _, k := range order {
		y := Layer{Family: k}
		if shift && seen[k]%2 == 1 {
			y.Shift = 0.5
		}
		seen[k]++
		out = append(out, y)
	}
	return out
}

// isSymmetric reports whether an order is the same from top to bottom.
func isSymmetric(order []int) bool {
	for i, k := range order {
		if k != order[len(order)-1-i] {
			return false
		}
	}
	return true
}

// validateOrder says where a stated order does not hold the families' layers.
func (s Settings) validateOrder() error {
	if s.Order == nil {
		return nil
	}
	left := make([]int, len(s.Families))
	for i := range s.Families {
		left[i] = s.Families[i].Layers
	}
	for i, k := range s.Order {
		if k < 0 || k >= len(left) {
			return fmt.Errorf("layer %d of the order: there is no family %d", i+1, k)
		}
		left[k]--
	}
	for i, n := range left {
		if n != 0 {
			return fmt.Errorf("family %d (%s): the order holds it %d times, asked for are %d layers", i+1, s.Families[i].Name, s.Families[i].Layers-n, s.Families[i].Layers)
		}
	}
	return nil
}
