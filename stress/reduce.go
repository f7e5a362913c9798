package stress

import "math"

// rowTolerance is the share of a row's own size below which what is left of
// it counts as rounding: rows here are differences of a few products of
// lengths and unit vectors, good to about 1e-15.
const rowTolerance = 1e-9

// Echelon keeps linear equations in reduced row echelon form while they come
// in one by one. The last column is the right side.
type Echelon struct {
	Columns int // without the right side
	Rows    [][]float64
	pivot   []int // column of each row's one
}

// Add takes one equation. It reports false when the equation contradicts
// those before.
func (e *Echelon) Add(row []float64) bool {
	size := 0.0
	for _, v := range row {
		size = math.Max(size, math.Abs(v))
	}
	if size == 0 {
		return true
	}
	rest, taken := e.Take(row, e.Columns)
	return taken || math.Abs(rest[e.Columns]) <= rowTolerance*size
}

// Take is Add for an equation that may only determine one of the first so
// many columns. Where it has nothing to say of them, the rest of it over the
// other columns comes back and taken is false.
func (e *Echelon) Take(row []float64, among int) (rest []float64, taken bool) {
	size := 0.0
	for _, v := range row[:e.Columns] {
		size = math.Max(size, math.Abs(v))
	}
	rest = append([]float64(nil), row...)
	for i, r := range e.Rows {
		subtract(rest, r, rest[e.pivot[i]])
	}
	best := -1
	for c := range among {
		if best < 0 || math.Abs(rest[c]) > math.Abs(rest[best]) {
			best = c
		}
	}
	if best < 0 || math.Abs(rest[best]) <= rowTolerance*size {
		return rest, false
	}
	p := rest[best]
	for c := range rest {
		rest[c] /= p
	}
	for _, r := range e.Rows {
		subtract(r, rest, r[best])
	}
	e.Rows, e.pivot = append(e.Rows, rest), append(e.pivot, best)
	return nil, true
}

func subtract(a, b []float64, s float64) {
	for i := range a {
		a[i] -= s * b[i]
	}
}

// Free returns the columns that no equation determines, ascending.
func (e *Echelon) Free() []int {
	var list []int
	for c := range e.Columns {
		if e.RowOf(c) < 0 {
			list = append(list, c)
		}
	}
	return list
}

// RowOf returns the row that determines a column, or -1.
func (e *Echelon) RowOf(column int) int {
	for i, p := range e.pivot {
		if p == column {
			return i
		}
	}
	return -1
}

// Null returns a basis of what solves the equations with right side zero, one
// vector for each free column.
func (e *Echelon) Null() [][]float64 {
	var basis [][]float64
	for _, c := range e.Free() {
		v := make([]float64, e.Columns)
		v[c] = 1
		for i, r := range e.Rows {
			v[e.pivot[i]] = -r[c]
		}
		basis = append(basis, v)
	}
	return basis
}
