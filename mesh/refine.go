package mesh

import (
	"fmt"
	"math"

	"sinew/geom"
)

// refiner inserts points until every triangle inside is well shaped and small
// enough.
type refiner struct {
	*triangulation
	set     Settings
	outline *outline
	info    []vertexInfo // by vertex

	todo  []job // triangles to look at, first in first out
	done  int
	split []int32 // boundary sides to cut, looked at before any triangle

	sinMin2 float64 // squared sine of the least angle
	cotHalf float64 // cotangent of half the angle an off-centre aims at
}

// vertexInfo is what refinement knows about a vertex.
type vertexInfo struct {
	size float64 // side wanted here
	edge int32   // outline edge it lies on, none inside
	next int32   // for a corner of the outline: the edge that starts here; else as edge
}

// job is a triangle to look at; it is void once the triangle was replaced.
type job struct {
	tri   int32
	stamp uint32
}

// noteSide records sizes and edges for the end points of boundary side i.
func (f *refiner) noteSide(i int32, size float64) {
	s := f.segs[i]
	for k, v := range [2]int32{s.a, s.b} {
		n := &f.info[v]
		if n.size == 0 || size < n.size {
			n.size = size
		}
		corner := k == 0 && s.t0 == 0 || k == 1 && s.t1 == 1
		switch {
		case !corner:
			n.edge, n.next = s.edge, s.edge
		case k == 0:
			n.next = s.edge
		default:
			n.edge = s.edge
		}
	}
	if f.set.SizeAt != nil {
		for _, v := range [2]int32{s.a, s.b} {
			f.info[v].size = f.wanted(f.info[v].size, f.pts[v])
		}
	}
}

// wanted bounds a size by the user's own at p.
func (f *refiner) wanted(size float64, p geom.Point) float64 {
	if f.set.SizeAt == nil {
		return size
	}
	if s := f.set.SizeAt(p); s < size {
		size = math.Max(s, math.Min(size, f.set.MinSize))
	}
	return size
}

// spread lowers the sizes at the outline's vertices until none exceeds a
// neighbour's by more than the growth over their distance.
func (f *refiner) spread() {
	for changed := true; changed; {
		changed = false
		for k, tr := range f.tris {
			if !f.inside[k] {
				continue
			}
			for i := range 3 {
				a, b := tr.v[i], tr.v[after[i]]
				grown := f.info[a].size + f.set.Growth*f.pts[a].Dist(f.pts[b])
				if grown < f.info[b].size*(1-spreadSlack) {
					f.info[b].size, changed = grown, true
				}
				grown = f.info[b].size + f.set.Growth*f.pts[a].Dist(f.pts[b])
				if grown < f.info[a].size*(1-spreadSlack) {
					f.info[a].size, changed = grown, true
				}
			}
		}
	}
}

// spreadSlack ends the spreading of sizes a little early.
const spreadSlack = 1e-3

// refine runs until nothing is left to do. The order is: boundary sides that
// are too long or encroached upon, then triangles as they came.
func (f *refiner) refine() error {
	sin := math.Sin(f.set.MinAngle * math.Pi / 180)
	f.sinMin2 = sin * sin
	f.cotHalf = 1 / math.Tan((f.set.MinAngle+offCentreMargin)*math.Pi/360)
	for i := range f.segs {
		if f.tooLong(int32(i)) {
			f.split = append(f.split, int32(i))
		}
	}
	for i := range f.tris {
		f.push(int32(i))
	}
	for turn := 0; ; turn++ {
		if turn%cancelEvery == 0 && f.set.Cancel != nil && f.set.Cancel() {
			return errCancelled
		}
		if len(f.pts) > f.set.MaxNodes/nodesPerVertex {
			return fmt.Errorf("the mesh would need more than %d nodes: ask for larger sides (size %.3g mm, least size %.3g mm) or allow more nodes", f.set.MaxNodes, f.set.Size, f.set.MinSize)
		}
		if n := len(f.split); n > 0 {
			s := f.split[n-1]
			f.split = f.split[:n-1]
			if err := f.splitSide(s); err != nil {
				return err
			}
			continue
		}
		if f.done == len(f.todo) {
			return nil
		}
		j := f.todo[f.done]
		f.done++
		if f.done > 1<<16 && f.done > len(f.todo)/2 {
			f.todo = append(f.todo[:0], f.todo[f.done:]...)
			f.done = 0
		}
		if f.stamp[j.tri] == j.stamp {
			f.improve(j.tri)
		}
	}
}

