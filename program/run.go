package program

import (
	"fmt"
	"math"

	"sinew/geom"
	"sinew/printer"
)

// form is one line of a template, as it is recognised.
type form struct {
	name  string
	words []printer.TemplateWord
	first bool // of its template
}

func formsOf(c *printer.Card) []form {
	var out []form
	for _, name := range printer.TemplateNames() {
		t := c.Templates[name]
		if t == nil {
			continue
		}
		first := true
		for _, l := range t.Lines {
			if len(l.Words) > 0 {
				out = append(out, form{name, l.Words, first})
				first = false
			}
		}
	}
	return out
}

// match returns the form whose words the block has, or -1.
func (m *machine) match(words []word) int {
	for i, f := range m.forms {
		if len(f.words) != len(words) {
			continue
		}
		same := true
		for k, w := range f.words {
			if w.Letter != words[k].letter || w.Field == "" && w.Number != words[k].value {
				same = false
				break
			}
		}
		if same {
			return i
		}
	}
	return -1
}

// runForm runs a block of the card's own words.
func (m *machine) runForm(words []word) error {
	i := m.match(words)
	if i < 0 {
		w := words[0]
		return &SyntaxError{m.in.line, int(w.column), fmt.Sprintf("the printer card gives the block that starts with %c%g no meaning", w.letter, w.value), "check the words and their order against the card's templates"}
	}
	f := m.forms[i]
	if !f.first {
		return nil
	}
	value := func(field string, def float64) float64 {
		for k, w := range f.words {
			if w.Field == field {
				return words[k].value / w.Scale
			}
		}
		return def
	}
	if !m.started && f.name != "start" {
		m.find("no-start", "put the card's start before all else", "the program does not start with the card's words")
	}
	m.started = true
	switch f.name {
	case "bed", "bed_wait":
		m.heatBed(value("Temperature", 0))
	case "nozzle", "nozzle_wait":
		m.heatNozzle(f.name == "nozzle_wait", value("Tool", float64(m.card.Tool(m.tool).Number)), value("Temperature", 0))
	case "tool":
		m.takeTool(value("Tool", -1))
	case "restart":
		m.restart(value("Length", m.card.RestartLength), value("Feed", m.card.RestartFeed))
	case "cut":
		m.cut()
	case "pause":
		m.endBead()
		m.endStrand()
		m.rep.Pauses++
		m.wait(m.card.SpoolTime, SpoolChanging)
	case "dwell":
		m.endBead()
		m.endStrand()
		m.wait(value("Seconds", 0), Cooling)
	case "end":
		m.endBead()
		m.endStrand()
		m.ended = true
	}
	return nil
}

func (m *machine) heatBed(t float64) {
	m.rep.Bed = max(m.rep.Bed, t)
	if t > m.card.BedMax {
		m.find("bed-too-hot", "lower the temperature", "the bed is asked for %.0f °C; it may reach %.0f °C", t, m.card.BedMax)
	}
}

func (m *machine) toolOf(number float64) (printer.ToolKind, bool) {
	switch {
	case number == float64(m.card.Composite.Number):
		return printer.CompositeTool, true
	case m.card.HasPlastic && number == float64(m.card.Plastic.Number):
		return printer.PlasticTool, true
	}
	m.find("unknown-tool", "use a tool of the card", "the printer has no tool %g", number)
	return 0, false
}

func (m *machine) heatNozzle(wait bool, number, t float64) {
	k, ok := m.toolOf(number)
	if !ok {
		return
	}
	m.rep.Nozzle[k] = max(m.rep.Nozzle[k], t)
	m.set[k] = t
	m.waited[k] = 0
	if wait {
		m.waited[k] = t
	}
	if t > m.card.NozzleMax {
		m.find("too-hot", "lower the temperature", "the %s nozzle is asked for %.0f °C; it may reach %.0f °C", k, t, m.card.NozzleMax)
	}
}

func (m *machine) takeTool(number float64) {
	m.endBead()
	m.endStrand()
	k, ok := m.toolOf(number)
	if !ok {
		return
	}
	if m.hasTool && k == m.tool {
		m.find("swap-to-itself", "take the other tool, or delete the block", "the %s tool is in hand already", k)
	}
	if m.hasTool && k != m.tool {
		if p := m.card.Tool(m.tool).Park; p.Dist(geom.Point{X: m.at[0], Y: m.at[1]}) > cutTolerance {
			m.find("not-parked", "bring the tool to its place before the swap", "the %s tool is put down %.2f mm from its place", m.tool, p.Dist(geom.Point{X: m.at[0], Y: m.at[1]}))
		}
		m.rep.Swaps++
	}
	m.wait(m.card.SwapTime, Swapping)
	m.tool, m.hasTool, m.wiped = k, true, m.card.Wipe == nil
	m.known = [3]bool{}
}

