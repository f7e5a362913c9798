package sparse

import (
	"errors"
	"fmt"
)

// ErrCancelled is returned when Settings.Cancel stopped the work.
var ErrCancelled = errors.New("sparse: cancelled")

// NotPositiveDefiniteError reports the pivot at which a factorisation broke
// down.
type NotPositiveDefiniteError struct {
	Column int     // of the matrix as given
	Pivot  float64 // what was left of its diagonal: not above zero, or not finite
}

// Error tells the pivot and its unknown.
func (e *NotPositiveDefiniteError) Error() string {
	return fmt.Sprintf("matrix is not positive definite: pivot %g at unknown %d", e.Pivot, e.Column)
}

// PatternError reports a matrix whose pattern is not the one analysed, or no
// valid pattern at all.
type PatternError struct{ What string }

// Error tells what is wrong with the pattern.
func (e *PatternError) Error() string { return "sparse: " + e.What }
