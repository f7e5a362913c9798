package sparse

import "math"

// minimumDegree orders vertices by approximate minimum degree on the quotient
// graph: P. R. Amestoy, T. A. Davis, I. S. Duff, SIAM J. Matrix Anal. Appl. 17
// (1996) 886–905, with their supervariables, mass elimination and aggressive
// absorption of elements. Vertices around those to be ordered count towards the
// degrees and are never eliminated (F. Pellegrini, J. Roman, P. R. Amestoy,
// Concurrency: Practice and Experience 12 (2000) 69–84).
//
// Nodes of the quotient graph are variables (vertices not yet eliminated) and
// elements (pivots: what they are joined to has become one clique). A variable's
// list holds its elements, then the variables no element joins it to; an
// element's list holds its variables. The work space is kept between calls.
type minimumDegree struct {
	local  []int32 // node + 1 of a vertex of the whole graph, or 0
	vertex []int32 // of each node: first those to be ordered, then those around
	inner  int32   // how many are to be ordered

	list      []int32
	ptr       []int32 // list of node i: list[ptr[i]:ptr[i]+length[i]]
	length    []int32
	elements  []int32 // how many of a variable's list are elements
	isElement []bool
	weight    []int32 // unknowns; 0 when absorbed; negative while in the pivot's list
	degree    []int32 // of a variable: bound on the unknowns around it; of an element: its unknowns
	mark      []int   // of an element: stamp + what lies outside the pivot's list; 0: absorbed
	stamp     int

	head       []int32 // variables by degree, linked by next and prev; -1 ends a list
	next, prev []int32
	least      int32

	bucket []int32 // variables of the pivot's list by hash, linked by twin
	twin   []int32
	hash   []uint32

	chain []int32 // vertices that go with a node: chain[i], chain[chain[i]], … until -1
	last  []int32
	left  int32 // unknowns not eliminated, those around included
}

const (
	// denseFactor times √n, and no fewer than denseLeast, are the neighbours from
	// which on a vertex is dense: it would be looked at again with nearly every
	// pivot, so it waits for the end.
	denseFactor = 10
	denseLeast  = 400
	// roomFactor is how many times its first size the list may grow before what
	// is dead in it is dropped.
	roomFactor = 2
	// degreeStride is how many pivots pass between two questions to Cancel.
	degreeStride = 4096
)

// order rearranges the vertices of g listed in set into elimination order.
func (q *minimumDegree) order(g *graph, set []int32, cancel func() bool) {
	dense := max(denseLeast, int(denseFactor*math.Sqrt(float64(len(set)))))
	light := moveDense(g, set, dense)
	if light < 2 {
		return
	}
	set = set[:light]
	q.build(g, set, dense)
	limit := roomFactor * (len(q.list) + len(q.vertex))
	for done, pivot := 0, 0; done < len(set); pivot++ {
		if pivot%degreeStride == 0 && cancel != nil && cancel() {
			return
		}
		if len(q.list) > limit {
			q.compact()
			limit = max(limit, roomFactor*len(q.list))
		}
		me := q.choose()
		q.gather(me)
		q.measure(me)
		q.update(me)
		q.joinTwins(me)
		q.settle(me)
		for i := me; i >= 0; i = q.chain[i] {
			set[done] = q.vertex[i]
			done++
		}
	}
}

// moveDense moves vertices with more neighbours than dense to the end of set and
// returns how many stand before them; both keep their order.
func moveDense(g *graph, set []int32, dense int) int {
	var moved []int32
	light := 0
	for _, v := range set {
		if len(g.neighbours(v)) > dense {
			moved = append(moved, v)
			continue
		}
		set[light] = v
		light++
	}
	copy(set[light:], moved)
	return light
}

// compact drops the lists of absorbed nodes and the ends that lists have lost.
func (q *minimumDegree) compact() {
	old := q.list
	q.list = make([]int32, 0, len(old))
	for i := range q.vertex {
		own := old[q.ptr[i]:][:q.length[i]]
		q.ptr[i] = int32(len(q.list))
		if q.weight[i] == 0 && (!q.isElement[i] || q.mark[i] == 0) {
			q.length[i] = 0
			continue
		}
		q.list = append(q.list, own...)
	}
}

