package sparse

import "sinew/internal/kernel"

const (
	// solveColumns is how many right-hand sides pass through the factor at a
	// time: a factor is read from memory once for all of them.
	solveColumns = 32
	// groupColumns is what one worker takes of them in the trunk. Where there are
	// no more, the workers share each front of the trunk instead.
	groupColumns = 16
	// fewColumns is up to how many right-hand sides each passes alone, which
	// costs less than padding them to a strip.
	fewColumns = 2
	// trunkPart is about how many entries of L one worker takes at a time from a
	// front that is shared.
	trunkPart = 1 << 15
	// loadRows is how many unknowns one worker permutes at a time.
	loadRows = 4096
)

// solver is the work space of Solve. Right-hand sides are held by rows: number c
// of unknown i at x[i*width+c].
type solver struct {
	width   int
	x       []float64
	outside [][]float64 // of each branch: what it subtracts from trunk unknowns
	rows    [][]float64 // of each worker: the rows of one front
	reverse []kernel.Reversed

	given   []float64 // the caller's right-hand sides
	columns int
}

// prepare makes room for right-hand sides of the given width.
func (f *Factor) prepare(width int) {
	y, v := f.s, &f.solver
	v.width = width
	if cap(v.x) < y.n*width {
		v.x = room[float64](y.n * width)
	}
	v.x = v.x[:y.n*width]
	if v.rows == nil {
		v.rows = make([][]float64, y.workers)
		v.reverse = make([]kernel.Reversed, y.workers)
		v.outside = make([][]float64, len(y.branches))
	}
	for w := range v.rows {
		v.rows[w] = resize(v.rows[w], max(y.maxRows, f.widest)*width)
	}
	for i := range v.outside {
		v.outside[i] = resize(v.outside[i], len(y.branches[i].outside)*width)
	}
}

// Solve replaces the right-hand sides b, columns of length N one after the
// other, by the solutions. One or two go through other loops than three or more,
// and may differ from what these return in the last digits.
func (f *Factor) Solve(b []float64, columns int) {
	n := f.s.n
	if len(b) < n*columns {
		panic("sparse: right-hand sides are shorter than their columns")
	}
	step := solveColumns
	if columns <= fewColumns {
		step = 1
	}
	for c := 0; c < columns; c += step {
		f.solveBlock(b[c*n:], min(step, columns-c))
	}
}

// solveBlock solves for at most solveColumns right-hand sides.
func (f *Factor) solveBlock(b []float64, columns int) {
	y, v := f.s, &f.solver
	width := 1
	if columns > 1 {
		width = (columns + kernel.Width - 1) / kernel.Width * kernel.Width
	}
	f.prepare(width)
	v.given, v.columns = b, columns
	f.team.start(f.team.body)
	f.phase = loadPhase
	f.team.loop(blocks(y.n, loadRows))
	f.phase = forwardPhase
	f.team.loop(len(y.branches))
	f.addOutside()
	if width <= groupColumns {
		f.solveTrunkShared()
	} else {
		f.phase = trunkPhase
		f.team.loop(blocks(width, groupColumns))
	}
	f.phase = backwardPhase
	f.team.loop(len(y.branches))
	f.phase = storePhase
	f.team.loop(blocks(y.n, loadRows))
	f.team.stop()
	v.given = nil
}

// load permutes the right-hand sides of one block of unknowns into rows.
func (f *Factor) load(block int) {
	y, v := f.s, &f.solver
	if v.width == 1 {
		for k := block * loadRows; k < min((block+1)*loadRows, y.n); k++ {
			v.x[k] = v.given[y.perm[k]]
		}
		f.scaleRows(block)
		return
	}
	for k := block * loadRows; k < min((block+1)*loadRows, y.n); k++ {
		row := v.x[k*v.width : (k+1)*v.width]
		clear(row[v.columns:])
		for c, at := 0, int(y.perm[k]); c < v.columns; c, at = c+1, at+y.n {
			row[c] = v.given[at]
		}
	}
	f.scaleRows(block)
}

// scaleRows applies the scale of the unknowns of one block.
func (f *Factor) scaleRows(block int) {
	y, v := f.s, &f.solver
	if f.scale == nil {
		return
	}
	for k := block * loadRows; k < min((block+1)*loadRows, y.n); k++ {
		s := f.scale[y.perm[k]]
		for c := range v.width {
			v.x[k*v.width+c] *= s
		}
	}
}

