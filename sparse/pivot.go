package sparse

import (
	"math"

	"sinew/internal/kernel"
)

const (
	// threshold bounds how much a pivot may grow what it multiplies: no entry of L
	// exceeds 1/threshold. The usual compromise between growth and pivots passed
	// on (I. S. Duff, J. K. Reid, ACM Trans. Math. Software 9 (1983) 302–325).
	threshold = 0.01
	// noPivot is how small, relative to the largest entry, a column counts as
	// zero: a few roundings of that entry. Its pivot is replaced by as much.
	noPivot = 0x1p-50
)

// pivoted is a front whose pivots were exchanged, in blocks of one and two:
//
//	P·F·Pᵀ = L·D·Lᵀ
//
// Candidates that no exchange makes stable here are passed on: they become
// candidates of the parent.
type pivoted struct {
	cols []int32   // candidates as unknowns (new numbers), in the order of elimination
	done int       // those eliminated; the others are passed on
	l    []float64 // len(cols) columns, rows for them and for the rows below; unit diagonal not stored
	ld   int
	d    []float64 // of pivot k: d[2k] its diagonal, d[2k+1] the entry between it and the next, in a block of two

	negative, replaced int // pivots below zero; pivots replaced for being none
}

// passed is the number of candidates passed on.
func (q *pivoted) passed() int {
	if q == nil {
		return 0
	}
	return len(q.cols) - q.done
}

// exchanged returns the pivoted front at s, or nil.
func (f *Factor) exchanged(s int32) *pivoted {
	if f.pivoted == nil {
		return nil
	}
	return f.pivoted[s]
}

// passedTo is the number of candidates that the children of front s pass on to
// it.
func (f *Factor) passedTo(s int32) int {
	y, count := f.s, 0
	for _, c := range y.child[y.childPtr[s]:y.childPtr[s+1]] {
		count += f.pivoted[c].passed()
	}
	return count
}

// open gathers a front that was just assembled, and what the children pass on,
// for pivots to be exchanged. What was passed on comes first.
func (f *Factor) open(s int32) *pivoted {
	y := f.s
	p, m, late := y.pivots(s), y.below(s), f.passedTo(s)
	n := late + p
	q := &pivoted{cols: make([]int32, 0, n), ld: leading(n + m), d: make([]float64, 2*n)}
	q.l = room[float64](n * q.ld)
	for _, c := range y.child[y.childPtr[s]:y.childPtr[s+1]] {
		g := f.pivoted[c]
		if g.passed() == 0 {
			continue
		}
		at, count := len(q.cols), len(g.cols)
		for j := range g.passed() {
			from, to := g.l[(g.done+j)*g.ld:], q.l[(at+j)*q.ld:]
			copy(to[at+j:at+g.passed()], from[g.done+j:count])
			for _, r := range y.runs[y.runPtr[c][0]:y.runPtr[c][1]] {
				copy(to[late+int(r.dst):], from[count+int(r.src):][:r.n])
			}
		}
		q.cols = append(q.cols, g.cols[g.done:]...)
		g.l = g.l[:g.done*g.ld]
	}
	a, lda := f.columns(s)
	for j := range p {
		copy(q.l[(late+j)*q.ld+late+j:], a[j*lda+j:j*lda+p+m])
		q.cols = append(q.cols, y.first[s]+int32(j))
	}
	return q
}

// exchange factorises a front that was just assembled with exchanges of pivots.
// share runs the loop over blocks of columns that a panel updates.
func (f *Factor) exchange(s int32, worker int, upd []float64, share func(*pivoting)) (failure, bool) {
	y := f.s
	q := f.open(s)
	f.pivoted[s] = q
	w := &f.pivoting[worker]
	w.start(f.kernel, q, y.below(s), upd, f.tiny)
	bad, ok := w.run(share)
	if ok && q.passed() > 0 && y.parent[s] < 0 {
		panic("sparse: a front without parent passes pivots on")
	}
	return bad, ok
}

