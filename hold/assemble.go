package hold

import (
	"slices"

	"sinew/internal/work"
	"sinew/sparse"
)

const nodesPerTri = 6

// scatter says where each entry of each cell's matrix goes in the system
// matrix, so that assembly is one pass without a search. Cells are the
// triangles, then the springs. A plain cell, all of whose displacements are
// unknowns of their own or held, is added as it is; a tied one is first turned
// into its unknowns by Tᵀ·K·T.
type scatter struct {
	tris    int
	packed  int     // entries of the lower triangle of a triangle's matrix
	start   []int   // of each cell in target, one more at the end
	target  []int32 // index into the matrix's values, -1: held
	tied    map[int32]*tiedCell
	springs []spring
}

// tiedCell holds T by displacements: d = T·x over the cell's unknowns.
type tiedCell struct {
	unknowns []int32
	dofs     int
	t        []float64 // [dof][unknown]
}

// plainTo writes the unknowns of a cell, -1 for a held displacement; it reports
// false when the cell is tied.
func (t *tie) plainTo(list, dofs []int32) bool {
	for i, d := range dofs {
		list[i] = -1
		switch a, b := t.start[d], t.start[d+1]; {
		case b-a == 1 && t.coef[a] == 1:
			list[i] = t.unknown[a]
			if slices.Contains(list[:i], list[i]) { // a shared motion may reach a cell twice
				return false
			}
		case b != a:
			return false
		}
	}
	return true
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

// turnTo writes the lower triangle of Tᵀ·K·T; kt is room for K·T.
func (c *tiedCell) turnTo(out, k, kt []float64) {
	m := len(c.unknowns)
	kt = kt[:c.dofs*m]
	clear(kt)
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
	at := 0
	for r := range m {
		for s := range r + 1 {
			sum := 0.0
			for i := range c.dofs {
				sum += c.t[i*m+r] * kt[i*m+s]
			}
			out[at] = sum
			at++
		}
	}
}

// newScatter returns the empty system matrix and the map into it.
func newScatter(tris [][nodesPerTri]int32, t *tie, springs []spring) (*scatter, *sparse.Symmetric) {
	n, dofsPerTri := len(tris)+len(springs), nodesPerTri*t.per
	s := &scatter{tris: len(tris), packed: dofsPerTri * (dofsPerTri + 1) / 2, start: make([]int, n+1), tied: map[int32]*tiedCell{}, springs: springs}
	groups := make([][]int32, n) // the unknowns of each cell that are not held
	lists := make([][]int32, n)  // the unknown of each row, -1 held
	flat := make([]int32, 0, len(tris)*dofsPerTri)
	dofs, list := make([]int32, 0, dofsPerTri), make([]int32, max(dofsPerTri, most+most+1))
	for i := range n {
		if dofs = dofs[:0]; i < len(tris) {
			for _, node := range tris[i] {
				for d := range t.per {
					dofs = append(dofs, int32(t.per)*node+int32(d))
				}
			}
		} else {
			dofs = append(dofs, springs[i-len(tris)].dofs...)
		}
		if t.plainTo(list, dofs) {
			flat = append(flat, list[:len(dofs)]...)
			lists[i] = flat[len(flat)-len(dofs):]
			groups[i] = withoutHeld(lists[i])
		} else {
			s.tied[int32(i)] = t.tiedCell(dofs)
			groups[i] = s.tied[int32(i)].unknowns
			lists[i] = groups[i]
		}
		m := len(lists[i])
		s.start[i+1] = s.start[i] + m*(m+1)/2
	}
	a := sparse.NewPattern(t.n, groups)
	s.findTargets(a, lists)
	return s, a
}

// withoutHeld returns the list itself when it holds no -1.
func withoutHeld(list []int32) []int32 {
	if !slices.Contains(list, -1) {
		return list
	}
	var free []int32
	for _, u := range list {
		if u >= 0 {
			free = append(free, u)
		}
	}
	return free
}

// findTargets finds the place of each entry, column by column of the matrix:
// the place of each row of the column is noted once for all elements that meet
// there.
func (s *scatter) findTargets(a *sparse.Symmetric, lists [][]int32) {
	n := len(lists)
	s.target = make([]int32, s.start[n])
	for p := range s.target {
		s.target[p] = -1
	}
	next := make([]int32, a.N+2) // members of unknown u end at next[u] once all are in
	for _, list := range lists {
		for _, u := range list {
			next[u+2]++ // held ones gather at 1 and are passed over below
		}
	}
	next[1] = 0
	for u := range a.N {
		next[u+2] += next[u+1]
	}
	member := make([][2]int32, next[a.N+1]) // element and row
	for i, list := range lists {
		for r, u := range list {
			if u >= 0 {
				member[next[u+1]] = [2]int32{int32(i), int32(r)}
				next[u+1]++
			}
		}
	}
	where := make([]int32, a.N)
	for u := range int32(a.N) {
		for p := a.ColPtr[u]; p < a.ColPtr[u+1]; p++ {
			where[a.Row[p]] = int32(p)
		}
		for _, m := range member[next[u]:next[u+1]] {
			target, c := s.target[s.start[m[0]]:], int(m[1])
			for r, v := range lists[m[0]] {
				if v >= u {
					hi, lo := max(r, c), min(r, c)
					target[hi*(hi+1)/2+lo] = where[v]
				}
			}
		}
	}
}

// chunk is how many entries are computed before they are added up: they stay in
// the cache of a core.
const chunk = 1 << 15

// assemble fills the values of a with the sum of the triangles' matrices, lower
// triangles by rows, and, with springs, of theirs. All workers compute cells,
// then each adds up its own share of the matrix, cell by cell in order: sums
// come out the same for any number of workers.
func (s *scatter) assemble(a *sparse.Symmetric, workers int, springs bool, matrix func(k []float64, tri int)) {
	clear(a.Val)
	cells := s.tris
	if springs {
		cells += len(s.springs)
	}
	var buffer []float64
	for from := 0; from < cells; {
		to, first := from+1, s.start[from]
		for to < cells && s.start[to+1]-first <= chunk {
			to++
		}
		if need := s.start[to] - first; len(buffer) < need {
			buffer = make([]float64, max(need, chunk))
		}
		work.Share(to-from, workers, func(lo, hi int) { s.compute(buffer, from+lo, from+hi, first, matrix) })
		work.Share(len(a.Val), workers, func(lo, hi int) {
			val, low, count := a.Val[lo:hi], int32(lo), uint32(hi-lo)
			for i, p := range s.target[first:s.start[to]] {
				if d := uint32(p - low); d < count {
					val[d] += buffer[i]
				}
			}
		})
		from = to
	}
}

// compute fills the entries of cells from..to, those of first at the front.
func (s *scatter) compute(buffer []float64, from, to, first int, matrix func(k []float64, tri int)) {
	var own, kt []float64
	for i := from; i < to; i++ {
		out := buffer[s.start[i]-first : s.start[i+1]-first]
		c := s.tied[int32(i)]
		switch {
		case c == nil && i < s.tris:
			matrix(out, i)
		case c == nil:
			copy(out, s.springs[i-s.tris].k)
		default:
			if own == nil {
				own = make([]float64, s.packed)
			}
			if need := c.dofs * len(c.unknowns); len(kt) < need {
				kt = make([]float64, need)
			}
			k := own
			if i < s.tris {
				matrix(k, i)
			} else {
				k = s.springs[i-s.tris].k
			}
			c.turnTo(out, k, kt)
		}
	}
}
