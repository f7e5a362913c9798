package strand

import (
	"math"
	"slices"

	"sinew/geom"
)

// Pull of the tow inwards at bends. A tow under the tension T that is laid along
// a line of curvature κ is pulled to the inside of its bend; what lies around it
// holds it by k for each mm of length and of displacement w. As a string on an
// elastic foundation (E. Winkler, Die Lehre von der Elasticität und Festigkeit,
// 1867),
//
//	w - ℓ²·w″ = ℓ²·κ,  ℓ² = T/k,
//
// so that a long bend of radius R is laid ℓ²/R inside of the nozzle's path, and a
// short one that turns by θ no more than ℓ·θ/2: radius, angle and tension count.
const (
	// pullRounds bounds the rounds of compensation; each takes away all of the
	// error but a share of w/R.
	pullRounds = 8
	// pullExact, mm, ends them: well below what a machine can place.
	pullExact = 1e-4
	// pullReach, in ℓ, is how much of a closed line is laid out on either side:
	// influence falls by e within ℓ.
	pullReach = 12.0
)

// pulled returns where the tow comes to lie along a line of points at equal
// steps. The ends of an open line are held; a closed one repeats its first point.
func pulled(p []geom.Point, closed bool, length float64) []geom.Point {
	n := len(p)
	if n < 3 || length == 0 {
		return p
	}
	step := polyLength(p) / float64(n-1)
	dir := tangents(p, closed)
	load := make([]float64, n) // curvature; smoothing takes what noise it has
	for i := range p {
		switch {
		case i > 0 && i < n-1:
			load[i] = threePoint(p[i-1], p[i], p[i+1])
		case closed:
			load[i] = threePoint(p[n-2], p[0], p[1])
		}
	}
	pad := 0
	if closed {
		pad = int(math.Ceil(pullReach * length / step))
		long := make([]float64, 0, n-1+2*pad)
		for i := -pad; i < n-1+pad; i++ {
			long = append(long, load[((i%(n-1))+n-1)%(n-1)])
		}
		load = long
	}
	w := onFoundation(load, length/step, length)
	out := make([]geom.Point, n)
	for i := range out {
		k := i
		if closed {
			k = pad + i%(n-1)
		}
		out[i] = p[i].Add(dir[i].Left().Scale(w[k]))
	}
	return out
}

// onFoundation solves w - ℓ²·w″ = ℓ²·κ by differences, w zero at both ends, with
// ℓ in steps and in mm.
func onFoundation(curvature []float64, steps, length float64) []float64 {
	n := len(curvature)
	off := -steps * steps
	w, share := make([]float64, n), make([]float64, n)
	for i := 1; i < n-1; i++ { // elimination downwards
		den := 1 - 2*off - off*share[i-1]
		share[i] = off / den
		w[i] = (length*length*curvature[i] - off*w[i-1]) / den
	}
	for i := n - 2; i > 0; i-- {
		w[i] -= share[i] * w[i+1]
	}
	return w
}

// compensated returns the path of the nozzle for which the tow comes to lie on
// the given line.
func compensated(want []geom.Point, closed bool, length float64) []geom.Point {
	path := slices.Clone(want)
	for range pullRounds {
		worst := 0.0
		for i, q := range pulled(path, closed, length) {
			off := want[i].Sub(q)
			path[i] = path[i].Add(off)
			worst = math.Max(worst, off.Norm())
		}
		if worst < pullExact {
			break
		}
	}
	return path
}

// drive gives the strands of a layer the paths of the nozzle, and moves their
// centre lines to where the tow then lies. It returns how far the two are apart
// at most, and how far the tow lies off what was planned.
func (m *layer) drive(strands []Strand) (most, missed float64) {
	if m.limits.pull == 0 {
		return 0, 0
	}
	for i := range strands {
		s := &strands[i]
		once := s.Once()
		path := compensated(once, s.Closed, m.limits.pull)
		laid := pulled(path, s.Closed, m.limits.pull)
		for k := range once {
			most = math.Max(most, path[k].Dist(laid[k]))
			missed = math.Max(missed, laid[k].Dist(once[k]))
		}
		n := len(once)
		s.Nozzle = slices.Clone(path)
		points := slices.Clone(laid)
		for k := n; k < len(s.Points); k++ { // the overlap lies on the start
			s.Nozzle, points = append(s.Nozzle, path[k-n+1]), append(points, laid[k-n+1])
		}
		s.Points = points
	}
	return most, missed
}

// Driven returns the print with the paths of the nozzle in place of where the
// tow comes to lie: what a machine is told.
func (pr *Print) Driven() *Print {
	out := *pr
	out.Layers = slices.Clone(pr.Layers)
	for i := range out.Layers {
		l := &out.Layers[i]
		l.Strands = slices.Clone(l.Strands)
		for k := range l.Strands {
			if s := &l.Strands[k]; s.Nozzle != nil {
				s.Points, s.Nozzle = s.Nozzle, nil
			}
		}
	}
	return &out
}
