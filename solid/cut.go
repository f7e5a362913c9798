package solid

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sort"
	"sync"

	"sinew/geom"
)

// CutSettings steers Cut. The zero value holds the defaults.
type CutSettings struct {
	Workers int         // default one for each processor. The answer does not depend on it
	Cancel  func() bool // asked now and then; Cut then returns an error
}

// Section is what one plane cuts out of a solid.
type Section struct {
	Z     float64
	Loops []Chain // outlines counter-clockwise, holes clockwise; none cross
	// Joined: loops crossed or touched each other, and what is wound around at
	// least once was taken. At is where they met, Overlap how much area was wound
	// around more than once, mm².
	Joined  bool
	At      geom.Point
	Overlap float64
}

// Chain is one closed loop of a section.
type Chain struct {
	Points geom.Polygon
	// Tris names for each side, from its point to the next, the triangle it was
	// cut from; nil where loops were joined.
	Tris []int32
}

// Area returns the area of the section.
func (s *Section) Area() float64 { return s.Polygons().Area() }

// Polygons returns the loops without their origin.
func (s *Section) Polygons() geom.Polygons {
	out := make(geom.Polygons, len(s.Loops))
	for i, l := range s.Loops {
		out[i] = l.Points
	}
	return out
}

// maxHeights bounds the planes of one call.
const maxHeights = 100_000

// maxCrossed bounds triangles times planes that cross them: 4 bytes each.
const maxCrossed = 200_000_000

