package program

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"sinew/geom"
	"sinew/printer"
)

// Limits of telling what changed from one program to another.
const (
	// matchReach, mm, is how far what was moved may lie from its place and is
	// still taken for the same: see nearness.
	matchReach = 10.0
	// feedAgrees is the share by which feeds may differ: F words are whole
	// mm/min.
	feedAgrees = 1e-3
	// plasticAgrees, mm³, bounds the rounding of the feed's last digit in one
	// strand or bead.
	plasticAgrees = 2e-3
	// nearSteps is how many points before and behind the last foot the next is
	// sought, before all are.
	nearSteps = 8
	// mostTries bounds how many others a strand is set against while its own is
	// sought, and mostPairs how many pairs of what is left: a program that is
	// another one altogether is told as such in bounded time.
	mostTries = 5000
	mostPairs = 4_000_000
	// mostChanges are told; the rest are counted.
	mostChanges = 1000
)

// Change is one thing that a program prints otherwise than the one it is
// compared with.
type Change struct {
	Layer int // from 0, bottom to top; -1: of the whole program
	// Strand or Bead is the number in its layer, from 1 in printing order, as
	// planned, or as found where it is not in the plan; 0: not of one.
	Strand, Bead int
	// Line of the changed program at which it shows; of what is missing, the line
	// after which it was to come.
	Line int
	What string
}

// String gives "layer 2, strand 3, line 51: is not cut".
func (c Change) String() string {
	where := ""
	if c.Layer >= 0 {
		where = fmt.Sprintf("layer %d, ", c.Layer)
	}
	switch {
	case c.Strand > 0:
		where += fmt.Sprintf("strand %d, ", c.Strand)
	case c.Bead > 0:
		where += fmt.Sprintf("bead %d, ", c.Bead)
	}
	return fmt.Sprintf("%sline %d: %s", where, c.Line, c.What)
}

// Changes lists what got prints otherwise than plan, by layer, strands before
// beads, in the plan's order. Layers are told by their height, strands and beads
// by where they start and end, so that one that was taken out, put in or moved
// does not shift the others.
func Changes(plan, got *Readback) []Change {
	d := differ{plan: plan, got: got}
	for k := range plan.Nozzle {
		if plan.Nozzle[k] != got.Nozzle[k] {
			d.add(Change{-1, 0, 0, 1, fmt.Sprintf("the %s nozzle is asked for %.0f °C at most, planned %.0f °C", printer.ToolKind(k), got.Nozzle[k], plan.Nozzle[k])})
		}
	}
	if plan.Bed != got.Bed {
		d.add(Change{-1, 0, 0, 1, fmt.Sprintf("the bed is asked for %.0f °C at most, planned %.0f °C", got.Bed, plan.Bed)})
	}
	was, is := pathsOf(plan), pathsOf(got)
	partner := matchLayers(plan.Layers, got.Layers)
	taken := make([]bool, len(got.Layers))
	for k, l := range plan.Layers {
		g := partner[k]
		if g < 0 {
			d.add(Change{k, 0, 0, d.lineBefore(l.Z), fmt.Sprintf("is not printed: %d strands and %d beads at z = %.4g mm", l.Strands, l.Beads, l.Z)})
			continue
		}
		taken[g] = true
		if dz := got.Layers[g].Z - l.Z; math.Abs(dz) > heightSlack {
			d.add(Change{k, 0, 0, got.Layers[g].Line, fmt.Sprintf("is printed %.3g mm from its height", dz)})
		}
		d.layer(k, was[0][k], is[0][g], got.Layers[g].Line)
		d.layer(k, was[1][k], is[1][g], got.Layers[g].Line)
	}
	for g, l := range got.Layers {
		if !taken[g] {
			d.add(Change{g, 0, 0, l.Line, fmt.Sprintf("is not in the plan: %d strands and %d beads at z = %.4g mm", l.Strands, l.Beads, l.Z)})
		}
	}
	if d.more > 0 {
		d.out = append(d.out, Change{-1, 0, 0, 1, fmt.Sprintf("has %d changes more", d.more)})
	}
	return d.out
}

// lane is a strand or a bead, as both are compared.
type lane struct {
	n       int // in its layer, from 1
	isBead  bool
	line    int
	points  []geom.Point
	lines   []int32
	feeds   []float64
	plastic float64
	length  float64
	cut     float64 // before its end, mm; NaN: none
}

func (l *lane) last() geom.Point { return l.points[len(l.points)-1] }

func (l *lane) endLine() int { return int(l.lines[len(l.lines)-1]) }

