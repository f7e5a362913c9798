// Package near compares floating-point numbers in tests.
package near

import "math"

// Equal reports whether got and want differ by no more than abs or by no more
// than rel times the larger magnitude. NaN is near nothing.
func Equal(got, want, abs, rel float64) bool {
	d := math.Abs(got - want)
	return d <= abs || d <= rel*math.Max(math.Abs(got), math.Abs(want))
}