const (
	// offCentreMargin, degrees: an off-centre is placed for a slightly better
	// angle than asked, so that rounding does not undo it.
	offCentreMargin = 0.5
	// cancelEvery is how many steps pass between looks at Cancel: about 5 ms.
	cancelEvery = 4096
	// nodesPerVertex: a triangulation has three sides for each vertex, so that
	// its six-node mesh has about four nodes for each.
	nodesPerVertex = 4
)

func (f *refiner) push(at int32) {
	if f.inside[at] {
		f.todo = append(f.todo, job{at, f.stamp[at]})
	}
}

// shape is what a step needs to know about a triangle.
type shape struct {
	short   int32   // the shortest side
	l2      float64 // its squared length
	long2   float64 // squared length of the longest side
	long    int32
	area2   float64    // twice the area
	centre  geom.Point // circumcentre
	size    float64    // side wanted
	badSize bool
	badForm bool
}

// inspect measures triangle at.
func (f *refiner) inspect(at int32) shape {
	v := &f.tris[at].v
	a, b, c := f.pts[v[0]], f.pts[v[1]], f.pts[v[2]]
	ab, bc, ca := b.Sub(a), c.Sub(b), a.Sub(c)
	l := [3]float64{ab.Dot(ab), bc.Dot(bc), ca.Dot(ca)}
	var s shape
	for i := int32(1); i < 3; i++ {
		if l[i] < l[s.short] {
			s.short = i
		}
		if l[i] > l[s.long] {
			s.long = i
		}
	}
	s.l2, s.long2 = l[s.short], l[s.long]
	s.area2 = ab.Cross(bc)
	// sin of the least angle = shortest side / (2·circumradius), and
	// circumradius = product of the sides / (2·twice the area).
	p, q := l[after[s.short]], l[after[after[s.short]]]
	s.badForm = s.area2*s.area2 < f.sinMin2*p*q
	least := math.Min(f.info[v[0]].size, math.Min(f.info[v[1]].size, f.info[v[2]].size))
	if s.long2 > least*least || f.set.SizeAt != nil || s.badForm {
		m := geom.Point{X: (a.X + b.X + c.X) / 3, Y: (a.Y + b.Y + c.Y) / 3}
		s.size = f.wanted(f.sizeFrom(v, m), m)
		s.badSize = s.long2 > s.size*s.size
	}
	if s.badSize || s.badForm {
		d := 2 * s.area2
		s.centre = geom.Point{
			X: a.X - (ca.Y*l[0]+ab.Y*l[2])/d,
			Y: a.Y + (ca.X*l[0]+ab.X*l[2])/d,
		}
	}
	return s
}

// sizeFrom returns the side wanted at m as the vertices see it.
func (f *refiner) sizeFrom(v *[3]int32, m geom.Point) float64 {
	size := f.set.Size
	for _, k := range v {
		if h := f.info[k].size; h < size {
			size = math.Min(size, h+f.set.Growth*f.pts[k].Dist(m))
		}
	}
	return size
}

// improve inserts a point for a triangle that is too large or misshapen, or
// marks the boundary side that stands in the way.
func (f *refiner) improve(at int32) {
	s := f.inspect(at)
	if !s.badSize && !s.badForm {
		return
	}
	tr := &f.tris[at]
	if s.badSize && tr.seg[s.long] != none && f.tooLong(tr.seg[s.long]) {
		f.retry(at, tr.seg[s.long])
		return
	}
	if !s.badSize && f.hopeless(at, s) {
		return
	}
	p := f.target(at, s)
	tri, blocked := f.walk(at, p)
	if blocked != none {
		f.retry(at, blocked)
		return
	}
	if tri == none || !f.inside[tri] || !f.dig(tri, p) {
		return
	}
	if side := f.encroached(p); side != none {
		f.retry(at, side)
		return
	}
	v := f.addPoint(p)
	f.info = append(f.info, vertexInfo{f.sizeAtRim(p), none, none})
	f.fill(v)
	for _, k := range f.fan {
		f.push(k)
	}
}

