package sparse

import (
	"fmt"
	"sync/atomic"

	"sinew/internal/kernel"
)

// Factor is a factorisation P·A·Pᵀ = L·Lᵀ by the multifrontal method of
// I. S. Duff and J. K. Reid, ACM Trans. Math. Software 9 (1983) 302–325. It is
// not for use by several goroutines at once.
type Factor struct {
	s      *Symbolic
	kernel *kernel.Kernel
	val    []float64
	inv    []float64 // reciprocals of the diagonal of L
	indefinite
	team   team
	space  [][]float64 // updates, for each worker
	shared []float64
	solver solver

	// of the factorisation that runs
	given  []float64
	phase  phase
	front  int32
	column int          // first column of the panel
	bad    []failure    // of each branch, and of the trunk
	stop   atomic.Int32 // 1: not definite, 2: cancelled
	grew   atomic.Bool  // a pivot of the front needs an exchange
}

// failure is the pivot at which a branch stopped.
type failure struct {
	column int // new number, or -1
	pivot  float64
}

// phase says what a loop over the team does.
type phase int8

const (
	branchPhase phase = iota
	assemblePhase
	belowPhase
	updatePhase
	exchangePhase
	forwardPhase
	trunkPhase
	trunkRowsPhase
	trunkColumnsPhase
	backwardPhase
	loadPhase
	storePhase
)

const (
	// panelWidth is how many columns of a front are factorised before the rest
	// is updated; a panel of some hundred rows stays in the second cache.
	panelWidth = 96
	// blockColumns and blockRows are what a worker takes of a shared front.
	blockColumns = 48
	blockRows    = 240
)

// Factorize factorises a matrix with the analysed pattern.
func (y *Symbolic) Factorize(a *Symmetric) (*Factor, error) {
	f := y.newFactor()
	if err := f.Refactorize(a); err != nil {
		return nil, err
	}
	return f, nil
}

// newFactor makes room for a factor.
func (y *Symbolic) newFactor() *Factor {
	f := &Factor{
		s: y, kernel: kernel.Best(),
		val: room[float64](y.valPtr[y.fronts()]), inv: make([]float64, y.n),
		shared: room[float64](y.shared), bad: make([]failure, len(y.branches)+1),
		space: make([][]float64, y.workers),
	}
	for w := range f.space {
		f.space[w] = room[float64](y.space)
	}
	f.team.size = y.workers
	f.team.body = f.item
	return f
}

// Refactorize factorises other values on the same pattern in the same memory.
// After an error the factor holds nothing until a later call succeeds.
func (f *Factor) Refactorize(a *Symmetric) error {
	y := f.s
	if a.N != y.n || len(a.Row) != y.entries || len(a.Val) != y.entries {
		return &PatternError{fmt.Sprintf("matrix of order %d with %d entries and %d values, analysed: order %d with %d",
			a.N, len(a.Row), len(a.Val), y.n, y.entries)}
	}
	f.given = a.Val
	if f.sign != nil {
		f.prepareIndefinite(a)
	}
	f.stop.Store(0)
	for i := range f.bad {
		f.bad[i] = failure{column: -1}
	}
	f.team.start(f.team.body)
	f.phase = branchPhase
	f.team.loop(len(y.branches))
	for s := y.trunk; s < y.fronts() && !f.stopped(); s++ {
		f.trunkFront(s)
	}
	f.team.stop()
	f.given = nil
	f.finishIndefinite()
	return f.verdict()
}

// verdict turns what stopped a factorisation into its error: the first bad
// pivot in the order of the branches, whoever met one first.
func (f *Factor) verdict() error {
	if f.stop.Load() == 2 {
		return ErrCancelled
	}
	for _, b := range f.bad {
		if b.column >= 0 {
			return &NotPositiveDefiniteError{Column: int(f.s.perm[b.column]), Pivot: b.pivot}
		}
	}
	return nil
}

