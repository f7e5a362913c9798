package mesh

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"sinew/geom"
)

// Generate cuts the region into six-node triangles.
func Generate(r geom.Region, s Settings) (*Mesh, error) {
	if err := r.Validate(); err != nil {
		return nil, err
	}
	s, err := s.withDefaults(r)
	if err != nil {
		return nil, err
	}
	o, err := newOutline(r, s)
	if err != nil {
		return nil, err
	}
	f := &refiner{set: s, outline: o, triangulation: newTriangulation(boxAround(r.Bounds()))}
	if err := f.start(); err != nil {
		return nil, err
	}
	for again := true; again; again = f.unfold() {
		if err := f.refine(); err != nil {
			return nil, err
		}
	}
	return f.mesh(), nil
}

// boxAround returns a box that stands well clear of the region, so that its
// corners do not cut into circles near the outline.
func boxAround(b geom.Box) geom.Box { return b.Grow(b.Extent()) }

func (s Settings) withDefaults(r geom.Region) (Settings, error) {
	for _, v := range []struct {
		name  string
		value float64
	}{{"size", s.Size}, {"arc size", s.ArcSize}, {"least size", s.MinSize}, {"growth", s.Growth}, {"least angle", s.MinAngle}} {
		if !(v.value >= 0) || math.IsInf(v.value, 0) {
			return s, fmt.Errorf("mesh %s is %g: give a positive number, or 0 for the default", v.name, v.value)
		}
	}
	if s.MinAngle > mostAngle {
		return s, fmt.Errorf("least mesh angle %g°: refinement does not end above %g°; ask for less", s.MinAngle, mostAngle)
	}
	fill := func(v *float64, def float64) {
		if *v == 0 {
			*v = def
		}
	}
	fill(&s.Size, r.Bounds().Extent()/20)
	fill(&s.ArcSize, 0.1)
	fill(&s.MinSize, s.Size/50)
	fill(&s.Growth, 0.25)
	fill(&s.MinAngle, 28)
	s.MinSize = math.Min(s.MinSize, s.Size)
	if s.MaxNodes <= 0 {
		s.MaxNodes = defaultMaxNodes
	}
	return s, nil
}

const (
	// mostAngle: insertion of circumcentres and off-centres ends in practice up
	// to about 33° and not much above.
	mostAngle = 32.0

	// defaultMaxNodes keeps a size typed in the wrong unit from filling the
	// memory: about 1 GiB of mesh and working arrays.
	defaultMaxNodes = 4_000_000
)

// errCancelled is returned when Settings.Cancel asked to stop.
var errCancelled = errors.New("meshing was cancelled")

// start triangulates the outline and marks what lies inside.
func (f *refiner) start() error {
	index := make([]int32, len(f.outline.sides)) // vertex at each side's start
	for _, at := range f.insertionOrder() {
		s := f.outline.sides[at]
		p := f.outline.edges[s.edge].At(s.t0)
		v, fresh := f.insert(p)
		if !fresh {
			return fmt.Errorf("the outline passes twice through (%.6g, %.6g): part the edges there", p.X, p.Y)
		}
		index[at] = v
	}
	f.info = make([]vertexInfo, len(f.pts))
	first := int32(0)
	for i, s := range f.outline.sides {
		b := int32(i) + 1
		if i+1 == len(f.outline.sides) || f.outline.edges[f.outline.sides[i+1].edge].loop != f.outline.edges[s.edge].loop {
			b, first = first, b
		}
		f.segs = append(f.segs, segment{a: index[i], b: index[b%int32(len(index))], edge: s.edge, t0: s.t0, t1: s.t1})
		f.noteSide(int32(i), s.size)
	}
	for i := range f.segs {
		if ok, bad := f.constrain(int32(i)); !ok {
			p := f.pts[bad]
			return fmt.Errorf("the outline comes too close to itself at (%.6g, %.6g) to be meshed: widen the part there or close the gap", p.X, p.Y)
		}
	}
	f.flood()
	f.spread()
	return nil
}

// flood marks the triangles inside: those reached from the left of a boundary
// side without crossing one.
func (f *refiner) flood() {
	var stack []int32
	enter := func(at int32) {
		if !f.inside[at] {
			f.inside[at] = true
			stack = append(stack, at)
		}
	}
	for _, s := range f.segs {
		enter(s.at >> 2)
	}
	for len(stack) > 0 {
		tr := f.tris[stack[len(stack)-1]]
		stack = stack[:len(stack)-1]
		for i := range 3 {
			if tr.seg[i] == none && tr.twin[i] != none {
				enter(tr.twin[i] >> 2)
			}
		}
	}
}

// insertionOrder lists the sides along a curve that keeps neighbours together,
// so that the walk from one insertion to the next stays short.
func (f *refiner) insertionOrder() []int {
	box := geom.EmptyBox()
	keys := make([]uint64, len(f.outline.sides))
	pts := make([]geom.Point, len(keys))
	order := make([]int, len(keys))
	for i, s := range f.outline.sides {
		pts[i] = f.outline.edges[s.edge].At(s.t0)
		box = box.With(pts[i])
		order[i] = i
	}
	for i, p := range pts {
		keys[i] = hilbert(p, box)
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(keys[i], keys[j]) })
	return order
}

// hilbert returns the place of p along Hilbert's curve over the box, 2·16 bits.
func hilbert(p geom.Point, box geom.Box) uint64 {
	const bits = 16
	scale := float64(1<<bits-1) / math.Max(box.Extent(), math.SmallestNonzeroFloat64)
	x, y := uint64((p.X-box.Min.X)*scale), uint64((p.Y-box.Min.Y)*scale)
	d := uint64(0)
	for s := uint64(1) << (bits - 1); s > 0; s >>= 1 {
		rx, ry := uint64(0), uint64(0)
		if x&s != 0 {
			rx = 1
		}
		if y&s != 0 {
			ry = 1
		}
		d += s * s * (3*rx ^ ry)
		if ry == 0 {
			if rx == 1 {
				x, y = 1<<bits-1-x, 1<<bits-1-y
			}
			x, y = y, x
		}
	}
	return d
}
