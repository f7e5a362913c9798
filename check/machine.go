package check

import (
	"fmt"

	"sinew/geom"
	"sinew/strand"
)

// bedSlack, mm, keeps rounding from sending a part that just fits off the bed.
const bedSlack = 1e-6

func machineRules() []Rule {
	return []Rule{
		{"too-large", Stop, "the part is larger than the bed, or higher than the printer reaches", "turn the part, divide it, or take a larger printer", tooLarge},
		{"off-bed", Stop, "strands or beads lie off the bed", "move the part on the bed", offBed},
		{"too-hot", Stop, "the plastic prints hotter than the nozzle may become", "take another plastic or printer", tooHot},
		{"bed-too-hot", Stop, "the plastic wants the bed hotter than it may become", "take another plastic or printer", bedTooHot},
	}
}

func wantsCoverBelow(in Input) bool { return in.Card != nil && in.Card.CoverBelow }

func wantsCoverAbove(in Input) bool { return in.Card != nil && in.Card.CoverAbove }

// extent returns the part's box and height.
func extent(in Input) (box geom.Box, height float64, ok bool) {
	if in.Print == nil || in.Card == nil {
		return geom.Box{}, 0, false
	}
	if n := len(in.Print.Layers); n > 0 {
		height = in.Print.Layers[n-1].Z
	}
	return in.Print.Region.Bounds(), height, true
}

func tooLarge(in Input) []Finding {
	box, height, ok := extent(in)
	if !ok {
		return nil
	}
	s, bed := box.Size(), in.Card.Bed
	if s.X <= bed.X+bedSlack && s.Y <= bed.Y+bedSlack && height <= bed.Z+bedSlack {
		return nil
	}
	p := box.Middle()
	f := Finding{Severity: unset, Layer: -1, X: p.X, Y: p.Y, Count: 1,
		What: fmt.Sprintf("the part is %.4g × %.4g × %.4g mm, the printer reaches %.4g × %.4g × %.4g mm", s.X, s.Y, height, bed.X, bed.Y, bed.Z)}
	if s.X <= bed.Y && s.Y <= bed.X && height <= bed.Z {
		f.Remedy = "turn the part by 90°: it fits then"
	}
	return []Finding{f}
}

func offBed(in Input) []Finding {
	box, _, ok := extent(in)
	if !ok || tooLarge(in) != nil {
		return nil
	}
	place := in.Place
	if !in.Placed {
		place = geom.Point{X: in.Card.Bed.X / 2, Y: in.Card.Bed.Y / 2}.Sub(box.Middle())
	}
	var s spotted
	layer := -1
	for i := range in.Print.Layers {
		l := &in.Print.Layers[i]
		eachPath(l, func(p geom.Point) {
			if over := in.Card.Bed.Outside(p.Add(place)); over > bedSlack {
				if s.count == 0 {
					layer = l.Index
				}
				s.see(p, over)
			}
		})
	}
	return s.finding(layer, fmt.Sprintf("%d points lie off the bed, by up to %.3g mm", s.count, s.worst))
}

// eachPath calls visit with all points of a layer's strands and beads.
func eachPath(l *strand.Layer, visit func(geom.Point)) {
	for i := range l.Strands {
		for _, p := range l.Strands[i].Points {
			visit(p)
		}
	}
	for _, b := range l.Beads {
		for _, p := range b.Points {
			visit(p)
		}
	}
}

func tooHot(in Input) []Finding {
	if in.Card == nil || in.PlasticTemperature <= in.Card.NozzleMax {
		return nil
	}
	return []Finding{{Severity: unset, Layer: -1, Count: 1,
		What: fmt.Sprintf("%s prints at %.0f °C, the nozzle may reach %.0f °C", name(in), in.PlasticTemperature, in.Card.NozzleMax)}}
}

func bedTooHot(in Input) []Finding {
	if in.Card == nil || in.BedTemperature <= in.Card.BedMax {
		return nil
	}
	return []Finding{{Severity: unset, Layer: -1, Count: 1,
		What: fmt.Sprintf("%s wants the bed at %.0f °C, it may reach %.0f °C", name(in), in.BedTemperature, in.Card.BedMax)}}
}

func name(in Input) string {
	if in.PlasticName == "" {
		return "the plastic"
	}
	return in.PlasticName
}
