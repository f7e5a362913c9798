package strand

import (
	"cmp"
	"math"
	"slices"

	"sinew/geom"
)

// Half-turns that join ends of open strands.
const (
	// turnSpare is the share by which a half-turn is laid wider than the tow's
	// least radius, and turnLeast the share below which it is not laid:
	// sampling and smoothing take from it.
	turnSpare, turnLeast = 1.1, 1.03
	// turnReach is the default of Settings.TurnReach, in radii of the tow.
	turnReach = 4.0
	// turnUpright is the cosine of the greatest lean (25 degrees) of an end from
	// the normal of the line along which it turns.
	turnUpright = 0.9
	// turnClear is the share of a spacing that keeps what ends behind a
	// half-turn, and what passes it, off its centre line.
	turnClear = 0.9
	// turnChord, mm, bounds how far the chords of a half-turn lie off its arcs.
	turnChord = 0.002
)

// tip is an end of an open strand that may be joined to another.
type tip struct {
	strand, loop int
	last         bool    // the strand's last point, not its first
	along        float64 // of the edge's loop, mm
	at           geom.Point
}

// joint is a half-turn from one tip to another.
type joint struct {
	from, to tip
	pts      []geom.Point // between the two tangent points
}

// turns joins ends of open strands into longer strands by half-turns, at the
// places that the settings allow. A half-turn is two quarter arcs of at least
// the tow's radius and the straight way between them; it ends where both ends
// did, so that it stays inside. Ends beside each other are taken in groups no
// wider than the reach; in a group the outermost two are joined, then the two
// inside of them, a spacing further in, as long as there is room. The ends that
// stay between stop behind the innermost half-turn. No chain is closed. It
// returns the strands and how many half-turns there are.
func (m *layer) turns(strands []Strand) ([]Strand, int) {
	if m.set.TurnAt == nil {
		return strands, 0
	}
	reach := m.set.TurnReach
	if reach == 0 {
		reach = turnReach * m.limits.radius
	}
	t := &turner{m: m, strands: slices.Clone(strands), chain: make([]int, len(strands))}
	for i := range t.chain {
		t.chain[i] = i
	}
	tips := m.tips(strands)
	for i := 0; i < len(tips); {
		j := i + 1
		for j < len(tips) && tips[j].loop == tips[i].loop && tips[j].along-tips[i].along <= reach {
			j++
		}
		t.group(tips[i:j])
		i = j
	}
	return t.joined(), len(t.joints)
}

// tips lists the ends that may be joined, along the edge.
func (m *layer) tips(strands []Strand) []tip {
	var out []tip
	loops := m.layup.Region.Loops()
	for i := range strands {
		s := &strands[i]
		if s.Closed || m.given(s) {
			continue
		}
		for _, last := range [2]bool{false, true} {
			p, why := s.Points[0], s.Start
			if last {
				p, why = s.Points[len(s.Points)-1], s.End
			}
			if why != AtEdge || !m.set.TurnAt(p) {
				continue
			}
			n := m.fringe.edge.Nearest(p)
			along := n.T * loops[n.Loop][n.Edge].Length()
			for _, e := range loops[n.Loop][:n.Edge] {
				along += e.Length()
			}
			out = append(out, tip{i, n.Loop, last, along, p})
		}
	}
	slices.SortStableFunc(out, func(a, b tip) int { return cmp.Or(cmp.Compare(a.loop, b.loop), cmp.Compare(a.along, b.along)) })
	return out
}

// turner joins the ends of one layer.
type turner struct {
	m       *layer
	strands []Strand
	chain   []int // of each strand: the chain that it belongs to
	joints  []joint
}

// group joins ends beside each other, from outside inwards. Where what must
// stop behind a half-turn would become too short to be laid, none is joined.
func (t *turner) group(tips []tip) {
	was, chain, joints := slices.Clone(t.strands), slices.Clone(t.chain), len(t.joints)
	for l, r, depth := 0, len(tips)-1, 0.0; l < r; {
		if t.chain[tips[l].strand] == t.chain[tips[r].strand] {
			r-- // would close the chain
			continue
		}
		if j, ok := t.turn(tips, l, r, depth); ok {
			t.join(j)
		}
		depth += t.spacing(tips, l, r)
		l, r = l+1, r-1
	}
	if !t.stopBehind(tips, t.joints[joints:]) {
		t.strands, t.chain, t.joints = was, chain, t.joints[:joints]
	}
}

