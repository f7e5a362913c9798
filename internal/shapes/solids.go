package shapes

import (
	"archive/zip"
	"bytes"
	"fmt"
	"math"
	"slices"

	"sinew/geom"
	"sinew/solid"
)

// Prism returns the solid between two heights over a region, its arcs cut into
// chords within tol.
func Prism(r geom.Region, bottom, top, tol float64) *solid.Mesh {
	return Steps([]Step{{r, bottom, top}}, tol)
}

// Step is a stretch of height with one outline.
type Step struct {
	Region      geom.Region
	Bottom, Top float64
}

// Steps returns prisms on top of each other as one mesh, each closed in
// itself: where they touch, floor lies on ceiling.
func Steps(steps []Step, tol float64) *solid.Mesh {
	m := &solid.Mesh{}
	for _, s := range steps {
		addPrism(m, s, tol)
	}
	return m
}

func addPrism(m *solid.Mesh, s Step, tol float64) {
	polys := s.Region.Flatten(tol)
	for _, p := range polys {
		addWall(m, p, s.Bottom, s.Top)
	}
	addCap(m, polys, s.Bottom, false)
	addCap(m, polys, s.Top, true)
}

// addWall adds the upright face over a polygon.
func addWall(m *solid.Mesh, p geom.Polygon, bottom, top float64) {
	base, k := int32(len(m.Points)), int32(len(p))
	for _, z := range []float64{bottom, top} {
		for _, q := range p {
			m.Points = append(m.Points, solid.Point{X: q.X, Y: q.Y, Z: z})
		}
	}
	for i := range k {
		a, b := base+i, base+(i+1)%k
		m.Tris = append(m.Tris, [3]int32{a, b, b + k}, [3]int32{a, b + k, a + k})
	}
}

// addCap adds the level face over polygons, outline first.
func addCap(m *solid.Mesh, polys geom.Polygons, z float64, up bool) {
	base := int32(len(m.Points))
	for _, p := range polys {
		for _, q := range p {
			m.Points = append(m.Points, solid.Point{X: q.X, Y: q.Y, Z: z})
		}
	}
	for _, t := range triangulate(polys) {
		if !up {
			t[1], t[2] = t[2], t[1]
		}
		m.Tris = append(m.Tris, [3]int32{base + t[0], base + t[1], base + t[2]})
	}
}

// PocketedLink returns the solid of the example: a link with two pin holes of a
// diameter and, from the floor's height up, a pocket with round ends between
// them.
func PocketedLink(pin, floor, top, tol float64) *solid.Mesh {
	whole := Link(120, 44, pin, 0)
	pocketed := whole
	pocketed.Holes = append([]geom.Loop{stadium(43, 77, 11).Reverse()}, whole.Holes...)
	m := &solid.Mesh{}
	bottom, upper := whole.Flatten(tol), pocketed.Flatten(tol)
	for _, p := range bottom {
		addWall(m, p, 0, top)
	}
	addWall(m, upper[1], floor, top)
	addCap(m, bottom, 0, false)
	addCap(m, upper, top, true)
	ground := slices.Clone(upper[1])
	slices.Reverse(ground)
	addCap(m, geom.Polygons{ground}, floor, true)
	return m
}

// triangulate cuts polygons with holes into triangles by index into their
// points in order: holes are bridged to the outline, ears cut off.
func triangulate(polys geom.Polygons) [][3]int32 {
	var flat []geom.Point
	rings := make([][]int32, len(polys))
	for i, p := range polys {
		for range p {
			rings[i] = append(rings[i], int32(len(flat)+len(rings[i])))
		}
		flat = append(flat, p...)
	}
	ring, holes := rings[0], rings[1:]
	for len(holes) > 0 { // the hole that reaches furthest right first: its bridge meets no other
		best := 0
		for i, h := range holes {
			if flat[rightmost(flat, h)].X > flat[rightmost(flat, holes[best])].X {
				best = i
			}
		}
		ring = bridge(flat, ring, holes[best])
		holes = append(holes[:best:best], holes[best+1:]...)
	}
	return ears(flat, ring)
}

func rightmost(flat []geom.Point, ring []int32) int32 {
	best := ring[0]
	for _, v := range ring {
		if flat[v].X > flat[best].X {
			best = v
		}
	}
	return best
}

// bridge splices a hole into a ring over the shortest diagonal from its
// rightmost corner that nothing crosses.
func bridge(flat []geom.Point, ring, hole []int32) []int32 {
	from := rightmost(flat, hole)
	p := flat[from]
	best := -1
	for i, v := range ring {
		if best >= 0 && p.Dist(flat[ring[best]]) <= p.Dist(flat[v]) {
			continue
		}
		if flat[v].X >= p.X && clear(flat, ring, p, flat[v]) {
			best = i
		}
	}
	start := 0
	for hole[start] != from {
		start++
	}
	var out []int32
	out = append(out, ring[:best+1]...)
	out = append(out, hole[start:]...)
	out = append(out, hole[:start]...)
	out = append(out, from)
	return append(out, ring[best:]...)
}