// pivoting is the work on one pivoted front. Columns are brought up to date one
// by one as they are looked at; what the pivots of a panel give to all others is
// subtracted at its end.
type pivoting struct {
	kernel     *kernel.Kernel
	q          *pivoted
	n, size    int // candidates; with the rows below
	zero       float64
	from, done int       // first pivot of the panel, pivots so far
	ld         []float64 // L·D of the panel, columns of length size
	row        [panelWidth]float64
	t, u       []float64 // columns looked at
	upd        []float64
}

func (w *pivoting) start(kn *kernel.Kernel, q *pivoted, below int, upd []float64, zero float64) {
	w.kernel, w.q, w.n, w.size, w.upd, w.zero = kn, q, len(q.cols), len(q.cols)+below, upd, zero
	w.from, w.done = 0, 0
	w.ld = resize(w.ld, w.size*panelWidth)
	w.t, w.u = resize(w.t, w.size), resize(w.u, w.size)
}

// run eliminates candidates until none of those left is stable.
func (w *pivoting) run(share func(*pivoting)) (failure, bool) {
	c := 0 // where to look next
	for tried := 0; tried < w.n-w.done; {
		if c >= w.n {
			c = w.done
		}
		before := w.done
		if bad, ok := w.try(c); !ok {
			return bad, false
		}
		c++
		tried++
		if w.done > before {
			tried, c = 0, max(c, w.done)
		}
		if w.done-w.from >= panelWidth-1 { // no room for a block of two
			share(w)
			w.from = w.done
		}
	}
	share(w)
	w.q.done = w.done
	return failure{}, true
}

// blocks is the number of blocks of columns that a panel updates: first those of
// the candidates left, then those of the update.
func (w *pivoting) blocks() int {
	return blocks(w.n-w.done, blockColumns) + blocks(w.size-w.n, blockColumns)
}

// update subtracts what the panel gives to one block of columns.
func (w *pivoting) update(i int) {
	q, k := w.q, w.done-w.from
	if n := blocks(w.n-w.done, blockColumns); i < n {
		from := i * blockColumns
		at := w.done + w.from*q.ld
		w.kernel.SubLowerWith(w.size-w.done, k, from, min(from+blockColumns, w.n-w.done),
			q.l[at:], q.ld, w.ld[w.done:], w.size, q.l[w.done+w.done*q.ld:], q.ld)
		return
	}
	from, m := (i-blocks(w.n-w.done, blockColumns))*blockColumns, w.size-w.n
	w.kernel.SubLowerWith(m, k, from, min(from+blockColumns, m), q.l[w.n+w.from*q.ld:], q.ld, w.ld[w.n:], w.size, w.upd, leading(m))
}

// try looks for a pivot in the candidate at place c: alone, then the candidate
// of its largest entry alone, then both as a block of two. It fails at numbers
// that are not finite.
func (w *pivoting) try(c int) (failure, bool) {
	a, most, r := w.look(c, w.t)
	if size := most + math.Abs(a); math.IsNaN(size) || math.IsInf(size, 0) {
		return failure{int(w.q.cols[c]), a}, false
	}
	if most <= w.zero && math.Abs(a) <= w.zero {
		clear(w.t[w.done:])
		w.t[c] = math.Copysign(w.zero, a)
		if w.zero == 0 {
			return failure{int(w.q.cols[c]), a}, false // the whole matrix is zero
		}
		w.q.replaced++
		w.takeOne(c, w.t)
		return failure{}, true
	}
	if math.Abs(a) >= threshold*most {
		w.takeOne(c, w.t)
		return failure{}, true
	}
	if r < 0 || math.Abs(w.t[r]) <= w.zero {
		return failure{}, true
	}
	e, other, _ := w.look(r, w.u)
	if math.Abs(e) >= threshold*other && math.Abs(e) > w.zero {
		w.takeOne(r, w.u)
		return failure{}, true
	}
	b := w.t[r]
	mostC, mostR := w.beside(w.t, c, r), w.beside(w.u, c, r)
	room := math.Abs(a*e-b*b) / threshold
	if math.Abs(e)*mostC+math.Abs(b)*mostR <= room && math.Abs(b)*mostC+math.Abs(a)*mostR <= room {
		w.takeTwo(c, r)
	}
	return failure{}, true
}

