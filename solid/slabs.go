package solid

import (
	"fmt"
	"math"

	"sinew/geom"
)

// Slab is a stretch of layers with one outline.
type Slab struct {
	First, Last int // layers, by index into the sections
	Bottom, Top float64
	Regions     []geom.Region
	Recovered   Recovered
}

// Area returns the area of the slab's regions.
func (s *Slab) Area() float64 {
	sum := 0.0
	for _, r := range s.Regions {
		sum += r.Area()
	}
	return sum
}

// Polygons returns the slab's regions with arcs cut into chords within tol.
func (s *Slab) Polygons(tol float64) geom.Polygons {
	var out geom.Polygons
	for _, r := range s.Regions {
		out = append(out, r.Flatten(tol)...)
	}
	return out
}

// sameOutline is how far outlines of layers may differ, as area over length of
// outline, and count as the same: below what a printer can place. mm.
const sameOutline = 0.02

// Slabs joins consecutive sections with the same outline; tops are the heights
// at which the layers end, bottom is where the first begins. Empty sections at
// the top are left out; one further down is an error: the part falls apart.
func Slabs(sections []Section, bottom float64, tops []float64) ([]Slab, error) {
	if len(sections) != len(tops) {
		panic("solid: as many sections as tops are needed")
	}
	n := len(sections)
	for n > 0 && len(sections[n-1].Loops) == 0 {
		n--
	}
	if n == 0 {
		return nil, &Fault{"layer stack that meets no material", "check the part's height and the layers'", 1, Point{Z: bottom}}
	}
	var out []Slab
	for i := range n {
		s := &sections[i]
		if len(s.Loops) == 0 {
			return nil, &Fault{"layers without material between others", "the part falls into pieces above one another: print them apart", 1, Point{Z: s.Z}}
		}
		low := bottom
		if i > 0 {
			low = tops[i-1]
		}
		if k := len(out) - 1; k >= 0 && same(&sections[out[k].First], s) {
			out[k].Last, out[k].Top = i, tops[i]
			continue
		}
		out = append(out, Slab{First: i, Last: i, Bottom: low, Top: tops[i]})
	}
	for k := range out {
		out[k].Regions, out[k].Recovered = sections[out[k].First].Regions()
	}
	return out, nil
}

// same reports whether two sections have the same outline.
func same(a, b *Section) bool {
	if alike(a.Loops, b.Loops) {
		return true
	}
	p, q := a.Polygons(), b.Polygons()
	length := 0.0
	for _, l := range p {
		length += geom.Path{Points: l, Closed: true}.Length()
	}
	slack := sameOutline * length
	if math.Abs(p.Area()-q.Area()) > slack {
		return false
	}
	return p.Subtract(q).Area()+q.Subtract(p).Area() <= slack
}

// alike compares loop by loop, corner by corner, in order: upright walls give
// that from layer to layer.
func alike(a, b []Chain) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		p, q := a[i].Points, b[i].Points
		if len(p) != len(q) {
			return false
		}
		shift := 0
		for k := range q {
			if q[k].Dist(p[0]) < q[shift].Dist(p[0]) {
				shift = k
			}
		}
		for k := range p {
			if p[k].Dist(q[(k+shift)%len(q)]) > arcTolerance {
				return false
			}
		}
	}
	return true
}

// Plan returns the area over which any slab holds material: the regions of the
// first slab that contains all others, edge by edge, if there is one; else their
// union.
func Plan(slabs []Slab) []geom.Region {
	flat := make([]geom.Polygons, len(slabs))
	length := make([]float64, len(slabs))
	for k := range slabs {
		flat[k] = slabs[k].Polygons(arcTolerance)
		for _, r := range slabs[k].Regions {
			length[k] += r.Length()
		}
	}
	for k := range slabs {
		holds := true
		for o := range slabs {
			holds = holds && (o == k || flat[o].Subtract(flat[k]).Area() <= sameOutline*length[o])
		}
		if holds {
			return slabs[k].Regions
		}
	}
	var all geom.Polygons
	for _, p := range flat {
		all = all.Union(p)
	}
	s := Section{}
	for _, p := range all {
		if c := (Chain{Points: p, Tris: make([]int32, len(p))}).clean(); c.Points != nil {
			s.Loops = append(s.Loops, c)
		}
	}
	regions, _ := s.Regions()
	return regions
}

// Inclined returns the share of the surface that is neither level nor upright:
// what layers can only follow in steps.
func (m *Mesh) Inclined() float64 {
	inclined, all := 0.0, 0.0
	for t := range m.Tris {
		n := m.normal(t)
		area := n.Norm()
		all += area
		if rise := math.Abs(n.Z); rise > levelSlack*area && rise < (1-levelSlack)*area {
			inclined += area
		}
	}
	if all == 0 {
		return 0
	}
	return inclined / all
}

// levelSlack: a face counts as upright within 0.6° and as level within 8°, so
// that the rounding of files and draft of a tenth of a millimetre do not matter.
const levelSlack = 0.01

// String gives "0 to 4 mm: 1 region, 1234.5 mm²".
func (s *Slab) String() string {
	word := "regions"
	if len(s.Regions) == 1 {
		word = "region"
	}
	return fmt.Sprintf("%s to %s mm: %d %s, %.6g mm²", shown(s.Bottom), shown(s.Top), len(s.Regions), word, s.Area())
}