func clear(flat []geom.Point, ring []int32, p, q geom.Point) bool {
	for i, v := range ring {
		a, b := flat[v], flat[ring[(i+1)%len(ring)]]
		if a == q || b == q || a == p || b == p {
			continue
		}
		if geom.Orient(a, b, p)*geom.Orient(a, b, q) <= 0 && geom.Orient(p, q, a)*geom.Orient(p, q, b) <= 0 {
			return false
		}
	}
	return true
}

// ears cuts a ring, bridges walked twice, into triangles.
func ears(flat []geom.Point, ring []int32) [][3]int32 {
	left := append([]int32(nil), ring...)
	var out [][3]int32
	for at, tries := 0, 0; len(left) > 3 && tries <= len(left); {
		n := len(left)
		i, k, l := (at+n-1)%n, at%n, (at+1)%n
		if ear(flat, left, left[i], left[k], left[l]) {
			out = append(out, [3]int32{left[i], left[k], left[l]})
			left = append(left[:k:k], left[k+1:]...)
			at, tries = k, 0
			continue
		}
		at, tries = l, tries+1
	}
	return append(out, [3]int32{left[0], left[1], left[2]})
}

func ear(flat []geom.Point, left []int32, i, k, l int32) bool {
	a, b, c := flat[i], flat[k], flat[l]
	if geom.Orient(a, b, c) <= 0 {
		return false
	}
	for _, v := range left {
		q := flat[v]
		if q != a && q != b && q != c && geom.Orient(a, b, q) >= 0 && geom.Orient(b, c, q) >= 0 && geom.Orient(c, a, q) >= 0 {
			return false
		}
	}
	return true
}

// Sphere returns a sphere of n meridians and n/2 parallels, corners on it.
func Sphere(center solid.Point, radius float64, n int) *solid.Mesh {
	rings := n / 2
	return revolve(n, rings+1, false, func(u, v float64) solid.Point {
		sin, cos := math.Sincos(2 * math.Pi * u)
		s, c := math.Sincos(math.Pi * v)
		return center.Add(solid.Point{X: radius * s * cos, Y: radius * s * sin, Z: -radius * c})
	})
}

// Torus returns a torus around the z axis, corners on it.
func Torus(radius, tube float64, n int) *solid.Mesh {
	return revolve(n, n, true, func(u, v float64) solid.Point {
		sin, cos := math.Sincos(2 * math.Pi * u)
		s, c := math.Sincos(2 * math.Pi * v)
		r := radius + tube*s
		return solid.Point{X: r * cos, Y: r * sin, Z: -tube * c}
	})
}

// revolve builds a closed surface of nu × nv corners; ring says whether v
// closes on itself, else its ends are poles.
func revolve(nu, nv int, ring bool, at func(u, v float64) solid.Point) *solid.Mesh {
	m := &solid.Mesh{}
	steps := nv
	if !ring {
		steps = nv - 1
	}
	id := func(i, k int) int32 {
		i %= nu
		if ring {
			k %= nv
		} else if k == 0 || k == nv-1 {
			i = 0
		}
		return int32(k*nu + i)
	}
	for k := range nv {
		for i := range nu {
			m.Points = append(m.Points, at(float64(i)/float64(nu), float64(k)/float64(steps)))
		}
	}
	for k := range steps {
		for i := range nu {
			a, b, c, d := id(i, k), id(i+1, k), id(i+1, k+1), id(i, k+1)
			if a != b {
				m.Tris = append(m.Tris, [3]int32{a, b, c})
			}
			if c != d {
				m.Tris = append(m.Tris, [3]int32{a, c, d})
			}
		}
	}
	return m
}

// ThreeMF writes a mesh as a 3MF package in mm, every digit of its corners
// kept; the same mesh gives the same bytes.
func ThreeMF(m *solid.Mesh) []byte {
	var model bytes.Buffer
	model.WriteString(`<?xml version="1.0" encoding="UTF-8"?>` + "\n" +
		`<model unit="millimeter" xml:lang="en" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">` + "\n" +
		`<resources><object id="1" type="model"><mesh><vertices>` + "\n")
	for _, p := range m.Points {
		fmt.Fprintf(&model, "<vertex x=\"%v\" y=\"%v\" z=\"%v\"/>\n", p.X, p.Y, p.Z)
	}
	model.WriteString("</vertices><triangles>\n")
	for _, t := range m.Tris {
		fmt.Fprintf(&model, "<triangle v1=\"%d\" v2=\"%d\" v3=\"%d\"/>\n", t[0], t[1], t[2])
	}
	model.WriteString(`</triangles></mesh></object></resources><build><item objectid="1"/></build></model>` + "\n")
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, part := range [][2]string{
		{"[Content_Types].xml", `<?xml version="1.0" encoding="UTF-8"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>`},
		{"_rels/.rels", `<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/3D/part.model" Id="model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>`},
		{"3D/part.model", model.String()},
	} {
		w, err := z.Create(part[0])
		if err == nil {
			_, err = w.Write([]byte(part[1]))
		}
		if err != nil {
			panic("shapes: " + err.Error()) // writing to memory does not fail
		}
	}
	if err := z.Close(); err != nil {
		panic("shapes: " + err.Error())
	}
	return out.Bytes()
}