// Cut returns the sections at the heights, which must rise. A section at a
// height that meets no triangle is empty. Overlapping bodies are joined, noted
// in the sections; a place that the surface winds around the wrong way is a
// [Fault].
func Cut(s *Solid, heights []float64, set CutSettings) ([]Section, error) {
	if len(heights) > maxHeights {
		return nil, fmt.Errorf("%d heights, more than %d; take higher layers", len(heights), maxHeights)
	}
	for i, z := range heights {
		if math.IsNaN(z) || math.IsInf(z, 0) || i > 0 && !(z > heights[i-1]) {
			return nil, fmt.Errorf("height %d is %g mm; give finite, rising heights", i+1, z)
		}
	}
	b, err := newBuckets(&s.Mesh, heights)
	if err != nil {
		return nil, err
	}
	workers := set.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	out := make([]Section, len(heights))
	faults := make([]error, len(heights))
	var wait sync.WaitGroup
	for w := range min(workers, len(heights)) {
		wait.Go(func() {
			c := cutter{solid: s, place: make([]int32, len(s.Tris))}
			for k := w; k < len(heights); k += workers {
				if set.Cancel != nil && set.Cancel() {
					return
				}
				out[k], faults[k] = c.section(heights[k], b.of(k))
			}
		})
	}
	wait.Wait()
	if set.Cancel != nil && set.Cancel() {
		return nil, errors.New("cutting was cancelled")
	}
	for _, err := range faults {
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

// buckets lists for each height the triangles that its plane crosses.
type buckets struct {
	first []int
	tris  []int32
}

func (b *buckets) of(k int) []int32 { return b.tris[b.first[k]:b.first[k+1]] }

func newBuckets(m *Mesh, heights []float64) (*buckets, error) {
	b := &buckets{first: make([]int, len(heights)+1)}
	span := func(t [3]int32) (from, to int) {
		z0, z1, z2 := m.Points[t[0]].Z, m.Points[t[1]].Z, m.Points[t[2]].Z
		lo, hi := min(z0, z1, z2), max(z0, z1, z2)
		from = sort.Search(len(heights), func(i int) bool { return heights[i] > lo })
		for to = from; to < len(heights) && heights[to] <= hi; to++ {
		}
		return from, to
	}
	total := 0
	for _, t := range m.Tris {
		from, to := span(t)
		for k := from; k < to; k++ {
			b.first[k+1]++
		}
		if total += to - from; total > maxCrossed {
			return nil, fmt.Errorf("more than %d triangles are cut; take higher layers or a coarser surface", maxCrossed)
		}
	}
	for k := range heights {
		b.first[k+1] += b.first[k]
	}
	b.tris = make([]int32, total)
	fill := slices.Clone(b.first)
	for i, t := range m.Tris {
		from, to := span(t)
		for k := from; k < to; k++ {
			b.tris[fill[k]] = int32(i)
			fill[k]++
		}
	}
	return b, nil
}

// cutter makes sections one after the other.
type cutter struct {
	solid *Solid
	place []int32 // per triangle: 1 while its side waits to be walked, else 0
	grid  crossGrid
}

// section follows the plane from triangle to triangle. Each crossed triangle
// has one half edge that runs up through the plane: the section leaves it
// there and enters the twin's triangle. The solid lies to the left.
func (c *cutter) section(z float64, tris []int32) (Section, error) {
	out := Section{Z: z}
	for _, t := range tris {
		c.place[t] = 1
	}
	for _, start := range tris {
		if c.place[start] == 0 {
			continue
		}
		var l Chain
		for t := start; c.place[t] == 1; {
			c.place[t] = 0
			h := c.exit(t, z)
			l.Points = append(l.Points, c.point(h, z))
			t = c.solid.twin[h] / 3
			l.Tris = append(l.Tris, t)
		}
		if l = l.clean(); l.Points != nil {
			out.Loops = append(out.Loops, l)
		}
	}
	at, met := c.grid.meet(out.Loops)
	if !met {
		return out, nil
	}
	return joined(out, at)
}

// exit returns the half edge from below the plane to above it.
func (c *cutter) exit(t int32, z float64) int32 {
	m := &c.solid.Mesh
	for k := range int32(3) {
		h := 3*t + k
		if m.Points[m.from(h)].Z < z && m.Points[m.to(h)].Z >= z {
			return h
		}
	}
	panic("solid: a crossed triangle without an edge that runs up")
}

// point returns where an edge that runs up meets the plane.
func (c *cutter) point(h int32, z float64) geom.Point {
	m := &c.solid.Mesh
	lo, hi := m.Points[m.from(h)], m.Points[m.to(h)]
	if hi.Z == z {
		return hi.plan()
	}
	return lo.plan().Lerp(hi.plan(), (z-lo.Z)/(hi.Z-lo.Z))
}

// leastArea is the area in mm² under which a loop counts as none: what is left
// where a plane grazes a corner or an edge.
const leastArea = 1e-6

// clean drops corners that lie on the line through their neighbours, within
// [geom.Tolerance]: flat faces are cut from many triangles. A loop without area
// comes back empty.
func (l Chain) clean() Chain {
	n := len(l.Points)
	var out Chain
	for i, p := range l.Points {
		if k := len(out.Points); k > 0 && straight(out.Points[k-1], p, l.Points[(i+1)%n]) {
			out.Tris[k-1] = l.Tris[i]
			continue
		}
		out.Points, out.Tris = append(out.Points, p), append(out.Tris, l.Tris[i])
	}
	for k := len(out.Points); k > 2 && straight(out.Points[k-1], out.Points[0], out.Points[1]); k-- {
		out.Tris[k-1] = out.Tris[0]
		out.Points, out.Tris = out.Points[1:], out.Tris[1:]
	}
	if len(out.Points) < 3 || math.Abs(out.Points.Area()) < leastArea {
		return Chain{}
	}
	return out
}

// straight reports whether b adds nothing between a and c.
func straight(a, b, c geom.Point) bool {
	u, v := b.Sub(a), c.Sub(a)
	n := v.Norm()
	if u.Norm() <= geom.Tolerance || n <= geom.Tolerance {
		return u.Norm() <= geom.Tolerance
	}
	return math.Abs(v.Cross(u)) <= geom.Tolerance*n
}

// most area that rounding may account for, mm² per mm of side.
const roundedArea = 1e-5

// joined takes what the loops wind around at least once.
func joined(s Section, at geom.Point) (Section, error) {
	raw := s.Polygons()
	length := 0.0
	for _, p := range raw {
		length += geom.Path{Points: p, Closed: true}.Length()
	}
	slack := roundedArea * length
	backwards := make(geom.Polygons, len(raw))
	for i, p := range raw {
		backwards[i] = slices.Clone(p)
		slices.Reverse(backwards[i])
	}
	if wrong := backwards.Wound(); wrong.Area() > slack {
		p := wrong[0][0]
		return s, &Fault{fmt.Sprintf("place in the section at z = %s mm where the surface lies inside out", shown(s.Z)), "the surface crosses itself there: remodel it", 1, Point{p.X, p.Y, s.Z}}
	}
	area := raw.Area()
	s.Loops = nil
	for _, p := range raw.Wound() {
		if math.Abs(p.Area()) >= leastArea {
			s.Loops = append(s.Loops, Chain{Points: p})
		}
	}
	s.Overlap = max(0, area-s.Area())
	if s.Overlap <= slack {
		s.Overlap = 0
	}
	s.Joined, s.At = true, at
	return s, nil
}
