package program

import (
	"fmt"
	"math"

	"sinew/geom"
	"sinew/printer"
	"sinew/strand"
)

// Agreement asked for between plan and program.
const (
	lengthAgrees = 0.01  // mm a strand
	placeAgrees  = 0.01  // mm at a strand's start, middle point and end
	volumeAgrees = 0.001 // share of each tool's plastic
	cutAgrees    = 0.01  // mm of strand between cut and end
)

// Comparison is how a program agrees with the plan it was made from.
type Comparison struct {
	Strands, Cuts    int     // read back
	WorstLength      float64 // greatest difference of a strand's length, mm
	WorstPlace       float64 // greatest distance of a strand's end from its place, mm
	WorstCut         float64 // greatest misplacement of a cut, mm
	VolumeDifference float64 // of all plastic, as a share of the plan's
	Differences      []string
}

// Agrees reports whether nothing differs.
func (c *Comparison) Agrees() bool { return len(c.Differences) == 0 }

// maxDifferences are kept in words.
const maxDifferences = 100

func (c *Comparison) differ(format string, a ...any) {
	if len(c.Differences) < maxDifferences {
		c.Differences = append(c.Differences, fmt.Sprintf(format, a...))
	}
}

// Compare sets a program that was read back against the plan, layer by layer
// and strand by strand in printing order. Card and settings are those it was
// written with.
func Compare(pr *strand.Print, rb *Readback, c *printer.Card, s Settings) *Comparison {
	out := &Comparison{Strands: len(rb.AllStrands), Cuts: rb.Cuts}
	byLayer := make([][]*Strand, len(rb.Layers))
	for i := range rb.AllStrands {
		k := &rb.AllStrands[i]
		byLayer[k.Layer] = append(byLayer[k.Layer], k)
	}
	shift := s.place(pr, c)
	var plan [2]float64
	printed := 0
	for i := range pr.Layers {
		l := &pr.Layers[i]
		plan[printer.PlasticTool] += beadVolume(l)
		plan[printer.CompositeTool] += strandVolume(l, c, s)
		if len(l.Strands) == 0 && len(l.Beads) == 0 {
			continue
		}
		var got []*Strand
		if printed < len(byLayer) {
			got = byLayer[printed]
			if dz := rb.Layers[printed].Z - l.Z; math.Abs(dz) > heightSlack {
				out.differ("layer %d: printed %.3f mm from its height", l.Index, dz)
			}
		} else {
			out.differ("layer %d: not printed", l.Index)
		}
		printed++
		out.layer(l, got, shift, c)
	}
	if printed < len(byLayer) {
		out.differ("%d layers more than planned", len(byLayer)-printed)
	}
	out.volumes(plan, rb)
	return out
}

func (c *Comparison) layer(l *strand.Layer, got []*Strand, shift geom.Point, card *printer.Card) {
	if len(got) != len(l.Strands) {
		c.differ("layer %d: %d strands, planned %d", l.Index, len(got), len(l.Strands))
	}
	for i := range min(len(got), len(l.Strands)) {
		c.strand(fmt.Sprintf("layer %d, strand %d", l.Index, i), &l.Strands[i], got[i], shift, card)
	}
}

func (c *Comparison) strand(name string, plan *strand.Strand, got *Strand, shift geom.Point, card *printer.Card) {
	d := math.Abs(got.Length - plan.Length())
	c.WorstLength = math.Max(c.WorstLength, d)
	if d > lengthAgrees {
		c.differ("%s (line %d): length %.3f mm, planned %.3f mm", name, got.Line, got.Length, plan.Length())
	}
	n, m := len(plan.Points), len(got.Points)
	place := math.Max(got.Points[0].Dist(plan.Points[0].Add(shift)), got.Points[m-1].Dist(plan.Points[n-1].Add(shift)))
	place = math.Max(place, distanceTo(got.Points, plan.Points[n/2].Add(shift)))
	c.WorstPlace = math.Max(c.WorstPlace, place)
	if place > placeAgrees {
		c.differ("%s (line %d): lies %.3f mm from its place", name, got.Line, place)
	}
	if got.CutAt < 0 {
		c.differ("%s (line %d): not cut", name, got.Line)
		return
	}
	cut := math.Abs(got.Length - got.CutAt - math.Min(card.CutterDistance, plan.Length()))
	c.WorstCut = math.Max(c.WorstCut, cut)
	if cut > cutAgrees {
		c.differ("%s (line %d): cut misplaced by %.3f mm", name, got.CutLine, cut)
	}
}

// distanceTo returns the distance of p from the polyline.
func distanceTo(pts []geom.Point, p geom.Point) float64 {
	best := math.Inf(1)
	for i := 1; i < len(pts); i++ {
		a, d := pts[i-1], pts[i].Sub(pts[i-1])
		t := 0.0
		if n := d.Dot(d); n > 0 {
			t = math.Max(0, math.Min(1, p.Sub(a).Dot(d)/n))
		}
		best = math.Min(best, p.Dist(a.Add(d.Scale(t))))
	}
	return best
}

func (c *Comparison) volumes(plan [2]float64, rb *Readback) {
	for k := range plan {
		if d := math.Abs(rb.Plastic[k] - plan[k]); d > volumeAgrees*plan[k]+volumeRounding {
			c.differ("plastic from the %s nozzle: %.2f mm³, planned %.2f mm³", printer.ToolKind(k), rb.Plastic[k], plan[k])
		}
	}
	if total := plan[0] + plan[1]; total > 0 {
		c.VolumeDifference = math.Abs(rb.Plastic[0]+rb.Plastic[1]-total) / total
	}
}

// volumeRounding, mm³, is what the last digit of a feed stands for, with room:
// it bounds prints of next to no plastic.
const volumeRounding = 1e-3

func beadVolume(l *strand.Layer) float64 {
	sum := 0.0
	for i := range l.Beads {
		b := &l.Beads[i]
		if b.Widths == nil && len(b.Points) >= 2 {
			sum += b.Length() * b.SectionOn(1, l.Height)
			continue
		}
		for k := 1; k < len(b.Points); k++ {
			sum += b.Points[k].Dist(b.Points[k-1]) * b.SectionOn(k, l.Height)
		}
		if n := len(b.Points); b.Closed && n > 1 {
			sum += b.Points[0].Dist(b.Points[n-1]) * b.SectionOn(n, l.Height)
		}
	}
	return sum
}

func strandVolume(l *strand.Layer, c *printer.Card, s Settings) float64 {
	sum := 0.0
	for i := range l.Strands {
		sum += plasticOf(&l.Strands[i], l.Height, c, s)
	}
	return sum
}

// plasticOf is the plastic that a strand wants, mm³: Simpson's rule from point
// to point, exact where the tow leaves room along the whole piece.
func plasticOf(st *strand.Strand, height float64, c *printer.Card, s Settings) float64 {
	sum := 0.0
	for k := 1; k < len(st.Points); k++ {
		a, b := plasticSection(c, s, st.Width[k-1], height), plasticSection(c, s, st.Width[k], height)
		m := plasticSection(c, s, (st.Width[k-1]+st.Width[k])/2, height)
		sum += (a + 4*m + b) / 6 * st.Points[k].Dist(st.Points[k-1])
	}
	return sum
}
