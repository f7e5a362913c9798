package sparse

import "math/bits"

// leafOrder orders a few vertices by exact minimum degree on bit sets. The
// vertices around them, eliminated later, count towards the degrees.
type leafOrder struct {
	local  []int32 // number in the leaf + 1 of a vertex of the whole graph
	around []int32
	rows   []uint64 // adjacency: one row of words for each vertex of the leaf
	degree []int32
	result []int32
}

// order rearranges the vertices of g listed in set into elimination order.
func (l *leafOrder) order(g *graph, set []int32) {
	if len(set) < 2 {
		return
	}
	words := l.build(g, set)
	l.eliminate(words, len(set))
	for k, i := range l.result {
		l.around[k] = set[i]
	}
	copy(set, l.around)
}

// build numbers the leaf and what surrounds it and returns the words of a row.
func (l *leafOrder) build(g *graph, set []int32) int {
	if len(l.local) < g.len() {
		l.local = make([]int32, g.len())
	}
	for k, v := range set {
		l.local[v] = int32(k) + 1
	}
	l.around = l.around[:0]
	for _, v := range set {
		for _, u := range g.neighbours(v) {
			if l.local[u] == 0 {
				l.around = append(l.around, u)
				l.local[u] = int32(len(set) + len(l.around))
			}
		}
	}
	words := (len(set) + len(l.around) + 63) / 64
	l.rows = resize(l.rows, words*len(set))
	clear(l.rows)
	for k, v := range set {
		row := l.rows[k*words : (k+1)*words]
		for _, u := range g.neighbours(v) {
			i := l.local[u] - 1
			row[i>>6] |= 1 << (i & 63)
		}
	}
	for _, v := range set {
		l.local[v] = 0
	}
	for _, v := range l.around {
		l.local[v] = 0
	}
	l.around = resize(l.around, max(len(set), len(l.around)))
	return words
}

// gone marks an eliminated vertex; no degree is as large.
const gone = 1 << 30

func (l *leafOrder) eliminate(words, n int) {
	l.degree, l.result = resize(l.degree, n), l.result[:0]
	for v := range n {
		l.degree[v] = count(l.rows[v*words : (v+1)*words])
	}
	for range n {
		best := 0
		for v, d := range l.degree[:n] {
			if d < l.degree[best] {
				best = v
			}
		}
		l.remove(best, words, n)
	}
}

// remove eliminates one vertex: its neighbours become neighbours of each other.
func (l *leafOrder) remove(v, words, n int) {
	l.result = append(l.result, int32(v))
	l.degree[v] = gone
	row := l.rows[v*words : (v+1)*words]
	for w, word := range row[:(n+63)/64] {
		for ; word != 0; word &= word - 1 {
			u := w*64 + bits.TrailingZeros64(word)
			if u >= n {
				break
			}
			to := l.rows[u*words : (u+1)*words]
			for k, x := range row {
				to[k] |= x
			}
			to[u>>6] &^= 1 << (u & 63)
			to[v>>6] &^= 1 << (v & 63)
			l.degree[u] = count(to)
		}
	}
}

func count(row []uint64) int32 {
	n := 0
	for _, w := range row {
		n += bits.OnesCount64(w)
	}
	return int32(n)
}
