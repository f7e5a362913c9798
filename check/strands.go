package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"sinew/geom"
	"sinew/internal/work"
	"sinew/strand"
)

// Limits of the rules on strands.
const (
	// lengthSlack, mm, and radiusSlack, a share, keep sampling from deciding.
	lengthSlack = 0.01
	radiusSlack = 0.02
	// sharpShare of the tow's least radius is where a bend stops the print: the
	// tow then leaves the line instead of creasing a little (common practice).
	sharpShare = 0.5
	// narrowSlack is the share of the least width by which a bead may be
	// narrower: the nozzle irons its neighbour's edge by as much.
	narrowSlack = 0.05
	// packedShare is the share of a layer's strand length that may exceed the
	// ceiling of tow before the print is stopped.
	packedShare = 0.01
	// topShare is the highest-stressed share of the part's area in which no
	// strand should end.
	topShare = 0.10
	// edgeSlack is by how much, mm, the bead at its narrowest may reach over
	// the part's edge: chords and rounding.
	edgeSlack = 0.02
)

func strandRules() []Rule {
	return []Rule{
		{"short-strand", Stop, "a strand is shorter than the way from the cutter to the nozzle", "drop it, lengthen it, or join it to a neighbour", shortStrands},
		{"sharp-bend", Stop, "a strand bends below half the tow's least radius", "smooth the field there, keep strands farther from small features, or leave out the strand", sharpBends},
		{"tight-bend", Warn, "a strand bends below the tow's least radius, but not below half of it", "smooth the field there, or take a thinner tow", tightBends},
		{"crossing", Stop, "strands cross in one layer", "put the families into layers of their own", crossings},
		{"outside-part", Stop, "a strand leaves the part, or its bead is pressed over the edge", "inset the area of the strands by half a bead", outsidePart},
		{"narrow-spacing", Warn, "strands lie nearer than the bead's least width", "widen the spacing: beads pile up there", narrow},
		{"wide-spacing", Note, "strands lie farther apart than the bead's greatest width, plain plastic lies between", "tighten the spacing if the place needs fibre", wide},
		{"tow-share", Warn, "the share of tow in the bead is over the printer's ceiling (stop where this holds for more than 1 % of the layer's strand length)", "widen the spacing or raise the layer", towShare},
		{"end-in-load", Warn, "a strand ends in the highest-stressed tenth of the part", "let it end elsewhere, or run through", endsInLoad},
		{"stacked-ends", Note, "strands inside the part end over ends of the two layers below", "lengthen the strands, lower layup.stagger, or widen the spacing there", stackedEnds},
		{"cut-by-hole", Note, "strands end at the edge of a hole", "steer them around it", cutByHole},
	}
}

// spotted collects the places of one kind in one layer and keeps the worst.
type spotted struct {
	count int
	at    geom.Point
	worst float64
}

// see records a place; the greatest badness is kept.
func (s *spotted) see(p geom.Point, badness float64) {
	s.count++
	if s.count == 1 || badness > s.worst {
		s.at, s.worst = p, badness
	}
}

// finding returns the worst place as a finding.
func (s *spotted) finding(layer int, what string) []Finding {
	if s.count == 0 {
		return nil
	}
	return []Finding{{Severity: unset, Layer: layer, X: s.at.X, Y: s.at.Y, Count: s.count, What: what}}
}

// eachLayer applies a rule to each composite layer, side by side; a rule changes
// nothing but what belongs to its layer.
func eachLayer(in Input, rule func(l *strand.Layer) []Finding) []Finding {
	if in.Print == nil {
		return nil
	}
	found := make([][]Finding, len(in.Print.Layers))
	work.Each(len(found), in.Workers, func(i int) {
		if l := &in.Print.Layers[i]; l.Kind == strand.Composite {
			found[i] = rule(l)
		}
	})
	return slices.Concat(found...)
}

func middle(s *strand.Strand) geom.Point { return s.Points[len(s.Points)/2] }