// build makes the quotient graph without elements; vertices with more neighbours
// than dense are left out of it.
func (q *minimumDegree) build(g *graph, set []int32, dense int) {
	if len(q.local) < g.len() {
		q.local = make([]int32, g.len())
	}
	q.inner = int32(len(set))
	q.vertex = append(q.vertex[:0], set...)
	for k, v := range set {
		q.local[v] = int32(k) + 1
	}
	for _, v := range set {
		for _, u := range g.neighbours(v) {
			if q.local[u] == 0 && len(g.neighbours(u)) <= dense {
				q.vertex = append(q.vertex, u)
				q.local[u] = int32(len(q.vertex))
			}
		}
	}
	n := len(q.vertex)
	q.ptr, q.length, q.elements = resize(q.ptr, n), resize(q.length, n), resize(q.elements, n)
	q.weight, q.degree, q.mark = resize(q.weight, n), resize(q.degree, n), resize(q.mark, n)
	q.isElement = resize(q.isElement, n)
	q.next, q.prev, q.twin, q.hash = resize(q.next, n), resize(q.prev, n), resize(q.twin, n), resize(q.hash, n)
	q.chain, q.last, q.bucket = resize(q.chain, n), resize(q.last, n), resize(q.bucket, n)
	q.list, q.left, q.stamp = q.list[:0], 0, 1
	for i, v := range q.vertex {
		q.ptr[i] = int32(len(q.list))
		degree := int32(0)
		for _, u := range g.neighbours(v) {
			if k := q.local[u] - 1; k >= 0 && (k < q.inner || int32(i) < q.inner) {
				q.list = append(q.list, k)
				degree += g.weight[u]
			}
		}
		q.length[i] = int32(len(q.list)) - q.ptr[i]
		q.elements[i], q.weight[i], q.degree[i], q.mark[i] = 0, g.weight[v], degree, 1
		q.chain[i], q.last[i], q.bucket[i], q.isElement[i] = -1, int32(i), -1, false
		q.left += g.weight[v]
	}
	for _, v := range q.vertex {
		q.local[v] = 0
	}
	q.head = resize(q.head, int(q.left)+1)
	for d := range q.head {
		q.head[d] = -1
	}
	q.least = q.left
	for i := q.inner - 1; i >= 0; i-- {
		q.insert(i)
	}
}

// insert puts a variable into the list of its degree.
func (q *minimumDegree) insert(i int32) {
	d := q.degree[i]
	q.next[i], q.prev[i] = q.head[d], -1
	if q.head[d] >= 0 {
		q.prev[q.head[d]] = i
	}
	q.head[d] = i
	q.least = min(q.least, d)
}

// remove takes a variable out of the list of its degree.
func (q *minimumDegree) remove(i int32) {
	if q.prev[i] >= 0 {
		q.next[q.prev[i]] = q.next[i]
	} else {
		q.head[q.degree[i]] = q.next[i]
	}
	if q.next[i] >= 0 {
		q.prev[q.next[i]] = q.prev[i]
	}
}

// choose takes a variable of least degree for the next pivot.
func (q *minimumDegree) choose() int32 {
	for q.head[q.least] < 0 {
		q.least++
	}
	me := q.head[q.least]
	q.remove(me)
	return me
}

// gather makes the pivot an element: its list becomes all the variables around
// it, and the elements it was in are absorbed.
func (q *minimumDegree) gather(me int32) {
	q.left -= q.weight[me]
	q.weight[me] = -q.weight[me]
	old := q.list[q.ptr[me]:][:q.length[me]]
	count := q.elements[me]
	start := int32(len(q.list))
	total := int32(0)
	take := func(i int32) {
		w := q.weight[i]
		if w <= 0 {
			return
		}
		total += w
		q.weight[i] = -w
		q.list = append(q.list, i)
		if i < q.inner {
			q.remove(i)
		}
	}
	for _, e := range old[:count] {
		for _, i := range q.list[q.ptr[e]:][:q.length[e]] {
			take(i)
		}
		q.mark[e] = 0
	}
	for _, i := range old[count:] {
		take(i)
	}
	q.ptr[me], q.length[me], q.elements[me] = start, int32(len(q.list))-start, 0
	q.degree[me] = total
	q.weight[me], q.isElement[me] = 0, true
}

