package mesh

import (
	"cmp"
	"math"
	"slices"

	"sinew/geom"
)

// mesh makes the six-node mesh of the triangles inside: triangles in the order
// of Hilbert's curve through their centres, nodes in the order in which the
// triangles meet them.
func (f *refiner) mesh() *Mesh {
	order := f.hilbertOrder()
	m := &Mesh{Tris: make([][6]int32, len(order))}
	place := make([]int32, len(f.tris)) // position in the order
	for i := range place {
		place[i] = math.MaxInt32
	}
	for i, at := range order {
		place[at] = int32(i)
	}
	node := make([]int32, len(f.pts))
	for i := range node {
		node[i] = none
	}
	for i, at := range order {
		tr := &f.tris[at]
		for k := range int32(3) {
			v := tr.v[k]
			if node[v] == none {
				node[v] = m.addNode(f.pts[v])
			}
			m.Tris[i][k] = node[v]
		}
		for k := range int32(3) {
			w := tr.twin[k]
			if tr.seg[k] == none && place[w>>2] < int32(i) {
				m.Tris[i][3+k] = m.Tris[place[w>>2]][3+(w&3)]
				continue
			}
			m.Tris[i][3+k] = m.addNode(f.middle(tr, k))
		}
	}
	m.Boundary = f.boundary(m, place)
	return m
}

func (m *Mesh) addNode(p geom.Point) int32 {
	m.Nodes = append(m.Nodes, p)
	return int32(len(m.Nodes) - 1)
}

// middle returns the mid-side node of side k: on the arc where it has one.
func (f *refiner) middle(tr *triangle, k int32) geom.Point {
	if s := tr.seg[k]; s != none {
		return f.middleOf(f.segs[s])
	}
	return f.pts[tr.v[k]].Lerp(f.pts[tr.v[after[k]]], 0.5)
}

func (f *refiner) middleOf(s segment) geom.Point {
	e := &f.outline.edges[s.edge]
	if !e.IsArc() {
		return f.pts[s.a].Lerp(f.pts[s.b], 0.5)
	}
	return e.At((s.t0 + s.t1) / 2)
}

func (f *refiner) hilbertOrder() []int32 {
	type keyed struct {
		key uint64
		at  int32
	}
	box := geom.EmptyBox()
	for _, p := range f.pts[4:] {
		box = box.With(p)
	}
	var list []keyed
	for i, tr := range f.tris {
		if f.inside[i] {
			a, b, c := f.pts[tr.v[0]], f.pts[tr.v[1]], f.pts[tr.v[2]]
			centre := a.Add(b).Add(c).Scale(1. / 3)
			list = append(list, keyed{hilbert(centre, box), int32(i)})
		}
	}
	slices.SortFunc(list, func(p, q keyed) int {
		if c := cmp.Compare(p.key, q.key); c != 0 {
			return c
		}
		return cmp.Compare(p.at, q.at)
	})
	order := make([]int32, len(list))
	for i, k := range list {
		order[i] = k.at
	}
	return order
}

// boundary lists the sides on the boundary in the order of loops, edges and
// the way along each.
func (f *refiner) boundary(m *Mesh, place []int32) []BoundaryEdge {
	segs := slices.Clone(f.segs)
	slices.SortFunc(segs, func(p, q segment) int {
		if p.edge != q.edge {
			return cmp.Compare(p.edge, q.edge)
		}
		return cmp.Compare(p.t0, q.t0)
	})
	list := make([]BoundaryEdge, len(segs))
	for i, s := range segs {
		tri, k := place[s.at>>2], s.at&3
		n := m.Tris[tri]
		e := &f.outline.edges[s.edge]
		list[i] = BoundaryEdge{A: n[k], B: n[after[k]], Mid: n[3+k], Tri: tri, Loop: e.loop, Edge: e.edge}
	}
	return list
}

// leastFold is the least determinant of a curved element, as a share of the
// straight one's, that is left as it is.
const leastFold = 0.2

// unfold marks the arcs' sides whose curved triangles come near to folding, to
// be cut, and reports whether there are any.
func (f *refiner) unfold() bool {
	for i, s := range f.segs {
		if f.outline.edges[s.edge].IsArc() && f.canSplit(int32(i)) && f.fold(s.at>>2) < leastFold {
			f.split = append(f.split, int32(i))
		}
	}
	return len(f.split) > 0
}

// fold returns the least determinant of triangle at with its curved sides.
func (f *refiner) fold(at int32) float64 {
	tr := &f.tris[at]
	m := Mesh{Tris: [][6]int32{{0, 1, 2, 3, 4, 5}}}
	for _, v := range tr.v {
		m.addNode(f.pts[v])
	}
	for k := range int32(3) {
		m.addNode(f.middle(tr, k))
	}
	return m.leastJacobian(0)
}