// brushRoom, mm, is how far from the brush's middle line a print must keep.
const brushRoom = 5.0

// throughBrush notes a wipe: a travel at the brush's height that ends on it.
func (m *machine) throughBrush(from geom.Point, way float64) {
	w := m.card.Wipe
	if w == nil || m.wiped || way < w.Length/2 || math.Abs(m.at[2]-w.Z) > heightSlack {
		return
	}
	m.wiped = w.Near(from) < cutTolerance && w.Near(geom.Point{X: m.at[0], Y: m.at[1]}) < cutTolerance
}

// ready finds fault where the tool prints before its nozzle is hot and wiped,
// or beside the brush.
func (m *machine) ready() {
	if m.waited[m.tool] < printsFrom {
		m.find("cold", "wait for the nozzle's heat before it prints", "the %s nozzle prints and was not brought to its temperature", m.tool)
		m.waited[m.tool] = printsFrom // said once
	}
	if !m.wiped && m.hasTool {
		m.warn("not-wiped", "draw the nozzle through the brush before it prints", "the %s nozzle prints and was not wiped when it was taken", m.tool)
		m.wiped = true // said once
	}
	if w := m.card.Wipe; w != nil && w.Near(geom.Point{X: m.at[0], Y: m.at[1]}) < brushRoom {
		m.find("on-brush", "move the part on the bed", "the %s nozzle prints within %.3g mm of the brush", m.tool, brushRoom)
	}
}

func (m *machine) restart(length, feed float64) {
	m.endStrand()
	m.rep.Restarts++
	m.wait(length/max(feed, 0.1), Restarting)
	if !m.hasTool || m.tool != printer.CompositeTool {
		m.find("wrong-tool", "take the composite tool first", "tow is fed down while the %s tool is in hand", m.tool)
	}
	if length < m.card.CutterDistance-cutTolerance {
		m.find("short-restart", "feed at least the cutter's distance", "%.2f mm of tow are fed down; the cutter is %.2f mm above the tip", length, m.card.CutterDistance)
	}
	if feed > m.card.RestartFeed*feedSlack {
		m.find("too-fast", "lower the feed", "tow is fed down at %.4g mm/s; the limit is %.4g mm/s", feed, m.card.RestartFeed)
	}
	m.inTow = true
	p := geom.Point{X: m.at[0], Y: m.at[1]}
	s := &m.strand
	*s = Strand{Z: m.at[2], Line: m.in.line, Points: append(s.Points[:0], p), Volumes: append(s.Volumes[:0], 0), CutAt: -1,
		Feeds: append(s.Feeds[:0], 0), Lines: append(s.Lines[:0], int32(m.in.line))}
}

func (m *machine) cut() {
	m.wait(m.card.CutTime, Cutting)
	m.rep.Cuts++
	switch {
	case !m.inTow:
		m.find("cut-without-strand", "delete the cut", "there is no strand to cut")
	case m.strand.CutAt >= 0:
		m.find("cut-twice", "delete one cut", "the strand of line %d is cut again", m.strand.Line)
	default:
		m.strand.CutAt, m.strand.CutLine = m.strand.Length, m.in.line
	}
}