// spacing is the mean way from two ends to the next ones inwards, held to the
// printer's limits.
func (t *turner) spacing(tips []tip, l, r int) float64 {
	s := (tips[l+1].along - tips[l].along + tips[r].along - tips[r-1].along) / 2
	return math.Max(t.m.limits.least, math.Min(s, t.m.limits.most))
}

// turn makes the half-turn from one end of a group to another, depth inside of
// the line on which its outermost ends lie.
func (t *turner) turn(tips []tip, l, r int, depth float64) (joint, bool) {
	first, last := tips[0].at, tips[len(tips)-1].at
	along := unitVector(last.Sub(first))
	out := along.Left()
	if t.direction(tips[l]).Dot(out) < 0 {
		out = out.Scale(-1)
	}
	from, ok := t.quarter(tips[l], first, out, along, depth, tips[r].at)
	if !ok {
		return joint{}, false
	}
	to, ok := t.quarter(tips[r], first, out, along.Scale(-1), depth, tips[l].at)
	if !ok {
		return joint{}, false
	}
	if from[len(from)-1].Sub(to[len(to)-1]).Dot(along) > turnChord { // the arcs overlap
		return joint{}, false
	}
	slices.Reverse(to)
	j := joint{tips[l], tips[r], slices.Concat(from, to)}
	return j, t.hasRoom(j, tips)
}

// quarter returns the way from a strand's tangent point round to the direction
// along, on the line depth inside of the origin.
func (t *turner) quarter(e tip, origin, out, along geom.Point, depth float64, other geom.Point) ([]geom.Point, bool) {
	in := t.direction(e)
	if in.Dot(out) < turnUpright {
		return nil, false
	}
	up := origin.Sub(e.at).Dot(out) - depth
	corner := e.at.Add(in.Scale(up / in.Dot(out)))
	half := math.Acos(max(-1, min(1, in.Dot(along)))) / 2
	radius := math.Min(turnSpare*t.m.limits.radius, other.Sub(corner).Dot(along)/2/math.Tan(half))
	if radius < turnLeast*t.m.limits.radius {
		return nil, false
	}
	reach := radius * math.Tan(half)
	bulge := math.Tan(half / 2)
	if in.Cross(along) < 0 {
		bulge = -bulge
	}
	arc := geom.Edge{A: corner.Sub(in.Scale(reach)), B: corner.Add(along.Scale(reach)), Bulge: bulge}
	return arc.Flatten(turnChord), true
}

// direction is that of a strand as it comes to its end, over the length that a
// half-turn replaces.
func (t *turner) direction(e tip) geom.Point {
	pts := t.strands[e.strand].Points
	n := len(pts)
	back := min(n-1, int(math.Ceil(turnSpare*t.m.limits.radius/t.m.set.Step)))
	if e.last {
		return unitVector(pts[n-1].Sub(pts[n-1-back]))
	}
	return unitVector(pts[0].Sub(pts[back]))
}

// hasRoom reports whether a half-turn keeps clear of the edge and of strands
// that do not end beside it.
func (t *turner) hasRoom(j joint, group []tip) bool {
	var others []Strand
	for i := range t.strands {
		if !slices.ContainsFunc(group, func(e tip) bool { return e.strand == i }) {
			others = append(others, t.strands[i])
		}
	}
	index := newSegments(strandSegments(others))
	for _, p := range evenly(j.pts, t.m.set.Step) {
		if d, _ := t.m.fringe.place(p); d < t.m.fringe.clear-edgeTolerance || index.within(p, turnClear*t.m.limits.least) {
			return false
		}
	}
	return true
}

// within reports whether a piece lies nearer to p than reach.
func (g *segments) within(p geom.Point, reach float64) bool {
	found := false
	g.near(geom.Box{Min: p, Max: p}.Grow(reach), func(_ int32, s *segment) {
		if _, d := s.foot(p); d < reach {
			found = true
		}
	})
	return found
}

func evenly(pts []geom.Point, step float64) []geom.Point {
	return geom.Path{Points: pts}.Resample(step).Points
}