// store is the reverse of load.
func (f *Factor) store(block int) {
	y, v := f.s, &f.solver
	f.scaleRows(block)
	for k := block * loadRows; k < min((block+1)*loadRows, y.n); k++ {
		row := v.x[k*v.width : (k+1)*v.width]
		for c, at := 0, int(y.perm[k]); c < v.columns; c, at = c+1, at+y.n {
			v.given[at] = row[c]
		}
	}
}

// addOutside gives the trunk what the branches found, in their order.
func (f *Factor) addOutside() {
	v := &f.solver
	for i, b := range f.s.branches {
		for k, r := range b.outside {
			to := v.x[int(r)*v.width : (int(r)+1)*v.width]
			for c, s := range v.outside[i][k*v.width : (k+1)*v.width] {
				to[c] += s
			}
		}
	}
}

// forwardBranch solves with L on one branch.
func (f *Factor) forwardBranch(worker, i int) {
	v, b := &f.solver, f.s.branches[i]
	clear(v.outside[i])
	for s := b.from; s < b.to; s++ {
		f.forward(s, worker, 0, v.width, v.outside[i])
	}
}

// backwardBranch solves with Lᵀ on one branch, once the trunk is known.
func (f *Factor) backwardBranch(worker, i int) {
	v, b := &f.solver, f.s.branches[i]
	for k, r := range b.outside {
		copy(v.outside[i][k*v.width:(k+1)*v.width], v.x[int(r)*v.width:])
	}
	for s := b.to - 1; s >= b.from; s-- {
		f.backward(s, worker, 0, v.width, v.outside[i])
	}
}

// solveTrunk solves on the trunk for one group of right-hand sides.
func (f *Factor) solveTrunk(worker, group int) {
	y := f.s
	from := group * groupColumns
	width := min(groupColumns, f.solver.width-from)
	for s := y.trunk; s < y.fronts(); s++ {
		f.forward(s, worker, from, width, nil)
	}
	for s := y.fronts() - 1; s >= y.trunk; s-- {
		f.backward(s, worker, from, width, nil)
	}
}

// row is where the right-hand sides of a front's row are kept: with the
// unknown, or for a branch's rows in the trunk with the branch.
func (f *Factor) row(r int32, outside []float64) []float64 {
	v := &f.solver
	if outside != nil {
		if trunk := f.s.first[f.s.trunk]; r >= trunk {
			return outside[int(r-trunk)*v.width:]
		}
	}
	return v.x[int(r)*v.width:]
}

// solveTrunkShared solves on the trunk for all right-hand sides, its fronts
// shared by the team.
func (f *Factor) solveTrunkShared() {
	y, width := f.s, f.solver.width
	for f.front = y.trunk; f.front < y.fronts(); f.front++ {
		if q := f.exchanged(f.front); q != nil {
			f.forwardPivoted(q, f.front, 0, 0, width, nil)
			continue
		}
		p, m, x, w := f.sharedFront()
		a, ld := f.columns(f.front)
		f.solveDown(width, p, x, width, a, ld, f.inv[y.first[f.front]:])
		f.gather(f.front, w, 0, width, nil)
		f.phase = trunkRowsPhase
		f.team.loop(blocks(m, trunkStep(p)))
		f.scatter(f.front, w, 0, width, nil)
	}
	for f.front = y.fronts() - 1; f.front >= y.trunk; f.front-- {
		if q := f.exchanged(f.front); q != nil {
			f.backwardPivoted(q, f.front, 0, 0, width, nil)
			continue
		}
		p, m, x, w := f.sharedFront()
		a, ld := f.columns(f.front)
		if f.sign != nil {
			f.turn(int(y.first[f.front]), p, 0, width)
		}
		f.gather(f.front, w, 0, width, nil)
		f.phase = trunkColumnsPhase
		f.team.loop(blocks(p, trunkStep(m)))
		f.solveUp(width, p, x, width, a, ld, f.inv[y.first[f.front]:], 0)
	}
}

// trunkStep is how many rows or columns of the length given make a part.
func trunkStep(length int) int {
	return max(1, trunkPart/max(1, length)/kernel.Width) * kernel.Width
}

// trunkRows subtracts what the pivots of the shared front give to some of the
// rows below.
func (f *Factor) trunkRows(i int) {
	p, m, x, w := f.sharedFront()
	a, ld := f.columns(f.front)
	width, step := f.solver.width, trunkStep(p)
	f.subDown(width, min(step, m-i*step), p, x, width, a[p+i*step:], ld, w[i*step*width:])
}

