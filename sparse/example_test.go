package sparse_test

import (
	"fmt"

	"sinew/sparse"
)

// Three springs in a row, the first held, a force of 1 at the far end.
func Example() {
	a := sparse.NewPattern(3, [][]int32{{0, 1}, {1, 2}})
	for i, v := range []float64{2, 2, 1} {
		a.Val[a.Index(i, i)] = v
	}
	a.Val[a.Index(1, 0)], a.Val[a.Index(2, 1)] = -1, -1
	s, err := sparse.Analyze(a, sparse.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	f, err := s.Factorize(a)
	if err != nil {
		fmt.Println(err)
		return
	}
	x := []float64{0, 0, 1}
	f.Solve(x, 1)
	fmt.Printf("%.3f\n", x)
	// Output: [1.000 2.000 3.000]
}
