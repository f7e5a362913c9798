package sparse

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// Settings steer Analyze; the zero value is a good choice.
type Settings struct {
	// Coords places each unknown (length N) in the plane; the ordering then
	// cuts the domain along lines. Nil: the ordering sees only the graph.
	Coords [][2]float64
	// Workers is how many goroutines factorise and solve; 0 means one for each
	// processor. Results do not depend on it.
	Workers int
	// Cancel is asked now and then; when it reports true the work stops with
	// ErrCancelled. Nil: never.
	Cancel func() bool
}

// ErrCancelled is returned when Settings.Cancel stopped the work.
var ErrCancelled = errors.New("sparse: cancelled")

// NotPositiveDefiniteError reports the pivot at which a factorisation broke
// down.
type NotPositiveDefiniteError struct {
	Column int     // of the matrix as given
	Pivot  float64 // what was left of its diagonal; not above zero, or NaN
}

func (e *NotPositiveDefiniteError) Error() string {
	return fmt.Sprintf("matrix is not positive definite: pivot %g at unknown %d", e.Pivot, e.Column)
}

// Symbolic is the analysis of a pattern, good for any values on it.
type Symbolic struct {
	n      int
	perm   []int32 // perm[new] = old
	parent []int32
	colPtr []int
	up     *Symmetric // pattern of the permuted upper triangle, by columns
	from   []int      // position in the given matrix of each entry of up
	cancel func() bool
}

// Factor is a factorisation P·A·Pᵀ = L·Lᵀ.
type Factor struct {
	s   *Symbolic
	row []int32
	val []float64
	x   []float64
}

// Analyze orders the pattern of a and prepares its factorisation.
func Analyze(a *Symmetric, s Settings) (*Symbolic, error) {
	if s.Coords != nil && len(s.Coords) != a.N {
		return nil, fmt.Errorf("sparse: %d coordinates for %d unknowns", len(s.Coords), a.N)
	}
	order := make([]int32, a.N)
	for i := range order {
		order[i] = int32(i)
	}
	if s.Coords != nil {
		order = bisect(a, s.Coords)
	}
	y := &Symbolic{n: a.N, perm: order, cancel: s.Cancel}
	y.permute(a)
	y.count()
	return y, nil
}

func bisect(a *Symmetric, at [][2]float64) []int32 {
	adj := make([][]int32, a.N)
	for j := range a.N {
		for _, i := range a.Row[a.ColPtr[j]:a.ColPtr[j+1]] {
			if int(i) != j {
				adj[j] = append(adj[j], i)
				adj[i] = append(adj[i], int32(j))
			}
		}
	}
	side := make([]int32, a.N)
	tag := int32(0)
	var cut func(set []int32) []int32
	cut = func(set []int32) []int32 {
		if len(set) < 40 {
			return set
		}
		lo, hi := at[set[0]], at[set[0]]
		for _, i := range set {
			for k := range 2 {
				lo[k], hi[k] = math.Min(lo[k], at[i][k]), math.Max(hi[k], at[i][k])
			}
		}
		axis := 0
		if hi[1]-lo[1] > hi[0]-lo[0] {
			axis = 1
		}
		slices.SortFunc(set, func(p, q int32) int {
			if c := cmp.Compare(at[p][axis], at[q][axis]); c != 0 {
				return c
			}
			return cmp.Compare(p, q)
		})
		half := len(set) / 2
		tag++
		mine := tag
		for _, i := range set[:half] {
			side[i] = mine
		}
		var right, middle []int32
		for _, i := range set[half:] {
			if slices.ContainsFunc(adj[i], func(k int32) bool { return side[k] == mine }) {
				middle = append(middle, i)
			} else {
				right = append(right, i)
			}
		}
		return append(append(cut(slices.Clone(set[:half])), cut(right)...), middle...)
	}
	all := make([]int32, a.N)
	for i := range all {
		all[i] = int32(i)
	}
	return cut(all)
}

