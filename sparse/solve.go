package sparse

import "sinew/internal/kernel"

const (
	// solveColumns is how many right-hand sides pass through the factor at a
	// time: a factor is read from memory once for all of them.
	solveColumns = 32
	// groupColumns is what one worker takes of them in the trunk.
	groupColumns = 16
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
		v.rows[w] = resize(v.rows[w], y.maxRows*width)
	}
	for i := range v.outside {
		v.outside[i] = resize(v.outside[i], len(y.branches[i].outside)*width)
	}
}

// Solve replaces the right-hand sides b, columns of length N one after the
// other, by the solutions.
func (f *Factor) Solve(b []float64, columns int) {
	n := f.s.n
	if len(b) < n*columns {
		panic("sparse: right-hand sides are shorter than their columns")
	}
	for c := 0; c < columns; c += solveColumns {
		f.solveBlock(b[c*n:], min(solveColumns, columns-c))
	}
}

// solveBlock solves for at most solveColumns right-hand sides.
func (f *Factor) solveBlock(b []float64, columns int) {
	y, v := f.s, &f.solver
	f.prepare((columns + kernel.Width - 1) / kernel.Width * kernel.Width)
	v.given, v.columns = b, columns
	f.team.start(f.team.body)
	f.phase = loadPhase
	f.team.loop(blocks(y.n, loadRows))
	f.phase = forwardPhase
	f.team.loop(len(y.branches))
	f.addOutside()
	f.phase = trunkPhase
	f.team.loop(blocks(v.width, groupColumns))
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
	for k := block * loadRows; k < min((block+1)*loadRows, y.n); k++ {
		row := v.x[k*v.width : (k+1)*v.width]
		clear(row[v.columns:])
		for c, at := 0, int(y.perm[k]); c < v.columns; c, at = c+1, at+y.n {
			row[c] = v.given[at]
		}
	}
}

// store is the reverse of load.
func (f *Factor) store(block int) {
	y, v := f.s, &f.solver
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

// forward solves with the columns of front s for right-hand sides from..from+
// width and subtracts what they give to the rows below.
func (f *Factor) forward(s int32, worker, from, width int, outside []float64) {
	y, v := f.s, &f.solver
	p, m := y.pivots(s), y.below(s)
	a, ld := f.columns(s)
	first := int(y.first[s])
	x := v.x[first*v.width+from:]
	f.kernel.Solve(width, p, x, v.width, a, ld, f.inv[first:])
	if m == 0 {
		return
	}
	w := v.rows[worker][:m*width]
	rows := y.rows[y.rowPtr[s]:y.rowPtr[s+1]]
	for k, r := range rows {
		copy(w[k*width:(k+1)*width], f.row(r, outside)[from:])
	}
	f.kernel.Sub(width, m, p, x, v.width, a[p:], ld, w, width)
	for k, r := range rows {
		copy(f.row(r, outside)[from:], w[k*width:(k+1)*width])
	}
}

// backward solves with the transposed columns of front s.
func (f *Factor) backward(s int32, worker, from, width int, outside []float64) {
	y, v := f.s, &f.solver
	p, m := y.pivots(s), y.below(s)
	a, ld := f.columns(s)
	first := int(y.first[s])
	x := v.x[first*v.width+from:]
	if f.sign != nil {
		f.turn(first, p, from, width)
	}
	if m > 0 {
		w := v.rows[worker][:m*width]
		for k, r := range y.rows[y.rowPtr[s]:y.rowPtr[s+1]] {
			copy(w[k*width:(k+1)*width], f.row(r, outside)[from:])
		}
		f.kernel.SubN(width, p, m, w, width, a[p:], ld, x, v.width)
	}
	f.kernel.SolveN(width, p, x, v.width, a, ld, f.inv[first:], &v.reverse[worker])
}
