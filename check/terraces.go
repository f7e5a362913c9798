package check

import (
	"fmt"
	"math"

	"sinew/geom"
	"sinew/part"
)

// Limits of the rules on parts whose outline changes with height.
const (
	// flattenSlabs is how far chords may lie off the arcs of outlines, mm.
	flattenSlabs = 1e-3
	// besideEdge, mm, is how far beside an edge heights are looked up.
	besideEdge = 0.01
	// planeStep, mm, is the step of the middle plane from which bending is worth
	// a word: a layer's height or so.
	planeStep = 0.2
	// mostSlabs is the number of outlines above one another from which a part is
	// a body, not a plate with steps.
	mostSlabs = 8
)

func terraceRules() []Rule {
	return []Rule{
		{"not-plate-like", Stop, "the outline changes at more than seven heights: the part is no plate with steps", "divide the part, or simplify it", notPlate},
		{"offset-plane", Warn, "the middle plane steps where the outline changes with height; bending from that is not in the analysis", "ask for analysis.bending, or step the part alike on both sides", offsetPlane},
	}
}

func polygonsOf(s *part.Slab) (polys geom.Polygons, length float64) {
	for _, r := range s.Regions {
		polys = append(polys, r.Flatten(flattenSlabs)...)
		length += r.Length()
	}
	return polys, length
}

// layerAbove returns the index of the layer that starts at a height, -1 if
// unknown.
func layerAbove(in Input, z float64) int {
	if in.Print == nil {
		return -1
	}
	for _, l := range in.Print.Layers {
		if l.Z-l.Height/2 > z {
			return l.Index
		}
	}
	return -1
}

func notPlate(in Input) []Finding {
	if in.Part == nil || len(in.Part.Slabs) <= mostSlabs {
		return nil
	}
	p := in.Part.Region.Bounds().Middle()
	return []Finding{{Severity: unset, Layer: -1, X: p.X, Y: p.Y, Count: len(in.Part.Slabs),
		What: fmt.Sprintf("the part has %d outlines above one another; the analysis is that of a plate", len(in.Part.Slabs))}}
}

// offsetPlane finds the greatest step of the middle plane, edge by edge of all
// outlines.
func offsetPlane(in Input) []Finding {
	if in.Part == nil || len(in.Part.Slabs) == 0 || in.Bending {
		return nil
	}
	worst, at, count := 0.0, geom.Point{}, 0
	for k := range in.Part.Slabs {
		for _, r := range in.Part.Slabs[k].Regions {
			for _, l := range r.Loops() {
				for _, e := range l {
					mid, side := e.At(0.5), e.Tangent(0.5).Left().Scale(besideEdge)
					inner, ok := in.Part.MiddleAt(mid.Add(side))
					outer, there := in.Part.MiddleAt(mid.Sub(side))
					step := math.Abs(inner - outer)
					if !ok || !there || step < planeStep {
						continue
					}
					count++
					if step > worst {
						worst, at = step, mid
					}
				}
			}
		}
	}
	if count == 0 {
		return nil
	}
	return []Finding{{Severity: unset, Layer: -1, X: at.X, Y: at.Y, Count: count,
		What: fmt.Sprintf("the middle plane steps by %.3g mm; force that crosses the step bends the part, which the analysis leaves out", worst)}}
}