func shortStrands(in Input) []Finding {
	if in.Card == nil {
		return nil
	}
	limit := in.Card.CutterDistance
	return eachLayer(in, func(l *strand.Layer) []Finding {
		var s spotted
		for i := range l.Strands {
			if n := l.Strands[i].Length(); n < limit-lengthSlack {
				s.see(middle(&l.Strands[i]), -n)
			}
		}
		return s.finding(l.Index, fmt.Sprintf("%d strands are shorter than %.4g mm, the shortest %.4g mm", s.count, limit, -s.worst))
	})
}

func sharpBends(in Input) []Finding {
	return bends(in, 0, sharpShare)
}

func tightBends(in Input) []Finding {
	return bends(in, sharpShare*(1-radiusSlack), 1)
}

// bends finds the strands whose least radius lies between two shares of the
// tow's limit.
func bends(in Input, from, to float64) []Finding {
	if in.Card == nil {
		return nil
	}
	limit := in.Card.TowRadius
	return eachLayer(in, func(l *strand.Layer) []Finding {
		var s spotted
		for i := range l.Strands {
			r := l.Strands[i].Radii()
			k := least(r)
			if k >= 0 && r[k] >= from*limit && r[k] < to*limit*(1-radiusSlack) {
				s.see(l.Strands[i].Points[k], -r[k])
			}
		}
		return s.finding(l.Index, fmt.Sprintf("%d strands bend below %.3g mm, the tightest to %.3g mm", s.count, to*limit, -s.worst))
	})
}

func least(v []float64) int {
	best := -1
	for i := range v {
		if best < 0 || v[i] < v[best] {
			best = i
		}
	}
	return best
}

func crossings(in Input) []Finding {
	return eachLayer(in, func(l *strand.Layer) []Finding {
		var s spotted
		for _, c := range strand.Crossings(l.Strands) {
			s.see(c.At, 0)
		}
		return s.finding(l.Index, fmt.Sprintf("strands cross at %d places", s.count))
	})
}

func outsidePart(in Input) []Finding {
	if in.Part == nil {
		return nil
	}
	edge := geom.NewBoundary(in.Part.Region)
	return eachLayer(in, func(l *strand.Layer) []Finding {
		var s spotted
		for i := range l.Strands {
			if p, over := farthestOut(&l.Strands[i], in, edge); over > edgeSlack {
				s.see(p, over)
			}
		}
		return s.finding(l.Index, fmt.Sprintf("%d strands reach over the part's edge, by up to %.2g mm", s.count, s.worst))
	})
}

// farthestOut returns the point whose narrowest bead reaches farthest over the
// edge, and by how much.
func farthestOut(st *strand.Strand, in Input, edge *geom.Boundary) (at geom.Point, over float64) {
	over = math.Inf(-1)
	for _, p := range st.Points {
		n := edge.Nearest(p)
		d := n.Distance
		if !in.Part.Region.Contains(p) {
			d = -d
		}
		if o := in.Print.SpacingMin/2 - d; o > over {
			at, over = p, o
		}
	}
	return at, over
}

func narrow(in Input) []Finding {
	if in.Card == nil {
		return nil
	}
	limit := in.Card.SpacingMin
	return eachLayer(in, func(l *strand.Layer) []Finding {
		s, length := widths(l, func(w float64) float64 { return limit*(1-narrowSlack) - w })
		return s.finding(l.Index, fmt.Sprintf("beads need %.3g mm, but %.0f mm of %d strands have less, at worst %.3g mm", limit, length, s.count, limit*(1-narrowSlack)-s.worst))
	})
}

func wide(in Input) []Finding {
	if in.Card == nil {
		return nil
	}
	limit := in.Card.SpacingMax
	return eachLayer(in, func(l *strand.Layer) []Finding {
		s, length := widths(l, func(w float64) float64 { return w - limit + cappedSlack })
		return s.finding(l.Index, fmt.Sprintf("%.0f mm of %d strands have neighbours farther off than beads of %.3g mm reach", length, s.count, limit))
	})
}

// cappedSlack, mm: a width this near to the greatest was held there.
const cappedSlack = 1e-6

// widths finds the strands with a width whose excess is positive, and the
// length of strand for which it is.
func widths(l *strand.Layer, excess func(w float64) float64) (s spotted, length float64) {
	for i := range l.Strands {
		st := &l.Strands[i]
		worst, at := 0.0, -1
		for k, w := range st.Width {
			e := excess(w)
			if e > 0 && k > 0 {
				length += st.Points[k].Dist(st.Points[k-1])
			}
			if e > worst {
				worst, at = e, k
			}
		}
		if at >= 0 {
			s.see(st.Points[at], worst)
		}
	}
	return s, length
}

