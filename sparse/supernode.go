package sparse

import "slices"

// A supernode is a set of columns of L with one structure: its pivots, then the
// rows below them. fronts holds the supernodes of a factorisation, each after
// its children.
type fronts struct {
	pivots []int32 // unknowns eliminated
	rows   []int32 // unknowns below them
	parent []int32 // or -1
	member [][2]int32
	order  []int32 // vertices by supernode: those of s are order[member[s][0]:member[s][1]]
}

// The time model of the amalgamation, in nanoseconds on a core of the kind the
// kernels are tuned for. Only their ratios matter.
const (
	frontTime  = 1500 // to set up a front
	entryTime  = 0.35 // to clear and read an entry of the pivot columns
	updateTime = 0.9  // to clear, update and pass on an entry below the pivots
	flopTime   = 0.03 // of a multiplication with addition
	solveTime  = 0.8  // of an entry of L, for the solutions to come
)

// zeroShare bounds the explicit zeros that amalgamation may add to a supernode.
const zeroShare = 0.2

// frontCost is the model time of a front.
func frontCost(pivots, rows int32) float64 {
	p, m := float64(pivots), float64(rows)
	return frontTime + entryTime*p*(p+m) + updateTime*m*m/2 + flopTime*frontWork(pivots, rows) + solveTime*p*(p/2+m)
}

// frontWork counts the multiplications of a front.
func frontWork(pivots, rows int32) float64 {
	p, m := float64(pivots), float64(rows)
	return p*p*p/6 + p*p*m/2 + p*m*m/2
}

// newFronts gathers the columns of the forest into supernodes and joins a child
// with its parent where the model says that it pays.
func newFronts(g *graph, f *forest) *fronts {
	s := fundamental(g, f)
	into := s.amalgamate()
	return s.rebuild(into, f.order)
}

// fundamental returns the runs of columns of equal structure, without order.
func fundamental(g *graph, f *forest) *fronts {
	s := &fronts{}
	of := make([]int32, len(f.order))
	for k, v := range f.order {
		w := g.weight[v]
		if k > 0 && f.parent[k-1] == int32(k) && f.count[k] == f.count[k-1]-g.weight[f.order[k-1]] {
			last := len(s.pivots) - 1
			s.pivots[last] += w
			s.rows[last] -= w
			s.member[last][1]++
		} else {
			s.pivots = append(s.pivots, w)
			s.rows = append(s.rows, f.count[k]-w)
			s.member = append(s.member, [2]int32{int32(k), int32(k) + 1})
		}
		of[k] = int32(len(s.pivots) - 1)
	}
	s.parent = make([]int32, len(s.pivots))
	for i, m := range s.member {
		s.parent[i] = -1
		if up := f.parent[m[1]-1]; up >= 0 {
			s.parent[i] = of[up]
		}
	}
	return s
}

// amalgamate returns for each supernode the one it joins: itself or an
// ancestor. The pivots and rows of those that stay are brought up to date.
func (s *fronts) amalgamate() (into []int32) {
	n := len(s.pivots)
	into = make([]int32, n)
	zeros := make([]float64, n)
	firstChild, sibling := make([]int32, n), make([]int32, n)
	for i := range n {
		into[i], firstChild[i] = int32(i), -1
	}
	var children []int32
	for p := range int32(n) {
		children = children[:0]
		for c := firstChild[p]; c >= 0; c = sibling[c] {
			children = append(children, c)
		}
		slices.SortFunc(children, func(a, b int32) int {
			if s.rows[a] != s.rows[b] {
				return int(s.rows[b] - s.rows[a])
			}
			return int(a - b)
		})
		for _, c := range children {
			if added, pays := s.gain(c, p, zeros[c]+zeros[p]); pays {
				into[c] = p
				zeros[p] += zeros[c] + added
				s.pivots[p] += s.pivots[c]
			}
		}
		if up := s.parent[p]; up >= 0 {
			sibling[p], firstChild[up] = firstChild[up], p
		}
	}
	return into
}

// gain tells the zeros that joining child c with its parent p adds to those
// they hold, and whether it pays.
func (s *fronts) gain(c, p int32, zeros float64) (added float64, pays bool) {
	front := s.pivots[p] + s.rows[p]
	added = float64(s.pivots[c]) * float64(front-s.rows[c])
	pivots := s.pivots[c] + s.pivots[p]
	size := float64(pivots) * (float64(pivots)/2 + float64(s.rows[p]))
	if zeros+added > zeroShare*size {
		return added, false
	}
	return added, frontCost(pivots, s.rows[p]) <= frontCost(s.pivots[c], s.rows[c])+frontCost(s.pivots[p], s.rows[p])
}

// rebuild returns the supernodes that stayed, in a postorder in which each
// parallel branch stands together and the trunk comes last.
func (s *fronts) rebuild(into, order []int32) *fronts {
	n := len(s.pivots)
	for i := n - 1; i >= 0; i-- {
		into[i] = into[into[i]]
	}
	number := make([]int32, n) // among those that stay
	var parent []int32
	var kept []int32
	for i := range int32(n) {
		if into[i] == i {
			number[i] = int32(len(kept))
			kept = append(kept, i)
		}
	}
	for _, i := range kept {
		up := int32(-1)
		if s.parent[i] >= 0 {
			up = number[into[s.parent[i]]]
		}
		parent = append(parent, up)
	}
	visit := postorder(parent)
	rank := make([]int32, len(kept))
	for k, old := range visit {
		rank[old] = int32(k)
	}
	out := &fronts{order: make([]int32, len(order))}
	key := make([]int32, n)
	for i := range n {
		key[i] = rank[number[into[i]]]
	}
	list, start := sortBy(key, len(kept))
	place := int32(0)
	for k, old := range visit {
		i := kept[old]
		out.pivots, out.rows = append(out.pivots, s.pivots[i]), append(out.rows, s.rows[i])
		up := int32(-1)
		if parent[old] >= 0 {
			up = rank[parent[old]]
		}
		out.parent = append(out.parent, up)
		first := place
		for _, part := range list[start[k]:start[k+1]] {
			m := s.member[part]
			place += int32(copy(out.order[place:], order[m[0]:m[1]]))
		}
		out.member = append(out.member, [2]int32{first, place})
	}
	return out
}
