package field

import (
	"math"
	"slices"
)

// Whole numbers of strands between tied boundaries.
const (
	// stretchMost is how much the whole phase may be scaled to bring all
	// differences near to whole numbers, as a share.
	stretchMost = 0.025
	stretchStep = 0.0005
	// stretchCost weighs a stretch of stretchMost against a misfit of one strand.
	stretchCost = 0.05
)

// wholeNumbers returns the phases of the tied groups brought to whole numbers
// from the first group on, none steeper than the limits allow: caps[i][j] is
// the greatest number of strands that pass between groups i and j.
func wholeNumbers(v []float64, caps [][]int) []float64 {
	best, cost := make([]float64, len(v)), math.Inf(1)
	for s := 1 - stretchMost; s <= 1+stretchMost+stretchStep/2; s += stretchStep {
		c := (s - 1) / stretchMost
		c *= c * stretchCost
		w := make([]float64, len(v))
		for i := range v {
			x := s * (v[i] - v[0])
			w[i] = math.Round(x)
			c += (x - w[i]) * (x - w[i])
		}
		if c < cost && fitsCaps(w, caps) {
			best, cost = w, c
		}
	}
	if math.IsInf(cost, 1) {
		for i := range v {
			best[i] = math.Trunc((1 - stretchMost) * (v[i] - v[0]))
		}
		clampToCaps(best, caps)
	}
	return best
}

func fitsCaps(w []float64, caps [][]int) bool {
	for i := range w {
		for j := range i {
			if math.Abs(w[i]-w[j]) > float64(caps[i][j]) {
				return false
			}
		}
	}
	return true
}

// clampToCaps lowers differences that exceed the caps, a few sweeps being
// enough for the few boundaries of a part.
func clampToCaps(w []float64, caps [][]int) {
	for range 4 * len(w) {
		done := true
		for i := range w {
			for j := range i {
				over := math.Abs(w[i]-w[j]) - float64(caps[i][j])
				if over > 0 {
					w[i] -= math.Copysign(over, w[i]-w[j])
					done = false
				}
			}
		}
		if done {
			return
		}
	}
}

// pin makes the problem in which the phase of every tied boundary is given.
func (a *attempt) pin(workers int) (err error) {
	g := a.guess
	a.pinned, err = newProblem(a.f.space, a.f.space.tied(g.groups, make([]float64, len(g.groups))), workers, a.f.cancel)
	return err
}

// finish imposes whole numbers on the phase and fits it once more.
func (a *attempt) finish() error {
	g := a.guess
	if len(g.groups) == 0 {
		return nil
	}
	if a.pinned == nil {
		if err := a.pin(a.lane.workers); err != nil {
			return err
		}
	}
	v := make([]float64, len(g.groups))
	for i, group := range g.groups {
		v[i] = a.phase[group[0]]
	}
	for i, w := range wholeNumbers(v, a.guess.necks.caps) {
		for _, n := range g.groups[i] {
			a.pinned.u.value[n] = w
		}
	}
	p := a.pinned.twin(a.lane.workers)
	for range finishPasses {
		if err := a.solvePhase(p); err != nil {
			return err
		}
		a.repack()
	}
	return a.analyse()
}

// finishPasses lets the packing weight settle under the imposed phases.
const finishPasses = 2

// tiedPhases lists the phases of the tied groups, rising, without doubles.
func (a *attempt) tiedPhases() []float64 {
	var out []float64
	for _, group := range a.guess.groups {
		out = append(out, a.phase[group[0]])
	}
	slices.Sort(out)
	return slices.CompactFunc(out, func(x, y float64) bool { return math.Abs(x-y) < 0.5 })
}
