package part

import (
	"fmt"
	"math"

	"sinew/geom"
)

// Slab is a stretch of height over which a part keeps its outline.
type Slab struct {
	Bottom, Top float64       // mm, from the part's lowest point
	Regions     []geom.Region // within the part's Region
}

// Contains reports whether the slab holds material over a point of the plan.
func (s *Slab) Contains(p geom.Point) bool {
	for _, r := range s.Regions {
		if r.Contains(p) {
			return true
		}
	}
	return false
}

// ThicknessAt returns how much material lies over a point of the plan, mm: all
// of the part's thickness where its outline does not change with height.
func (p *Part) ThicknessAt(at geom.Point) float64 {
	if len(p.Slabs) == 0 {
		return p.Thickness
	}
	sum := 0.0
	for i := range p.Slabs {
		if s := &p.Slabs[i]; s.Contains(at) {
			sum += s.Top - s.Bottom
		}
	}
	return sum
}

// MiddleAt returns the mean height of the material over a point of the plan of a
// part with slabs, mm from its lowest point; ok is false where there is none.
func (p *Part) MiddleAt(at geom.Point) (z float64, ok bool) {
	sum, height := 0.0, 0.0
	for i := range p.Slabs {
		if s := &p.Slabs[i]; s.Contains(at) {
			h := s.Top - s.Bottom
			sum, height = sum+h*(s.Top+s.Bottom)/2, height+h
		}
	}
	if height == 0 {
		return 0, false
	}
	return sum / height, true
}

// faceDepth, mm, is how far inside an edge its face's height is looked up: well
// over the rounding of outlines, well under anything that is printed.
const faceDepth = 0.01

// FaceThickness returns the height of the face along a feature, mm: the mean
// over its edges, looked up a hundredth of a millimetre inside.
func (p *Part) FaceThickness(feature int) float64 {
	if len(p.Slabs) == 0 {
		return p.Thickness
	}
	return p.alongFace(feature, p.ThicknessAt)
}

// FaceMiddle returns how far the middle of the face along a feature lies above
// the middle of the part's thickness, mm: the mean over its edges.
func (p *Part) FaceMiddle(feature int) float64 {
	if len(p.Slabs) == 0 {
		return 0
	}
	return p.alongFace(feature, func(at geom.Point) float64 {
		z, ok := p.MiddleAt(at)
		if !ok {
			return 0
		}
		return z - p.Thickness/2
	})
}

// alongFace returns the mean of a quantity beside the edges of a feature.
func (p *Part) alongFace(feature int, of func(geom.Point) float64) float64 {
	f := &p.Features[feature]
	loop := p.Region.Loops()[f.Loop]
	edges := f.Edges
	if f.Kind == Hole {
		edges = make([]int, len(loop))
		for i := range edges {
			edges[i] = i
		}
	}
	const places = 8 // along an edge
	sum, length := 0.0, 0.0
	for _, i := range edges {
		e := loop[i]
		for k := range places {
			t := (float64(k) + 0.5) / places
			at := e.At(t).Add(e.Tangent(t).Left().Scale(faceDepth))
			sum += of(at) * e.Length() / places
			length += e.Length() / places
		}
	}
	return sum / length
}

// slabs checks that slabs lie on each other and fill the thickness.
func (v *validator) slabs() {
	z := 0.0
	for i := range v.part.Slabs {
		s := &v.part.Slabs[i]
		at := place{fmt.Sprintf("slab[%d]", i), fmt.Sprintf("slab %d", i+1)}
		if math.Abs(s.Bottom-z) > heightSlack || !(s.Top > s.Bottom) {
			v.add(at, fmt.Sprintf("runs from %g to %g mm, after %g mm", s.Bottom, s.Top, z), "let slabs rise and touch")
		}
		if len(s.Regions) == 0 {
			v.add(at, "has no region", "leave it out")
		}
		z = s.Top
	}
	if len(v.part.Slabs) > 0 && math.Abs(z-v.part.Thickness) > heightSlack {
		v.add(place{"slab", "slabs"}, fmt.Sprintf("reach %g mm of %g mm", z, v.part.Thickness), "let them fill the thickness")
	}
}

// heightSlack, mm, is what sums of layer heights may be off: as much as a
// stack may miss a thickness.
const heightSlack = 0.01
