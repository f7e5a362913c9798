package check

import (
	"fmt"
	"math"

	"sinew/geom"
	"sinew/part"
	"sinew/strand"
)

// Limits of the rules on what lies over air.
const (
	// overhangWidth, mm: outlines of layers that lie this near are one above the
	// other, as area over length; a bead is several times wider.
	overhangWidth = 0.02
	// airCell, mm, is the side of the squares in which it is asked what carries
	// a layer: under a bead's width.
	airCell = 0.3
	// airSlack, mm, bounds how far rounding and chords move outlines and beads.
	airSlack = 0.05
	// contactStep, mm, is the way between places at which the distance of supports
	// from the part is measured.
	contactStep = 1.0
)

func airRules() []Rule {
	return []Rule{
		{"overhang", Stop, "a layer reaches out over air: there is nothing to lay it on", "turn the part over with part.up, ask for supports with layup.supports, or print it in pieces", overhangs},
		{"bridge-too-long", Stop, "a bridge is longer than the printer's card allows", "ask for supports with layup.supports, or turn the part over with part.up", longBridges},
		{"support-contact", Stop, "a support touches the part: it does not break off", "widen support_side or support_gap on the printer's card", supportContact},
		{"on-support", Warn, "composite is laid on supports: its strands sag between the loops, and its underside is rough", "turn the part over with part.up, or prove it by test; break the supports off before use", onSupport},
		{"bridge", Note, "plastic is laid over air from side to side", "nothing, if the sag does no harm", bridges},
	}
}

// span is the first layer of a slab that reaches out over the one below.
type span struct {
	slab  *part.Slab
	layer *strand.Layer // nil without a print
	free  geom.Polygons // over air
}

// spans lists the slabs that the one below does not carry whole.
func spans(in Input) []span {
	if in.Part == nil {
		return nil
	}
	var out []span
	for k := 1; k < len(in.Part.Slabs); k++ {
		s := span{slab: &in.Part.Slabs[k]}
		below, _ := polygonsOf(&in.Part.Slabs[k-1])
		here, length := polygonsOf(s.slab)
		if i := layerAbove(in, s.slab.Bottom); i >= 0 {
			s.layer = &in.Print.Layers[i]
			if reach := s.layer.Height * math.Tan(in.Print.Overhang); reach > 0 {
				below = below.Offset(reach, flattenSlabs)
			}
		}
		if s.free = here.Subtract(below); s.free.Area() > overhangWidth*length {
			out = append(out, s)
		}
	}
	return out
}

// overhangs finds what neither a bridge nor a support carries.
func overhangs(in Input) []Finding {
	var out []Finding
	for _, s := range spans(in) {
		area, at := s.free.Area(), geom.Polygons{widest(s.free)}.Bounds().Middle()
		if carriers := s.carriers(in); len(carriers) > 0 {
			if area, at = s.bare(carriers); area <= overhangWidth*s.free.Bounds().Size().Norm() {
				continue
			}
		}
		f := Finding{Severity: unset, Layer: -1, X: at.X, Y: at.Y, Count: 1,
			What: fmt.Sprintf("%.4g mm² of the layer at z = %.4g mm lie over air", area, s.slab.Bottom)}
		if s.layer != nil {
			f.Layer = s.layer.Index
		}
		out = append(out, f)
	}
	return out
}

func widest(ps geom.Polygons) geom.Polygon {
	best := 0
	for i := range ps {
		if ps[i].Area() > ps[best].Area() {
			best = i
		}
	}
	return ps[best]
}

// carriers returns the bridges of the layer, and the beads of the supports
// under it as wide as what they carry: a pitch to either side.
func (s *span) carriers(in Input) []strand.Bead {
	if s.layer == nil {
		return nil
	}
	out := beadsOf(s.layer, strand.Span)
	if in.Card == nil || in.Card.Support == nil {
		return out
	}
	for k := s.layer.Index - 1; k >= 0; k-- {
		l := &in.Print.Layers[k]
		if s.slab.Bottom-l.Z > in.Card.Support.Gap+math.Max(in.Card.CompositeHeight, in.Card.PlasticHeight) {
			break
		}
		if under := beadsOf(l, strand.Support); len(under) > 0 {
			for i := range under {
				under[i].Width, under[i].Widths = 2*in.Card.Support.Pitch, nil
			}
			return append(out, under...)
		}
	}
	return out
}