// trunkColumns subtracts what the rows below give to some of its pivots.
func (f *Factor) trunkColumns(i int) {
	p, m, x, w := f.sharedFront()
	a, ld := f.columns(f.front)
	width, step := f.solver.width, trunkStep(m)
	from := i * step
	f.subUp(width, m, min(step, p-from), w, a[p+from*ld:], ld, x[from*width:], width)
}

// sharedFront returns the size of the shared front, the right-hand sides of its
// pivots, and the space of the leader for its rows.
func (f *Factor) sharedFront() (p, m int, x, w []float64) {
	y, v := f.s, &f.solver
	p, m = y.pivots(f.front), y.below(f.front)
	return p, m, v.x[int(y.first[f.front])*v.width:], v.rows[0][:m*v.width]
}

// gather copies the right-hand sides from..from+width of the rows below a front
// to w, side by side; scatter copies them back.
func (f *Factor) gather(s int32, w []float64, from, width int, outside []float64) {
	y := f.s
	for k, r := range y.rows[y.rowPtr[s]:y.rowPtr[s+1]] {
		if row := f.row(r, outside); width == 1 {
			w[k] = row[0]
		} else {
			copy(w[k*width:(k+1)*width], row[from:])
		}
	}
}

func (f *Factor) scatter(s int32, w []float64, from, width int, outside []float64) {
	y := f.s
	for k, r := range y.rows[y.rowPtr[s]:y.rowPtr[s+1]] {
		if row := f.row(r, outside); width == 1 {
			row[0] = w[k]
		} else {
			copy(row[from:], w[k*width:(k+1)*width])
		}
	}
}

// solveDown replaces the right-hand sides x of n pivots, rows ldx apart, by
// L⁻¹·x; solveUp by L⁻ᵀ·x. One right-hand side has loops of its own.
func (f *Factor) solveDown(width, n int, x []float64, ldx int, l []float64, ld int, inv []float64) {
	if width == 1 {
		f.kernel.SolveColumn(n, l, ld, inv, x)
		return
	}
	f.kernel.Solve(width, n, x, ldx, l, ld, inv)
}

func (f *Factor) solveUp(width, n int, x []float64, ldx int, l []float64, ld int, inv []float64, worker int) {
	if width == 1 {
		f.kernel.SolveColumnT(n, l, ld, inv, x)
		return
	}
	f.kernel.SolveN(width, n, x, ldx, l, ld, inv, &f.solver.reverse[worker])
}

// subDown subtracts from the m rows w what n pivots x give to them; subUp
// subtracts from the pivots what the rows give.
func (f *Factor) subDown(width, m, n int, x []float64, ldx int, l []float64, ld int, w []float64) {
	if width == 1 {
		f.kernel.SubColumn(m, n, l, ld, x, w)
		return
	}
	f.kernel.Sub(width, m, n, x, ldx, l, ld, w, width)
}

func (f *Factor) subUp(width, m, n int, w []float64, l []float64, ld int, x []float64, ldx int) {
	if width == 1 {
		f.kernel.SubColumnT(m, n, l, ld, w, x)
		return
	}
	f.kernel.SubN(width, n, m, w, width, l, ld, x, ldx)
}

// forward solves with the columns of front s for right-hand sides from..from+
// width and subtracts what they give to the rows below.
func (f *Factor) forward(s int32, worker, from, width int, outside []float64) {
	if q := f.exchanged(s); q != nil {
		f.forwardPivoted(q, s, worker, from, width, outside)
		return
	}
	y, v := f.s, &f.solver
	p, m := y.pivots(s), y.below(s)
	a, ld := f.columns(s)
	first := int(y.first[s])
	x, w := v.x[first*v.width+from:], v.rows[worker][:m*width]
	f.solveDown(width, p, x, v.width, a, ld, f.inv[first:])
	f.gather(s, w, from, width, outside)
	f.subDown(width, m, p, x, v.width, a[p:], ld, w)
	f.scatter(s, w, from, width, outside)
}

// backward solves with the transposed columns of front s.
func (f *Factor) backward(s int32, worker, from, width int, outside []float64) {
	if q := f.exchanged(s); q != nil {
		f.backwardPivoted(q, s, worker, from, width, outside)
		return
	}
	y, v := f.s, &f.solver
	p, m := y.pivots(s), y.below(s)
	a, ld := f.columns(s)
	first := int(y.first[s])
	x, w := v.x[first*v.width+from:], v.rows[worker][:m*width]
	if f.sign != nil {
		f.turn(first, p, from, width)
	}
	f.gather(s, w, from, width, outside)
	f.subUp(width, m, p, w, a[p:], ld, x, v.width)
	f.solveUp(width, p, x, v.width, a, ld, f.inv[first:], worker)
}