// look brings the candidate at place c up to date in t, and returns its
// diagonal, the largest magnitude beside it, and the place of the largest among
// the candidates, or -1.
func (w *pivoting) look(c int, t []float64) (diag, most float64, at int) {
	q, k := w.q, w.done
	for i := k; i < c; i++ {
		t[i] = q.l[c+i*q.ld]
	}
	copy(t[c:], q.l[c+c*q.ld:c*q.ld+w.size])
	for j := range k - w.from {
		w.row[j] = w.ld[c+j*w.size]
	}
	if k > w.from {
		w.kernel.SubColumn(w.size-k, k-w.from, q.l[k+w.from*q.ld:], q.ld, w.row[:], t[k:])
	}
	at = -1
	for i := k; i < w.n; i++ {
		if v := math.Abs(t[i]); i != c && !(v <= most) {
			most, at = v, i
		}
	}
	for _, v := range t[w.n:] {
		if v = math.Abs(v); !(v <= most) {
			most = v
		}
	}
	return t[c], most, at
}

// beside is the largest magnitude of a column outside rows c and r.
func (w *pivoting) beside(t []float64, c, r int) float64 {
	most := 0.0
	for i := w.done; i < w.size; i++ {
		if i != c && i != r {
			most = math.Max(most, math.Abs(t[i]))
		}
	}
	return most
}

// takeOne eliminates the candidate at place c, whose column is t.
func (w *pivoting) takeOne(c int, t []float64) {
	q, k := w.q, w.done
	w.swap(k, c)
	t[k], t[c] = t[c], t[k]
	d := t[k]
	q.d[2*k], q.d[2*k+1] = d, 0
	if d < 0 && math.Abs(d) > w.zero {
		q.negative++
	}
	col := q.l[k*q.ld : k*q.ld+w.size]
	copy(w.ld[(k-w.from)*w.size+k:], t[k:])
	for i := k + 1; i < w.size; i++ {
		col[i] = t[i] / d
	}
	w.done++
}

// takeTwo eliminates the candidates at places c and r together; their columns
// are w.t and w.u.
func (w *pivoting) takeTwo(c, r int) {
	q, k, t, u := w.q, w.done, w.t, w.u
	w.swap(k, c)
	t[k], t[c], u[k], u[c] = t[c], t[k], u[c], u[k]
	if r == k {
		r = c
	}
	w.swap(k+1, r)
	t[k+1], t[r], u[k+1], u[r] = t[r], t[k+1], u[r], u[k+1]
	a, b, e := t[k], t[k+1], u[k+1]
	q.d[2*k], q.d[2*k+1], q.d[2*k+2], q.d[2*k+3] = a, b, e, 0
	ab, eb := a/b, e/b
	if ab*eb < 1 {
		q.negative++
	} else if a < 0 {
		q.negative += 2
	}
	f := 1 / (b * (ab*eb - 1))
	one, two := q.l[k*q.ld:k*q.ld+w.size], q.l[(k+1)*q.ld:(k+1)*q.ld+w.size]
	copy(w.ld[(k-w.from)*w.size+k:], t[k:])
	copy(w.ld[(k+1-w.from)*w.size+k:(k+2-w.from)*w.size], u[k:])
	one[k+1] = 0
	for i := k + 2; i < w.size; i++ {
		one[i], two[i] = (eb*t[i]-u[i])*f, (ab*u[i]-t[i])*f
	}
	w.done += 2
}

