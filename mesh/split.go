package mesh

import (
	"fmt"
	"math"

	"sinew/geom"
)

// tooLong reports whether a boundary side exceeds the size wanted at its
// middle.
func (f *refiner) tooLong(side int32) bool {
	s := f.segs[side]
	l := f.pts[s.a].Dist(f.pts[s.b])
	h := math.Min(f.info[s.a].size, f.info[s.b].size) + f.set.Growth*l/2
	h = f.wanted(math.Min(h, f.set.Size), f.pts[s.a].Lerp(f.pts[s.b], 0.5))
	return l > h*longSlack && f.canSplit(side)
}

// longSlack: halving a side that is hardly too long would leave two that are
// too short.
const longSlack = 1.3

func (f *refiner) canSplit(side int32) bool {
	s := f.segs[side]
	return f.pts[s.a].Sub(f.pts[s.b]).Dot(f.pts[s.a].Sub(f.pts[s.b])) > 4*f.floor2()
}

// splitSide cuts a boundary side at its middle, on its arc where it has one;
// next to a sharp corner, on the nearest shell of radius 2^k around it.
func (f *refiner) splitSide(side int32) error {
	s := f.segs[side]
	if !f.canSplit(side) {
		return nil
	}
	e := &f.outline.edges[s.edge]
	tm := f.cutAt(s, e)
	p := e.At(tm)
	left := s.at >> 2
	right := f.tris[left].twin[s.at&3] >> 2
	if !f.digAcross(s, left, right, p) {
		return fmt.Errorf("the outline near (%.6g, %.6g) on edge %d of loop %d is too narrow to be meshed: widen it or make the arcs' sides smaller", p.X, p.Y, e.edge, e.loop)
	}
	v := f.addPoint(p)
	f.info = append(f.info, vertexInfo{f.sizeOnSide(s, p), s.edge, s.edge})
	f.fill(v)
	f.bindSpokes(side, s, v, tm)
	for _, k := range f.fan {
		f.push(k)
	}
	return nil
}

// sizeOnSide returns the side wanted at a new point of a boundary side.
func (f *refiner) sizeOnSide(s segment, p geom.Point) float64 {
	return math.Min(f.sizeAtRim(p), f.outline.edges[s.edge].size)
}

// cutAt returns the parameter at which to cut a side.
func (f *refiner) cutAt(s segment, e *outlineEdge) float64 {
	mid := (s.t0 + s.t1) / 2
	atStart := s.t0 == 0 && e.sharpStart
	atEnd := s.t1 == 1 && e.sharpEnd
	if atStart == atEnd {
		return mid
	}
	l := f.pts[s.a].Dist(f.pts[s.b])
	// The power of two nearest to half the length: between 1/3 and 2/3 of it.
	shell := math.Exp2(math.Round(math.Log2(l * shellCentre)))
	share := shareOfChord(e.Edge, s, shell)
	if atEnd {
		share = 1 - share
	}
	return s.t0 + share*(s.t1-s.t0)
}

// shellCentre is the middle, on the logarithmic scale, of the range from 1/3 to
// 2/3: the cut then leaves neither part under a third.
var shellCentre = math.Sqrt(2) / 3

// shareOfChord returns the share of the side's sweep at which the chord from
// its end has the given length.
func shareOfChord(e geom.Edge, s segment, chord float64) float64 {
	sweep := math.Abs(e.Sweep()) * (s.t1 - s.t0)
	if sweep == 0 {
		return chord / (e.Length() * (s.t1 - s.t0))
	}
	return 2 * math.Asin(math.Min(1, chord/(2*e.Radius()))) / sweep
}

// digAcross digs the hole for a point on side s, through the side.
func (f *refiner) digAcross(s segment, left, right int32, p geom.Point) bool {
	t := f.triangulation
	w := t.tris[left].twin[s.at&3]
	side := t.tris[left].seg[s.at&3]
	t.tris[left].seg[s.at&3], t.tris[right].seg[w&3] = none, none
	t.force = right
	ok := t.dig(left, p)
	t.force = none
	if !ok {
		ok = t.digPair(left, s.at&3, right, w&3, p)
	}
	if !ok {
		t.tris[left].seg[s.at&3], t.tris[right].seg[w&3] = side, side
	}
	return ok
}

// digPair digs just the two triangles beside a boundary side.
func (t *triangulation) digPair(left, i, right, j int32, p geom.Point) bool {
	t.hole = append(t.hole[:0], left, right)
	t.rim = t.rim[:0]
	for _, k := range [2][2]int32{{left, i}, {right, j}} {
		a := after[k[1]]
		t.rim = append(t.rim, t.rimOf(k[0], a), t.rimOf(k[0], after[a]))
	}
	for _, r := range t.rim {
		if geom.Orient(t.pts[r.a], t.pts[r.b], p) <= 0 {
			return false
		}
	}
	return true
}

// bindSpokes makes the two spokes of the fan along the old side boundary sides
// again: the old one keeps its first half, a new one gets the second.
func (f *refiner) bindSpokes(side int32, s segment, v int32, tm float64) {
	second := int32(len(f.segs))
	f.segs = append(f.segs, segment{a: v, b: s.b, edge: s.edge, t0: tm, t1: s.t1})
	f.segs[side] = segment{a: s.a, b: v, edge: s.edge, t0: s.t0, t1: tm}
	for _, k := range f.fan {
		tr := &f.tris[k]
		if tr.v[1] == s.a { // spoke from a to the new point, region to the left
			f.bind(4*k+1, side)
		}
		if tr.v[0] == s.b { // spoke from the new point to b
			f.bind(4*k+2, second)
		}
	}
}
