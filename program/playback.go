package program

import (
	"context"
	"io"
	"math"

	"sinew/printer"
)

// Frame is one stretch of time of a program that runs on the card's machine:
// a straight way, or a wait. Frames follow each other without a gap; a way that
// the program leaves open, such as that to the tool's place in a swap, takes no
// time and shows as the next frame's start.
type Frame struct {
	Line       int
	Start, End float64    // s from the start of the program, heating left out
	From, To   [3]float64 // on the bed, mm
	In, Out    float64    // speed at its start and end, mm/s
	Feed       float64    // asked for, mm/s
	Activity   Activity   // Travelling, Retracting, Restarting, Laying, Cutting, Swapping, or Walling for any plain bead
	Tool       printer.ToolKind
	// Temperature is what the tool's nozzle is asked for, °C.
	Temperature float64
	Layer       int // being printed, from 0; -1 before the first
	Strand      int // index of the strand being laid in the program's order, -1: none
	Bead        int // index of the plain bead being laid, -1: none
	Height      float64
	Section     float64 // of the plastic fed along the way, mm²

	acceleration float64
}

// Width returns the width of the bead laid in the frame, mm, for a tow of the
// given section, resin included; of a pre-impregnated filament give its whole
// section. 0 where nothing is laid.
func (f *Frame) Width(towArea float64) float64 {
	switch {
	case f.Strand >= 0 && f.Height > 0:
		return (f.Section + towArea) / f.Height
	case f.Bead >= 0 && f.Height > 0:
		return f.Section / f.Height
	}
	return 0
}

// At returns where the nozzle is at a time of the frame, and its speed: it
// speeds up, runs, and brakes as the motion model has it.
func (f *Frame) At(t float64) (place [3]float64, speed float64) {
	var d [3]float64
	for k := range d {
		d[k] = f.To[k] - f.From[k]
	}
	n := math.Sqrt(d[0]*d[0] + d[1]*d[1] + d[2]*d[2])
	s, v := f.along(n, math.Min(math.Max(t, f.Start), f.End)-f.Start)
	place = f.From
	if n > 0 {
		for k := range d {
			place[k] += d[k] * s / n
		}
	}
	return place, v
}

// along returns way and speed at time t of the frame whose way is n.
func (f *Frame) along(n, t float64) (s, v float64) {
	a := f.acceleration
	if n == 0 || a == 0 {
		return 0, 0
	}
	peak := math.Sqrt(math.Max(math.Min(f.Feed*f.Feed, a*n+(f.In*f.In+f.Out*f.Out)/2), math.Max(f.In*f.In, f.Out*f.Out)))
	up, down := (peak-f.In)/a, (peak-f.Out)/a
	whole := f.End - f.Start
	switch {
	case t < up:
		return math.Min(n, f.In*t+a*t*t/2), f.In + a*t
	case t <= whole-down:
		return math.Min(n, (f.In+peak)/2*up+peak*(t-up)), peak
	}
	left := whole - t
	return math.Max(0, n-(f.Out*left+a*left*left/2)), f.Out + a*left
}

// advance gives a move to the timer and, where somebody watches, keeps what is
// known of it until the timer tells how long it takes.
func (m *machine) advance(from [3]float64, move printer.Move, travels bool) {
	if m.visit.Frame == nil {
		m.timer.Add(move, 0)
		return
	}
	f := m.frame(from)
	f.Activity = m.doing(travels)
	if f.Activity == Laying || f.Activity == Walling {
		f.Section = move.Filament * m.card.FilamentArea() / move.Length()
	}
	if move.HasWay() {
		if m.told > 0 && len(m.pending) == cap(m.pending) {
			m.pending, m.told = m.pending[:copy(m.pending, m.pending[m.told:])], 0
		}
		m.pending = append(m.pending, f)
		m.timer.Add(move, 0)
		return
	}
	before := m.timer.Total()
	if move.Filament != 0 {
		m.timer.Stop()
		before = m.timer.Total()
		f.Activity = Retracting
	}
	m.timer.Add(move, 0)
	m.show(f, m.timer.Total()-before)
}

// frame describes the moment.
func (m *machine) frame(from [3]float64) Frame {
	f := Frame{
		Line: m.in.line, From: from, To: m.at, Feed: m.feed, Tool: m.tool, Temperature: m.set[m.tool],
		Layer: len(m.rep.Layers) - 1, Strand: -1, Bead: -1,
	}
	if m.inTow {
		f.Strand = m.rep.Strands
	}
	if m.inBead {
		f.Bead = m.rep.Beads
	}
	if f.Layer >= 0 {
		f.Height = m.rep.Layers[f.Layer].Height
	}
	return f
}

// doing names what a move does.
func (m *machine) doing(travels bool) Activity {
	switch {
	case travels:
		return Travelling
	case m.inTow:
		return Laying
	case m.inBead:
		return Walling
	}
	return Travelling
}

// played is told by the timer how long the oldest pending move takes.
func (m *machine) played(seconds, in, out float64) {
	f := m.pending[m.told]
	if m.told++; m.told == len(m.pending) {
		m.pending, m.told = m.pending[:0], 0
	}
	f.In, f.Out, f.acceleration = in, out, m.card.Acceleration
	m.show(f, seconds)
}

// wait rests for the seconds that an activity takes.
func (m *machine) wait(seconds float64, a Activity) {
	m.timer.Pause(seconds, 0)
	if m.visit.Frame == nil {
		return
	}
	f := m.frame(m.at)
	f.Activity = a
	m.show(f, seconds)
}

// show hands a frame of the given length to the visitor.
func (m *machine) show(f Frame, seconds float64) {
	f.Start, f.End = m.clock, m.clock+seconds
	m.clock = f.End
	m.visit.Frame(f)
}

// Play runs a program on the card's machine and shows each frame in its order,
// in memory that does not grow with the program. Errors: as Scan's, or the
// context's.
func Play(ctx context.Context, r io.Reader, c *printer.Card, show func(Frame)) (*Report, error) {
	return Scan(stoppable{ctx, r}, c, Visitor{Frame: show})
}

// stoppable is a reader that ends with its context's error.
type stoppable struct {
	ctx context.Context
	r   io.Reader
}

func (s stoppable) Read(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.r.Read(p)
}