func (l *lane) change(layer, line int, format string, a ...any) Change {
	c := Change{Layer: layer, Line: line, What: fmt.Sprintf(format, a...)}
	if l.isBead {
		c.Bead = l.n
	} else {
		c.Strand = l.n
	}
	return c
}

// pathsOf returns strands and beads by layer.
func pathsOf(rb *Readback) (out [2][][]lane) {
	for k := range out {
		out[k] = make([][]lane, len(rb.Layers))
	}
	for i := range rb.AllStrands {
		s := &rb.AllStrands[i]
		l := lane{line: s.Line, points: s.Points, lines: s.Lines, feeds: s.Feeds, plastic: s.Plastic(), length: s.Length, cut: s.Length - s.CutAt}
		if s.CutAt < 0 {
			l.cut = math.NaN()
		}
		l.n = len(out[0][s.Layer]) + 1
		out[0][s.Layer] = append(out[0][s.Layer], l)
	}
	for i := range rb.AllBeads {
		b := &rb.AllBeads[i]
		l := lane{isBead: true, line: b.Line, points: b.Points, lines: b.Lines, feeds: b.Feeds, plastic: b.Plastic, length: b.Length, cut: math.NaN()}
		l.n = len(out[1][b.Layer]) + 1
		out[1][b.Layer] = append(out[1][b.Layer], l)
	}
	return out
}

// matchLayers returns for each planned layer the printed one nearest to its
// height, within half of its own height, or -1.
func matchLayers(plan, got []Layer) []int {
	out := make([]int, len(plan))
	taken := make([]bool, len(got))
	for k, l := range plan {
		out[k] = -1
		best := math.Max(l.Height/2, 2*heightSlack) // a layer without height is itself still
		for g := range got {
			if dz := math.Abs(got[g].Z - l.Z); !taken[g] && dz < best {
				out[k], best = g, dz
			}
		}
		if out[k] >= 0 {
			taken[out[k]] = true
		}
	}
	return out
}

type differ struct {
	plan, got *Readback
	out       []Change
	more      int
}

func (d *differ) add(c Change) {
	if len(d.out) < mostChanges {
		d.out = append(d.out, c)
	} else {
		d.more++
	}
}

// lineBefore returns the first line of the last layer below a height.
func (d *differ) lineBefore(z float64) int {
	line := 1
	for _, l := range d.got.Layers {
		if l.Z < z {
			line = l.Line
		}
	}
	return line
}

// layer compares the strands, or the beads, of one layer that begins in a line.
func (d *differ) layer(k int, plan, got []lane, begins int) {
	partner := match(plan, got)
	after, latest, told := begins, -1, false
	taken := make([]bool, len(got))
	for i := range plan {
		p := &plan[i]
		if partner[i] < 0 {
			a, b := p.points[0], p.last()
			d.add(p.change(k, after, "is not laid; after this line it was to come: %.4g mm from (%.2f, %.2f) to (%.2f, %.2f) mm on the bed", p.length, a.X, a.Y, b.X, b.Y))
			continue
		}
		g := &got[partner[i]]
		taken[partner[i]] = true
		if partner[i] < latest && !told {
			d.add(p.change(k, g.line, "is laid before others that it was to follow"))
			told = true
		}
		latest = max(latest, partner[i])
		d.pair(k, p, g)
		after = g.endLine()
	}
	for i := range got {
		if !taken[i] {
			g := &got[i]
			d.add(g.change(k, g.line, "is not in the plan: %.4g mm from (%.2f, %.2f) to (%.2f, %.2f) mm on the bed", g.length, g.points[0].X, g.points[0].Y, g.last().X, g.last().Y))
		}
	}
}

// match returns for each planned lane the one that was found in its place, or
// -1: first those that start and end where planned, in order, then the nearest
// of what is left.
func match(plan, got []lane) []int {
	out := make([]int, len(plan))
	taken := make([]bool, len(got))
	next := 0
	for i := range plan {
		out[i] = -1
		for k := range min(len(got), mostTries) {
			j := (next + k) % len(got)
			if !taken[j] && ends(&plan[i], &got[j]) {
				out[i], taken[j], next = j, true, j+1
				break
			}
		}
	}
	type pair struct {
		i, j int
		far  float64
	}
	var left []pair
	if free(out, -1)*free(taken, false) > mostPairs {
		return out
	}
	for i := range plan {
		for j := range got {
			if out[i] < 0 && !taken[j] {
				if far := nearness(&plan[i], &got[j]); far < matchReach {
					left = append(left, pair{i, j, far})
				}
			}
		}
	}
	slices.SortStableFunc(left, func(a, b pair) int { return cmp.Compare(a.far, b.far) })
	for _, p := range left {
		if out[p.i] < 0 && !taken[p.j] {
			out[p.i], taken[p.j] = p.j, true
		}
	}
	return out
}

