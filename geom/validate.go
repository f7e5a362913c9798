package geom

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Tolerance is the distance, in mm, at which two points of an outline count as
// one: a nanometre, far above rounding (1e-12 mm for coordinates of metres) and
// far under anything that can be printed.
const Tolerance = 1e-6

// jointTolerance is how far from their common end two consecutive edges may
// seem to meet again: edges joined tangentially run within Tolerance of each
// other for about sqrt(2·radius·Tolerance).
const jointTolerance = 1e-2

// leastArea is the area in mm² under which a loop counts as having none.
const leastArea = 1e-6

// mostFaults is how many faults are told at once.
const mostFaults = 20

// Fault is one thing wrong with a region.
type Fault struct {
	Loop, Edge int // index into Region.Loops() and into that loop; Edge -1: the whole loop
	At         Point
	What       string
	Remedy     string
}

// Error says what is wrong, where, and what to do.
func (f Fault) Error() string {
	where := fmt.Sprintf("loop %d", f.Loop)
	if f.Loop == 0 {
		where = "outer loop"
	}
	if f.Edge >= 0 {
		where += fmt.Sprintf(", edge %d", f.Edge)
	}
	return fmt.Sprintf("%s at (%.6g, %.6g): %s: %s", where, f.At.X, f.At.Y, f.What, f.Remedy)
}

// Faults is all that is wrong with a region.
type Faults []Fault

// Error joins the faults' texts.
func (fs Faults) Error() string {
	text := make([]string, len(fs))
	for i, f := range fs {
		text[i] = f.Error()
	}
	return strings.Join(text, "; ")
}

// Validate reports what keeps the region from being one: loops that are open,
// empty, of no area or run the wrong way; edges without length; edges that
// cross or touch others; holes outside the outline or inside other holes. The
// error is of type Faults.
func (r Region) Validate() error {
	var fs Faults
	loops := r.Loops()
	for i, l := range loops {
		fs = append(fs, l.faults(i)...)
	}
	if len(fs) == 0 {
		fs = append(fs, crossings(loops)...)
	}
	if len(fs) == 0 {
		fs = append(fs, r.nesting()...)
	}
	if len(fs) == 0 {
		return nil
	}
	return fs[:min(len(fs), mostFaults)]
}

// faults checks one loop by itself.
func (l Loop) faults(index int) Faults {
	if len(l) < 2 {
		at := Point{}
		if len(l) == 1 {
			at = l[0].A
		}
		return Faults{{index, -1, at, fmt.Sprintf("a loop of %d edges encloses nothing", len(l)), "draw a closed outline of two arcs or three edges at least"}}
	}
	var fs Faults
	for i, e := range l {
		add := func(at Point, what, remedy string) { fs = append(fs, Fault{index, i, at, what, remedy}) }
		next := l[(i+1)%len(l)]
		switch {
		case !finite(e.A.X) || !finite(e.A.Y) || !finite(e.B.X) || !finite(e.B.Y) || !finite(e.Bulge):
			add(e.A, "a coordinate is not a number", "correct the coordinates")
		case e.A.Dist(e.B) <= Tolerance:
			add(e.A, "the edge has no length", "remove it, or draw a full circle as two half arcs")
		case e.B.Dist(next.A) > Tolerance:
			add(e.B, fmt.Sprintf("the loop is open: the next edge starts %.3g mm away", e.B.Dist(next.A)), "join the ends")
		}
	}
	if len(fs) > 0 {
		return fs
	}
	switch a := l.Area(); {
	case math.Abs(a) < leastArea:
		fs = append(fs, Fault{index, -1, l[0].A, "the loop has no area", "remove it or draw it open"})
	case index == 0 && a < 0:
		fs = append(fs, Fault{index, -1, l[0].A, "the outer loop runs clockwise", "reverse it"})
	case index > 0 && a > 0:
		fs = append(fs, Fault{index, -1, l[0].A, "the hole runs counter-clockwise", "reverse it"})
	}
	return fs
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// placed is an edge with its place and box.
type placed struct {
	Edge
	box        Box
	loop, edge int
}

// crossings checks all pairs of edges whose boxes meet, found by a sweep along x.
func crossings(loops []Loop) Faults {
	var all []placed
	for i, l := range loops {
		for j, e := range l {
			all = append(all, placed{e, e.Bounds().Grow(Tolerance), i, j})
		}
	}
	slices.SortStableFunc(all, func(p, q placed) int {
		switch {
		case p.box.Min.X < q.box.Min.X:
			return -1
		case p.box.Min.X > q.box.Min.X:
			return 1
		}
		return 0
	})
	var fs Faults
	var open []placed
	for _, e := range all {
		open = slices.DeleteFunc(open, func(o placed) bool { return o.box.Max.X < e.box.Min.X })
		for _, o := range open {
			if o.box.Meets(e.box) {
				fs = append(fs, pairFaults(o, e, loops)...)
			}
		}
		open = append(open, e)
		if len(fs) >= mostFaults {
			break
		}
	}
	return fs
}

// pairFaults checks two edges against each other.
func pairFaults(p, q placed, loops []Loop) Faults {
	if p.loop > q.loop || p.loop == q.loop && p.edge > q.edge {
		p, q = q, p
	}
	for _, m := range p.Meet(q.Edge, Tolerance) {
		if p.loop == q.loop && jointOf(p, q, len(loops[p.loop]), m.At) {
			continue
		}
		what := fmt.Sprintf("the loop crosses or touches itself at edge %d", q.edge)
		remedy := "part the edges; cut the outline in two where it is meant to touch"
		switch {
		case p.loop != q.loop && p.loop == 0:
			what = fmt.Sprintf("hole %d (edge %d) crosses or touches the outline", q.loop, q.edge)
			remedy = "move the hole inside, or make it part of the outline"
		case p.loop != q.loop:
			what = fmt.Sprintf("it crosses or touches hole %d (edge %d)", q.loop, q.edge)
			remedy = "move the holes apart, or join them to one"
		}
		return Faults{{p.loop, p.edge, m.At, what, remedy}}
	}
	return nil
}

// jointOf reports whether two edges of a loop of n may meet at the point:
// within reach of an end they share.
func jointOf(p, q placed, n int, at Point) bool {
	reach := math.Min(jointTolerance, math.Min(p.Length(), q.Length())/4)
	return (p.edge+1)%n == q.edge && at.Dist(p.B) <= reach ||
		(q.edge+1)%n == p.edge && at.Dist(p.A) <= reach
}

// nesting checks which loop lies in which; none cross any more.
func (r Region) nesting() Faults {
	var fs Faults
	for i, h := range r.Holes {
		if !r.Outer.Contains(h[0].A) {
			fs = append(fs, Fault{i + 1, -1, h[0].A, "the hole lies outside the outline", "move it inside or remove it"})
		}
		box := h.Bounds()
		for j, k := range r.Holes {
			if i != j && k.Bounds().Meets(box) && k.Contains(h[0].A) {
				fs = append(fs, Fault{i + 1, -1, h[0].A, fmt.Sprintf("the hole lies inside hole %d", j+1), "remove one of them"})
			}
		}
	}
	return fs
}
