package strand

import (
	"math"
	"slices"

	"sinew/geom"
)

// Stats sums up the strands of a layer or of a print.
type Stats struct {
	Count     int     // of strands
	Closed    int     // of them closed
	Cuts      int     // one at the end of each strand
	Pull      float64 // of the tow inwards at bends, off the nozzle's path, at most, mm
	Turned    int     // half-turns that join ends of strands: cuts saved
	Length    float64 // mm, overlaps included
	Shortest  float64 // mm, 0 without strands
	MinRadius float64 // mm, see Radii; +Inf where all run straight
	MinAt     geom.Point
	CutByHole int     // strand ends at inner loops
	Turning   float64 // sum of the sizes of all turning angles, rad
	// Width percentiles over the length of the strands, mm: least, 0.5 %,
	// 50 %, 99.5 %, greatest.
	Width [5]float64
	// WithinLimits is the share of the strands' length whose bead width lies
	// within the printer's limits, a twentieth below the lower one allowed for.
	WithinLimits float64
	Travel       float64 // from strand to strand, mm
}

// widthSlack is the share by which a bead may fall below the least spacing
// and still count as within: the nozzle irons a neighbour's edge by as much.
const widthSlack = 0.05

// Stats sums up one layer.
func (l *Layer) Stats(pr *Print) Stats { return statsOf(pr, []*Layer{l}) }

// Stats sums up the print.
func (pr *Print) Stats() Stats {
	var all []*Layer
	for i := range pr.Layers {
		all = append(all, &pr.Layers[i])
	}
	return statsOf(pr, all)
}

func statsOf(pr *Print, layers []*Layer) Stats {
	st := Stats{Shortest: math.Inf(1), MinRadius: math.Inf(1)}
	var w weighted
	for _, l := range layers {
		st.Turned += l.Turned
		st.Pull = math.Max(st.Pull, l.Pull)
		for i := range l.Strands {
			st.add(&l.Strands[i])
			w.add(&l.Strands[i])
			if i > 0 {
				last := l.Strands[i-1].Points
				st.Travel += last[len(last)-1].Dist(l.Strands[i].Points[0])
			}
		}
	}
	if st.Count == 0 {
		st.Shortest = 0
	}
	st.Width = w.percentiles([5]float64{0, 0.005, 0.5, 0.995, 1})
	st.WithinLimits = w.within(pr.SpacingMin*(1-widthSlack), pr.SpacingMax)
	return st
}

func (st *Stats) add(s *Strand) {
	st.Count++
	st.Cuts++
	if s.Closed {
		st.Closed++
	}
	n := s.Length()
	st.Length += n
	st.Shortest = math.Min(st.Shortest, n)
	for i, r := range s.Radii() {
		if r < st.MinRadius {
			st.MinRadius, st.MinAt = r, s.Points[i]
		}
	}
	if !s.Closed {
		for _, loop := range [2]int{s.StartLoop, s.EndLoop} {
			if loop > 0 {
				st.CutByHole++
			}
		}
	}
	st.Turning += s.Turning()
}

// Turning returns the sum of the sizes of the strand's turning angles, rad.
func (s *Strand) Turning() float64 { return geom.Path{Points: s.Points}.TotalTurning() }

// LeastRadius returns the least of its Radii.
func (s *Strand) LeastRadius() float64 { return tightest(s.Radii()) }

// Radii returns the bend radius at each point of the strand: that of the
// circle through the point and the points 1 mm of strand before and after it,
// +Inf where they lie in line and nearer than that to an open strand's ends.
// The window is longer than the sampling, whose noise it levels, and short
// against the radii a tow can follow.
func (s *Strand) Radii() []float64 {
	once := s.Once()
	step := polyLength(once) / float64(max(1, len(once)-1))
	k := bends(once, s.Closed, step)
	out := make([]float64, len(s.Points))
	for i := range out {
		j := i
		if i >= len(k) {
			j = i - len(k) + 1 // the overlap lies on the start
		}
		out[i] = 1 / math.Abs(k[j])
	}
	return out
}

// weighted holds values with the length of strand each stands for.
type weighted struct {
	list  []weightedValue
	total float64
}

type weightedValue struct{ v, w float64 }

func (x *weighted) add(s *Strand) {
	for i, v := range s.Width {
		n := 0.0
		if i > 0 {
			n += s.Points[i].Dist(s.Points[i-1]) / 2
		}
		if i+1 < len(s.Points) {
			n += s.Points[i].Dist(s.Points[i+1]) / 2
		}
		x.list = append(x.list, weightedValue{v, n})
		x.total += n
	}
}

func (x *weighted) percentiles(at [5]float64) (out [5]float64) {
	slices.SortFunc(x.list, func(a, b weightedValue) int {
		switch {
		case a.v < b.v:
			return -1
		case a.v > b.v:
			return 1
		}
		return 0
	})
	k, sum := 0, 0.0
	for _, e := range x.list {
		sum += e.w
		for k < len(at) && sum >= at[k]*x.total {
			out[k] = e.v
			k++
		}
	}
	for ; k < len(at) && len(x.list) > 0; k++ {
		out[k] = x.list[len(x.list)-1].v
	}
	return out
}

func (x *weighted) within(lo, hi float64) float64 {
	if x.total == 0 {
		return 1
	}
	sum := 0.0
	for _, e := range x.list {
		if e.v >= lo && e.v <= hi+widthRounding {
			sum += e.w
		}
	}
	return sum / x.total
}

// widthRounding, mm, bounds the rounding of a sum of two half-beads.
const widthRounding = 1e-9
