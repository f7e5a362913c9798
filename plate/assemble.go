package plate

import (
	"slices"
	"sync"

	"sinew/sparse"
)

// scatter says where each entry of each cell's matrix goes in the system
// matrix, so that assembly is one pass without a search. Cells are the
// triangles, then the springs. A plain cell, all of whose displacements are
// unknowns of their own or held, is added as it is; a tied one is first turned
// into its unknowns by Tᵀ·K·T.
type scatter struct {
	tris   int
	start  []int   // of each cell in target, one more at the end
	target []int32 // index into the matrix's values, -1: held
	tied   []*tiedCell
	extras []extra
}

// tiedCell holds T by displacements: d = T·x over the cell's unknowns.
type tiedCell struct {
	unknowns []int32
	dofs     int
	t        []float64 // [dof][unknown]
}

// plain returns the unknowns of a cell, -1 for a held displacement; ok is
// false when the cell is tied.
func (t *tie) plain(dofs []int32) (list []int32, ok bool) {
	list = make([]int32, len(dofs))
	for i, d := range dofs {
		list[i] = -1
		switch a, b := t.start[d], t.start[d+1]; {
		case b-a == 1 && t.coef[a] == 1:
			list[i] = t.unknown[a]
			if slices.Contains(list[:i], list[i]) {
				return nil, false
			}
		case b != a:
			return nil, false
		}
	}
	return list, true
}

func (t *tie) tiedCell(dofs []int32) *tiedCell {
	c := &tiedCell{dofs: len(dofs)}
	for _, d := range dofs {
		c.unknowns = append(c.unknowns, t.unknown[t.start[d]:t.start[d+1]]...)
	}
	slices.Sort(c.unknowns)
	c.unknowns = slices.Compact(c.unknowns)
	m := len(c.unknowns)
	c.t = make([]float64, len(dofs)*m)
	for i, d := range dofs {
		for k := t.start[d]; k < t.start[d+1]; k++ {
			j, _ := slices.BinarySearch(c.unknowns, t.unknown[k])
			c.t[i*m+j] += t.coef[k]
		}
	}
	return c
}

// turn returns the lower triangle of Tᵀ·K·T.
func (c *tiedCell) turn(k []float64) []float64 {
	m := len(c.unknowns)
	kt := make([]float64, c.dofs*m)
	for i := range c.dofs {
		for j := range c.dofs {
			v := k[max(i, j)*(max(i, j)+1)/2+min(i, j)]
			if v == 0 {
				continue
			}
			for r := range m {
				kt[i*m+r] += v * c.t[j*m+r]
			}
		}
	}
	out := make([]float64, 0, m*(m+1)/2)
	for r := range m {
		for s := range r + 1 {
			sum := 0.0
			for i := range c.dofs {
				sum += c.t[i*m+r] * kt[i*m+s]
			}
			out = append(out, sum)
		}
	}
	return out
}

// triDofs returns the displacements of a triangle.
func (e *elements) triDofs(t int) []int32 {
	list := make([]int32, 0, dofsPerTri)
	for _, n := range e.mesh.Tris[t] {
		for d := range int32(dofsPerNode) {
			list = append(list, dofsPerNode*n+d)
		}
	}
	return list
}

// newScatter returns the empty system matrix and the map into it.
func newScatter(e *elements, t *tie, extras []extra) (*scatter, *sparse.Symmetric) {
	n := len(e.mesh.Tris) + len(extras)
	s := &scatter{tris: len(e.mesh.Tris), start: make([]int, n+1), tied: make([]*tiedCell, n), extras: extras}
	groups, lists := make([][]int32, n), make([][]int32, n)
	for i := range n {
		dofs := []int32(nil)
		if i < s.tris {
			dofs = e.triDofs(i)
		} else {
			dofs = extras[i-s.tris].dofs
		}
		if list, plain := t.plain(dofs); plain {
			lists[i] = list
			groups[i] = slices.DeleteFunc(slices.Clone(list), func(u int32) bool { return u < 0 })
		} else {
			s.tied[i] = t.tiedCell(dofs)
			groups[i], lists[i] = s.tied[i].unknowns, s.tied[i].unknowns
		}
		m := len(lists[i])
		s.start[i+1] = s.start[i] + m*(m+1)/2
	}
	a := sparse.NewPattern(t.n, groups)
	s.target = make([]int32, s.start[n])
	for i, list := range lists {
		at := s.start[i]
		for r := range list {
			for c := range r + 1 {
				s.target[at] = -1
				if list[r] >= 0 && list[c] >= 0 {
					s.target[at] = int32(a.Index(int(max(list[r], list[c])), int(min(list[r], list[c]))))
				}
				at++
			}
		}
	}
	return s, a
}

// chunk is how many cells are computed before they are added up: their
// matrices stay within a few megabytes.
const chunk = 2048

// assemble fills the values of a with the sum of the triangles' matrices and,
// with springs, of the extras'. All workers compute cells, then each adds up
// its own share of the matrix, cell by cell in order: sums come out the same
// for any number of workers.
func (s *scatter) assemble(a *sparse.Symmetric, workers int, springs bool, matrix func(k *[packed]float64, t int)) {
	clear(a.Val)
	cells := s.tris
	if springs {
		cells += len(s.extras)
	}
	var buffer []float64
	for from := 0; from < cells; from += chunk {
		to := min(from+chunk, cells)
		first := s.start[from]
		if need := s.start[to] - first; len(buffer) < need {
			buffer = make([]float64, need)
		}
		share(to-from, workers, func(lo, hi int) {
			var k [packed]float64
			for i := from + lo; i < from+hi; i++ {
				values := k[:]
				if i < s.tris {
					matrix(&k, i)
				} else {
					values = s.extras[i-s.tris].k
				}
				if c := s.tied[i]; c != nil {
					values = c.turn(values)
				}
				copy(buffer[s.start[i]-first:s.start[i+1]-first], values)
			}
		})
		share(len(a.Val), workers, func(lo, hi int) {
			val, low, count := a.Val[lo:hi], int32(lo), uint32(hi-lo)
			for i, p := range s.target[first:s.start[to]] {
				if d := uint32(p - low); d < count {
					val[d] += buffer[i]
				}
			}
		})
	}
}

// share cuts 0..n into one piece for each worker and waits for all.
func share(n, workers int, do func(lo, hi int)) {
	if workers <= 1 || n < workers {
		do(0, n)
		return
	}
	var wait sync.WaitGroup
	for w := range workers {
		wait.Go(func() { do(n*w/workers, n*(w+1)/workers) })
	}
	wait.Wait()
}
