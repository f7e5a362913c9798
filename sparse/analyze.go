package sparse

import (
	"fmt"
	"runtime"
	"sync"
)

// Settings steer Analyze; the zero value is a good choice.
type Settings struct {
	// Coords places each unknown (length N) in the plane; the ordering may then
	// cut the domain along lines. Nil: it sees only the graph.
	Coords [][2]float64
	// Ordering chooses how the elimination order is found, when Order is nil.
	Ordering Ordering
	// Order, when set, is the elimination order to use: Order[k] is the unknown
	// eliminated k-th. The analysis may swap unknowns where that changes no
	// fill.
	Order []int32
	// Workers is how many goroutines factorise and solve; 0 means one for each
	// processor. Results do not depend on it.
	Workers int
	// Cancel is asked now and then, from several goroutines; when it reports
	// true the work stops with ErrCancelled. Nil: never.
	Cancel func() bool
}

// Ordering is a way to find an elimination order.
type Ordering int8

const (
	// Automatic is minimum degree for matrices of up to some 10⁵ nodes, where its
	// fill is as low and it takes less time, and nested dissection above.
	Automatic Ordering = iota
	// MinimumDegree eliminates, step by step, what has about the fewest neighbours.
	MinimumDegree
	// NestedDissection cuts the graph in two, again and again, and eliminates the
	// cuts last.
	NestedDissection
)

// dissectFrom is the number of vertices from which on Automatic dissects.
const dissectFrom = 120_000

// Symbolic is the analysis of a pattern, good for any values on it. It may be
// shared by factors and goroutines.
type Symbolic struct {
	n       int
	entries int     // of the matrix analysed
	perm    []int32 // perm[new] = old unknown
	workers int
	cancel  func() bool

	first  []int32 // first pivot (new number) of each front; one more at the end
	rowPtr []int   // rows below the pivots of front s: rows[rowPtr[s]:rowPtr[s+1]]
	rows   []int32 // new numbers, ascending
	parent []int32
	valPtr []int   // columns of front s in the factor's values
	ld     []int32 // their leading dimension

	childPtr []int32 // children of front s: child[childPtr[s]:childPtr[s+1]], ascending
	child    []int32
	runPtr   [][2]int32 // how the rows of front s stand in its parent: runs[runPtr[s][0]:runPtr[s][1]]
	runs     []run

	entryPtr []int   // entries of the matrix in pivot column j: entryPtr[j]..entryPtr[j+1]
	entry    []int32 // position in Val
	offset   []int32 // place in the front's columns

	branches []branch
	trunk    int32 // first front of the trunk
	updPtr   []int // place of the update of each front: in its worker's space or in the shared one
	space    int   // of one worker
	shared   int
	maxRows  int // most rows of a front
}

// run is a stretch of consecutive rows of a child: n rows from row src of the
// child are rows from dst of the parent, pivots first.
type run struct{ src, dst, n int32 }

// branch is a subtree that one worker factorises alone: fronts from..to.
type branch struct {
	from, to int32
	outside  []int32 // unknowns of the trunk that it touches: the rows of its root
}

// Analyze orders the unknowns of the pattern of a and prepares its
// factorisation. Values of a do not matter.
func Analyze(a *Symmetric, s Settings) (*Symbolic, error) {
	if err := a.validate(); err != nil {
		return nil, err
	}
	if s.Coords != nil && len(s.Coords) != a.N {
		return nil, &PatternError{fmt.Sprintf("%d coordinates for %d unknowns; give one for each", len(s.Coords), a.N)}
	}
	y := &Symbolic{n: a.N, entries: len(a.Row), workers: s.Workers, cancel: s.Cancel}
	if y.workers <= 0 {
		y.workers = runtime.GOMAXPROCS(0)
	}
	vertex, count := vertices(a)
	g := newGraph(a, vertex, count, s.Coords)
	order, err := chooseOrder(g, vertex, s, y.workers)
	if err != nil {
		return nil, err
	}
	if s.Cancel != nil && s.Cancel() {
		return nil, ErrCancelled
	}
	fr := newFronts(g, newForest(g, order))
	fr.trunkLast(y)
	y.number(fr, vertex, g)
	var mapped sync.WaitGroup
	if y.workers > 1 {
		mapped.Go(func() { y.mapEntries(a) })
	} else {
		y.mapEntries(a)
	}
	y.structure(fr, g)
	y.plan()
	mapped.Wait()
	y.placeEntries()
	y.outsideRows()
	return y, nil
}