// layTow is a printing move of the composite nozzle.
func (m *machine) layTow(from geom.Point, filament, way, rise float64) {
	m.ready()
	if !m.inTow {
		if filament > 0 {
			m.find("plastic-without-tow", "feed tow down before, or print it with the plastic tool", "the composite nozzle feeds plastic and no tow runs")
			m.rep.Plastic[printer.CompositeTool] += filament * m.card.FilamentArea()
		} else {
			m.find("no-tow", "feed tow down before", "the composite nozzle prints and no tow runs")
		}
		return
	}
	s := &m.strand
	if rise != 0 {
		m.find("lifted", "keep the height through the strand", "the nozzle leaves its height within a strand, by %.3f mm", rise)
	}
	if filament < 0 {
		m.find("drawn-back", "the composite nozzle only feeds", "plastic is drawn back within a strand")
	}
	if s.CutAt >= 0 && s.Length+way-s.CutAt > m.card.CutterDistance+cutTolerance && s.Length-s.CutAt <= m.card.CutterDistance+cutTolerance {
		m.find("past-tow", "end the strand the cutter's distance after the cut", "the strand goes on past the end of its tow")
		if filament > 0 {
			m.find("plastic-without-tow", "end the strand the cutter's distance after the cut", "the composite nozzle feeds plastic past the end of the tow")
		}
	}
	if s.Length == 0 {
		s.Layer = m.layerAt(s.Z)
		m.rep.Layers[s.Layer].Strands++
		m.ground.run = 0
	}
	if s.Length < m.card.AnchorLength-cutTolerance && m.feed > m.card.AnchorFeed*feedSlack {
		m.find("fast-anchor", "lay the start slowly", "the start of the strand is laid at %.4g mm/s; the limit is %.4g mm/s", m.feed, m.card.AnchorFeed)
	}
	if s.CutAt >= 0 && m.feed > m.card.TailFeed*feedSlack {
		m.find("fast-tail", "lay the tail slowly", "the tail is laid at %.4g mm/s; the limit is %.4g mm/s", m.feed, m.card.TailFeed)
	}
	m.checkFlow(filament, way)
	m.checkCarried(from, s.Z)
	volume := filament * m.card.FilamentArea()
	s.Length += way
	s.Points = append(s.Points, geom.Point{X: m.at[0], Y: m.at[1]})
	s.Volumes = append(s.Volumes, s.Plastic()+volume)
	s.Feeds, s.Lines = append(s.Feeds, m.feed), append(s.Lines, int32(m.in.line))
	m.rep.Tow += way
	m.rep.Plastic[printer.CompositeTool] += volume
}

func (m *machine) checkFlow(filament, way float64) {
	limit := m.card.Tool(m.tool).FlowMax
	if flow := filament * m.card.FilamentArea() / way * m.feed; limit > 0 && way >= flowLeast && flow > limit*flowSlack {
		m.find("too-much-flow", "lower the feed or the bead", "the %s nozzle is asked for %.3g mm³/s; the limit is %.3g mm³/s", m.tool, flow, limit)
	}
}

// endStrand closes the strand that runs, if any.
func (m *machine) endStrand() {
	if !m.inTow {
		return
	}
	m.inTow = false
	s := &m.strand
	cd := m.card.CutterDistance
	switch tail := s.Length - s.CutAt; {
	case s.Length == 0:
		m.find("empty-strand", "lay the strand, or delete its restart", "tow was fed down in line %d and no strand laid", s.Line)
		return
	case s.CutAt < 0:
		m.find("no-cut", "cut the cutter's distance before the strand's end", "the strand of line %d ends and was not cut", s.Line)
	case math.Abs(tail-cd) > cutTolerance:
		m.find("cut-misplaced", "cut the cutter's distance before the strand's end", "the strand of line %d was cut %.2f mm before its end; the cutter's distance is %.2f mm", s.Line, tail, cd)
	}
	if s.Length < cd-cutTolerance {
		m.find("short-strand", "leave the strand out or lengthen it", "the strand of line %d is %.2f mm long; the cutter allows no less than %.2f mm", s.Line, s.Length, cd)
	}
	m.checkBends()
	m.checkCrossing()
	m.rep.Strands++
	if m.visit.Strand != nil {
		m.visit.Strand(s)
	}
}

// checkBends judges the feeds of the strand by the bends they go through.
func (m *machine) checkBends() {
	radii := m.bends.radii(m.strand.Points)
	for i := 1; i < len(radii); i++ {
		limit := m.card.StrandFeed(min(radii[i-1], radii[i]))
		if m.strand.Feeds[i] > limit*bendSlack {
			line := m.in.line
			m.in.line = int(m.strand.Lines[i])
			m.find("fast-bend", "lower the F word", "a bend of radius %.3g mm is laid at %.4g mm/s; the limit is %.4g mm/s", min(radii[i-1], radii[i]), m.strand.Feeds[i], limit)
			m.in.line = line
			return
		}
	}
}

