package geom

// Polygon is a closed chain of straight sides; the first point is not repeated.
type Polygon []Point

// Polygons is an area bounded by polygons: a point belongs to it when the
// polygons wind around it a number of times other than zero. Outlines run
// counter-clockwise and holes clockwise, as in Region; the results of the
// operations below always do.
type Polygons []Polygon

// Area returns the signed area, positive counter-clockwise.
func (p Polygon) Area() float64 {
	if len(p) == 0 {
		return 0
	}
	sum := 0.0
	for i, a := range p {
		b := p[(i+1)%len(p)]
		sum += a.Sub(p[0]).Cross(b.Sub(p[0]))
	}
	return sum / 2
}

// Area returns the sum of the signed areas.
func (ps Polygons) Area() float64 {
	sum := 0.0
	for _, p := range ps {
		sum += p.Area()
	}
	return sum
}

// Bounds returns the smallest box around the polygons.
func (ps Polygons) Bounds() Box {
	b := EmptyBox()
	for _, p := range ps {
		for _, q := range p {
			b = b.With(q)
		}
	}
	return b
}

// Contains reports whether the polygon winds around q.
func (p Polygon) Contains(q Point) bool { return p.winding(q) != 0 }

// Contains reports whether q lies in the area. On the boundary the answer may
// be either.
func (ps Polygons) Contains(q Point) bool {
	w := 0
	for _, p := range ps {
		w += p.winding(q)
	}
	return w != 0
}

// winding returns how often p runs around q, counter-clockwise positive.
func (p Polygon) winding(q Point) int {
	w := 0
	for i, a := range p {
		b := p[(i+1)%len(p)]
		if crossesRay(a, b, q) {
			if b.Y > a.Y {
				w++
			} else {
				w--
			}
		}
	}
	return w
}

// Loop returns the polygon as a loop of straight edges.
func (p Polygon) Loop() Loop { return Polyline(p...) }