// free counts the entries that are still as they were.
func free[T comparable](list []T, as T) int {
	n := 0
	for _, v := range list {
		if v == as {
			n++
		}
	}
	return n
}

// ends reports whether two lanes start and end in the same places.
func ends(a, b *lane) bool {
	return dist(a.points[0], b.points[0]) <= placeAgrees && dist(a.last(), b.last()) <= placeAgrees
}

// nearness is the distance of the nearer pair of ends and a tenth of the other:
// a strand of which a part is gone is still told by one end.
func nearness(a, b *lane) float64 {
	p, q := dist(a.points[0], b.points[0]), dist(a.last(), b.last())
	return min(p, q) + max(p, q)/10
}

// pair compares what was found with what was planned.
func (d *differ) pair(k int, plan, got *lane) {
	if n := got.length - plan.length; math.Abs(n) > lengthAgrees {
		d.add(plan.change(k, got.line, "is %.3f mm long, planned %.3f mm", got.length, plan.length))
	}
	if off, line, at := away(plan, got); off > placeAgrees {
		d.add(plan.change(k, line, "lies up to %.3g mm off its path, at (%.2f, %.2f) mm on the bed", off, at.X, at.Y))
	}
	switch {
	case plan.isBead:
	case math.IsNaN(got.cut):
		if !math.IsNaN(plan.cut) {
			d.add(plan.change(k, got.endLine(), "is not cut"))
		}
	case math.Abs(got.cut-plan.cut) > cutAgrees:
		d.add(plan.change(k, got.endLine(), "is cut %.2f mm before its end, planned %.2f mm", got.cut, plan.cut))
	}
	if v := math.Abs(got.plastic - plan.plastic); v > volumeAgrees*plan.plastic+plasticAgrees {
		d.add(plan.change(k, got.line, "takes %.3f mm³ of plastic, planned %.3f mm³", got.plastic, plan.plastic))
	}
	d.feeds(k, plan, got)
}

// feeds tells of the first move that is laid at another feed than the planned
// one in that place, and how long such moves are.
func (d *differ) feeds(k int, plan, got *lane) {
	f := finder{path: plan.points}
	line, is, was, length := 0, 0.0, 0.0, 0.0
	for i := 1; i < len(got.points); i++ {
		n := dist(got.points[i-1], got.points[i])
		if n == 0 {
			continue
		}
		seg := i // move for move, as long as they are the same: a path may lie on itself
		if i >= len(plan.points) || dist(got.points[i-1], plan.points[i-1]) > placeAgrees || dist(got.points[i], plan.points[i]) > placeAgrees {
			seg, _ = f.near(got.points[i-1].Lerp(got.points[i], 0.5))
		} else {
			f.at = i
		}
		want := plan.feeds[seg]
		if math.Abs(got.feeds[i]-want) <= feedAgrees*want {
			continue
		}
		if line == 0 {
			line, is, was = int(got.lines[i]), got.feeds[i], want
		}
		length += n
	}
	if line > 0 {
		d.add(plan.change(k, line, "is laid at %.4g mm/s, planned %.4g mm/s, over %.4g mm of its length", is, was, length))
	}
}

// away returns how far the two lanes part, where, and the line of got there.
func away(plan, got *lane) (off float64, line int, at geom.Point) {
	f := finder{path: plan.points}
	for i, p := range got.points {
		if _, d := f.near(p); d > off {
			off, line, at = d, int(got.lines[i]), p
		}
	}
	f = finder{path: got.points}
	for _, p := range plan.points {
		if seg, d := f.near(p); d > off {
			off, line, at = d, int(got.lines[seg]), p
		}
	}
	return off, line, at
}

// finder looks for the nearest piece of a path for one place after the other
// along it.
type finder struct {
	path []geom.Point
	at   int
}

// near returns the point of the path that ends the piece nearest to p, and how
// far p lies from it.
func (f *finder) near(p geom.Point) (seg int, off float64) {
	seg, off = f.best(p, max(1, f.at-nearSteps), min(len(f.path)-1, f.at+nearSteps))
	if off > placeAgrees {
		seg, off = f.best(p, 1, len(f.path)-1)
	}
	f.at = seg
	return seg, off
}

func (f *finder) best(p geom.Point, from, to int) (seg int, off float64) {
	seg, off = from, math.Inf(1)
	for i := from; i <= to; i++ {
		if d := distanceTo(f.path[i-1:i+1], p); d < off {
			seg, off = i, d
		}
	}
	return seg, off
}
