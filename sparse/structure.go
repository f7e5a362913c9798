package sparse

import (
	"cmp"
	"slices"
	"sync"
)

const (
	// branchShare is the part of the work above which a subtree is split: its
	// root then belongs to the trunk, whose fronts all workers share.
	branchShare = 1.0 / 24
	// align is the multiple, in numbers, to which leading dimensions are
	// rounded: one cache line.
	align = 8
)

// trunkLast splits the tree into branches and the trunk above them, and
// renumbers the fronts: branch after branch, then the trunk.
func (fr *fronts) trunkLast(y *Symbolic) {
	n := len(fr.pivots)
	cost, size := make([]float64, n), make([]int32, n)
	total := 0.0
	for s := range n {
		c := frontCost(fr.pivots[s], fr.rows[s])
		cost[s] += c
		total += c
		size[s]++
		if up := fr.parent[s]; up >= 0 {
			cost[up] += cost[s]
			size[up] += size[s]
		}
	}
	trunk := make([]bool, n)
	for s := n - 1; s >= 0; s-- {
		up := fr.parent[s]
		trunk[s] = cost[s] > branchShare*total && (up < 0 || trunk[up])
	}
	rank := make([]int32, n)
	next := int32(0)
	for s := range n {
		if up := fr.parent[s]; !trunk[s] && (up < 0 || trunk[up]) {
			from := next
			for i := s - int(size[s]) + 1; i <= s; i++ {
				rank[i] = next
				next++
			}
			y.branches = append(y.branches, branch{from: from, to: next})
		}
	}
	y.trunk = next
	for s := range n {
		if trunk[s] {
			rank[s] = next
			next++
		}
	}
	fr.renumber(rank)
}

// renumber moves front s to place rank[s].
func (fr *fronts) renumber(rank []int32) {
	n := len(rank)
	old := *fr
	fr.pivots, fr.rows, fr.parent = make([]int32, n), make([]int32, n), make([]int32, n)
	fr.member = make([][2]int32, n)
	for s, r := range rank {
		fr.pivots[r], fr.rows[r], fr.member[r] = old.pivots[s], old.rows[s], old.member[s]
		fr.parent[r] = -1
		if up := old.parent[s]; up >= 0 {
			fr.parent[r] = rank[up]
		}
	}
}

// structure finds the rows of each front and where they stand in its parent.
func (y *Symbolic) structure(fr *fronts, g *graph) {
	n := int(y.fronts())
	y.childPtr, y.child = childLists(y.parent)
	y.rowPtr = make([]int, n+1)
	vertexPtr := make([]int, n+1) // rows of front s as places: vertexRows[vertexPtr[s]:vertexPtr[s+1]]
	vertexRows := room[int32](4 * g.len())[:0]
	place := make([]int32, g.len()) // elimination place of each vertex
	front := make([]int32, g.len())
	begin := make([]int32, g.len()) // first unknown (new number) of the vertex at a place
	at, unknown := int32(0), int32(0)
	for s, m := range fr.member {
		for _, v := range fr.order[m[0]:m[1]] {
			place[v], front[v], begin[at] = at, int32(s), unknown
			at++
			unknown += g.weight[v]
		}
	}
	ordered := make([]int32, g.len())
	for v, k := range place {
		ordered[k] = int32(v)
	}
	mark := make([]int32, g.len()) // by place: front + 1
	lastPlace := int32(0)
	for s := range int32(n) {
		m := fr.member[s]
		lastPlace += m[1] - m[0]
		from := len(vertexRows)
		for _, v := range fr.order[m[0]:m[1]] {
			for _, u := range g.neighbours(v) {
				if k := place[u]; k >= lastPlace && mark[k] != s+1 {
					mark[k] = s + 1
					vertexRows = append(vertexRows, k)
				}
			}
		}
		for _, c := range y.child[y.childPtr[s]:y.childPtr[s+1]] {
			for _, k := range vertexRows[vertexPtr[c]:vertexPtr[c+1]] {
				if k >= lastPlace && mark[k] != s+1 {
					mark[k] = s + 1
					vertexRows = append(vertexRows, k)
				}
			}
		}
		vertexPtr[s+1] = len(vertexRows)
		list := vertexRows[from:]
		slices.Sort(list)
		for _, k := range list {
			for i := range g.weight[ordered[k]] {
				y.rows = append(y.rows, begin[k]+i)
			}
		}
		y.rowPtr[s+1] = len(y.rows)
		y.maxRows = max(y.maxRows, y.below(s))
	}
	y.place()
}

