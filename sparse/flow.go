package sparse

import "math"

// flow finds the smallest separator of a band around a cut: the smallest set of
// band vertices whose removal parts what lies beyond the band on one side from
// what lies beyond on the other. By Menger's theorem that is a maximum flow in
// which a vertex passes one unit; it is found with the layered networks of
// E. A. Dinic, Soviet Math. Doklady 11 (1970) 1277–1280.
//
// A band vertex v is two nodes of the network, 2v where flow enters and 2v+1
// where it leaves.
type flow struct {
	place []int32 // of a vertex in the band + 1, or 0
	band  []int32 // vertex at each place

	ptr     []int32 // arcs out of place i: ptr[i]..ptr[i+1]
	head    []int32
	back    []int32 // the opposite arc
	carries []bool  // flow on the arc
	passes  []bool  // flow through the vertex
	source  []bool  // beyond it on the left lies what is to be parted
	sink    []bool

	level []int32
	next  []int32
	queue []int32
	path  []int32
}

// improve turns the cut between left and right into a smallest separator near
// by.
func (f *flow) improve(p view, side []int8) {
	f.gather(p, side)
	if len(f.band) == 0 {
		return
	}
	f.network(p, side)
	for f.layers() {
		f.augment()
	}
	f.choose(side)
	for _, v := range f.band {
		f.place[v] = 0
	}
}

// gather collects the band: the ends of cut edges, then layer by layer what
// lies next to them, as long as each side keeps its least share.
func (f *flow) gather(p view, side []int8) {
	n := p.len()
	f.place = resize(f.place, n)
	clear(f.place)
	f.band = f.band[:0]
	var left [2]int // vertices outside the band
	for v := range int32(n) {
		left[side[v]]++
		for _, u := range p.neighbours(v) {
			if side[u] != side[v] {
				f.take(v)
				left[side[v]]--
				break
			}
		}
	}
	least := int(leastSide * float64(n))
	first := 0
	for range bandLayers {
		last := len(f.band)
		for ; first < last; first++ {
			for _, u := range p.neighbours(f.band[first]) {
				if f.place[u] == 0 && left[side[u]] > least {
					f.take(u)
					left[side[u]]--
				}
			}
		}
	}
}

func (f *flow) take(v int32) {
	f.band = append(f.band, v)
	f.place[v] = int32(len(f.band))
}

// network builds the arcs between band vertices. The vertices are listed under
// each neighbour in ascending place, so that the opposite arcs follow in one
// pass.
func (f *flow) network(p view, side []int8) {
	nb := len(f.band)
	f.source, f.sink, f.passes = resize(f.source, nb), resize(f.sink, nb), resize(f.passes, nb)
	f.ptr, f.next = resize(f.ptr, nb+1), resize(f.next, 2*nb)
	arcs := int32(0)
	for i, v := range f.band {
		f.source[i], f.sink[i], f.passes[i] = false, false, false
		f.ptr[i] = arcs
		for _, u := range p.neighbours(v) {
			if f.place[u] > 0 {
				arcs++
			} else if side[u] == onLeft {
				f.source[i] = true
			} else {
				f.sink[i] = true
			}
		}
	}
	f.ptr[nb] = arcs
	f.head, f.back, f.carries = resize(f.head, int(arcs)), resize(f.back, int(arcs)), resize(f.carries, int(arcs))
	clear(f.carries)
	copy(f.next, f.ptr[:nb])
	for i, v := range f.band {
		for _, u := range p.neighbours(v) {
			if j := f.place[u] - 1; j >= 0 {
				f.head[f.next[j]] = int32(i)
				f.next[j]++
			}
		}
	}
	copy(f.next, f.ptr[:nb])
	for i := range nb {
		for e := f.ptr[i]; e < f.ptr[i+1]; e++ {
			j := f.head[e]
			f.back[e] = f.next[j]
			f.next[j]++
		}
	}
}

// layers numbers the nodes by their distance to the sink in the residual network,
// as far as the nearest source, and reports whether there is one.
func (f *flow) layers() bool {
	nb := len(f.band)
	f.level = resize(f.level, 2*nb)
	for i := range f.level {
		f.level[i] = -1
	}
	f.queue = f.queue[:0]
	for i, sink := range f.sink {
		if sink {
			f.level[2*i+1] = 0
			f.queue = append(f.queue, int32(2*i+1))
		}
	}
	nearest := int32(math.MaxInt32)
	for k := 0; k < len(f.queue); k++ {
		node := f.queue[k]
		i, d := node/2, f.level[node]+1
		if d > nearest {
			break
		}
		leaving := node&1 == 1
		if !leaving && f.source[i] {
			nearest = d
		}
		if f.passes[i] != leaving {
			f.visit(node^1, d)
		}
		if leaving {
			for e := f.ptr[i]; e < f.ptr[i+1]; e++ {
				if f.carries[e] {
					f.visit(2*f.head[e], d)
				}
			}
		} else {
			for _, j := range f.head[f.ptr[i]:f.ptr[i+1]] {
				f.visit(2*j+1, d)
			}
		}
	}
	return nearest < math.MaxInt32
}

