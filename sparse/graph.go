package sparse

import "math/bits"

// graph is the adjacency of the unknowns after those with equal neighbours
// (the displacements of one node) became one vertex.
type graph struct {
	ptr    []int32 // neighbours of v: adj[ptr[v]:ptr[v+1]]
	adj    []int32
	weight []int32      // unknowns in each vertex
	at     [][2]float64 // place of each vertex, or nil
}

func (g *graph) len() int { return len(g.weight) }

func (g *graph) neighbours(v int32) []int32 { return g.adj[g.ptr[v]:g.ptr[v+1]] }

// scramble is a bijection of 64-bit words whose output bits all depend on all
// input bits (the finaliser of the splitmix64 generator).
func scramble(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// vertices gives each unknown the vertex it belongs to, numbered by first
// appearance. Unknowns are joined when sums over their neighbourhoods
// coincide; a chance coincidence costs some fill and nothing else, for the
// graph takes the union of its members' neighbours.
func vertices(a *Symmetric) (vertex []int32, count int) {
	sum := room[uint64](a.N)
	for j := range a.N {
		own := scramble(uint64(j))
		acc := own
		for _, i := range a.Row[a.ColPtr[j]:a.ColPtr[j+1]] {
			if int(i) != j {
				acc += scramble(uint64(i))
				sum[i] += own
			}
		}
		sum[j] += acc
	}
	size := 1 << bits.Len(uint(2*a.N))
	slot := room[int32](size) // unknown + 1 that owns the slot
	vertex = make([]int32, a.N)
	for j, h := range sum {
		if j > 0 && h == sum[j-1] {
			vertex[j] = vertex[j-1]
			continue
		}
		for k := int(h) & (size - 1); ; k = (k + 1) & (size - 1) {
			if slot[k] == 0 {
				slot[k] = int32(j) + 1
				vertex[j] = int32(count)
				count++
				break
			}
			if other := slot[k] - 1; sum[other] == h {
				vertex[j] = vertex[other]
				break
			}
		}
	}
	return vertex, count
}

// newGraph builds the graph of a matrix whose unknown i belongs to vertex[i].
func newGraph(a *Symmetric, vertex []int32, count int, coords [][2]float64) *graph {
	g := &graph{weight: make([]int32, count)}
	member, start := sortBy(vertex, count)
	lower, lowerPtr := lowerEdges(a, vertex, member, start)
	g.ptr, g.adj = symmetrise(lower, lowerPtr)
	for v := range count {
		g.weight[v] = start[v+1] - start[v]
	}
	if coords != nil {
		g.at = make([][2]float64, count)
		for v := range count {
			g.at[v] = coords[member[start[v]]]
		}
	}
	return g
}

// sortBy lists 0..len(key)-1 by key, equal keys in order: those with key k are
// list[start[k]:start[k+1]].
func sortBy(key []int32, keys int) (list, start []int32) {
	start = make([]int32, keys+2)
	for _, k := range key {
		start[k+2]++
	}
	for k := 2; k < len(start); k++ {
		start[k] += start[k-1]
	}
	list = make([]int32, len(key))
	for i, k := range key {
		list[start[k+1]] = int32(i)
		start[k+1]++
	}
	return list, start[:keys+1]
}

// lowerEdges lists for each vertex the other vertices that its members' columns
// name, each once. An edge may appear at either end or at both.
func lowerEdges(a *Symmetric, vertex, member, start []int32) (edges, ptr []int32) {
	count := len(start) - 1
	ptr = make([]int32, count+1)
	mark := make([]int32, count)
	edges = room[int32](len(a.Row)/3 + count)[:0]
	for v := range int32(count) {
		mark[v] = v + 1
		for _, j := range member[start[v]:start[v+1]] {
			last := int32(-1)
			for _, i := range a.Row[a.ColPtr[j]:a.ColPtr[j+1]] {
				u := vertex[i]
				if u != last && mark[u] != v+1 {
					mark[u] = v + 1
					edges = append(edges, u)
				}
				last = u
			}
		}
		ptr[v+1] = int32(len(edges))
	}
	return edges, ptr
}

// symmetrise returns the adjacency that holds every edge at both its ends once.
func symmetrise(edges, ptr []int32) (outPtr, out []int32) {
	count := len(ptr) - 1
	next := make([]int32, count+1)
	for v := range count {
		next[v+1] += ptr[v+1] - ptr[v]
		for _, u := range edges[ptr[v]:ptr[v+1]] {
			next[u+1]++
		}
	}
	for v := range count {
		next[v+1] += next[v]
	}
	both := room[int32](int(next[count]))
	begin := append([]int32(nil), next...)
	for v := range int32(count) {
		for _, u := range edges[ptr[v]:ptr[v+1]] {
			both[next[v]], both[next[u]] = u, v
			next[v]++
			next[u]++
		}
	}
	outPtr = make([]int32, count+1)
	mark := make([]int32, count)
	kept := int32(0)
	for v := range int32(count) {
		for _, u := range both[begin[v]:begin[v+1]] {
			if mark[u] != v+1 {
				mark[u] = v + 1
				both[kept] = u
				kept++
			}
		}
		outPtr[v+1] = kept
	}
	return outPtr, both[:kept]
}
