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
	// lockCost: strands that cross a locked one at 2° everywhere cost as much in
	// the refinement as a third of strength.
	lockCost = 300.0
)

// lock is the pull of locked strands at the mesh's own integration points.
type lock struct {
	weight []float64    // 1 on a strand
	dir    []geom.Point // of the nearest strand, of length 1
	scale  []float64    // of (∇φ·dir)² in the cost: areas and spacing
}

// lockedIn gathers the strands that lie locked in a family's layers; nil where
// there are none. The phase runs through them as through strands of its own, so
// that the share which they hold counts once and their direction is the
// family's there. They are gathered once.
func (f *fitter) lockedIn(k int) *lock {
	if l, done := f.locks[k]; done {
		return l
	}
	l := f.gatherLocked(k)
	f.locks[k] = l
	return l
}

func (f *fitter) gatherLocked(k int) *lock {
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
	out := &lock{make([]float64, n), make([]geom.Point, n), make([]float64, n)}
	reach := math.Max(lockLeast, lockReach*r.Spacing)
	grid := geom.NewGrid(at)
	total := 0.0
	for q, p := range f.space.at {
		i, d := grid.Nearest(p)
		out.weight[q] = math.Exp(-2 * d * d / (reach * reach))
		out.dir[q] = dir[i].Scale(1 / dir[i].Norm())
		out.scale[q] = f.space.weight[q] * out.weight[q]
		total += out.scale[q]
	}
	for q := range out.scale {
		out.scale[q] *= lockCost * r.Spacing * r.Spacing / total
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
	w, d := lockPull*l.weight[q]*worth, l.dir[q]
	return x + w*(d.X*d.X-d.Y*d.Y), y + w*2*d.X*d.Y
}

// weigh adds the pull to the weight of a goal.
func (l *lock) weigh(q int, weight float64) float64 {
	if l == nil {
		return weight
	}
	return weight + lockPull*l.weight[q]
}

// cost is what a gradient at point q costs that would let the family's strands
// cross a locked one, with its derivative by the gradient:
//
//	lockCost · mean of (s·∇φ·t)²,   s the spacing, t along the locked strand
//
// about the mean square of the sine between them, weighed as the pull is.
func (l *lock) cost(q int, g geom.Point) (float64, geom.Point) {
	if l == nil {
		return 0, geom.Point{}
	}
	along := g.Dot(l.dir[q])
	return l.scale[q] * along * along, l.dir[q].Scale(2 * l.scale[q] * along)
}
