package program

import (
	"math"

	"sinew/geom"
	"sinew/printer"
	"sinew/strand"
)

// bead writes one bead of plain plastic.
func (w *writer) bead(l *strand.Layer, index int) {
	b := &l.Beads[index]
	pts := b.Points
	if len(pts) < 2 {
		return
	}
	if b.Closed {
		pts = append(append([]geom.Point(nil), pts...), pts[0])
	}
	w.take(printer.PlasticTool)
	w.begin()
	w.plasticSpool(l, index, b.Width*l.Height*b.Length())
	w.goTo(pts[0].Add(w.shift))
	w.advance()
	w.coolBead(b.Kind)
	class, highest := w.beadFeed(b.Kind)
	for i := 1; i < len(pts); {
		section := b.SectionOn(i, l.Height)
		feed := min(highest, w.card.Plastic.FlowMax/section)
		last := i
		run, curved := arcRun{}, false
		if w.card.Arcs && b.Widths == nil {
			if run, curved = arcFrom(pts, i-1, w.card.ArcTolerance); curved {
				last = run.last
			}
		}
		volume := section * (geom.Path{Points: pts[i-1 : last+1]}).Length()
		if curved {
			w.curve(run, pts[i-1:last+1], volume/w.card.FilamentArea(), feed, class)
		} else {
			w.print(pts[i].Add(w.shift), volume/w.card.FilamentArea(), feed, class)
		}
		w.sum.Plastic[printer.PlasticTool] += volume
		i = last + 1
	}
	w.timer.Stop()
}

func (w *writer) beadFeed(k strand.BeadKind) (Activity, float64) {
	class, feed := Walling, w.card.WallFeed
	switch k {
	case strand.Cover, strand.Sparse:
		class, feed = Covering, w.card.CoverFeed
	case strand.Patch:
		class, feed = Patching, w.card.CoverFeed
	case strand.Span:
		class, feed = Bridging, w.card.Bridge.Feed
	case strand.Support:
		class, feed = Supporting, w.card.WallFeed
	}
	if w.feeds > 0 {
		feed = w.feeds
	}
	feed = min(feed, w.card.Plastic.FeedMax)
	if w.first {
		feed = min(feed, w.card.FirstFeed)
	}
	return class, feed
}

// coolBead sets the fan for a bead over air, and back after it.
func (w *writer) coolBead(k strand.BeadKind) {
	if k == strand.Span {
		w.blow(w.card.Bridge.Fan)
	} else if !w.first {
		w.blow(w.card.Fan)
	}
}

// blow sets the fan to a share where it is not there.
func (w *writer) blow(share float64) {
	if w.fan != share {
		w.template("fan", printer.Values{"Share": share})
		w.fan = share
	}
}

// strand writes one strand from its restart to the end of its tail.
func (w *writer) strand(l *strand.Layer, index int) {
	c, s := w.card, &l.Strands[index]
	w.take(printer.CompositeTool)
	w.begin()
	radii := w.bends.radii(s.Points)
	total := 0.0
	if n := len(s.Points); n > 0 {
		total = w.bends.along[n-1]
	}
	w.towSpool(l, index, total)
	if !math.IsInf(w.spools.plastic[w.tool], 1) {
		w.plasticSpool(l, index, plasticOf(s, l.Height, c, w.set))
	}
	w.goTo(s.Points[0].Add(w.shift))
	w.template("restart", printer.Values{"Length": c.RestartLength, "Feed": c.RestartFeed})
	w.timer.Pause(c.RestartLength/c.RestartFeed, int(Restarting))
	stops := [2]float64{min(c.AnchorLength, total), max(0, total-c.CutterDistance)}
	done, isCut := 0.0, false
	for i := 1; i < len(s.Points); i++ {
		a, b := s.Points[i-1], s.Points[i]
		n := dist(a, b)
		if n == 0 {
			continue
		}
		from := 0.0
		for from < n {
			if !isCut && done+from >= stops[1]-lengthRounding {
				w.cut()
				isCut = true
			}
			to := n
			for _, stop := range stops {
				if x := stop - done; x > from+lengthRounding && x < to-lengthRounding {
					to = x
				}
			}
			w.piece(l, s, i, span{from / n, to / n, done + from}, min(radii[i-1], radii[i]), isCut)
			from = to
		}
		done += n
	}
	w.timer.Stop()
	w.sum.Strands++
}

// lengthRounding, mm, bounds rounding in sums of lengths.
const lengthRounding = 1e-6

// span is a part of a segment, and the length of strand before it.
type span struct{ a, b, done float64 }

// piece writes a part of the segment that ends at point i.
func (w *writer) piece(l *strand.Layer, s *strand.Strand, i int, p span, radius float64, isCut bool) {
	a, b := s.Points[i-1], s.Points[i]
	n := dist(a, b) * (p.b - p.a)
	mid := (p.a + p.b) / 2
	width := s.Width[i-1] + mid*(s.Width[i]-s.Width[i-1])
	section := w.plasticSection(width, l.Height)
	feed, class := min(w.card.StrandFeed(radius), w.card.Composite.FeedMax), Laying
	if p.done < w.card.AnchorLength-lengthRounding {
		feed, class = min(feed, w.card.AnchorFeed), Anchoring
	}
	if isCut {
		feed = min(feed, w.card.TailFeed)
	}
	if w.first {
		feed = min(feed, w.card.FirstFeed)
	}
	if section > 0 {
		feed = min(feed, w.card.Composite.FlowMax/section)
	}
	end := b
	if p.b < 1 {
		end = a.Lerp(b, p.b)
	}
	filament := 0.0
	if section > 0 {
		filament = section * n / w.card.FilamentArea()
	}
	w.print(end.Add(w.shift), filament, feed, class)
	w.sum.Plastic[printer.CompositeTool] += section * n
	w.sum.Tow += n
}

// plasticSection is what the tow leaves of a bead's section. A
// pre-impregnated filament brings its own plastic.
func (w *writer) plasticSection(width, height float64) float64 {
	return plasticSection(w.card, w.set, width, height)
}

func plasticSection(c *printer.Card, s Settings, width, height float64) float64 {
	if c.Process == printer.PreImpregnated {
		return 0
	}
	return max(0, width*height-s.TowArea)
}

func (w *writer) cut() {
	w.template("cut", printer.Values{"Length": w.card.CutterDistance})
	w.timer.Pause(w.card.CutTime, int(Cutting))
	w.sum.Cuts++
}