// join takes a half-turn: both strands are cut back to it.
func (t *turner) join(j joint) {
	t.joints = append(t.joints, j)
	t.cut(j.from, func(p geom.Point) bool { return behind(p, j.pts[0], j.pts[1]) })
	n := len(j.pts)
	t.cut(j.to, func(p geom.Point) bool { return behind(p, j.pts[n-1], j.pts[n-2]) })
	from, to := t.chain[j.from.strand], t.chain[j.to.strand]
	for i := range t.chain {
		if t.chain[i] == to {
			t.chain[i] = from
		}
	}
}

// behind reports whether p lies before a, seen along the way to b.
func behind(p, a, b geom.Point) bool { return p.Sub(a).Dot(b.Sub(a)) < 0 }

// cut drops points from the strand's end on until one may stay.
func (t *turner) cut(e tip, stays func(geom.Point) bool) {
	s := &t.strands[e.strand]
	pts := slices.Clone(s.Points)
	for len(pts) > 2 {
		k := 0
		if e.last {
			k = len(pts) - 1
		}
		if stays(pts[k]) {
			break
		}
		pts = slices.Delete(pts, k, k+1)
	}
	s.Points = pts
}

// stopBehind ends the strands that stay between joined ones behind the
// half-turns, and reports whether all are still long enough.
func (t *turner) stopBehind(group []tip, joints []joint) bool {
	var ways []segment
	for _, j := range joints {
		for i := 1; i < len(j.pts); i++ {
			ways = append(ways, segment{a: j.pts[i-1], b: j.pts[i]})
		}
	}
	index := newSegments(ways)
	for _, e := range group {
		if slices.ContainsFunc(joints, func(j joint) bool { return j.from == e || j.to == e }) {
			continue
		}
		s := &t.strands[e.strand]
		n := len(s.Points)
		pts := slices.Clone(s.Points)
		if !e.last {
			slices.Reverse(pts)
		}
		if k := slices.IndexFunc(pts, func(p geom.Point) bool { return index.within(p, t.m.limits.least) }); k >= 0 {
			pts = pts[:k]
		}
		if len(pts) == n {
			continue
		}
		if len(pts) < 2 || polyLength(pts) < t.m.limits.cutter {
			return false
		}
		if e.last {
			s.End, s.EndLoop = AtTurn, -1
		} else {
			slices.Reverse(pts)
			s.Start, s.StartLoop = AtTurn, -1
		}
		s.Points = pts
	}
	return true
}

// joined makes strands of the chains.
func (t *turner) joined() []Strand {
	at := map[[2]int]int{} // strand and end (1: last): the joint there
	for k, j := range t.joints {
		at[key(j.from)], at[key(j.to)] = k, k
	}
	done := make([]bool, len(t.strands))
	var out []Strand
	for i := range t.strands {
		_, a := at[[2]int{i, 0}]
		_, b := at[[2]int{i, 1}]
		switch {
		case done[i] || a && b:
			continue // within a chain that is met from its end
		case !a && !b:
			out = append(out, t.strands[i])
		default:
			s := t.follow(i, b, at, done)
			out = append(out, s)
		}
	}
	return out
}

func key(e tip) [2]int {
	if e.last {
		return [2]int{e.strand, 1}
	}
	return [2]int{e.strand, 0}
}

// follow lays a chain from its free end.
func (t *turner) follow(i int, ahead bool, at map[[2]int]int, done []bool) Strand {
	s := t.strands[i]
	if !ahead {
		s = s.reversed()
	}
	out := s
	out.Points = slices.Clone(s.Points)
	for here := (tip{strand: i, last: ahead}); ; {
		done[here.strand] = true
		k, ok := at[key(here)]
		if !ok {
			break
		}
		j := t.joints[k]
		pts, next := j.pts, j.to
		if key(j.to) == key(here) {
			pts, next = slices.Clone(pts), j.from
			slices.Reverse(pts)
		}
		s = t.strands[next.strand]
		if next.last {
			s = s.reversed()
		}
		out.Points = slices.Concat(out.Points, pts, s.Points)
		out.End, out.EndLoop = s.End, s.EndLoop
		here = tip{strand: next.strand, last: !next.last}
	}
	out.Points, _ = even(out.Points, false, t.m.set.Step)
	t.m.smoothOut(&out)
	return out
}
