package strand

import (
	"math"
	"slices"

	"sinew/geom"
)

// Placing of strand ends.
const (
	// staggerLayers is how many layers below count when ends are staggered: with
	// two of them ends come to lie over each other in every third layer at most.
	staggerLayers = 2
	// staggerReach is how far, in staggers, an end may be taken back: past those of
	// two layers below, where each layer has two strands within a bead.
	staggerReach = 4
	// Costs of an end's place. One over an end below costs more than any way
	// back and any quiet place are worth.
	overEnd   = 4.0 // within the stagger of an end below
	takenBack = 0.3 // by the whole reach
	loadedEnd = 0.5 // where as much pulls as at the strand's own end
)

// endings remembers where strands end, layer by layer.
type endings struct {
	stagger float64 // along strands, mm
	bead    float64 // across them
	below   [][]geom.Point
	here    []geom.Point
}

// next begins a layer.
func (e *endings) next() {
	e.below = append(e.below, e.here)
	if n := len(e.below); n > staggerLayers {
		e.below = e.below[n-staggerLayers:]
	}
	e.here = nil
}

// cost of an end at p of a strand that runs along dir: that of ends below.
func (e *endings) cost(p, dir geom.Point) float64 {
	sum := 0.0
	for _, l := range e.below {
		sum += overEnd * float64(e.meets(l, p, dir))
	}
	return sum
}

// meets counts the ends of a list that lie within the stagger of p along dir,
// and within a bead of it across.
func (e *endings) meets(list []geom.Point, p, dir geom.Point) int {
	n := 0
	for _, q := range list {
		v := q.Sub(p)
		if math.Abs(v.Dot(dir)) < e.stagger && math.Abs(v.Cross(dir)) < e.bead {
			n++
		}
	}
	return n
}

// placeEnds takes the ends that lie inside of the part back along their
// strands, to where they lie over no end of the layers below and little pulls.
// Ends at the part's own edge stay: there every layer ends.
func (m *layer) placeEnds(strands []Strand) {
	for i := range strands {
		s := &strands[i]
		if !s.Closed && !m.given(s) {
			m.placeEndsOf(s)
		}
		m.ends.here = append(m.ends.here, s.Points[0], s.Points[len(s.Points)-1])
	}
}

func (m *layer) placeEndsOf(s *Strand) {
	if s.Start = m.innerEnd(s.Start, s.Points[0]); s.Start.isInner() {
		s.Points, s.StartLoop = s.Points[m.takeBack(s, false):], -1
	}
	n := len(s.Points)
	if s.End = m.innerEnd(s.End, s.Points[n-1]); s.End.isInner() {
		s.Points, s.EndLoop = s.Points[:n-m.takeBack(s, true)], -1
	}
}

// isInner reports whether an end lies inside of the part and may be taken back.
func (e End) isInner() bool {
	return e == AtLimit || e == AtBand || e == AtLocked || e == AtTurn || e == AtDrop
}

// innerEnd returns the reason of an end, which is AtDrop on the edge of a terrace
// that layers below go on under.
func (m *layer) innerEnd(why End, p geom.Point) End {
	if why == AtEdge && m.set.plan != nil && m.set.plan.Nearest(m.own.Nearest(p).Point).Distance > terraceStep {
		return AtDrop
	}
	return why
}

// terraceStep, mm, is how far the edge of a terrace lies from the plan's
// outline at least: outlines of both come from one solid, cut twice.
const terraceStep = 0.1

// takeBack returns by how many points an end is taken back: to the cheapest
// place that leaves the strand long enough.
func (m *layer) takeBack(s *Strand, last bool) int {
	n := len(s.Points)
	at := func(k int) geom.Point {
		if last {
			return s.Points[n-1-k]
		}
		return s.Points[k]
	}
	spare := s.Length() - m.limits.cutter
	best, where := math.Inf(1), 0
	dir := tangents(s.Points, false)
	if last {
		slices.Reverse(dir)
	}
	own := 0.0
	if m.set.Quiet != nil {
		own = m.set.Quiet(at(0))
	}
	reach := staggerReach * m.ends.stagger
	back := 0.0
	for k := 0; k < n-2; k++ {
		if k > 0 {
			back += at(k).Dist(at(k - 1))
		}
		if back > reach || k > 0 && back > spare {
			break
		}
		c := m.ends.cost(at(k), dir[k]) + takenBack*back/math.Max(reach, leastLength)
		if own > 0 {
			c += loadedEnd * m.set.Quiet(at(k)) / own
		}
		if c < best-startMargin {
			best, where = c, k
		}
	}
	return where
}

// leastLength, mm, keeps a reach of nothing from being divided by.
const leastLength = 1e-9

// StackedEnds returns where strands of one of the print's layers end inside of the part over ends
// of the two layers below, within the print's stagger. Starts of closed strands
// count as ends.
func (pr *Print) StackedEnds(l *Layer) []geom.Point {
	e := endings{stagger: pr.Stagger - staggerSlack, bead: pr.SpacingMax / 2}
	for k := range pr.Layers {
		b := &pr.Layers[k]
		if b.Kind == Composite && b.Composite < l.Composite && b.Composite >= l.Composite-staggerLayers {
			at, _ := b.innerEnds()
			e.below = append(e.below, at)
		}
	}
	var out []geom.Point
	at, dir := l.innerEnds()
	for j, p := range at {
		if e.cost(p, dir[j]) > 0 {
			out = append(out, p)
		}
	}
	return out
}

// staggerSlack, mm, keeps sampling from deciding.
const staggerSlack = 0.1

// innerEnds lists the ends of a layer's strands inside of the part, and the
// directions in which the strands run there.
func (l *Layer) innerEnds() (at, dir []geom.Point) {
	for i := range l.Strands {
		s := &l.Strands[i]
		t := tangents(s.Points, false)
		if s.Closed || s.Start.isInner() {
			at, dir = append(at, s.Points[0]), append(dir, t[0])
		}
		if n := len(s.Points) - 1; !s.Closed && s.End.isInner() {
			at, dir = append(at, s.Points[n]), append(dir, t[n])
		}
	}
	return at, dir
}
