package sparse

import "sync"

// leafSize is how many vertices nested dissection leaves to minimum degree,
// which is as good there and cheaper.
const leafSize = 200

// dissection orders a graph by nested dissection: a small separator is found,
// ordered last, and the two sides are ordered the same way. The parts of one
// level stand in one of two buffers and their halves go to the other, so that
// nothing is allocated on the way down and parts can be worked on at once.
type dissection struct {
	whole  *graph
	level  [2]buffer
	order  []int32 // the result: order[k] is the vertex eliminated k-th
	side   []int8  // of the vertices of the parts, by place
	cancel func() bool
}

// buffer holds parts side by side. Vertices are numbered within their part.
type buffer struct {
	id   []int32 // vertex of the whole graph
	ptr  []int32 // neighbours of the vertex at place p: adj[ptr[p]:end[p]]
	end  []int32
	adj  []int32
	x, y []float64
}

func newBuffer(n, edges int) buffer {
	return buffer{
		id: room[int32](n), ptr: room[int32](n), end: room[int32](n),
		adj: room[int32](edges), x: room[float64](n), y: room[float64](n),
	}
}

// part is a subgraph: vertices at places v0..v1 of buffer b, edges from e0.
type part struct{ b, v0, v1, e0 int }

// dissect returns an elimination order of the vertices of g.
func dissect(g *graph, workers int, cancel func() bool) []int32 {
	n := g.len()
	d := &dissection{whole: g, order: make([]int32, n), side: make([]int8, n), cancel: cancel}
	d.level[0] = newBuffer(n, len(g.adj))
	d.level[1] = newBuffer(n, len(g.adj))
	top := &d.level[0]
	copy(top.adj, g.adj)
	for v := range n {
		top.id[v], top.ptr[v], top.end[v] = int32(v), g.ptr[v], g.ptr[v+1]
		if g.at != nil {
			top.x[v], top.y[v] = g.at[v][0], g.at[v][1]
		}
	}
	d.run(part{0, 0, n, 0}, workers)
	return d.order
}

// run orders one part and all that is cut from it. The order of a part fills
// the same places of d.order as the part does of its buffer.
func (d *dissection) run(p part, workers int) {
	w := newSeparator()
	var group sync.WaitGroup
	for p.v1-p.v0 > leafSize && !d.cancelled() {
		left, right := d.split(p, w)
		if left.v1 == left.v0 || right.v1 == right.v0 {
			break // no cut: a clique, or a handful of them
		}
		if workers > 1 && left.v1-left.v0 > 8*leafSize {
			workers /= 2
			share := workers
			group.Go(func() { d.run(left, share) })
		} else {
			d.runSerial(left, w)
		}
		p = right
	}
	d.leaf(p, w)
	group.Wait()
}

// runSerial is run on one worker with the work space given.
func (d *dissection) runSerial(p part, w *separator) {
	for p.v1-p.v0 > leafSize && !d.cancelled() {
		left, right := d.split(p, w)
		if left.v1 == left.v0 || right.v1 == right.v0 {
			break
		}
		d.runSerial(left, w)
		p = right
	}
	d.leaf(p, w)
}

func (d *dissection) cancelled() bool { return d.cancel != nil && d.cancel() }

// split finds a separator of the part, orders it at the part's end and returns
// the two sides.
func (d *dissection) split(p part, w *separator) (left, right part) {
	side := d.side[p.v0:p.v1]
	w.find(d.view(p), side, d.whole.at != nil)
	return d.divide(p, side, w)
}

// view is the part as slices that start at its first vertex.
func (d *dissection) view(p part) view {
	b := &d.level[p.b]
	return view{
		ptr: b.ptr[p.v0:p.v1], end: b.end[p.v0:p.v1], adj: b.adj,
		x: b.x[p.v0:p.v1], y: b.y[p.v0:p.v1],
	}
}

// The sides of a vertex.
const (
	onLeft int8 = iota
	onRight
	between
)

// divide copies the two sides to the other buffer and orders the separator.
func (d *dissection) divide(p part, side []int8, w *separator) (left, right part) {
	from, to := &d.level[p.b], &d.level[1-p.b]
	count := [3]int{}
	w.number = resize(w.number, len(side))
	for v, s := range side {
		w.number[v] = int32(count[s])
		count[s]++
	}
	left = part{1 - p.b, p.v0, p.v0 + count[onLeft], p.e0}
	place := [3]int{p.v0, left.v1, left.v1 + count[onRight]}
	edge := int32(p.e0)
	for _, s := range []int8{onLeft, onRight} {
		if s == onRight {
			right = part{1 - p.b, left.v1, left.v1 + count[onRight], int(edge)}
		}
		q := place[s]
		for v, sv := range side {
			if sv != s {
				continue
			}
			pv := p.v0 + v
			to.id[q], to.x[q], to.y[q], to.ptr[q] = from.id[pv], from.x[pv], from.y[pv], edge
			for _, u := range from.adj[from.ptr[pv]:from.end[pv]] {
				if side[u] == s {
					to.adj[edge] = w.number[u]
					edge++
				}
			}
			to.end[q] = edge
			q++
		}
	}
	for v, s := range side {
		if s == between {
			d.order[place[between]] = from.id[p.v0+v]
			place[between]++
		}
	}
	return left, right
}

// leaf orders a part by minimum degree among its own vertices, with the fill
// towards the separators around it counted.
func (d *dissection) leaf(p part, w *separator) {
	order := d.order[p.v0:p.v1]
	copy(order, d.level[p.b].id[p.v0:p.v1])
	w.leaf.order(d.whole, order, nil)
}

// resize returns a slice of length n, s itself when it is long enough.
func resize[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n+n/2)[:n]
	}
	return s[:n]
}
