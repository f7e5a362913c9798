package strand

import (
	"fmt"
	"math"
	"slices"

	"sinew/field"
	"sinew/geom"
)

// Limits of laying given paths.
const (
	// snapToEdge is how far, in greatest spacings, the end of a path may lie
	// from the edge and still be run on to it.
	snapToEdge = 1.0
	// smoothDrift is how far, in greatest spacings, rounding may move a corner of
	// a path: a right angle rounded to 5 mm moves by 2.1 mm.
	smoothDrift = 1.2
	// closeWithin is how near, in least spacings, the two ends of a path must
	// lie to make it a closed one.
	closeWithin = 1.0
	// replacedShare is the share of a level line that lies within half of the
	// least spacing of a locked strand from which that strand takes its place.
	replacedShare = 0.9
)

// drawn lays the given paths of a family: snapped to the edge, cut where they
// leave the area, smoothed where that is allowed, otherwise as they are. What
// they break of the printer's limits is for the findings to say.
func (m *layer) drawn(family int, shift float64) []Strand {
	f := &m.layup.Families[family]
	paths := f.Paths
	if shift != 0 && f.Mirrored != nil {
		paths = f.Mirrored
	}
	var out []Strand
	for i, path := range paths {
		path = m.snapped(path)
		if f.Smooth {
			path = rounded(path, cornerSpare*m.limits.radius, smoothDrift*m.limits.most)
		}
		for _, r := range m.fringe.clip(path) {
			st := Strand{Closed: r.closed, Start: r.start, End: r.end, StartLoop: r.loops[0], EndLoop: r.loops[1], Level: float64(i), Family: family}
			pts, step := even(r.pts, r.closed, m.set.Step)
			if f.Smooth {
				pts = fair(pts, r.closed, step, m.limits.radius, all(len(pts), driftShare*m.limits.least))
				m.fringe.hold(pts, r.closed)
				pts, _ = even(pts, r.closed, m.set.Step)
			}
			st.Points = pts
			out = append(out, st)
		}
	}
	return out
}

// given reports whether a strand is laid as given: it is neither moved nor cut.
func (m *layer) given(s *Strand) bool { return m.layup.Families[s.Family].Paths != nil }

// snapped closes a path whose ends all but meet, and runs an end that stops
// short of the edge on to it.
func (m *layer) snapped(p geom.Path) geom.Path {
	n := len(p.Points)
	if p.Closed || n < 2 {
		return p
	}
	if n > 3 && p.Points[0].Dist(p.Points[n-1]) <= closeWithin*m.limits.least {
		return geom.Path{Points: p.Points[:n-1], Closed: true}
	}
	pts := slices.Clone(p.Points)
	if q, ok := m.toEdge(pts[0], pts[0].Sub(pts[1])); ok {
		pts = slices.Insert(pts, 0, q)
	}
	if q, ok := m.toEdge(pts[len(pts)-1], pts[len(pts)-1].Sub(pts[len(pts)-2])); ok {
		pts = append(pts, q)
	}
	return geom.Path{Points: pts}
}

// toEdge returns the point at which the way from an end on meets the edge,
// where that lies within reach.
func (m *layer) toEdge(p, way geom.Point) (geom.Point, bool) {
	reach := snapToEdge * m.limits.most
	d, _ := m.fringe.place(p)
	if d <= m.fringe.clear || d > reach {
		return p, false
	}
	way = unitVector(way)
	for s := traceStep; s <= 2*reach; s += traceStep {
		q := p.Add(way.Scale(s))
		if d, _ := m.fringe.place(q); d <= 0 {
			return q, true
		}
	}
	return p, false
}

// locked returns the strands of given paths that lie in the layers of a family.
func (m *layer) locked(family int) []Strand {
	var out []Strand
	for _, k := range m.layup.Locked {
		if k.Into == family {
			out = append(out, m.drawn(k.Drawn, 0)...)
		}
	}
	return out
}