func beadsOf(l *strand.Layer, k strand.BeadKind) []strand.Bead {
	var out []strand.Bead
	for _, b := range l.Beads {
		if b.Kind == k {
			out = append(out, b)
		}
	}
	return out
}

// bare returns the area over air that the beads leave free, and a place of it.
func (s *span) bare(carriers []strand.Bead) (area float64, at geom.Point) {
	for _, r := range s.slab.Regions {
		squares := strand.NewRaster(r, airCell)
		squares.AddBeads(carriers)
		clip := s.free.Offset(-airSlack, flattenSlabs)
		for c := range squares.Inside {
			if !squares.Gap(c) {
				continue
			}
			if p := squares.Center(c%squares.NX, c/squares.NX); clip.Contains(p) {
				area, at = area+airCell*airCell, p
			}
		}
	}
	return area, at
}

// eachBridge calls visit with the length over air of each bridge's straight
// pieces, and the middle of them.
func eachBridge(in Input, visit func(l *strand.Layer, length float64, at geom.Point)) {
	for _, s := range spans(in) {
		if s.layer == nil {
			continue
		}
		clip := geom.NewClipper(s.free)
		for _, b := range beadsOf(s.layer, strand.Span) {
			for i := 1; i < len(b.Points); i++ {
				for _, p := range clip.Clip(geom.Path{Points: b.Points[i-1 : i+1]}) {
					visit(s.layer, p.Length(), p.Points[0].Lerp(p.Points[len(p.Points)-1], 0.5))
				}
			}
		}
	}
}

func longBridges(in Input) []Finding {
	if in.Card == nil || in.Card.Bridge == nil {
		return nil
	}
	var s spotted
	layer := -1
	eachBridge(in, func(l *strand.Layer, length float64, at geom.Point) {
		if length > in.Card.Bridge.Span+airSlack {
			layer = l.Index
			s.see(at, length)
		}
	})
	return s.finding(layer, fmt.Sprintf("%d bridges are up to %.3g mm long; the card allows %.3g mm", s.count, s.worst, in.Card.Bridge.Span))
}

func bridges(in Input) []Finding {
	var s spotted
	layer := -1
	eachBridge(in, func(l *strand.Layer, length float64, at geom.Point) {
		layer = l.Index
		s.see(at, length)
	})
	return s.finding(layer, fmt.Sprintf("%d rows span air, the longest %.3g mm", s.count, s.worst))
}

// supportContact measures the way from each support's bead to the outlines of
// its layer, and looks for the part within the gap under and over it.
func supportContact(in Input) []Finding {
	if in.Part == nil || in.Print == nil || in.Card == nil || in.Card.Support == nil {
		return nil
	}
	var s spotted
	layer := -1
	gap, side := in.Card.Support.Gap, in.Card.Support.Side
	for k := range in.Print.Layers {
		l := &in.Print.Layers[k]
		under := beadsOf(l, strand.Support)
		if len(under) == 0 {
			continue
		}
		for i := range in.Part.Slabs {
			slab := &in.Part.Slabs[i]
			beside := slab.Bottom < l.Z-airSlack && slab.Top > l.Z-l.Height+airSlack
			if !beside && (slab.Bottom-l.Z > gap-airSlack || l.Z-l.Height-slab.Top > gap-airSlack) {
				continue // a gap or more away
			}
			for _, r := range slab.Regions {
				edge := geom.NewBoundary(r)
				for _, b := range under {
					for _, p := range (geom.Path{Points: b.Points, Closed: b.Closed}).Resample(contactStep).Points {
						if off := edge.Nearest(p).Distance - b.Width/2; r.Contains(p) || beside && off < side-airSlack {
							layer = l.Index
							s.see(p, math.Max(0, side-off))
						}
					}
				}
			}
		}
	}
	return s.finding(layer, fmt.Sprintf("supports come too near to the part at %d points", s.count))
}

func onSupport(in Input) []Finding {
	if in.Card == nil || in.Card.Support == nil {
		return nil
	}
	var out []Finding
	for _, s := range spans(in) {
		if s.layer == nil || s.layer.Kind != strand.Composite {
			continue
		}
		if under := s.carriers(in); len(under) > 0 {
			at := geom.Polygons{widest(s.free)}.Bounds().Middle()
			out = append(out, Finding{Severity: unset, Layer: s.layer.Index, X: at.X, Y: at.Y, Count: 1,
				What: fmt.Sprintf("%.4g mm² of composite at z = %.4g mm lie on supports", s.free.Area(), s.slab.Bottom)})
		}
	}
	return out
}
