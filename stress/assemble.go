package stress

import (
	"slices"
	"sync"

	"sinew/sparse"
)

// scatter says where each entry of each element matrix goes in the system
// matrix, so that assembly is one pass without a search. A plain element, all
// of whose displacements are unknowns of their own or held, is added as it
// is; a tied one is first turned into its unknowns by Kᵀ = Tᵀ·K·T.
type scatter struct {
	start  []int   // of each element in position and buffer, one more at the end
	target []int32 // index into the matrix's values, -1: held
	buffer []float64
	tied   map[int32]*tiedElement
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
	s := &scatter{start: make([]int, n+1), tied: map[int32]*tiedElement{}}
	groups := make([][]int32, n)
	lists := make([][]int32, n) // per element: unknown of each row, -1 held
	flat := make([]int32, 0, n*dofsPerTri)
	for i := range n {
		tri := &e.mesh.Tris[i]
		if list, plain := t.elementUnknowns(tri); plain {
			flat = append(flat, list[:]...)
			lists[i] = flat[len(flat)-dofsPerTri:]
			for _, u := range list {
				if u >= 0 {
					groups[i] = append(groups[i], u)
				}
			}
		} else {
			tied := t.tiedElement(tri)
			s.tied[int32(i)] = tied
			groups[i], lists[i] = tied.unknowns, tied.unknowns
		}
		m := len(lists[i])
		s.start[i+1] = s.start[i] + m*(m+1)/2
	}
	a := sparse.NewPattern(t.n, groups)
	s.target = make([]int32, s.start[n])
	s.buffer = make([]float64, s.start[n])
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

// assemble fills the values of a. Elements are computed by all workers, then
// each worker adds up its own share of the matrix, element by element in
// order: sums come out the same for any number of workers.
func (s *scatter) assemble(a *sparse.Symmetric, e *elements, sheet *Sheet, workers int) {
	n := len(e.mesh.Tris)
	share(n, workers, func(lo, hi int) {
		var k [packed]float64
		for i := lo; i < hi; i++ {
			e.stiffnessTo(&k, i, sheet)
			out := s.buffer[s.start[i]:s.start[i+1]]
			if tied := s.tied[int32(i)]; tied != nil {
				tied.turnTo(out, &k)
			} else {
				copy(out, k[:])
			}
		}
	})
	share(len(a.Val), workers, func(lo, hi int) {
		val := a.Val[lo:hi]
		clear(val)
		first, count := int32(lo), uint32(hi-lo)
		for i, p := range s.target {
			if d := uint32(p - first); d < count {
				val[d] += s.buffer[i]
			}
		}
	})
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