// childLists lists the children of each node in ascending order.
func childLists(parent []int32) (ptr, child []int32) {
	n := len(parent)
	key := make([]int32, n)
	for s, up := range parent {
		key[s] = up
		if up < 0 {
			key[s] = int32(n)
		}
	}
	child, ptr = sortBy(key, n+1)
	return ptr, child
}

// place finds the runs of each front in its parent and the layout of values.
func (y *Symbolic) place() {
	n := y.fronts()
	local := room[int32](y.n)
	y.valPtr, y.ld = make([]int, n+1), make([]int32, n)
	y.runPtr = make([][2]int32, n)
	y.runs = room[run](len(y.rows) / 4)[:0]
	for s := range n {
		p, m := y.pivots(s), y.below(s)
		y.ld[s] = int32(leading(p + m))
		y.valPtr[s+1] = y.valPtr[s] + p*int(y.ld[s])
		y.locate(s, local)
		for _, c := range y.child[y.childPtr[s]:y.childPtr[s+1]] {
			first := len(y.runs)
			y.runs = stretch(y.runs, y.rows[y.rowPtr[c]:y.rowPtr[c+1]], local, int32(p))
			y.runPtr[c] = [2]int32{int32(first), int32(len(y.runs))}
		}
	}
}

// leading rounds a column length up to whole cache lines, and away from
// multiples of a page, which would put a row's entries in one cache set.
func leading(n int) int {
	n = (n + align - 1) / align * align
	if n%512 == 0 && n > 0 {
		n += align
	}
	return n
}

// locate sets local to the row that each unknown of the front has in it.
func (y *Symbolic) locate(s int32, local []int32) {
	k := int32(0)
	for j := y.first[s]; j < y.first[s+1]; j++ {
		local[j] = k
		k++
	}
	for _, i := range y.rows[y.rowPtr[s]:y.rowPtr[s+1]] {
		local[i] = k
		k++
	}
}

// stretch appends to list the rows as runs of consecutive places; no run crosses
// from the pivots to the rows below them.
func stretch(list []run, rows, local []int32, pivots int32) []run {
	start := len(list)
	for k, i := range rows {
		at := local[i]
		if last := len(list) - 1; last >= start && list[last].dst+list[last].n == at && at != pivots {
			list[last].n++
			continue
		}
		list = append(list, run{int32(k), at, 1})
	}
	return list
}

// mapEntries lists the entries of the matrix by pivot column, each with its row.
func (y *Symbolic) mapEntries(a *Symmetric) {
	inv := room[int32](y.n)
	for k, i := range y.perm {
		inv[i] = int32(k)
	}
	y.entryPtr = room[int](y.n + 2)
	for j := range a.N {
		nj := inv[j]
		for _, i := range a.Row[a.ColPtr[j]:a.ColPtr[j+1]] {
			y.entryPtr[min(nj, inv[i])+2]++
		}
	}
	for j := range y.n {
		y.entryPtr[j+2] += y.entryPtr[j+1]
	}
	y.entry, y.offset = room[int32](y.entries), room[int32](y.entries)
	for j := range a.N {
		nj := inv[j]
		for p := a.ColPtr[j]; p < a.ColPtr[j+1]; p++ {
			ni := inv[a.Row[p]]
			q := y.entryPtr[min(ni, nj)+1]
			y.entryPtr[min(ni, nj)+1]++
			y.entry[q], y.offset[q] = int32(p), max(ni, nj)
		}
	}
	y.entryPtr = y.entryPtr[:y.n+1]
}