// stopped reports whether to give up, and asks the caller's Cancel.
func (f *Factor) stopped() bool {
	if f.s.cancel != nil && f.s.cancel() {
		f.stop.Store(2)
	}
	return f.stop.Load() != 0
}

// item does one item of the loop that runs.
func (f *Factor) item(worker, i int) {
	switch f.phase {
	case branchPhase:
		f.branch(worker, i)
	case assemblePhase:
		f.assemble(f.front, i*blockColumns, (i+1)*blockColumns, nil)
	case belowPhase:
		f.belowPanel(worker, i)
	case updatePhase:
		f.updateBlock(worker, i)
	case exchangePhase:
		f.pivoting[0].update(i)
	case forwardPhase:
		f.forwardBranch(worker, i)
	case trunkPhase:
		f.solveTrunk(worker, i)
	case trunkRowsPhase:
		f.trunkRows(i)
	case trunkColumnsPhase:
		f.trunkColumns(i)
	case backwardPhase:
		f.backwardBranch(worker, i)
	case loadPhase:
		f.load(i)
	case storePhase:
		f.store(i)
	}
}

// branch factorises one subtree. A bad pivot in one branch stops none of the
// others, so that the error does not depend on who was quicker.
func (f *Factor) branch(worker, i int) {
	b := f.s.branches[i]
	for s := b.from; s < b.to; s++ {
		if (s-b.from)%64 == 0 && f.s.cancel != nil && f.s.cancel() {
			f.stop.Store(2)
		}
		if f.stop.Load() == 2 {
			return
		}
		if !f.branchFront(s, i, worker) {
			f.stop.CompareAndSwap(0, 1)
			return
		}
	}
}

// update returns the storage of the update of front s.
func (f *Factor) update(s int32, space []float64) []float64 {
	from := f.shared
	if s < f.s.trunk && !f.s.isBranchRoot(s) {
		from = space
	}
	at := f.s.updPtr[s]
	return from[at : at+f.s.updateSize(s)]
}

// isBranchRoot reports whether front s is the last of its branch.
func (y *Symbolic) isBranchRoot(s int32) bool { return y.parent[s] < 0 || y.parent[s] >= y.trunk }

// columns returns the pivot columns of front s and their leading dimension.
func (f *Factor) columns(s int32) ([]float64, int) {
	return f.val[f.s.valPtr[s]:f.s.valPtr[s+1]], int(f.s.ld[s])
}

// branchFront assembles and factorises one front on one worker.
func (f *Factor) branchFront(s int32, branch, worker int) bool {
	y, space := f.s, f.space[worker]
	whole := y.pivots(s) + y.below(s)
	f.assemble(s, 0, whole, space)
	var bad failure
	ok := false
	if f.sign == nil {
		bad, ok = f.eliminate(s, worker, space)
	} else if f.passedTo(s) == 0 {
		if _, ok = f.eliminate(s, worker, space); !ok {
			f.assemble(s, 0, whole, space)
		}
	}
	if f.sign != nil && !ok {
		bad, ok = f.exchange(s, worker, f.update(s, space), f.alone)
	}
	if !ok {
		f.bad[branch] = bad
	}
	return ok
}

// eliminate factorises an assembled front on one worker, its pivots in order.
func (f *Factor) eliminate(s int32, worker int, space []float64) (failure, bool) {
	y := f.s
	p, m := y.pivots(s), y.below(s)
	a, ld := f.columns(s)
	upd, ldu := f.update(s, space), leading(m)
	for j := 0; j < p; j += panelWidth {
		w := min(panelWidth, p-j)
		done, pivot := f.panel(worker, p+m-j, w, a[j+j*ld:], ld, int(y.first[s])+j)
		if done < w {
			return failure{int(y.first[s]) + j + done, pivot}, false
		}
		next := j + w
		if next < p {
			f.sub(worker, p+m-next, w, 0, p-next, a[next+j*ld:], ld, a[next+next*ld:], ld, int(y.first[s])+j)
		}
		if m > 0 {
			f.sub(worker, m, w, 0, m, a[p+j*ld:], ld, upd, ldu, int(y.first[s])+j)
		}
	}
	return failure{}, true
}

