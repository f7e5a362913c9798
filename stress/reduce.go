package stress

import "math"

// rowTolerance is the share of a row's own size below which what is left of
// it counts as rounding: rows here are differences of a few products of
// lengths and unit vectors, good to about 1e-15.
const rowTolerance = 1e-9

// echelon keeps linear equations in reduced row echelon form while they come
// in one by one. The last column is the right side.
type echelon struct {
	columns int // without the right side
	rows    [][]float64
	pivot   []int // column of each row's one
}

// add takes one equation. It reports false when the equation contradicts
// those before.
func (e *echelon) add(row []float64) bool {
	size := 0.0
	for _, v := range row {
		size = math.Max(size, math.Abs(v))
	}
	if size == 0 {
		return true
	}
	row = append([]float64(nil), row...)
	for i, r := range e.rows {
		subtract(row, r, row[e.pivot[i]])
	}
	best := 0
	for c := range e.columns {
		if math.Abs(row[c]) > math.Abs(row[best]) {
			best = c
		}
	}
	if e.columns == 0 || math.Abs(row[best]) <= rowTolerance*size {
		return math.Abs(row[e.columns]) <= rowTolerance*size
	}
	p := row[best]
	for c := range row {
		row[c] /= p
	}
	for _, r := range e.rows {
		subtract(r, row, r[best])
	}
	e.rows, e.pivot = append(e.rows, row), append(e.pivot, best)
	return true
}

func subtract(a, b []float64, s float64) {
	for i := range a {
		a[i] -= s * b[i]
	}
}

// free returns the columns that no equation determines, ascending.
func (e *echelon) free() []int {
	var list []int
	for c := range e.columns {
		if e.rowOf(c) < 0 {
			list = append(list, c)
		}
	}
	return list
}

func (e *echelon) rowOf(column int) int {
	for i, p := range e.pivot {
		if p == column {
			return i
		}
	}
	return -1
}

// null returns a basis of what solves the equations with right side zero, one
// vector for each free column.
func (e *echelon) null() [][]float64 {
	var basis [][]float64
	for _, c := range e.free() {
		v := make([]float64, e.columns)
		v[c] = 1
		for i, r := range e.rows {
			v[e.pivot[i]] = -r[c]
		}
		basis = append(basis, v)
	}
	return basis
}