// around keeps pieces clear of locked strands by the least spacing: a piece
// that runs along one is pushed off it, as off an edge, one that meets it ends
// there, and one in whose place a locked strand lies is left out.
func (m *layer) around(pieces []piece, locked []Strand) []piece {
	if len(locked) == 0 {
		return pieces
	}
	index := newSegments(strandSegments(locked))
	var out []piece
	for _, p := range pieces {
		if !p.replacedBy(index, m.limits.least/2) {
			out = append(out, p.clearOf(index, m.limits.least)...)
		}
	}
	return out
}

// replacedBy reports whether almost all of a piece lies within reach of the
// pieces of the index: the same strand, laid as given.
func (p piece) replacedBy(index *segments, reach float64) bool {
	n := 0
	for _, q := range p.pts {
		if index.within(q, reach) {
			n++
		}
	}
	return float64(n) > replacedShare*float64(len(p.pts))
}

// clearOf returns what is left of a piece that keeps clear of the pieces of
// the index.
func (p piece) clearOf(index *segments, clear float64) []piece {
	keep := make([]bool, len(p.pts))
	pts := slices.Clone(p.pts)
	dir := tangents(p.pts, p.closed)
	whole := true
	for i, q := range p.pts {
		pts[i], keep[i] = beside(index, q, dir[i], clear)
		whole = whole && keep[i]
	}
	if whole {
		p.pts = pts
		p.length = polyLength(pts)
		return []piece{p}
	}
	if p.closed { // begin where it is cut
		k := slices.Index(keep, false)
		n := len(pts) - 1
		pts = append(append(slices.Clone(pts[k:n]), pts[:k]...), pts[k])
		keep = append(append(slices.Clone(keep[k:n]), keep[:k]...), false)
	}
	return p.stretches(pts, keep)
}

// stretches returns the kept stretches of a piece as pieces of their own.
func (p piece) stretches(pts []geom.Point, keep []bool) []piece {
	var out []piece
	for i := 0; i < len(pts); i++ {
		if !keep[i] {
			continue
		}
		j := i
		for j < len(pts) && keep[j] {
			j++
		}
		q := p
		q.pts, q.closed, q.loops = pts[i:j], false, [2]int{-1, -1}
		q.start, q.end = AtLocked, AtLocked
		if i == 0 && !p.closed {
			q.start, q.loops[0] = p.start, p.loops[0]
		}
		if j == len(pts) && !p.closed {
			q.end, q.loops[1] = p.end, p.loops[1]
		}
		if q.length = polyLength(q.pts); j-i > 1 {
			out = append(out, q)
		}
		i = j
	}
	return out
}

// beside returns where a point of a line goes that keeps clear of the strands
// of the index, and whether it stays at all: the same push as off an edge.
func beside(index *segments, p, dir geom.Point, clear float64) (geom.Point, bool) {
	reach := clear + 4*pushBlend
	best, foot := reach, geom.Point{}
	index.near(geom.Box{Min: p, Max: p}.Grow(reach), func(_ int32, s *segment) {
		if u, d := s.foot(p); d < best {
			best, foot = d, s.a.Lerp(s.b, u)
		}
	})
	if best == reach {
		return p, true
	}
	away := unitVector(p.Sub(foot))
	if best <= pushFrom || math.Abs(dir.Dot(away)) >= parallelNormal {
		return p, best >= clear
	}
	x := best - clear
	want := clear + (x+math.Sqrt(x*x+pushBlend*pushBlend))/2
	return p.Add(away.Scale(want - best)), true
}

// validateLocks says which locks name no family.
func validateLocks(l *field.Layup) error {
	for _, k := range l.Locked {
		n := len(l.Families)
		if k.Drawn < 0 || k.Drawn >= n || k.Into < 0 || k.Into >= n || l.Families[k.Drawn].Paths == nil {
			return fmt.Errorf("family %d cannot lie locked in the layers of family %d: the lay-up has %d families", k.Drawn, k.Into, n)
		}
	}
	return nil
}
