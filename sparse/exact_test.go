package sparse

import (
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"
)

// leafOrder is the reference for minimumDegree: exact minimum degree on bit sets.
// The vertices around those of a set, eliminated later, count towards the
// degrees.
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

// fillOf is the number of entries of L when the graph is eliminated in order.
func fillOf(g *graph, order []int32) int {
	f := newForest(g, slices.Clone(order))
	sum := 0
	for k, v := range f.order {
		w := int(g.weight[v])
		sum += w*int(f.count[k]) - w*(w-1)/2
	}
	return sum
}

func graphOf(a *Symmetric, at [][2]float64) *graph {
	vertex, count := vertices(a)
	return newGraph(a, vertex, count, at)
}

// triangles is the pattern of a square of n by n cells cut into six-node
// triangles, one unknown at each node.
func triangles(n int) *Symmetric {
	side := 2*n + 1
	var groups [][]int32
	for i := 0; i < 2*n; i += 2 {
		for j := 0; j < 2*n; j += 2 {
			at := func(di, dj int) int32 { return int32((i+di)*side + j + dj) }
			groups = append(groups,
				[]int32{at(0, 0), at(2, 0), at(2, 2), at(1, 0), at(2, 1), at(1, 1)},
				[]int32{at(0, 0), at(2, 2), at(0, 2), at(1, 1), at(1, 2), at(0, 1)})
		}
	}
	return NewPattern(side*side, groups)
}

func TestMinimumDegreeIsNearlyExact(t *testing.T) {
	grid, _ := plate(30, 24)
	r := rand.New(rand.NewPCG(5, 6))
	for _, row := range []struct {
		name string
		a    *Symmetric
		most float64 // fill against that of exact minimum degree
	}{
		{"squares", grid, 1.1},
		{"triangles", triangles(16), 1.1},
		{"random, sparse", random(r, 900, 3), 1.1},
		{"random, much fill", random(r, 600, 12), 1.05},
		{"loose vertices", NewPattern(50, nil), 1},
	} {
		g := graphOf(row.a, nil)
		all := make([]int32, g.len())
		for v := range all {
			all[v] = int32(v)
		}
		exact := slices.Clone(all)
		new(leafOrder).order(g, exact)
		new(minimumDegree).order(g, all, nil)
		if got, want := fillOf(g, all), fillOf(g, exact); float64(got) > row.most*float64(want) {
			t.Errorf("%s: fill %d, exact minimum degree gives %d", row.name, got, want)
		}
	}
}

// TestMinimumDegreeOrdersParts orders random parts of random graphs, what lies
// around them counted, again and again in one work space.
func TestMinimumDegreeOrdersParts(t *testing.T) {
	var q minimumDegree
	got, want := 0, 0
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 1))
		n := 2 + r.IntN(60)
		g := graphOf(random(r, n, r.IntN(7)), nil)
		var set []int32
		for v := range int32(g.len()) {
			if r.IntN(3) > 0 {
				set = append(set, v)
			}
		}
		order, exact := slices.Clone(set), slices.Clone(set)
		q.order(g, order, nil)
		new(leafOrder).order(g, exact)
		rest := others(g.len(), set)
		got += fillOf(g, append(slices.Clone(order), rest...))
		want += fillOf(g, append(exact, rest...))
		slices.Sort(order)
		if !slices.Equal(order, set) {
			t.Fatalf("seed %d: %v is no order of %v", seed, order, set)
		}
	}
	if float64(got) > 1.02*float64(want) {
		t.Errorf("fill %d, exact minimum degree gives %d", got, want)
	}
}

// others lists 0..n-1 without those of an ascending set.
func others(n int, set []int32) []int32 {
	var rest []int32
	for v := range int32(n) {
		if _, found := slices.BinarySearch(set, v); !found {
			rest = append(rest, v)
		}
	}
	return rest
}

func TestOrderingsAgree(t *testing.T) {
	a, at := plate(70, 50)
	b := make([]float64, a.N)
	for i := range b {
		b[i] = math.Sin(float64(i))
	}
	for _, row := range []struct {
		name string
		s    Settings
	}{
		{"minimum degree", Settings{Ordering: MinimumDegree}},
		{"dissection by places", Settings{Ordering: NestedDissection, Coords: at}},
		{"dissection of the graph", Settings{Ordering: NestedDissection}},
	} {
		x := slices.Clone(b)
		f := factorOf(t, a, row.s)
		f.Solve(x, 1)
		if e := a.BackwardError(x, b); !(e < 1e-15) {
			t.Errorf("%s: backward error %g", row.name, e)
		}
		if fill := f.s.Stats().Fill; fill > 60*a.N {
			t.Errorf("%s: fill %d of %d unknowns", row.name, fill, a.N)
		}
	}
}

// TestHubWaits: a vertex that is joined to nearly all others goes last, and the
// order takes no time that grows with its neighbours at every step.
func TestHubWaits(t *testing.T) {
	const n = 200_000
	var groups [][]int32
	for i := int32(1); i < n; i++ {
		groups = append(groups, []int32{0, i})
	}
	g := graphOf(NewPattern(n, groups), nil)
	order := make([]int32, g.len())
	for v := range order {
		order[v] = int32(v)
	}
	new(minimumDegree).order(g, order, nil)
	if order[n-1] != 0 {
		t.Errorf("the hub is eliminated %v", slices.Index(order, 0))
	}
}
