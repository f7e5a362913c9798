package stress

import (
	"math"
	"slices"
	"sync"

	"sinew/sparse"
)

// scatter says where each entry of each element matrix goes in the system
// matrix, so that assembly is one pass without a search. A plain element, all
// of whose displacements are unknowns of their own or held, is added as it
// is; a tied one is first turned into its unknowns by Kᵀ = Tᵀ·K·T.
type scatter struct {
	start  []int      // of each element in target, one more at the end
	target []int32    // index into the matrix's values, -1: held
	reach  [][2]int32 // of each element: its least target and the one after its greatest
	tied   map[int32]*tiedElement
	wide   int // entries of the largest tied element
}

// tiedElement holds T by displacements: u = T·x over the element's unknowns.
type tiedElement struct {
	unknowns []int32
	t        []float64 // [dof][unknown]
}

// elementUnknowns returns the unknowns of an element in the order of its
// displacements, -1 for a held one; ok is false when it is tied.
func (t *tie) elementUnknowns(tri *[nodesPerTri]int32) (list [dofsPerTri]int32, ok bool) {
	for i := range dofsPerTri {
		dof := 2*tri[i/2] + int32(i%2)
		list[i] = -1
		switch a, b := t.start[dof], t.start[dof+1]; {
		case b-a == 1 && t.coef[a] == 1:
			list[i] = t.unknown[a]
		case b != a:
			return list, false
		}
	}
	for i, u := range list { // a shared motion may reach an element twice
		if u >= 0 && slices.Contains(list[:i], u) {
			return list, false
		}
	}
	return list, true
}

func (t *tie) tiedElement(tri *[nodesPerTri]int32) *tiedElement {
	e := &tiedElement{}
	for i := range dofsPerTri {
		dof := 2*tri[i/2] + int32(i%2)
		e.unknowns = append(e.unknowns, t.unknown[t.start[dof]:t.start[dof+1]]...)
	}
	slices.Sort(e.unknowns)
	e.unknowns = slices.Compact(e.unknowns)
	m := len(e.unknowns)
	e.t = make([]float64, dofsPerTri*m)
	for i := range dofsPerTri {
		dof := 2*tri[i/2] + int32(i%2)
		for k := t.start[dof]; k < t.start[dof+1]; k++ {
			j, _ := slices.BinarySearch(e.unknowns, t.unknown[k])
			e.t[i*m+j] += t.coef[k]
		}
	}
	return e
}

// turnTo writes the lower triangle of Tᵀ·K·T into out.
func (e *tiedElement) turnTo(out []float64, k *[packed]float64) {
	m := len(e.unknowns)
	at := 0
	for r := range m {
		for c := range r + 1 {
			sum := 0.0
			for i := range dofsPerTri {
				if e.t[i*m+r] == 0 {
					continue
				}
				row := 0.0
				for j := range dofsPerTri {
					hi, lo := max(i, j), min(i, j)
					row += k[hi*(hi+1)/2+lo] * e.t[j*m+c]
				}
				sum += e.t[i*m+r] * row
			}
			out[at] = sum
			at++
		}
	}
}

// newScatter returns the empty system matrix and the map into it.
func newScatter(e *elements, t *tie) (*scatter, *sparse.Symmetric) {
	n := len(e.mesh.Tris)
	s := &scatter{start: make([]int, n+1), reach: make([][2]int32, n), tied: map[int32]*tiedElement{}}
	groups := make([][]int32, n) // the unknowns of each element that are not held
	lists := make([][]int32, n)  // the unknown of each row, -1 held
	flat := make([]int32, 0, n*dofsPerTri)
	for i := range n {
		tri := &e.mesh.Tris[i]
		if list, plain := t.elementUnknowns(tri); plain {
			flat = append(flat, list[:]...)
			lists[i] = flat[len(flat)-dofsPerTri:]
			groups[i] = withoutHeld(lists[i])
		} else {
			tied := t.tiedElement(tri)
			s.tied[int32(i)] = tied
			groups[i], lists[i] = tied.unknowns, tied.unknowns
		}
		m := len(lists[i])
		s.start[i+1] = s.start[i] + m*(m+1)/2
		s.wide = max(s.wide, m*(m+1)/2)
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
	for i := range n {
		reach := [2]int32{math.MaxInt32, -1}
		for _, p := range s.target[s.start[i]:s.start[i+1]] {
			if p >= 0 {
				reach[0], reach[1] = min(reach[0], p), max(reach[1], p+1)
			}
		}
		s.reach[i] = reach
	}
}

// assemble fills the values of a. Each worker adds up its own share of the
// values, element by element in order, and computes the elements that reach
// into it: sums come out the same for any number of workers. Neighbours in the
// mesh are neighbours in the numbering, so that few elements are computed twice.
func (s *scatter) assemble(a *sparse.Symmetric, e *elements, sheet *Sheet, workers int) {
	share(len(a.Val), workers, func(lo, hi int) {
		clear(a.Val[lo:hi])
		s.fill(a.Val, int32(lo), int32(hi), e, sheet)
	})
}

// fill adds the elements' entries to the values lo..hi.
func (s *scatter) fill(val []float64, lo, hi int32, e *elements, sheet *Sheet) {
	var k [packed]float64
	wide := make([]float64, s.wide)
	for i, r := range s.reach {
		if r[0] >= hi || r[1] <= lo {
			continue
		}
		e.stiffnessTo(&k, i, sheet)
		entries := k[:]
		if len(s.tied) > 0 {
			if tied := s.tied[int32(i)]; tied != nil {
				tied.turnTo(wide, &k)
				entries = wide
			}
		}
		target := s.target[s.start[i]:s.start[i+1]]
		for p, t := range target {
			if t >= lo && t < hi {
				val[t] += entries[p]
			}
		}
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
