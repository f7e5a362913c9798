package mesh

import (
	"slices"

	"sinew/geom"
)

// constrain makes the boundary side s an edge of the triangulation (M. V.
// Anglada, An improved incremental algorithm for constructing restricted
// Delaunay triangulations, Computers & Graphics 21 (1997) 215–223): triangles
// that cross it are taken out and both halves of the hole are filled again. It
// reports false, with the offending vertex, when the side runs through another
// vertex or crosses a side that is constrained already.
func (t *triangulation) constrain(s int32) (ok bool, offender int32) {
	a, b := t.segs[s].a, t.segs[s].b
	if side := t.edgeBetween(a, b); side != none {
		t.bind(side, s)
		return true, none
	}
	crossed, left, right, bad := t.crossed(a, b)
	if bad != none {
		return false, bad
	}
	t.refill(s, crossed, left, right)
	return true, none
}

// bind marks the side and its twin as boundary side s.
func (t *triangulation) bind(side, s int32) {
	t.tris[side>>2].seg[side&3] = s
	if w := t.tris[side>>2].twin[side&3]; w != none {
		t.tris[w>>2].seg[w&3] = s
	}
	t.segs[s].at = side
}

// corner returns the position of vertex v in triangle at.
func (t *triangulation) corner(at, v int32) int32 {
	for i, c := range t.tris[at].v {
		if c == v {
			return int32(i)
		}
	}
	panic("mesh: vertex is not a corner of the triangle that is kept for it")
}

// spin calls f for each triangle around v, with v's position in it, until f
// returns false. Every v lies inside the box, so the triangles close around it.
func (t *triangulation) spin(v int32, f func(at, i int32) bool) {
	start := t.around[v]
	for at := start; ; {
		i := t.corner(at, v)
		if !f(at, i) {
			return
		}
		w := t.tris[at].twin[after[after[i]]]
		if w == none || w>>2 == start {
			return
		}
		at = w >> 2
	}
}

// edgeBetween returns the side that runs from a to b, or none.
func (t *triangulation) edgeBetween(a, b int32) int32 {
	side := none
	t.spin(a, func(at, i int32) bool {
		if t.tris[at].v[after[i]] == b {
			side = 4*at + i
		}
		return side == none
	})
	return side
}

// crossed lists the triangles that the open segment a–b runs through, and the
// sides of the hole they leave, to the left of a–b and to its right, from a on.
// bad is a vertex that the segment meets, or the far end of a constrained side.
func (t *triangulation) crossed(a, b int32) (tris []int32, left, right []rimSide, bad int32) {
	pa, pb := t.pts[a], t.pts[b]
	at, side := none, none
	bad = none
	t.spin(a, func(k, i int32) bool {
		p, q := t.tris[k].v[after[i]], t.tris[k].v[after[after[i]]]
		op, oq := geom.Orient(pa, pb, t.pts[p]), geom.Orient(pa, pb, t.pts[q])
		if op == 0 && t.pts[p].Sub(pa).Dot(pb.Sub(pa)) > 0 {
			bad = p
			return false
		}
		if op < 0 && oq > 0 {
			at, side = k, after[i]
			return false
		}
		return true
	})
	if bad != none {
		return nil, nil, nil, bad
	}
	if at == none {
		panic("mesh: no triangle around a vertex lies in the direction of a boundary side")
	}
	i := after[side] // side from the left vertex back to a
	left = append(left, t.rimOf(at, i))
	right = append(right, t.rimOf(at, after[i]))
	tris = append(tris, at)
	for {
		if t.tris[at].seg[side] != none {
			return nil, nil, nil, t.tris[at].v[side]
		}
		w := t.tris[at].twin[side]
		at, side = w>>2, w&3
		tris = append(tris, at)
		tip := t.tris[at].v[after[after[side]]]
		i1, i2 := after[side], after[after[side]]
		// Side runs from the left vertex to the right one, seen in this
		// triangle; i1 leads from the right vertex to the tip, i2 from the tip
		// to the left vertex.
		if tip == b {
			right = append(right, t.rimOf(at, i1))
			left = append(left, t.rimOf(at, i2))
			return tris, left, right, none
		}
		switch o := geom.Orient(pa, pb, t.pts[tip]); {
		case o == 0:
			return nil, nil, nil, tip
		case o > 0:
			left = append(left, t.rimOf(at, i2))
			side = i1
		default:
			right = append(right, t.rimOf(at, i1))
			side = i2
		}
	}
}

func (t *triangulation) rimOf(at, i int32) rimSide {
	tr := &t.tris[at]
	return rimSide{tr.v[i], tr.v[after[i]], tr.twin[i], tr.seg[i], t.inside[at]}
}

// refill puts triangles into the hole on both sides of boundary side s.
func (t *triangulation) refill(s int32, crossed []int32, left, right []rimSide) {
	// Left sides were met from a to b but run from b to a.
	slices.Reverse(left)
	t.marked++
	for _, at := range crossed {
		t.mark[at] = t.marked
	}
	for _, chain := range [2][]rimSide{left, right} {
		for i := range chain {
			// A side with the hole on both of its faces is joined below.
			if w := chain[i].twin; w != none && t.mark[w>>2] == t.marked {
				chain[i].twin = none
			}
		}
	}
	free := crossed
	up := t.halfHole(&free, left)
	t.halfHole(&free, right)
	if len(free) != 0 {
		panic("mesh: hole around a boundary side not filled by as many triangles as it had")
	}
	t.stitch(crossed)
	t.bind(up.twin, s)
}

// stitch joins those sides of the triangles that have no neighbour yet.
func (t *triangulation) stitch(tris []int32) {
	var open []int32
	for _, at := range tris {
		for i := range int32(3) {
			if t.tris[at].twin[i] == none {
				open = append(open, 4*at+i)
			}
		}
	}
	for _, p := range open {
		for _, q := range open {
			tp, tq := &t.tris[p>>2], &t.tris[q>>2]
			if tp.v[p&3] == tq.v[after[q&3]] && tq.v[q&3] == tp.v[after[p&3]] {
				tp.twin[p&3], tq.twin[q&3] = q, p
			}
		}
	}
}

// halfHole fills the polygon of the chain's sides (end to end,
// counter-clockwise) and its closing side, and returns the chain as one side:
// the closing side, seen from outside, with twin the new triangle's side.
func (t *triangulation) halfHole(free *[]int32, chain []rimSide) rimSide {
	if len(chain) == 1 {
		return chain[0]
	}
	a, b := chain[0].a, chain[len(chain)-1].b
	// The apex: the one vertex whose circle with a and b holds no other.
	best := 1
	for i := 2; i < len(chain); i++ {
		// b, a, apex is counter-clockwise: the chain lies left of b→a.
		if geom.InCircle(t.pts[b], t.pts[a], t.pts[chain[best].a], t.pts[chain[i].a]) > 0 {
			best = i
		}
	}
	first := t.halfHole(free, chain[:best])
	second := t.halfHole(free, chain[best:])
	at := (*free)[len(*free)-1]
	*free = (*free)[:len(*free)-1]
	t.tris[at] = triangle{
		v:    [3]int32{a, first.b, b},
		twin: [3]int32{first.twin, second.twin, none},
		seg:  [3]int32{first.seg, second.seg, none},
	}
	t.stamp[at]++
	for i := range int32(3) {
		t.around[t.tris[at].v[i]] = at
		t.join(at, i)
	}
	return rimSide{a, b, 4*at + 2, none, false}
}
