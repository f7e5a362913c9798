package field

import (
	"math"

	"sinew/geom"
)

// How a steered family flows around strands that lie locked in its layers.
const (
	// lockPull is the weight of a locked strand's direction beside it against
	// what the stress asks for there.
	lockPull = 100.0
	// lockReach is how far, in the family's spacings, that reaches: by e²; there
	// must be elements within it, so that it is never less than lockLeast mm.
	lockReach = 2.0
	lockLeast = 2.0
)

// lock is the pull of locked strands at the mesh's own integration points.
type lock struct {
	weight   []float64
	cos, sin []float64 // of twice the strands' direction
}

// lockedIn gathers the strands that lie locked in a family's layers; nil where
// there are none. The phase runs through them as through strands of its own, so
// that the share which they hold counts once and their direction is the
// family's there.
func (f *fitter) lockedIn(k int) *lock {
	var at, dir []geom.Point
	r := &f.set.Families[k]
	for _, l := range f.set.locks() {
		if l.Into != k {
			continue
		}
		for _, p := range f.set.Families[l.Drawn].Paths {
			q, d := alongPath(p.Resample(r.Spacing / pathSteps))
			at, dir = append(at, q...), append(dir, d...)
		}
	}
	if len(at) == 0 {
		return nil
	}
	n := len(f.space.at)
	out := &lock{make([]float64, n), make([]float64, n), make([]float64, n)}
	reach := math.Max(lockLeast, lockReach*r.Spacing)
	grid := geom.NewGrid(at)
	for q, p := range f.space.at {
		i, d := grid.Nearest(p)
		out.weight[q] = lockPull * math.Exp(-2*d*d/(reach*reach))
		theta := 2 * math.Atan2(dir[i].Y, dir[i].X)
		out.sin[q], out.cos[q] = math.Sincos(theta)
	}
	return out
}

// alongPath returns a path's points and its direction at each.
func alongPath(p geom.Path) (at, dir []geom.Point) {
	n := len(p.Points)
	for i, q := range p.Points {
		a, b := p.Points[max(0, i-1)], p.Points[min(n-1, i+1)]
		if p.Closed {
			a, b = p.Points[(i+n-1)%n], p.Points[(i+1)%n]
		}
		at, dir = append(at, q), append(dir, b.Sub(a))
	}
	return at, dir
}

// turn adds the pull to smoothed double-angle vectors of a worth.
func (l *lock) turn(q int, x, y, worth float64) (float64, float64) {
	if l == nil {
		return x, y
	}
	w := l.weight[q] * worth
	return x + w*l.cos[q], y + w*l.sin[q]
}

// weigh adds the pull to the weight of a goal.
func (l *lock) weigh(q int, weight float64) float64 {
	if l == nil {
		return weight
	}
	return weight + l.weight[q]
}
