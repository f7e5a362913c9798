package mesh

import (
	"sinew/geom"
)

// triangle is one triangle of the triangulation under construction. Side i
// runs from corner i to corner i+1; twin[i] is the side across it, as
// 4·triangle+side, or none; seg[i] is the boundary side it lies on, or none.
type triangle struct {
	v    [3]int32
	twin [3]int32
	seg  [3]int32
}

const none = int32(-1)

var after = [3]int32{1, 2, 0}

// triangulation is a constrained Delaunay triangulation of a box around the
// region. Sides on the region's boundary are never flipped or dug away.
type triangulation struct {
	pts    []geom.Point
	tris   []triangle
	inside []bool   // triangle lies in the region
	stamp  []uint32 // changes whenever a triangle is replaced
	around []int32  // for each point, one triangle that has it as a corner
	segs   []segment

	// Scratch of one insertion.
	mark   []uint32
	marked uint32
	hole   []int32
	rim    []rimSide
	fan    []int32
	force  int32 // triangle that belongs to the hole whatever the circle says
	last   int32 // where the last walk ended
}

// segment is one side on the boundary: vertices a to b, the region to the left.
type segment struct {
	a, b   int32
	edge   int32   // into outline.edges
	t0, t1 float64 // parameters on that edge
	at     int32   // side of the triangle to the left
}

// rimSide is one side of the hole that an insertion digs, seen from inside.
type rimSide struct {
	a, b   int32
	twin   int32
	seg    int32
	inside bool
}

// newTriangulation starts with the box, cut in two.
func newTriangulation(box geom.Box) *triangulation {
	t := &triangulation{force: none}
	t.pts = []geom.Point{box.Min, {X: box.Max.X, Y: box.Min.Y}, box.Max, {X: box.Min.X, Y: box.Max.Y}}
	t.around = []int32{0, 0, 0, 1}
	t.tris = []triangle{
		{[3]int32{0, 1, 2}, [3]int32{none, none, 4*1 + 0}, [3]int32{none, none, none}},
		{[3]int32{0, 2, 3}, [3]int32{4*0 + 2, none, none}, [3]int32{none, none, none}},
	}
	t.inside, t.stamp, t.mark = make([]bool, 2), make([]uint32, 2), make([]uint32, 2)
	return t
}

// walk goes from triangle start towards p. It returns the triangle that holds
// p, or the boundary side that stands in the way.
func (t *triangulation) walk(start int32, p geom.Point) (tri, blocked int32) {
	at, from := start, none
	for range len(t.tris) + 8 {
		tr := &t.tris[at]
		next := none
		for i := range int32(3) {
			if i == from {
				continue
			}
			if geom.Orient(t.pts[tr.v[i]], t.pts[tr.v[after[i]]], p) < 0 {
				next = i
				break
			}
		}
		if next == none {
			return at, none
		}
		if s := tr.seg[next]; s != none {
			return at, s
		}
		if tr.twin[next] == none {
			return none, none
		}
		at, from = tr.twin[next]>>2, tr.twin[next]&3
	}
	return t.search(p), none
}

// search finds the triangle that holds p the slow way: a walk can go in
// circles where boundary sides keep the triangulation from being Delaunay.
func (t *triangulation) search(p geom.Point) int32 {
	for i, tr := range t.tris {
		a, b, c := t.pts[tr.v[0]], t.pts[tr.v[1]], t.pts[tr.v[2]]
		if geom.Orient(a, b, p) >= 0 && geom.Orient(b, c, p) >= 0 && geom.Orient(c, a, p) >= 0 {
			return int32(i)
		}
	}
	return none
}

