package field

import "slices"

// Checkpoint is the state of a refinement that was stopped. Plan goes on from it
// with the same input, and then ends with the same bits as if it had not been
// stopped.
type Checkpoint struct {
	X          []float64 // where the descent stands
	S, Y       [][]float64
	Rho        []float64 // what it remembers
	Steps      []Step
	Best       [][]float64 // phases kept so far, nil: none
	BestValue  float64
	Kept       int
	LastDrawn  bool // the place where it stands was drawn already
	Dimensions int
}

// checkpoint records where a descent stands.
func (r *refiner) checkpoint(t *track) *Checkpoint {
	return &Checkpoint{
		X: r.x, S: r.descent.s, Y: r.descent.y, Rho: r.descent.rho, Steps: slices.Clone(t.steps),
		Best: t.best, BestValue: t.value, Kept: t.kept, LastDrawn: t.last == nil, Dimensions: len(r.x),
	}
}

// resume puts a descent where a checkpoint left it and returns how many steps
// were made; -1 without a checkpoint, or with one of another problem.
func (r *refiner) resume(c *Checkpoint, t *track) int {
	if c == nil || c.Dimensions != len(r.x) || len(c.Steps) == 0 {
		return -1
	}
	r.x = c.X
	r.descent.s, r.descent.y, r.descent.rho = slices.Clone(c.S), slices.Clone(c.Y), slices.Clone(c.Rho)
	t.steps, t.best, t.value, t.kept = slices.Clone(c.Steps), c.Best, c.BestValue, c.Kept
	if !c.LastDrawn {
		t.last = r.phases(r.x)
	}
	return len(c.Steps) - 1
}
