package mesh

import (
	"math"

	"sinew/geom"
)

// Locator finds the triangle that holds a point.
type Locator struct {
	m     *Mesh
	box   geom.Box
	size  float64
	nx    int
	ny    int
	first []int32
	item  []int32
}

// NewLocator indexes the mesh. Keep the mesh unchanged while it is in use. Any
// number of goroutines may call Find.
func NewLocator(m *Mesh) *Locator {
	l := &Locator{m: m, box: geom.EmptyBox()}
	for _, p := range m.Nodes {
		l.box = l.box.With(p)
	}
	s := l.box.Size()
	l.size = math.Sqrt(s.X * s.Y / math.Max(1, float64(len(m.Tris))))
	if !(l.size > 0) {
		l.size = 1
	}
	l.nx, l.ny = int(s.X/l.size)+1, int(s.Y/l.size)+1
	l.fill()
	return l
}

// fill sorts the triangles into the cells that their boxes meet.
func (l *Locator) fill() {
	l.first = make([]int32, l.nx*l.ny+1)
	for i := range l.m.Tris {
		l.each(i, func(c int) { l.first[c+1]++ })
	}
	for c := range l.nx * l.ny {
		l.first[c+1] += l.first[c]
	}
	l.item = make([]int32, l.first[l.nx*l.ny])
	next := append([]int32(nil), l.first...)
	for i := range l.m.Tris {
		l.each(i, func(c int) {
			l.item[next[c]] = int32(i)
			next[c]++
		})
	}
}

// each calls f for the cells that the box of triangle i meets. The box of the
// six nodes, grown by how far a curved side can bulge past its middle node,
// holds the element.
func (l *Locator) each(i int, f func(c int)) {
	n := l.m.Tris[i]
	b := geom.EmptyBox()
	bulge := 0.0
	for k := range 3 {
		p, q, mid := l.m.Nodes[n[k]], l.m.Nodes[n[(k+1)%3]], l.m.Nodes[n[3+k]]
		b = b.With(p).With(mid)
		bulge = math.Max(bulge, mid.Dist(p.Lerp(q, 0.5)))
	}
	b = b.Grow(bulge)
	x0, y0 := l.cell(b.Min)
	x1, y1 := l.cell(b.Max)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			f(y*l.nx + x)
		}
	}
}

func (l *Locator) cell(p geom.Point) (x, y int) {
	x = int(math.Max(0, math.Min(float64(l.nx-1), (p.X-l.box.Min.X)/l.size)))
	y = int(math.Max(0, math.Min(float64(l.ny-1), (p.Y-l.box.Min.Y)/l.size)))
	return x, y
}

// onRim is how far outside a triangle, in barycentric coordinates, a point on
// its rim may come out by rounding.
const onRim = 1e-9

// Find returns the triangle that holds p and p's barycentric coordinates in it
// (for Shape and Gradient: curved sides are accounted for). A point outside the
// mesh is not ok.
func (l *Locator) Find(p geom.Point) (tri int, b [3]float64, ok bool) {
	if !l.box.Grow(onRim * l.size).Contains(p) {
		return -1, b, false
	}
	x, y := l.cell(p)
	c := y*l.nx + x
	for _, i := range l.item[l.first[c]:l.first[c+1]] {
		if b, ok := l.m.Inverse(int(i), p); ok && min(b[0], b[1], b[2]) >= -onRim {
			return int(i), b, true
		}
	}
	return -1, b, false
}

const (
	// inverseSteps: Newton's method doubles its digits each step from a start
	// that is off by the small bend of the sides.
	inverseSteps = 12
	// inverseDone is the step, in barycentric coordinates, at which it stops.
	inverseDone = 1e-13
	// inverseLost is where the iteration has left the element for good.
	inverseLost = 4.0
)

// Inverse returns the barycentric coordinates at which triangle tri has the
// point p, which may lie outside it as long as the map can be inverted there.
func (m *Mesh) Inverse(tri int, p geom.Point) (b [3]float64, ok bool) {
	n := m.Tris[tri]
	a := m.Nodes[n[0]]
	u, v, w := m.Nodes[n[1]].Sub(a), m.Nodes[n[2]].Sub(a), p.Sub(a)
	det := u.Cross(v)
	b[1], b[2] = w.Cross(v)/det, u.Cross(w)/det
	b[0] = 1 - b[1] - b[2]
	if !m.bent(n) {
		return b, true
	}
	if min(b[0], b[1], b[2]) < -1 {
		return b, false
	}
	for range inverseSteps {
		dxi, deta := shapeSlopes(b)
		u, v := m.columns(tri, &dxi, &deta)
		r := p.Sub(m.At(tri, b))
		det := u.Cross(v)
		dx, dy := r.Cross(v)/det, u.Cross(r)/det
		b[1] += dx
		b[2] += dy
		b[0] = 1 - b[1] - b[2]
		if !(math.Abs(dx)+math.Abs(dy) < inverseLost) {
			return b, false
		}
		if math.Abs(dx)+math.Abs(dy) < inverseDone {
			return b, true
		}
	}
	return b, false
}

// bent reports whether a middle node lies off the middle of its side by more
// than rounding.
func (m *Mesh) bent(n [6]int32) bool {
	for k := range 3 {
		p, q, mid := m.Nodes[n[k]], m.Nodes[n[(k+1)%3]], m.Nodes[n[3+k]]
		d := p.Lerp(q, 0.5).Sub(mid)
		e := q.Sub(p)
		if d.Dot(d) > straight*straight*e.Dot(e) {
			return true
		}
	}
	return false
}

// straight: a side bent by less than this share of its length counts as
// straight; the error in the coordinates is as small.
const straight = 1e-14
