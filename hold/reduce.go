package hold

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
	// tolerance is the share of a row's own size that counts as rounding; 0:
	// rowTolerance.
	tolerance float64
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
	rest, taken := e.take(row, e.columns)
	return taken || math.Abs(rest[e.columns]) <= rowTolerance*size
}

// take is add for an equation that may only determine one of the first so
// many columns. Where it has nothing to say of them, the rest of it over the
// other columns comes back, rounding taken off, and taken is false.
func (e *echelon) take(row []float64, among int) (rest []float64, taken bool) {
	size := 0.0
	for _, v := range row[:among] {
		size = math.Max(size, math.Abs(v))
	}
	tolerance := e.tolerance
	if tolerance == 0 {
		tolerance = rowTolerance
	}
	rest = append([]float64(nil), row...)
	for i, r := range e.rows {
		subtract(rest, r, rest[e.pivot[i]])
	}
	best := -1
	for c := range among {
		if best < 0 || math.Abs(rest[c]) > math.Abs(rest[best]) {
			best = c
		}
	}
	if best < 0 || math.Abs(rest[best]) <= tolerance*size {
		for c, v := range rest {
			if math.Abs(v) <= tolerance*math.Max(size, math.Abs(row[c])) {
				rest[c] = 0
			}
		}
		return rest, false
	}
	p := rest[best]
	for c := range rest {
		rest[c] /= p
	}
	for _, r := range e.rows {
		subtract(r, rest, r[best])
	}
	e.rows, e.pivot = append(e.rows, rest), append(e.pivot, best)
	return nil, true
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

// rowOf returns the row that determines a column, or -1.
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
