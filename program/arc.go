package program

import (
	"math"

	"sinew/geom"
	"sinew/printer"
)

// Limits of arcs written for runs of points of a plain bead.
const (
	// arcPoints is the least number of points an arc stands for: fewer are no
	// shorter as an arc.
	arcPoints = 4
	// arcBulge, mm, bounds how far an arc leaves the chords between its points:
	// a little over what curved walls are flattened with.
	arcBulge = 0.015
	// arcRadius, mm: a flatter arc is a straight move.
	arcRadius = 1000.0
	// arcSweep, rad, keeps start, end and centre from nearly falling in line
	// with the way round left open.
	arcSweep = 0.75 * math.Pi
	// inLine is the sine of an angle so small that the radius is beyond
	// arcRadius for every printable arc; it keeps the division safe.
	inLine = 1e-9
)

// arcRun is an arc that stands for the points from start to last.
type arcRun struct {
	last   int
	center geom.Point
	left   bool // counter-clockwise
}

// arcFrom returns the longest arc that starts at point i and passes all points
// on its way within tolerance.
func arcFrom(p []geom.Point, i int, tolerance float64) (arcRun, bool) {
	best, ok := arcRun{}, false
	for j := i + arcPoints - 1; j < len(p); j++ {
		run, fits := arcThrough(p[i:j+1], tolerance)
		if !fits {
			break
		}
		run.last = j
		best, ok = run, true
	}
	return best, ok
}

func arcThrough(p []geom.Point, tolerance float64) (arcRun, bool) {
	n := len(p) - 1
	o, ok := circumcenter(p[0], p[n/2], p[n])
	r := o.Dist(p[0])
	if !ok || r > arcRadius {
		return arcRun{}, false
	}
	run := arcRun{center: o, left: p[1].Sub(p[0]).Cross(p[2].Sub(p[1])) > 0}
	sweep := 0.0
	for k := 1; k <= n; k++ {
		a, b := p[k-1].Sub(o), p[k].Sub(o)
		turn := math.Atan2(a.Cross(b), a.Dot(b))
		if !run.left {
			turn = -turn
		}
		sweep += turn
		sagitta := r * (1 - math.Cos(turn/2))
		if turn <= 0 || sagitta > arcBulge || math.Abs(b.Norm()-r) > tolerance {
			return arcRun{}, false
		}
	}
	return run, sweep <= arcSweep
}

func circumcenter(a, b, c geom.Point) (geom.Point, bool) {
	u, v := b.Sub(a), c.Sub(a)
	d := 2 * u.Cross(v)
	if math.Abs(d) < inLine*u.Dot(u) {
		return geom.Point{}, false
	}
	uu, vv := u.Dot(u), v.Dot(v)
	return a.Add(geom.Point{X: (v.Y*uu - u.Y*vv) / d, Y: (u.X*vv - v.X*uu) / d}), true
}

// curve goes along an arc while it feeds filament. Rounding of its words leaves
// the end off the circle by no more than arcMismatch.
func (w *writer) curve(run arcRun, pts []geom.Point, filament, feed float64, class Activity) {
	end := w.to(pts[len(pts)-1].Add(w.shift), w.z)
	o := w.to(run.center.Add(w.shift), w.z)
	if run.left {
		w.line = append(w.line, "G3"...)
	} else {
		w.line = append(w.line, "G2"...)
	}
	w.axes(end, [3]bool{true, true, false})
	w.word('I', o[0]-w.at[0], w.card.Words.Decimals)
	w.word('J', o[1]-w.at[1], w.card.Words.Decimals)
	w.plastic(filament)
	w.feedWord(feed)
	w.line = append(w.line, '\n')
	w.put()
	for k := 1; k < len(pts); k++ {
		d := pts[k].Sub(pts[k-1])
		w.timer.Add(printer.Move{D: [3]float64{d.X, d.Y, 0}, Feed: feed}, int(class))
		w.sum.Lengths[class] += d.Norm()
	}
	w.at[0], w.at[1] = end[0], end[1]
}