func (y *Symbolic) permute(a *Symmetric) {
	inv := make([]int32, y.n)
	for k, i := range y.perm {
		inv[i] = int32(k)
	}
	type entry struct {
		row  int32
		from int
	}
	cols := make([][]entry, y.n)
	for j := range a.N {
		for p := a.ColPtr[j]; p < a.ColPtr[j+1]; p++ {
			r, c := inv[a.Row[p]], inv[j]
			if r > c {
				r, c = c, r
			}
			cols[c] = append(cols[c], entry{r, p})
		}
	}
	y.up = &Symmetric{N: y.n, ColPtr: make([]int, y.n+1)}
	for j, col := range cols {
		slices.SortFunc(col, func(p, q entry) int { return cmp.Compare(p.row, q.row) })
		for _, e := range col {
			y.up.Row = append(y.up.Row, e.row)
			y.from = append(y.from, e.from)
		}
		y.up.ColPtr[j+1] = len(y.up.Row)
	}
}

// count finds the elimination tree and the length of each column of L.
func (y *Symbolic) count() {
	y.parent = make([]int32, y.n)
	mark := make([]int32, y.n)
	length := make([]int, y.n)
	for k := range y.n {
		y.parent[k] = -1
		mark[k] = int32(k)
		length[k]++
		for _, i := range y.up.Row[y.up.ColPtr[k]:y.up.ColPtr[k+1]] {
			for ; mark[i] != int32(k); i = y.parent[i] {
				if y.parent[i] < 0 {
					y.parent[i] = int32(k)
				}
				length[i]++
				mark[i] = int32(k)
			}
		}
	}
	y.colPtr = make([]int, y.n+1)
	for k := range y.n {
		y.colPtr[k+1] = y.colPtr[k] + length[k]
	}
}

// Factorize factorises a matrix with the analysed pattern.
func (y *Symbolic) Factorize(a *Symmetric) (*Factor, error) {
	nnz := y.colPtr[y.n]
	f := &Factor{s: y, row: make([]int32, nnz), val: make([]float64, nnz), x: make([]float64, y.n)}
	return f, f.Refactorize(a)
}

// Refactorize factorises other values on the same pattern in the same memory.
func (f *Factor) Refactorize(a *Symmetric) error {
	y := f.s
	next := slices.Clone(y.colPtr[:y.n])
	mark := make([]int32, y.n)
	for i := range mark {
		mark[i] = -1
	}
	reach := make([]int32, y.n)
	x := f.x
	clear(x)
	for k := range y.n {
		if k%1024 == 0 && y.cancel != nil && y.cancel() {
			return ErrCancelled
		}
		top := y.n
		mark[k] = int32(k)
		d := 0.0
		var path []int32
		for p := y.up.ColPtr[k]; p < y.up.ColPtr[k+1]; p++ {
			i := y.up.Row[p]
			if int(i) == k {
				d = a.Val[y.from[p]]
				continue
			}
			x[i] = a.Val[y.from[p]]
			path = path[:0]
			for ; mark[i] != int32(k); i = y.parent[i] {
				path = append(path, i)
				mark[i] = int32(k)
			}
			for len(path) > 0 {
				top--
				reach[top] = path[len(path)-1]
				path = path[:len(path)-1]
			}
		}
		for ; top < y.n; top++ {
			i := reach[top]
			first := y.colPtr[i]
			v := x[i] / f.val[first]
			x[i] = 0
			for p := first + 1; p < next[i]; p++ {
				x[f.row[p]] -= f.val[p] * v
			}
			d -= v * v
			f.row[next[i]], f.val[next[i]] = int32(k), v
			next[i]++
		}
		if !(d > 0) {
			return &NotPositiveDefiniteError{Column: int(y.perm[k]), Pivot: d}
		}
		f.row[next[k]], f.val[next[k]] = int32(k), math.Sqrt(d)
		next[k]++
	}
	return nil
}

// Solve replaces the right-hand sides b, columns of length N one after the
// other, by the solutions.
func (f *Factor) Solve(b []float64, columns int) {
	y := f.s
	x := f.x
	for c := range columns {
		bc := b[c*y.n : (c+1)*y.n]
		for k, i := range y.perm {
			x[k] = bc[i]
		}
		for j := range y.n {
			p := y.colPtr[j]
			x[j] /= f.val[p]
			for p++; p < y.colPtr[j+1]; p++ {
				x[f.row[p]] -= f.val[p] * x[j]
			}
		}
		for j := y.n - 1; j >= 0; j-- {
			p := y.colPtr[j]
			sum := x[j]
			for q := p + 1; q < y.colPtr[j+1]; q++ {
				sum -= f.val[q] * x[f.row[q]]
			}
			x[j] = sum / f.val[p]
		}
		for k, i := range y.perm {
			bc[i] = x[k]
		}
	}
}
