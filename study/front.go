package study

import (
	"cmp"
	"slices"
)

// ranks sorts points by dominance. Row i of figures holds the aims of a point,
// turned so that less is better. Rank 1 is the front: no other point is at least
// as good in every aim and better in one; rank r is the front when the ranks
// below r are taken away. Points that are equal in all aims have the same rank.
//
// In the order of the dictionary a point comes after all that dominate it, so
// that its rank is one more than the greatest among them. Cost is n² comparisons
// of rows.
func ranks(figures [][]float64) []int {
	order := make([]int, len(figures))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return slices.Compare(figures[a], figures[b]) })
	rank := make([]int, len(figures))
	for n, i := range order {
		rank[i] = 1
		for _, k := range order[:n] {
			if rank[k] >= rank[i] && dominates(figures[k], figures[i]) {
				rank[i] = rank[k] + 1
			}
		}
	}
	return rank
}

// dominates reports whether a is no worse than b in every aim and better in one.
func dominates(a, b []float64) bool {
	better := false
	for i := range a {
		switch cmp.Compare(a[i], b[i]) {
		case 1:
			return false
		case -1:
			better = true
		}
	}
	return better
}

// ties groups points of a list that are equal in all aims; groups of one are
// left out.
func ties(list []int, figures [][]float64) [][]int {
	var out [][]int
	grouped := make([]bool, len(list))
	for i := range list {
		group := []int{list[i]}
		for k := i + 1; k < len(list) && !grouped[i]; k++ {
			if !grouped[k] && slices.Equal(figures[list[i]], figures[list[k]]) {
				group, grouped[k] = append(group, list[k]), true
			}
		}
		if len(group) > 1 {
			out = append(out, group)
		}
	}
	return out
}