// measure finds for each element that touches the pivot's list how many of its
// unknowns lie outside it.
func (q *minimumDegree) measure(me int32) {
	for _, i := range q.list[q.ptr[me]:][:q.length[me]] {
		w := int(-q.weight[i])
		for _, e := range q.list[q.ptr[i]:][:q.elements[i]] {
			switch m := q.mark[e]; {
			case m >= q.stamp:
				q.mark[e] = m - w
			case m != 0:
				q.mark[e] = int(q.degree[e]) + q.stamp - w
			}
		}
	}
}

// update prunes the lists of the variables around the pivot, puts it among
// their elements and bounds their degrees. A variable that only the pivot joins
// to others is eliminated with it.
func (q *minimumDegree) update(me int32) {
	for _, i := range q.list[q.ptr[me]:][:q.length[me]] {
		own := q.list[q.ptr[i]:][:q.length[i]]
		count := q.elements[i]
		kept, degree, hash := 0, int32(0), uint32(0)
		for _, e := range own[:count] {
			if outside := q.mark[e] - q.stamp; q.mark[e] == 0 {
				continue
			} else if outside > 0 {
				degree += int32(outside)
				hash += uint32(e)
				own[kept] = e
				kept++
			} else {
				q.mark[e] = 0 // nothing of it lies outside: absorbed
			}
		}
		elements := kept
		for _, j := range own[count:] {
			if w := q.weight[j]; w > 0 {
				degree += w
				hash += uint32(j)
				own[kept] = j
				kept++
			}
		}
		if kept == 0 && i < q.inner {
			q.join(i, me)
			continue
		}
		q.degree[i] = min(q.degree[i], degree)
		own[kept] = own[elements]
		own[elements] = own[0]
		own[0] = me
		q.length[i], q.elements[i] = int32(kept)+1, int32(elements)+1
		slot := hash % uint32(len(q.bucket))
		q.hash[i] = slot
		q.twin[i] = q.bucket[slot]
		q.bucket[slot] = i
	}
}

// join lets variable i, in the pivot's list, go with node k: the pivot itself or
// a variable with the same neighbours.
func (q *minimumDegree) join(i, k int32) {
	if w := q.weight[i]; q.weight[k] < 0 {
		q.weight[k] += w
	} else {
		q.degree[k] += w
		q.left += w
	}
	q.weight[i] = 0
	q.chain[q.last[k]] = i
	q.last[k] = q.last[i]
}

// joinTwins joins variables of the pivot's list that have the same lists.
func (q *minimumDegree) joinTwins(me int32) {
	for _, v := range q.list[q.ptr[me]:][:q.length[me]] {
		if q.weight[v] == 0 {
			continue
		}
		slot := q.hash[v]
		first := q.bucket[slot]
		q.bucket[slot] = -1
		for i := first; i >= 0; i = q.twin[i] {
			if q.weight[i] != 0 && q.twin[i] >= 0 {
				q.joinTwinsOf(i)
			}
		}
	}
}

// joinTwinsOf joins to i what follows it in its bucket and has the same list.
func (q *minimumDegree) joinTwinsOf(i int32) {
	q.stamp += int(q.left) + 1
	own := q.list[q.ptr[i]:][:q.length[i]]
	for _, k := range own[1:] {
		q.mark[k] = q.stamp
	}
	for j := q.twin[i]; j >= 0; j = q.twin[j] {
		if q.weight[j] == 0 || q.length[j] != q.length[i] || q.elements[j] != q.elements[i] || (i < q.inner) != (j < q.inner) {
			continue
		}
		same := true
		for _, k := range q.list[q.ptr[j]:][:q.length[j]][1:] {
			if q.mark[k] != q.stamp {
				same = false
				break
			}
		}
		if same {
			q.join(j, i)
		}
	}
}

// settle drops what was joined from the pivot's list and puts the rest back by
// degree.
func (q *minimumDegree) settle(me int32) {
	q.stamp += int(q.left) + 1
	own := q.list[q.ptr[me]:][:q.length[me]]
	kept := int32(0)
	for _, i := range own {
		w := -q.weight[i]
		if w == 0 {
			continue
		}
		q.weight[i] = w
		own[kept] = i
		kept++
		if i < q.inner {
			q.degree[i] = min(q.degree[i]+q.degree[me], q.left) - w
			q.insert(i)
		}
	}
	q.length[me] = kept
	q.list = q.list[:q.ptr[me]+kept]
	q.mark[me] = 1 // not yet measured, not absorbed
	if kept == 0 {
		q.mark[me] = 0
	}
}
