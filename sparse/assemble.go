package sparse

import "sort"

// assemble fills the columns from..to of front s: zero, the entries of the
// matrix, then the updates of the children in their order.
func (f *Factor) assemble(s int32, from, to int, space []float64) {
	y := f.s
	p, m := y.pivots(s), y.below(s)
	to = min(to, p+m)
	a, ld := f.columns(s)
	upd, ldu := f.update(s, space), leading(m)
	if from < p {
		clear(a[from*ld : min(to, p)*ld])
		first := int(y.first[s])
		q0, q1 := y.entryPtr[first+from], y.entryPtr[first+min(to, p)]
		offset := y.offset[q0:q1]
		for k, e := range y.entry[q0:q1] {
			a[offset[k]] += f.given[e]
		}
	}
	for j := max(from, p); j < to; j++ {
		clear(upd[(j-p)*ldu+(j-p) : (j-p)*ldu+m])
	}
	for _, c := range y.child[y.childPtr[s]:y.childPtr[s+1]] {
		f.extendAdd(c, from, to, a, ld, upd, ldu, p, space)
	}
}

// extendAdd adds the update of child c to the columns from..to of its parent,
// p pivot columns a and the columns upd below.
func (f *Factor) extendAdd(c int32, from, to int, a []float64, ld int, upd []float64, ldu, p int, space []float64) {
	y := f.s
	src, lds := f.update(c, space), leading(y.below(c))
	runs := y.runs[y.runPtr[c][0]:y.runPtr[c][1]]
	k := sort.Search(len(runs), func(k int) bool { return int(runs[k].dst+runs[k].n) > from })
	for ; k < len(runs) && int(runs[k].dst) < to; k++ {
		r := runs[k]
		for d := max(0, from-int(r.dst)); d < int(r.n) && int(r.dst)+d < to; d++ {
			j, col := int(r.src)+d, int(r.dst)+d
			if col < p {
				addColumn(a[col*ld:], 0, src[j*lds:], runs[k:], d)
			} else {
				addColumn(upd[(col-p)*ldu:], p, src[j*lds:], runs[k:], d)
			}
		}
	}
}

// addColumn adds the rows of src that the runs name, from row skip of the first
// run on, to dst, whose first row is row shift of the front.
func addColumn(dst []float64, shift int, src []float64, runs []run, skip int) {
	for _, r := range runs {
		n := int(r.n) - skip
		to := dst[int(r.dst)+skip-shift:][:n]
		for i, v := range src[int(r.src)+skip:][:n] {
			to[i] += v
		}
		skip = 0
	}
}
