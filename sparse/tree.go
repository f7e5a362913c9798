package sparse

// forest is an elimination tree over vertices in elimination order: vertex k is
// the k-th eliminated. After newForest the order is a postorder: the
// descendants of k stand just before it.
type forest struct {
	order  []int32 // vertex of the graph at each position
	pos    []int32 // position of each vertex
	parent []int32 // position, or -1 for a root
	count  []int32 // unknowns in the column of L of one of the vertex's unknowns, from the vertex on
}

// newForest finds the elimination tree of a graph in the given order, makes the
// order a postorder of it, which changes no fill, and counts the columns of L.
func newForest(g *graph, order []int32) *forest {
	n := g.len()
	f := &forest{order: order, pos: make([]int32, n)}
	for k, v := range order {
		f.pos[v] = int32(k)
	}
	f.eliminate(g)
	f.postorder()
	f.columns(g)
	return f
}

// eliminate finds the parents: the tree of J. W. H. Liu, ACM Trans. Math.
// Software 12 (1986) 127–148, with compressed paths.
func (f *forest) eliminate(g *graph) {
	n := g.len()
	f.parent = make([]int32, n)
	ancestor := make([]int32, n)
	for k := range int32(n) {
		f.parent[k], ancestor[k] = -1, -1
		for _, u := range g.neighbours(f.order[k]) {
			for i := f.pos[u]; i < k; {
				up := ancestor[i]
				ancestor[i] = k
				if up < 0 {
					f.parent[i] = k
					break
				}
				i = up
			}
		}
	}
}

// postorder renumbers the positions.
func (f *forest) postorder() {
	visit := postorder(f.parent)
	n := len(visit)
	rank := make([]int32, n)
	for k, old := range visit {
		rank[old] = int32(k)
	}
	parent, order := make([]int32, n), make([]int32, n)
	for k, old := range visit {
		parent[k] = -1
		if up := f.parent[old]; up >= 0 {
			parent[k] = rank[up]
		}
		order[k] = f.order[old]
		f.pos[order[k]] = int32(k)
	}
	f.parent, f.order = parent, order
}

// postorder lists the nodes of a forest, given by parents with larger numbers,
// so that each comes after its descendants and these stand together; siblings
// keep their order.
func postorder(parent []int32) []int32 {
	n := len(parent)
	size := make([]int32, n+1) // of the subtree; size[n]: the whole
	up := func(k int) int {
		if parent[k] < 0 {
			return n
		}
		return int(parent[k])
	}
	for k := range n {
		size[k]++
		size[up(k)] += size[k]
	}
	// A subtree fills the places that end at end[k]; from the root down, each
	// node hands its places to its children, the last child last.
	end := make([]int32, n+1)
	end[n] = size[n] + 1
	visit := make([]int32, n)
	for k := n - 1; k >= 0; k-- {
		u := up(k)
		end[u]--
		end[k] = end[u]
		visit[end[k]-1] = int32(k)
		end[u] -= size[k] - 1
	}
	return visit
}

// columns counts the columns of L without forming it: a row of L is a subtree
// whose leaves tell its extent (J. R. Gilbert, E. G. Ng, B. W. Peyton, SIAM J.
// Matrix Anal. Appl. 15 (1994) 1075–1091).
func (f *forest) columns(g *graph) {
	n := g.len()
	f.count = make([]int32, n)
	first := make([]int32, n) // first descendant
	for k := range first {
		first[k] = -1
	}
	for k := range int32(n) {
		for i := k; i >= 0 && first[i] < 0; i = f.parent[i] {
			first[i] = k
		}
	}
	maxFirst, lastLeaf, ancestor := make([]int32, n), make([]int32, n), make([]int32, n)
	for k := range int32(n) {
		maxFirst[k], lastLeaf[k], ancestor[k] = -1, -1, k
	}
	for j := range int32(n) {
		v := f.order[j]
		if lastLeaf[j] < 0 {
			f.count[j] += g.weight[v]
		}
		if up := f.parent[j]; up >= 0 {
			f.count[up] -= g.weight[v]
		}
		for _, u := range g.neighbours(v) {
			i := f.pos[u]
			if i <= j || first[j] <= maxFirst[i] {
				continue
			}
			f.count[j] += g.weight[u]
			if leaf := lastLeaf[i]; leaf >= 0 {
				f.count[find(ancestor, leaf)] -= g.weight[u]
			}
			maxFirst[i], lastLeaf[i] = first[j], j
		}
		if up := f.parent[j]; up >= 0 {
			ancestor[j] = up
		}
	}
	for j := range n {
		if up := f.parent[j]; up >= 0 {
			f.count[up] += f.count[j]
		}
	}
}

// find returns the root of a node and shortens the path to it.
func find(ancestor []int32, i int32) int32 {
	root := i
	for ancestor[root] != root {
		root = ancestor[root]
	}
	for i != root {
		ancestor[i], i = root, ancestor[i]
	}
	return root
}
