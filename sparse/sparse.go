package sparse

import (
	"fmt"
	"slices"
)

// Symmetric is a symmetric matrix of order N: the lower triangle with its
// diagonal, by columns; the row indices of a column ascend.
type Symmetric struct {
	N      int
	ColPtr []int   // length N+1
	Row    []int32 // length ColPtr[N]
	Val    []float64
}

// Twin returns a matrix of the same pattern, all values zero, which it shares.
func (a *Symmetric) Twin() *Symmetric {
	out := *a
	out.Val = make([]float64, len(a.Val))
	return &out
}

// NewPattern returns the matrix of order n, all values zero, that holds the
// diagonal and every pair of unknowns that share a group: a group is what one
// element couples. It panics when a group names an unknown outside 0..n-1.
func NewPattern(n int, groups [][]int32) *Symmetric {
	member, start := membership(n, groups)
	a := &Symmetric{N: n, ColPtr: make([]int, n+1)}
	a.Row = make([]int32, 0, 12*n)
	mark := make([]int32, n)
	for i := range mark {
		mark[i] = -1
	}
	for j := range n {
		first := len(a.Row)
		if j > 0 && slices.Equal(member[start[j-1]:start[j]], member[start[j]:start[j+1]]) && start[j] < start[j+1] {
			// in the same groups as the unknown before: the same rows but for that one
			a.Row = append(a.Row, a.Row[a.ColPtr[j-1]+1:]...)
			a.ColPtr[j+1] = len(a.Row)
			continue
		}
		a.Row = append(a.Row, int32(j))
		mark[j] = int32(j)
		for _, g := range member[start[j]:start[j+1]] {
			for _, i := range groups[g] {
				if i > int32(j) && mark[i] != int32(j) {
					mark[i] = int32(j)
					a.Row = append(a.Row, i)
				}
			}
		}
		slices.Sort(a.Row[first:])
		a.ColPtr[j+1] = len(a.Row)
	}
	a.Row = slices.Clip(a.Row)
	a.Val = make([]float64, len(a.Row))
	return a
}

// membership lists the groups of each unknown: those of i are
// member[start[i]:start[i+1]].
func membership(n int, groups [][]int32) (member []int32, start []int) {
	start = make([]int, n+2)
	for g, group := range groups {
		for _, i := range group {
			if i < 0 || int(i) >= n {
				panic(fmt.Sprintf("sparse: group %d names unknown %d of %d", g, i, n))
			}
			start[i+2]++
		}
	}
	for i := 2; i < len(start); i++ {
		start[i] += start[i-1]
	}
	member = make([]int32, start[n+1])
	for g, group := range groups {
		for _, i := range group {
			member[start[i+1]] = int32(g)
			start[i+1]++
		}
	}
	return member, start[:n+1]
}

// Index returns the position in Val of the entry at row i and column j, in
// either order, or -1 when the pattern does not hold it. It costs a binary
// search in one column.
func (a *Symmetric) Index(i, j int) int {
	if i < j {
		i, j = j, i
	}
	k, found := slices.BinarySearch(a.Row[a.ColPtr[j]:a.ColPtr[j+1]], int32(i))
	if !found {
		return -1
	}
	return a.ColPtr[j] + k
}

// MulVec writes the product of the whole symmetric matrix with x to dst,
// which must not overlap x.
func (a *Symmetric) MulVec(dst, x []float64) {
	clear(dst[:a.N])
	for j := range a.N {
		xj, sum := x[j], 0.0
		for p := a.ColPtr[j]; p < a.ColPtr[j+1]; p++ {
			i, v := a.Row[p], a.Val[p]
			sum += v * x[i]
			if int(i) != j {
				dst[i] += v * xj
			}
		}
		dst[j] += sum
	}
}

// validate checks that a is what its type says.
func (a *Symmetric) validate() error {
	if a.N < 0 || len(a.ColPtr) != a.N+1 || a.ColPtr[0] != 0 || a.ColPtr[a.N] != len(a.Row) {
		return &PatternError{"column pointers do not fit the rows"}
	}
	for j := range a.N {
		if a.ColPtr[j] > a.ColPtr[j+1] {
			return &PatternError{fmt.Sprintf("pointer of column %d descends", j)}
		}
		last := int32(j) - 1
		for _, i := range a.Row[a.ColPtr[j]:a.ColPtr[j+1]] {
			if i <= last || int(i) >= a.N {
				return &PatternError{fmt.Sprintf("column %d: row %d is above the diagonal, out of order or out of range", j, i)}
			}
			last = i
		}
	}
	return nil
}