// layPlastic is a printing move of the plastic nozzle.
func (m *machine) layPlastic(from geom.Point, filament, way, rise float64) {
	m.ready()
	if m.inTow {
		m.endStrand()
	}
	if filament <= 0 {
		m.find("dry-print", "feed plastic, or travel with G0", "a printing move of the plastic nozzle feeds no plastic")
		m.endBead()
		return
	}
	if m.back > backSlack {
		m.find("drawn-back", "bring the plastic forward first", "the nozzle prints while %.3f mm of filament are drawn back", m.back)
		m.back = 0
	}
	if m.inBead && rise != 0 {
		m.find("lifted", "keep the height through the bead", "the nozzle leaves its height within a bead, by %.3f mm", rise)
	}
	b := &m.bead
	if !m.inBead {
		*b = Bead{Z: m.at[2], Line: m.in.line, Points: append(b.Points[:0], from), Layer: m.layerAt(m.at[2]),
			Feeds: append(b.Feeds[:0], 0), Lines: append(b.Lines[:0], int32(m.in.line))}
		m.rep.Layers[b.Layer].Beads++
		m.inBead, m.ground.run = true, 0
	}
	volume := filament * m.card.FilamentArea()
	m.checkFlow(filament, way)
	m.checkSection(volume/way, way)
	m.checkCarried(from, b.Z)
	b.Points = append(b.Points, geom.Point{X: m.at[0], Y: m.at[1]})
	b.Feeds, b.Lines = append(b.Feeds, m.feed), append(b.Lines, int32(m.in.line))
	b.Plastic += volume
	b.Length += way
	m.rep.Plastic[printer.PlasticTool] += volume
}

func (m *machine) checkSection(section, way float64) {
	want := m.card.WallWidth * m.rep.Layers[m.bead.Layer].Height
	if way >= flowLeast && (section > beadMost*want || section < beadLeast*want) {
		m.find("bead-section", "check the plastic's feed", "the bead has a section of %.4g mm²; the card's is %.4g mm²", section, want)
	}
}

func (m *machine) endBead() {
	if !m.inBead {
		return
	}
	m.inBead = false
	m.rep.Beads++
	if m.visit.Bead != nil {
		m.visit.Bead(&m.bead)
	}
}

// layerAt returns the layer printed at a height. A new layer rises by the
// height of a composite or a plastic layer.
func (m *machine) layerAt(z float64) int {
	n := len(m.rep.Layers)
	below := 0.0
	if n > 0 {
		below = m.rep.Layers[n-1].Z
		if math.Abs(z-below) <= layerSame {
			return n - 1
		}
	}
	h := z - below
	if math.Abs(h-m.card.CompositeHeight) > heightSlack && math.Abs(h-m.card.PlasticHeight) > heightSlack {
		m.find("lifted", "rise by one layer's height", "what is printed here lies %.3f mm over the layer below; a layer is %.3g or %.3g mm high", h, m.card.CompositeHeight, m.card.PlasticHeight)
	}
	m.rep.Layers = append(m.rep.Layers, Layer{Z: z, Height: h, Line: m.in.line})
	m.newFloor()
	return n
}

// layerSame, mm, is how near two heights are that are one layer: more than
// their rounding, less than any layer.
const layerSame = 1e-3

// arc runs a G2 or G3 as chords within the card's tolerance.
func (m *machine) arc(kind int, t target, w word) error {
	a := geom.Point{X: m.at[0], Y: m.at[1]}
	o := a.Add(geom.Point{X: t.center[0], Y: t.center[1]})
	r, end := a.Dist(o), geom.Point{X: t.to[0], Y: t.to[1]}
	if r == 0 || math.Abs(end.Dist(o)-r) > arcMismatch || r > maxRadius || !m.known[0] || !m.known[1] {
		return &SyntaxError{m.in.line, int(w.column), "start, end and centre are not those of an arc", "check X, Y, I and J"}
	}
	from := math.Atan2(a.Y-o.Y, a.X-o.X)
	sweep := math.Mod(math.Atan2(end.Y-o.Y, end.X-o.X)-from, 2*math.Pi)
	if kind == 3 && sweep <= 0 {
		sweep += 2 * math.Pi
	} else if kind == 2 && sweep >= 0 {
		sweep -= 2 * math.Pi
	}
	step := 2 * math.Acos(max(0, 1-m.card.ArcTolerance/r))
	n := int(math.Ceil(math.Abs(sweep) / step))
	z := m.at[2]
	for i := 1; i <= n; i++ {
		u := float64(i) / float64(n)
		sin, cos := math.Sincos(from + u*sweep)
		part := target{to: [3]float64{o.X + r*cos, o.Y + r*sin, z + u*(t.to[2]-z)}, has: t.has, filament: t.filament / float64(n)}
		if i == n {
			part.to = t.to
		}
		m.straight(1, part)
	}
	return nil
}

// Limits of arcs: what rounding of the words leaves, and a radius so large
// that the arc is a straight move, mm.
const (
	arcMismatch = 0.02
	maxRadius   = 1e5
)