// dig collects the triangles whose circumcircle holds p, from start outward,
// and the rim of the hole they leave, counter-clockwise (A. Bowyer, Computing
// Dirichlet tessellations, and D. F. Watson, Computing the n-dimensional
// Delaunay tessellation, both Computer Journal 24 (1981)). Boundary sides stop
// it. It reports whether p sees the whole rim.
func (t *triangulation) dig(start int32, p geom.Point) bool {
	t.marked++
	t.hole, t.rim = t.hole[:0], t.rim[:0]
	t.enter(start, none, p)
	for i := range t.rim {
		r := &t.rim[i]
		if geom.Orient(t.pts[r.a], t.pts[r.b], p) <= 0 {
			return false
		}
	}
	return true
}

// enter adds a triangle to the hole, having come through its side from.
func (t *triangulation) enter(at, from int32, p geom.Point) {
	t.mark[at] = t.marked
	t.hole = append(t.hole, at)
	i := int32(0)
	n := 3
	if from != none {
		i, n = after[from], 2
	}
	for ; n > 0; n, i = n-1, after[i] {
		tr := &t.tris[at]
		twin := tr.twin[i]
		if twin != none && tr.seg[i] == none {
			to := twin >> 2
			if t.mark[to] != t.marked && (to == t.force || t.inCircle(to, p)) {
				t.enter(to, twin&3, p)
				continue
			}
		}
		t.rim = append(t.rim, rimSide{tr.v[i], tr.v[after[i]], twin, tr.seg[i], t.inside[at]})
	}
}

func (t *triangulation) inCircle(at int32, p geom.Point) bool {
	v := &t.tris[at].v
	return geom.InCircle(t.pts[v[0]], t.pts[v[1]], t.pts[v[2]], p) > 0
}

// addPoint stores a point that no triangle uses yet.
func (t *triangulation) addPoint(p geom.Point) int32 {
	t.pts = append(t.pts, p)
	t.around = append(t.around, none)
	return int32(len(t.pts) - 1)
}

// fill replaces the dug hole by triangles from its rim to point p, and leaves
// their numbers in fan, in the order of the rim.
func (t *triangulation) fill(p int32) {
	t.fan = t.fan[:0]
	for i := range t.rim {
		t.fan = append(t.fan, t.slot(i))
	}
	n := len(t.rim)
	for i, at := range t.fan {
		r := &t.rim[i]
		next, prev := t.fan[(i+1)%n], t.fan[(i+n-1)%n]
		t.tris[at] = triangle{
			v:    [3]int32{r.a, r.b, p},
			twin: [3]int32{r.twin, 4*next + 2, 4*prev + 1},
			seg:  [3]int32{r.seg, none, none},
		}
		t.inside[at] = r.inside
		t.around[r.a] = at
		t.join(at, 0)
	}
	t.around[p] = t.fan[0]
	t.last = t.fan[0]
}

// slot gives the number for new triangle i of the fan: those of the hole
// first, then fresh ones.
func (t *triangulation) slot(i int) int32 {
	if i < len(t.hole) {
		t.stamp[t.hole[i]]++
		return t.hole[i]
	}
	t.tris = append(t.tris, triangle{})
	t.inside = append(t.inside, false)
	t.stamp = append(t.stamp, 0)
	t.mark = append(t.mark, 0)
	return int32(len(t.tris) - 1)
}

// join tells the neighbour across side i, and the boundary side on it, where
// the triangle is.
func (t *triangulation) join(at, i int32) {
	tr := &t.tris[at]
	if w := tr.twin[i]; w != none {
		t.tris[w>>2].twin[w&3] = 4*at + i
	}
	if s := tr.seg[i]; s != none && t.segs[s].a == tr.v[i] {
		t.segs[s].at = 4*at + i
	}
}

// insert adds the point p of the plane to the triangulation while no boundary
// side stands yet. It returns the index of an equal point where there is one.
func (t *triangulation) insert(p geom.Point) (v int32, fresh bool) {
	at, _ := t.walk(t.last, p)
	for _, c := range t.tris[at].v {
		if t.pts[c] == p {
			return c, false
		}
	}
	if !t.dig(at, p) {
		panic("mesh: hole not star-shaped though nothing is constrained")
	}
	v = t.addPoint(p)
	t.fill(v)
	return v, true
}