func (f *flow) visit(node, level int32) {
	if f.level[node] < 0 {
		f.level[node] = level
		f.queue = append(f.queue, node)
	}
}

// augment sends flow along paths of the layered network until none is left.
// next[node] is the arc to try: ptr.. for neighbours, ptr[i+1] for the step
// between the two nodes of the vertex.
func (f *flow) augment() {
	nb := int32(len(f.band))
	f.next = resize(f.next, int(2*nb))
	for i := range nb {
		f.next[2*i], f.next[2*i+1] = f.ptr[i], f.ptr[i]
	}
	for i := range nb {
		for f.source[i] && f.level[2*i] >= 0 && f.send(2*i) {
		}
	}
}

// send looks for one path from the node to the sink and reports whether it
// found one.
func (f *flow) send(start int32) bool {
	f.path = append(f.path[:0], start)
	for len(f.path) > 0 {
		node := f.path[len(f.path)-1]
		i := node / 2
		if node&1 == 1 && f.sink[i] {
			f.apply()
			return true
		}
		to := f.step(node)
		if to >= 0 {
			f.path = append(f.path, to)
			continue
		}
		f.level[node] = -1 // dead end
		f.path = f.path[:len(f.path)-1]
	}
	return false
}

// step returns the next node of the layer nearer the sink that the node leads to, or -1.
func (f *flow) step(node int32) int32 {
	i, d := node/2, f.level[node]-1
	leaving := node&1 == 1
	for ; f.next[node] < f.ptr[i+1]; f.next[node]++ {
		e := f.next[node]
		to := 2 * f.head[e]
		if !leaving {
			if !f.carries[f.back[e]] {
				continue
			}
			to++
		}
		if f.level[to] == d {
			return to
		}
	}
	if f.passes[i] == leaving && f.level[node^1] == d {
		return node ^ 1
	}
	return -1
}

// apply sends one unit along the path.
func (f *flow) apply() {
	for k := 1; k < len(f.path); k++ {
		from, to := f.path[k-1], f.path[k]
		i := from / 2
		if to == from^1 {
			f.passes[i] = from&1 == 0
			f.level[from] = -1 // the one unit is used
			continue
		}
		if e := f.next[from]; from&1 == 1 {
			if back := f.back[e]; f.carries[back] {
				f.carries[back] = false
			} else {
				f.carries[e] = true
			}
		} else {
			f.carries[f.back[e]] = false
		}
	}
}

// choose takes the smallest separator nearest the source or the one nearest the
// sink, whichever leaves the sides more even. After the last layers call, level
// tells what leads to the sink.
func (f *flow) choose(side []int8) {
	var whole [2]int
	for _, s := range side {
		whole[s]++
	}
	fromSink := f.balance(whole, side, func(node int32) bool { return f.level[node] < 0 })
	f.next = resize(f.next, 2*len(f.band))
	f.fromSource()
	fromSource := f.balance(whole, side, func(node int32) bool { return f.next[node] >= 0 })
	for i, v := range f.band {
		in, out := f.next[2*i] >= 0, f.next[2*i+1] >= 0
		if fromSink < fromSource {
			in, out = f.level[2*i] < 0, f.level[2*i+1] < 0
		}
		switch {
		case in && out:
			side[v] = onLeft
		case in:
			side[v] = between
		default:
			side[v] = onRight
		}
	}
}

// balance is the difference of the sides when the nodes on the left are those
// given.
func (f *flow) balance(whole [2]int, side []int8, isLeft func(node int32) bool) int {
	left, right := whole[onLeft], whole[onRight]
	for i, v := range f.band {
		if side[v] == onLeft {
			left--
		} else {
			right--
		}
		in, out := isLeft(int32(2*i)), isLeft(int32(2*i+1))
		if in && out {
			left++
		} else if !in {
			right++
		}
	}
	return max(left-right, right-left)
}

// fromSource marks the nodes that the source reaches in the residual network
// with 1 in next, the others with -1.
func (f *flow) fromSource() {
	for i := range f.next[:2*len(f.band)] {
		f.next[i] = -1
	}
	f.queue = f.queue[:0]
	mark := func(node int32) {
		if f.next[node] < 0 {
			f.next[node] = 1
			f.queue = append(f.queue, node)
		}
	}
	for i, source := range f.source {
		if source {
			mark(int32(2 * i))
		}
	}
	for k := 0; k < len(f.queue); k++ {
		node := f.queue[k]
		i := node / 2
		leaving := node&1 == 1
		if f.passes[i] == leaving {
			mark(node ^ 1)
		}
		for e := f.ptr[i]; e < f.ptr[i+1]; e++ {
			if leaving {
				mark(2 * f.head[e])
			} else if f.carries[f.back[e]] {
				mark(2*f.head[e] + 1)
			}
		}
	}
}