// swap exchanges the candidates at places i ≤ j, of which neither is eliminated.
func (w *pivoting) swap(i, j int) {
	if i == j {
		return
	}
	q := w.q
	l, ld := q.l, q.ld
	q.cols[i], q.cols[j] = q.cols[j], q.cols[i]
	for k := range w.done {
		l[i+k*ld], l[j+k*ld] = l[j+k*ld], l[i+k*ld]
	}
	for k := range w.done - w.from {
		w.ld[i+k*w.size], w.ld[j+k*w.size] = w.ld[j+k*w.size], w.ld[i+k*w.size]
	}
	l[i+i*ld], l[j+j*ld] = l[j+j*ld], l[i+i*ld]
	for k := w.done; k < i; k++ {
		l[i+k*ld], l[j+k*ld] = l[j+k*ld], l[i+k*ld]
	}
	for k := i + 1; k < j; k++ {
		l[k+i*ld], l[j+k*ld] = l[j+k*ld], l[k+i*ld]
	}
	for k := j + 1; k < w.size; k++ {
		l[k+i*ld], l[k+j*ld] = l[k+j*ld], l[k+i*ld]
	}
}

// divide replaces rows of z, width numbers for each pivot, by D⁻¹·z.
func (q *pivoted) divide(z []float64, width int) {
	for k := 0; k < q.done; k++ {
		a, b := q.d[2*k], q.d[2*k+1]
		one := z[k*width : (k+1)*width]
		if b == 0 {
			for c := range one {
				one[c] /= a
			}
			continue
		}
		k++
		two := z[k*width : (k+1)*width]
		ab, eb := a/b, q.d[2*k]/b
		f := 1 / (b * (ab*eb - 1))
		for c, p := range one {
			one[c], two[c] = (eb*p-two[c])*f, (ab*two[c]-p)*f
		}
	}
}

// forwardPivoted is forward for a front whose pivots were exchanged.
func (f *Factor) forwardPivoted(q *pivoted, s int32, worker, from, width int, outside []float64) {
	n, m := len(q.cols), f.s.below(s)
	all := f.lift(q, s, worker, from, width, outside)
	z, w := all[:q.done*width], all[q.done*width:]
	f.solveDown(width, q.done, z, width, q.l, q.ld, f.ones)
	f.subDown(width, n+m-q.done, q.done, z, width, q.l[q.done:], q.ld, w)
	f.lower(q.cols, all, from, width)
	f.scatter(s, all[n*width:], from, width, outside)
}

// backwardPivoted is backward for a front whose pivots were exchanged.
func (f *Factor) backwardPivoted(q *pivoted, s int32, worker, from, width int, outside []float64) {
	n, m := len(q.cols), f.s.below(s)
	all := f.lift(q, s, worker, from, width, outside)
	z, w := all[:q.done*width], all[q.done*width:]
	q.divide(z, width)
	f.subUp(width, n+m-q.done, q.done, w, q.l[q.done:], q.ld, z, width)
	f.solveUp(width, q.done, z, width, q.l, q.ld, f.ones, worker)
	f.lower(q.cols[:q.done], all, from, width)
}

// lift copies the right-hand sides from..from+width of a front's unknowns side
// by side: its pivots, what it passes on, the rows below.
func (f *Factor) lift(q *pivoted, s int32, worker, from, width int, outside []float64) []float64 {
	v, n := &f.solver, len(q.cols)
	all := v.rows[worker][:(n+f.s.below(s))*width]
	for k, r := range q.cols {
		copy(all[k*width:(k+1)*width], v.x[int(r)*v.width+from:])
	}
	f.gather(s, all[n*width:], from, width, outside)
	return all
}

// lower copies those of some unknowns back.
func (f *Factor) lower(unknowns []int32, all []float64, from, width int) {
	v := &f.solver
	for k, r := range unknowns {
		copy(v.x[int(r)*v.width+from:][:width], all[k*width:])
	}
}