// placeEntries finds for each entry its place in the columns of its front.
func (y *Symbolic) placeEntries() {
	var group sync.WaitGroup
	step := (y.fronts() + int32(y.workers) - 1) / int32(y.workers)
	for from := int32(0); from < y.fronts(); from += step {
		group.Go(func() { y.offsets(from, min(from+step, y.fronts())) })
	}
	group.Wait()
}

// offsets turns the row of each entry into its place in the columns of its
// front.
func (y *Symbolic) offsets(from, to int32) {
	local := room[int32](y.n)
	for s := from; s < to; s++ {
		y.locate(s, local)
		for j := y.first[s]; j < y.first[s+1]; j++ {
			base := (j - y.first[s]) * y.ld[s]
			for q := y.entryPtr[j]; q < y.entryPtr[j+1]; q++ {
				y.offset[q] = base + local[y.offset[q]]
			}
		}
	}
}

// plan gives the update of each front its place. Updates of a branch live in
// the space of its worker, but for that of its root; those and the trunk's live
// in the shared space. A place is free again once the parent is assembled.
func (y *Symbolic) plan() {
	y.updPtr = make([]int, y.fronts())
	var shared arena
	for _, b := range y.branches {
		var own arena
		for s := b.from; s < b.to; s++ {
			if s == b.to-1 {
				y.updPtr[s] = shared.take(y.updateSize(s))
			} else {
				y.updPtr[s] = own.take(y.updateSize(s))
			}
			y.release(&own, s)
		}
		y.space = max(y.space, own.size)
	}
	for s := y.trunk; s < y.fronts(); s++ {
		y.updPtr[s] = shared.take(y.updateSize(s))
		y.release(&shared, s)
	}
	y.shared = shared.size
}

func (y *Symbolic) release(a *arena, s int32) {
	for _, c := range y.child[y.childPtr[s]:y.childPtr[s+1]] {
		a.give(y.updPtr[c], y.updateSize(c))
	}
}

// updateSize is the storage of the update of a front.
func (y *Symbolic) updateSize(s int32) int { return y.below(s) * leading(y.below(s)) }

// arena hands out places of a space that grows as needed, the lowest free one
// first.
type arena struct {
	free []gap // ascending, never adjacent
	size int
}

type gap struct{ at, n int }

func (a *arena) take(n int) int {
	if n == 0 {
		return 0
	}
	for i := range a.free {
		if g := &a.free[i]; g.n >= n {
			at := g.at
			g.at, g.n = g.at+n, g.n-n
			if g.n == 0 {
				a.free = slices.Delete(a.free, i, i+1)
			}
			return at
		}
	}
	if last := len(a.free) - 1; last >= 0 && a.free[last].at+a.free[last].n == a.size {
		at := a.free[last].at
		a.free = a.free[:last]
		a.size = at + n
		return at
	}
	a.size += n
	return a.size - n
}

func (a *arena) give(at, n int) {
	if n == 0 {
		return
	}
	i, _ := slices.BinarySearchFunc(a.free, at, func(g gap, at int) int { return cmp.Compare(g.at, at) })
	a.free = slices.Insert(a.free, i, gap{at, n})
	if i+1 < len(a.free) && at+n == a.free[i+1].at {
		a.free[i].n += a.free[i+1].n
		a.free = slices.Delete(a.free, i+1, i+2)
	}
	if i > 0 && a.free[i-1].at+a.free[i-1].n == at {
		a.free[i-1].n += a.free[i].n
		a.free = slices.Delete(a.free, i, i+1)
	}
}

// outsideRows renames the rows of branches that belong to the trunk: such a row
// becomes the trunk's first unknown plus its place among the rows of the
// branch's root, which are all that the branch touches there.
func (y *Symbolic) outsideRows() {
	trunk := y.first[y.trunk]
	place := make([]int32, y.n)
	for i := range y.branches {
		b := &y.branches[i]
		root := b.to - 1
		b.outside = slices.Clone(y.rows[y.rowPtr[root]:y.rowPtr[root+1]])
		for k, r := range b.outside {
			place[r] = int32(k)
		}
		for k := y.rowPtr[b.from]; k < y.rowPtr[b.to]; k++ {
			if r := y.rows[k]; r >= trunk {
				y.rows[k] = trunk + place[r]
			}
		}
	}
}