// For returns the same analysis for factors of so many workers, cancelled as
// told; it shares everything else.
func (y *Symbolic) For(workers int, cancel func() bool) *Symbolic {
	out := *y
	out.workers, out.cancel = workers, cancel
	return &out
}

// chooseOrder returns an elimination order of the vertices.
func chooseOrder(g *graph, vertex []int32, s Settings, workers int) ([]int32, error) {
	if s.Order == nil {
		if s.Ordering == NestedDissection || s.Ordering == Automatic && g.len() >= dissectFrom {
			return dissect(g, workers, s.Cancel), nil
		}
		order := room[int32](g.len())
		for v := range order {
			order[v] = int32(v)
		}
		new(minimumDegree).order(g, order, s.Cancel)
		return order, nil
	}
	if len(s.Order) != len(vertex) {
		return nil, &PatternError{fmt.Sprintf("order names %d of %d unknowns", len(s.Order), len(vertex))}
	}
	seen := make([]bool, len(vertex))
	taken := make([]bool, g.len())
	order := make([]int32, 0, g.len())
	for _, i := range s.Order {
		if i < 0 || int(i) >= len(vertex) || seen[i] {
			return nil, &PatternError{fmt.Sprintf("order is no permutation: unknown %d", i)}
		}
		seen[i] = true
		if v := vertex[i]; !taken[v] {
			taken[v] = true
			order = append(order, v)
		}
	}
	return order, nil
}

// number gives the unknowns their new numbers, front after front.
func (y *Symbolic) number(fr *fronts, vertex []int32, g *graph) {
	list, start := sortBy(vertex, g.len())
	y.perm = make([]int32, 0, y.n)
	y.first = make([]int32, 1, len(fr.pivots)+1)
	for _, m := range fr.member {
		for _, v := range fr.order[m[0]:m[1]] {
			y.perm = append(y.perm, list[start[v]:start[v+1]]...)
		}
		y.first = append(y.first, int32(len(y.perm)))
	}
	y.parent = fr.parent
}

// pivots is the number of pivots of front s.
func (y *Symbolic) pivots(s int32) int { return int(y.first[s+1] - y.first[s]) }

// below is the number of rows of front s below its pivots.
func (y *Symbolic) below(s int32) int { return y.rowPtr[s+1] - y.rowPtr[s] }

func (y *Symbolic) fronts() int32 { return int32(len(y.first) - 1) }

// Stats describes an analysis.
type Stats struct {
	Unknowns int
	Fronts   int
	Fill     int     // entries of L, with the explicit zeros that joined columns hold
	Work     float64 // floating-point operations of a factorisation
	Bytes    int     // memory of the analysis, one factor and its work space
}

// Stats returns the size of what a factorisation will need, before it starts.
func (y *Symbolic) Stats() Stats {
	t := Stats{Unknowns: y.n, Fronts: int(y.fronts())}
	for s := range y.fronts() {
		p, m := y.pivots(s), y.below(s)
		t.Fill += p*(p+1)/2 + p*m
		t.Work += 2 * frontWork(int32(p), int32(m))
	}
	values := y.valPtr[y.fronts()] + y.space*y.workers + y.shared + 2*y.n
	indices := len(y.perm) + len(y.rows) + 3*len(y.runs) + len(y.entry) + len(y.offset)
	t.Bytes = 8*values + 4*indices + 8*(len(y.entryPtr)+len(y.rowPtr)+len(y.valPtr)+len(y.updPtr))
	return t
}