func towShare(in Input) []Finding {
	if in.Card == nil || in.TowArea == 0 || in.Card.TowShareMax == 0 {
		return nil
	}
	return eachLayer(in, func(l *strand.Layer) []Finding {
		least := in.TowArea / (in.Card.TowShareMax * l.Height) // width at the ceiling
		s, length := widths(l, func(w float64) float64 { return least*(1-narrowSlack) - w })
		share := in.TowArea / (l.Height * (least*(1-narrowSlack) - s.worst))
		f := s.finding(l.Index, fmt.Sprintf("tow fills up to %.0f %% of the bead, the printer's ceiling is %.0f %%; %.0f mm of %d strands are over it", 100*share, 100*in.Card.TowShareMax, length, s.count))
		if len(f) > 0 && length > packedShare*lengthOf(l) {
			f[0].Severity = Stop
		}
		return f
	})
}

func lengthOf(l *strand.Layer) float64 {
	sum := 0.0
	for i := range l.Strands {
		sum += l.Strands[i].Length()
	}
	return sum
}

func endsInLoad(in Input) []Finding {
	limit, grid := loaded(in.Utilisation)
	if grid == nil {
		return nil
	}
	return eachLayer(in, func(l *strand.Layer) []Finding {
		var s spotted
		for i := range l.Strands {
			st := &l.Strands[i]
			for _, p := range ends(st) {
				k, _ := grid.Nearest(p)
				if v := in.Utilisation[k].Value; v >= limit {
					s.see(p, v)
				}
			}
		}
		return s.finding(l.Index, fmt.Sprintf("%d strand ends lie in the highest-stressed tenth of the part, the worst at %.2f of the peak", s.count, s.worst/peak(in.Utilisation)))
	})
}

// ends returns where the tow is cut: both ends, of a closed strand the place
// where it starts and the end of its overlap.
func ends(st *strand.Strand) []geom.Point {
	return []geom.Point{st.Points[0], st.Points[len(st.Points)-1]}
}

// loaded returns the value above which the highest-stressed topShare of the
// area lies, and an index of the places; nil without places.
func loaded(u []Utilisation) (float64, *geom.Grid) {
	if len(u) == 0 {
		return 0, nil
	}
	sorted := slices.Clone(u)
	slices.SortStableFunc(sorted, func(a, b Utilisation) int { return cmp.Compare(b.Value, a.Value) })
	total := 0.0
	pts := make([]geom.Point, len(u))
	for i := range u {
		total += u[i].Area
		pts[i] = u[i].At
	}
	sum := 0.0
	for _, v := range sorted {
		sum += v.Area
		if sum >= topShare*total {
			return v.Value, geom.NewGrid(pts)
		}
	}
	return sorted[len(sorted)-1].Value, geom.NewGrid(pts)
}

func peak(u []Utilisation) float64 {
	v := math.Inf(-1)
	for i := range u {
		v = math.Max(v, u[i].Value)
	}
	return v
}

func stackedEnds(in Input) []Finding {
	if in.Print == nil || in.Print.Stagger == 0 {
		return nil
	}
	return eachLayer(in, func(l *strand.Layer) []Finding {
		var s spotted
		for _, p := range in.Print.StackedEnds(l) {
			s.see(p, 0)
		}
		return s.finding(l.Index, fmt.Sprintf("%d strand ends lie within %.3g mm of ends of the two layers below", s.count, in.Print.Stagger))
	})
}

func cutByHole(in Input) []Finding {
	return eachLayer(in, func(l *strand.Layer) []Finding {
		var s spotted
		for i := range l.Strands {
			st := &l.Strands[i]
			if st.Closed {
				continue
			}
			if st.StartLoop > 0 {
				s.see(st.Points[0], 0)
			}
			if st.EndLoop > 0 {
				s.see(st.Points[len(st.Points)-1], 0)
			}
		}
		return s.finding(l.Index, fmt.Sprintf("%d strand ends lie at holes", s.count))
	})
}
