package printer

import (
	"math"

	"sinew/geom"
)

// Move is one straight move of the nozzle.
type Move struct {
	D        [3]float64 // way in x, y, z, mm
	Feed     float64    // highest speed, mm/s
	Filament float64    // of plastic fed without a way, mm: it takes |Filament|/Feed
}

// Length returns the move's way.
func (m Move) Length() float64 { return math.Sqrt(m.D[0]*m.D[0] + m.D[1]*m.D[1] + m.D[2]*m.D[2]) }

// HasWay reports whether the move is longer than rounding: a Timer counts what
// is shorter as a pause.
func (m Move) HasWay() bool { return m.Length() >= stillLength }

// Motion is what bounds the speed along a path besides the feeds.
type Motion struct {
	Acceleration float64 // mm/s²
	CornerStep   float64 // mm/s
}

// Motion returns the card's.
func (c *Card) Motion() Motion { return Motion{c.Acceleration, c.CornerStep} }

// Time returns the time of a polyline from rest to rest at no more than the
// given feed, s.
func (c *Card) Time(path []geom.Point, feed float64) float64 {
	t := NewTimer(c.Motion())
	for i := 1; i < len(path); i++ {
		d := path[i].Sub(path[i-1])
		t.Add(Move{D: [3]float64{d.X, d.Y, 0}, Feed: feed}, 0)
	}
	t.Stop()
	return t.Total()
}

// Limits of what a Timer holds.
const (
	// window is how many moves are held. When it is full, the older half is
	// settled as if the nozzle stopped at the end of the newer half: at 0.05 mm
	// a move that is 25 mm of way, more than any printer's way of braking.
	window = 1024
	// stillLength, mm, bounds rounding: a shorter move has no direction.
	stillLength = 1e-9
)

// Timer adds up the time of moves, with a class for each, so that the sum
// can be split by activity. It holds a bounded number of moves.
type Timer struct {
	motion Motion
	held   []leg
	exit   []float64  // squared speeds, room for settle
	entry  float64    // speed at which the first held leg is entered
	last   [3]float64 // direction of the move before
	moving bool       // last counts: the nozzle did not rest since
	sums   [MaxClasses]float64
	total  float64
	// Each, where set, is told the time that each move with a way took, in
	// their order, and the speeds at its start and end, mm/s.
	Each func(seconds, in, out float64)
}

// MaxClasses is how many classes a Timer tells apart.
const MaxClasses = 16

type leg struct {
	length, feed float64
	corner       float64 // highest speed at its start
	class        int
}

// NewTimer returns a timer that starts at rest.
func NewTimer(m Motion) *Timer {
	return &Timer{motion: m, held: make([]leg, 0, window), exit: make([]float64, window)}
}

// Add adds a move of a class from 0 to MaxClasses-1.
func (t *Timer) Add(m Move, class int) {
	n := m.Length()
	if n < stillLength {
		if m.Filament != 0 {
			t.Pause(math.Abs(m.Filament)/m.Feed, class)
		}
		return
	}
	dir := [3]float64{m.D[0] / n, m.D[1] / n, m.D[2] / n}
	l := leg{length: n, feed: m.Feed, class: class}
	if t.moving {
		l.corner = t.cornerSpeed(t.last, dir)
	}
	t.last, t.moving = dir, true
	t.held = append(t.held, l)
	if len(t.held) == window {
		t.settle(window / 2)
	}
}

// Pause brings the nozzle to rest and waits.
func (t *Timer) Pause(seconds float64, class int) {
	t.Stop()
	t.sums[class] += seconds
	t.total += seconds
}

// Stop brings the nozzle to rest at the end of the moves so far.
func (t *Timer) Stop() {
	t.settle(len(t.held))
	t.moving = false
	t.entry = 0
}

// Total returns the time of all moves up to the last stop, s.
func (t *Timer) Total() float64 { return t.total }

// Class returns the time of one class up to the last stop, s.
func (t *Timer) Class(class int) float64 { return t.sums[class] }

// cornerSpeed is step / (2·sin(θ/2)) for unit directions a and b, whose
// difference has the length 2·sin(θ/2).
func (t *Timer) cornerSpeed(a, b [3]float64) float64 {
	x, y, z := b[0]-a[0], b[1]-a[1], b[2]-a[2]
	d := math.Sqrt(x*x + y*y + z*z)
	if d*maxCornerSpeed <= t.motion.CornerStep {
		return maxCornerSpeed
	}
	return t.motion.CornerStep / d
}

// maxCornerSpeed, mm/s, is faster than any printer: a corner so slight does
// not bind.
const maxCornerSpeed = 1e5

// settle adds the time of the first n held legs. The speeds at their ends are
// the highest from which the nozzle can still stop at the end of all held legs.
func (t *Timer) settle(n int) {
	k := len(t.held)
	if k == 0 {
		return
	}
	a2 := 2 * t.motion.Acceleration
	exit := t.exit[:k]
	next := 0.0
	for i := k - 1; i >= 0; i-- {
		l := t.held[i]
		exit[i] = next
		next = min(next+a2*l.length, l.feed*l.feed)
		next = min(next, l.corner*l.corner)
		if i > 0 {
			next = min(next, t.held[i-1].feed*t.held[i-1].feed)
		}
	}
	in := t.entry
	for i, l := range t.held[:n] {
		out := min(exit[i], in+a2*l.length)
		s := t.legTime(l, in, out)
		t.sums[l.class] += s
		t.total += s
		if t.Each != nil {
			t.Each(s, math.Sqrt(in), math.Sqrt(out))
		}
		in = out
	}
	t.entry = in
	t.held = append(t.held[:0], t.held[n:]...)
}

// legTime is the time of a leg from the squared speed in to out: up with the
// acceleration, along at the peak, down with it.
func (t *Timer) legTime(l leg, in, out float64) float64 {
	a := t.motion.Acceleration
	peak2 := min(l.feed*l.feed, a*l.length+(in+out)/2)
	peak := math.Sqrt(max(peak2, max(in, out)))
	vi, vo := math.Sqrt(in), math.Sqrt(out)
	ramps := (2*peak*peak - in - out) / (2 * a)
	return (2*peak-vi-vo)/a + max(0, l.length-ramps)/peak
}