// trunkFront is branchFront with the work of each step shared by the team.
func (f *Factor) trunkFront(s int32) {
	f.front = s
	f.assembleShared(s)
	var bad failure
	ok := false
	if f.sign == nil {
		bad, ok = f.eliminateShared(s)
	} else if f.passedTo(s) == 0 {
		if _, ok = f.eliminateShared(s); !ok {
			f.assembleShared(s)
		}
	}
	if f.sign != nil && !ok {
		bad, ok = f.exchange(s, 0, f.update(s, nil), f.share)
	}
	if !ok {
		f.bad[len(f.s.branches)] = bad
		f.stop.Store(1)
	}
}

func (f *Factor) assembleShared(s int32) {
	f.phase = assemblePhase
	f.team.loop(blocks(f.s.pivots(s)+f.s.below(s), blockColumns))
}

// eliminateShared is eliminate by the team.
func (f *Factor) eliminateShared(s int32) (failure, bool) {
	y := f.s
	p, m := y.pivots(s), y.below(s)
	a, ld := f.columns(s)
	f.grew.Store(false)
	for j := 0; j < p; j += panelWidth {
		w := min(panelWidth, p-j)
		if done, pivot := f.panel(0, w, w, a[j+j*ld:], ld, int(y.first[s])+j); done < w {
			return failure{int(y.first[s]) + j + done, pivot}, false
		}
		f.column = j
		f.phase = belowPhase
		f.team.loop(blocks(p+m-j-w, blockRows))
		if f.grew.Load() {
			return failure{}, false
		}
		f.phase = updatePhase
		f.team.loop(blocks(p-j-w, blockColumns) + blocks(m, blockColumns))
	}
	return failure{}, true
}

// blocks is the number of blocks of the given size that cover n.
func blocks(n, size int) int { return (n + size - 1) / size }

// belowPanel solves for one block of rows below the diagonal block of a panel.
func (f *Factor) belowPanel(worker, i int) {
	y, s, j := f.s, f.front, f.column
	p, m := y.pivots(s), y.below(s)
	a, ld := f.columns(s)
	w := min(panelWidth, p-j)
	row := j + w + i*blockRows
	at := int(y.first[s]) + j
	if rows := min(blockRows, p+m-row); f.sign == nil {
		f.kernel.Solve(rows, w, a[row+j*ld:], ld, a[j+j*ld:], ld, f.inv[at:])
	} else {
		f.kernel.SolveSigned(rows, w, a[row+j*ld:], ld, a[j+j*ld:], ld, f.inv[at:], f.sign[at:], &f.signed[worker])
		for c := range w {
			if from := row + (j+c)*ld; tall(a[from:from+rows], f.inv[at+c]) {
				f.grew.Store(true)
			}
		}
	}
}

// updateBlock updates one block of columns by the panel: first those of the
// pivots to come, then those of the front's update.
func (f *Factor) updateBlock(worker, i int) {
	y, s, j := f.s, f.front, f.column
	p, m := y.pivots(s), y.below(s)
	a, ld := f.columns(s)
	w := min(panelWidth, p-j)
	next := j + w
	if n := blocks(p-next, blockColumns); i < n {
		from := i * blockColumns
		f.sub(worker, p+m-next, w, from, min(from+blockColumns, p-next), a[next+j*ld:], ld, a[next+next*ld:], ld, int(y.first[s])+j)
		return
	}
	from := (i - blocks(p-next, blockColumns)) * blockColumns
	f.sub(worker, m, w, from, min(from+blockColumns, m), a[p+j*ld:], ld, f.update(s, nil), leading(m), int(y.first[s])+j)
}
