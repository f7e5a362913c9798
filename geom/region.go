package geom

// Area returns the area of the region, holes taken off.
func (r Region) Area() float64 {
	sum := r.Outer.Area()
	for _, h := range r.Holes {
		sum += h.Area()
	}
	return sum
}

// Length returns the length of all loops.
func (r Region) Length() float64 {
	sum := r.Outer.Length()
	for _, h := range r.Holes {
		sum += h.Length()
	}
	return sum
}

// Bounds returns the smallest box around the region.
func (r Region) Bounds() Box { return r.Outer.Bounds() }

// Contains reports whether p lies in the region. For points on its boundary,
// within rounding, the answer may be either.
func (r Region) Contains(p Point) bool {
	if !r.Outer.Contains(p) {
		return false
	}
	for _, h := range r.Holes {
		if h.Contains(p) {
			return false
		}
	}
	return true
}

// Flatten returns the region's loops as polygons whose sides stay within tol
// of them: the outer one counter-clockwise, the holes clockwise.
func (r Region) Flatten(tol float64) Polygons {
	var ps Polygons
	for _, l := range r.Loops() {
		ps = append(ps, Polygon(l.Flatten(tol)))
	}
	return ps
}

// Map returns the region with every point sent through f, which must be a
// similarity (shift, turn, scale, mirror). Where f mirrors, the loops are
// turned round so that the area still lies to the left; edge i of a loop of n
// then becomes edge n-1-i.
func (r Region) Map(f func(Point) Point) Region {
	o := f(Point{})
	mirrors := f(Point{1, 0}).Sub(o).Cross(f(Point{0, 1}).Sub(o)) < 0
	m := Region{Outer: r.Outer.mapped(f, mirrors)}
	for _, h := range r.Holes {
		m.Holes = append(m.Holes, h.mapped(f, mirrors))
	}
	return m
}

func (l Loop) mapped(f func(Point) Point, mirrors bool) Loop {
	m := make(Loop, len(l))
	for i, e := range l {
		m[i] = Edge{f(e.A), f(e.B), e.Bulge, e.Label}
		if mirrors {
			m[i].Bulge = -e.Bulge
		}
	}
	if mirrors {
		return m.Reverse()
	}
	return m
}