// retry asks for a boundary side to be cut and for the triangle to be looked
// at again after that.
func (f *refiner) retry(at, side int32) {
	if f.canSplit(side) {
		f.split = append(f.split, side)
		f.push(at)
	}
}

// sizeAtRim returns the side wanted at p, from the vertices around it.
func (f *refiner) sizeAtRim(p geom.Point) float64 {
	size := f.set.Size
	for i := range f.rim {
		v := f.rim[i].a
		if h := f.info[v].size; h < size {
			size = math.Min(size, h+f.set.Growth*f.pts[v].Dist(p))
		}
	}
	return f.wanted(size, p)
}

// target returns where to insert a point for the triangle: on the bisector of
// its shortest side, towards the circumcentre but no farther than makes a
// triangle with that side of the least angle (A. Üngör, Off-centers: a new type
// of Steiner points for computing size-optimal quality-guaranteed Delaunay
// triangulations, Computational Geometry 42 (2009) 109–118) and of the wanted
// size.
func (f *refiner) target(at int32, s shape) geom.Point {
	tr := &f.tris[at]
	a, b := f.pts[tr.v[s.short]], f.pts[tr.v[after[s.short]]]
	l := math.Sqrt(s.l2)
	mid := a.Lerp(b, 0.5)
	off := s.centre.Sub(mid).Norm()
	height := l / 2 * f.cotHalf
	if s.badSize {
		want := s.size * aim
		height = math.Min(height, math.Sqrt(math.Max(want*want-s.l2/4, s.l2*3/4)))
	}
	if height >= off {
		return s.centre
	}
	inward := b.Sub(a).Left().Scale(height / l)
	return mid.Add(inward)
}

// aim: new points are set at this share of the largest side allowed, so that
// few of the sides that come about by themselves are too long.
const aim = 0.8

// encroached returns a boundary side on the rim that p comes too close to: p
// sees it under more than 180° - 2·30° (the lens of L. P. Chew, Guaranteed-
// quality mesh generation for curved surfaces, Proc. 9th Symposium on
// Computational Geometry (1993) 274–280).
func (f *refiner) encroached(p geom.Point) int32 {
	for i := range f.rim {
		if s := f.rim[i].seg; s != none {
			a, b := f.pts[f.rim[i].a].Sub(p), f.pts[f.rim[i].b].Sub(p)
			if d := a.Dot(b); d < 0 && 4*d*d >= a.Dot(a)*b.Dot(b) {
				return s
			}
		}
	}
	return none
}

// hopeless reports whether no point can mend the triangle's least angle: it is
// the outline's own sharp corner, or the triangle's shortest side spans one
// (G. L. Miller, S. E. Pav, N. J. Walkington, When and why Delaunay refinement
// algorithms work, Int. J. Computational Geometry & Applications 15 (2005)).
func (f *refiner) hopeless(at int32, s shape) bool {
	tr := &f.tris[at]
	i := after[s.short]
	if tr.seg[i] != none && tr.seg[after[i]] != none {
		return true
	}
	if s.l2 < f.floor2() {
		return true
	}
	p, q := tr.v[s.short], tr.v[after[s.short]]
	corner := f.sharpBetween(f.info[p], f.info[q])
	if corner == nil {
		return false
	}
	dp, dq := corner.Dist(f.pts[p]), corner.Dist(f.pts[q])
	return math.Abs(dp-dq) < shellSlack*(dp+dq)
}

// shellSlack: two points lie on one shell around a corner when their distances
// from it agree this well; shells are a factor of two apart.
const shellSlack = 1e-3

// floor2 is the squared length under which no side is ever cut: far under any
// size of use, far over rounding.
func (f *refiner) floor2() float64 {
	l := f.set.MinSize * leastShare
	return l * l
}

const leastShare = 1e-5

// sharpBetween returns the sharp corner whose two edges hold p and q.
func (f *refiner) sharpBetween(p, q vertexInfo) *geom.Point {
	if p.edge == none || q.edge == none {
		return nil
	}
	for _, pair := range [2][2]int32{{p.edge, q.next}, {q.edge, p.next}} {
		e := &f.outline.edges[pair[0]]
		if e.next == pair[1] && e.sharpEnd {
			return &e.B
		}
	}
	return nil
}
