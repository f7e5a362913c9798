package proof

import (
	"sort"

	"sinew/geom"
	"sinew/part"
	"sinew/strand"
)

// presence knows at which points of the plan each height holds material, in a
// part whose outline changes with height. Without slabs all do, everywhere.
type presence struct {
	slabs  []part.Slab
	inside [][]bool // slab, point
	size   int
	// composite and covers are the middle heights of the print's layers.
	composite, covers []float64
}

func newPresence(p *part.Part, pr *strand.Print, points []geom.Point) presence {
	s := presence{slabs: p.Slabs, size: len(points)}
	for i := range s.slabs {
		in := make([]bool, len(points))
		for k, at := range points {
			in[k] = s.slabs[i].Contains(at)
		}
		s.inside = append(s.inside, in)
	}
	if pr == nil {
		return s
	}
	for i := range pr.Layers {
		l := &pr.Layers[i]
		if middle := l.Z - l.Height/2; l.Kind == strand.Composite {
			s.composite = append(s.composite, middle)
		} else {
			s.covers = append(s.covers, middle)
		}
	}
	return s
}

// over returns per point the share of the heights that hold material there;
// nil: all do everywhere.
func (s *presence) over(heights []float64) []float64 {
	if len(s.slabs) == 0 || len(heights) == 0 {
		return nil
	}
	out := make([]float64, s.size)
	for _, z := range heights {
		k := sort.Search(len(s.slabs)-1, func(i int) bool { return s.slabs[i].Top > z })
		for p, in := range s.inside[k] {
			if in {
				out[p] += 1 / float64(len(heights))
			}
		}
	}
	return out
}

// at reports whether a height holds material at a point.
func (s *presence) at(z float64, point int) bool {
	if len(s.slabs) == 0 {
		return true
	}
	k := sort.Search(len(s.slabs)-1, func(i int) bool { return s.slabs[i].Top > z })
	return s.inside[k][point]
}

// layers is over for composite layers by index.
func (s *presence) layers(list []int) []float64 {
	if len(s.composite) == 0 {
		return nil
	}
	heights := make([]float64, len(list))
	for i, k := range list {
		heights[i] = s.composite[k]
	}
	return s.over(heights)
}

// whole returns per point the share of the part's thickness that is there.
func (s *presence) whole() []float64 {
	if len(s.slabs) == 0 {
		return nil
	}
	total := s.slabs[len(s.slabs)-1].Top
	out := make([]float64, s.size)
	for k := range s.slabs {
		for p, in := range s.inside[k] {
			if in {
				out[p] += (s.slabs[k].Top - s.slabs[k].Bottom) / total
			}
		}
	}
	return out
}

// shareAt returns how much of the ply's thickness is there at a point.
func (y *ply) shareAt(point int) float64 {
	if y.share == nil {
		return 1
	}
	return y.share[point]
}

// there marks the points at which the ply holds anything; nil: all.
func (y *ply) there() []bool {
	if y.share == nil {
		return nil
	}
	out := make([]bool, len(y.share))
	for p, s := range y.share {
		out[p] = s > 0
	}
	return out
}
