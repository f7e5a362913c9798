package solid

import "slices"

// Half edge 3·t+k runs from corner k of triangle t to corner k+1.

// none stands for "no twin".
const none = -1

func (m *Mesh) from(h int32) int32 { return m.Tris[h/3][h%3] }
func (m *Mesh) to(h int32) int32   { return m.Tris[h/3][(h%3+1)%3] }

// next returns the half edge that follows in the same triangle.
func next(h int32) int32 {
	if h%3 == 2 {
		return h - 2
	}
	return h + 1
}

// edgeUse is one half edge in the list of its lower corner.
type edgeUse struct {
	other int32 // the higher corner
	half  int32
}

// edgeTable lists half edges by their lower corner, those of one edge side by
// side, in rising order of triangles.
type edgeTable struct {
	mesh  *Mesh
	first []int32 // per corner, into uses
	uses  []edgeUse
}

func newEdgeTable(m *Mesh) *edgeTable {
	t := &edgeTable{mesh: m, first: make([]int32, len(m.Points)+1), uses: make([]edgeUse, 3*len(m.Tris))}
	for _, tri := range m.Tris {
		for k := range 3 {
			t.first[min(tri[k], tri[(k+1)%3])+1]++
		}
	}
	for i := range m.Points {
		t.first[i+1] += t.first[i]
	}
	fill := slices.Clone(t.first)
	for i, tri := range m.Tris {
		for k := range 3 {
			a, b := tri[k], tri[(k+1)%3]
			lo := min(a, b)
			t.uses[fill[lo]] = edgeUse{max(a, b), int32(3*i + k)}
			fill[lo]++
		}
	}
	for v := range m.Points {
		sortUses(t.uses[t.first[v]:t.first[v+1]])
	}
	return t
}

// shortList is the length up to which insertion sorts faster.
const shortList = 24

// sortUses sorts by the other corner; equals keep their order.
func sortUses(u []edgeUse) {
	if len(u) > shortList {
		slices.SortStableFunc(u, func(a, b edgeUse) int { return int(a.other) - int(b.other) })
		return
	}
	for i := 1; i < len(u); i++ {
		for k := i; k > 0 && u[k-1].other > u[k].other; k-- {
			u[k-1], u[k] = u[k], u[k-1]
		}
	}
}

// each calls f with the uses of each edge, edges in order of lower, then
// higher corner.
func (t *edgeTable) each(f func(lo int32, uses []edgeUse)) {
	for v := range len(t.first) - 1 {
		list := t.uses[t.first[v]:t.first[v+1]]
		for i := 0; i < len(list); {
			k := i + 1
			for k < len(list) && list[k].other == list[i].other {
				k++
			}
			f(int32(v), list[i:k])
			i = k
		}
	}
}

// twins pairs each half edge with one that runs the other way along the same
// edge, and calls unpaired with those left over. Where more than two triangles
// meet at an edge, halves are paired in order: which pairs with which does not
// matter to sections, for all of them pass through the same point.
func (t *edgeTable) twins(unpaired func(h int32)) []int32 {
	twin := make([]int32, 3*len(t.mesh.Tris))
	var up, down []int32
	t.each(func(lo int32, uses []edgeUse) {
		if len(uses) == 2 {
			a, b := uses[0].half, uses[1].half
			if t.mesh.from(a) != t.mesh.from(b) {
				twin[a], twin[b] = b, a
				return
			}
		}
		up, down = up[:0], down[:0]
		for _, u := range uses {
			if t.mesh.from(u.half) == lo {
				up = append(up, u.half)
			} else {
				down = append(down, u.half)
			}
		}
		n := min(len(up), len(down))
		for i := range n {
			twin[up[i]], twin[down[i]] = down[i], up[i]
		}
		for _, h := range append(up[n:], down[n:]...) {
			twin[h] = none
			unpaired(h)
		}
	})
	return twin
}

// connect numbers the pieces that hang together over the given pairs of half
// edges, in the order of their first triangles.
func connect(tris int, twin []int32) (piece []int32, n int) {
	piece = make([]int32, tris)
	for i := range piece {
		piece[i] = none
	}
	var stack []int32
	for start := range piece {
		if piece[start] != none {
			continue
		}
		piece[start] = int32(n)
		stack = append(stack, int32(start))
		for len(stack) > 0 {
			t := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			for k := range int32(3) {
				if h := twin[3*t+k]; h != none && piece[h/3] == none {
					piece[h/3] = int32(n)
					stack = append(stack, h/3)
				}
			}
		}
		n++
	}
	return piece, n
}
