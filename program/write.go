package program

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"sinew/geom"
	"sinew/printer"
	"sinew/strand"
)

// Settings says what the print is made of and where it lies. TowArea and the
// plastic's temperature are needed; a price or density of zero counts nothing.
type Settings struct {
	// Place is where the origin of the part's drawing lies on the bed. With
	// Placed false the part lies in the middle.
	Place  geom.Point
	Placed bool

	TowArea            float64 // mm², resin included
	PlasticTemperature float64 // °C
	BedTemperature     float64 // °C, 0: not heated

	PlasticDensity     float64 // g/mm³
	TowLinearDensity   float64 // g/mm
	PlasticPerKilo     float64 // price
	Spools             Spools
	TowPerMetre        float64 // price
	Name, Hash, Advice string  // for the head: the job, its hash, the caution

	// Temperatures and Feeds, where given, hold layer by layer for the plastic
	// nozzle and for plain beads, °C and mm/s, within the card's limits: prints
	// that find out what a plastic wants.
	Temperatures, Feeds []float64

	// TooHot lets temperatures pass that are over the printer's limits: the
	// user has seen the finding and allowed it.
	TooHot bool
}

// temperature is that of a nozzle when it is taken first.
func (s Settings) temperature(k printer.ToolKind) float64 {
	if k == printer.PlasticTool && len(s.Temperatures) > 0 {
		return s.Temperatures[0]
	}
	return s.PlasticTemperature
}

// place returns the shift from the drawing to the bed.
func (s Settings) place(pr *strand.Print, c *printer.Card) geom.Point {
	if s.Placed {
		return s.Place
	}
	return geom.Point{X: c.Bed.X / 2, Y: c.Bed.Y / 2}.Sub(pr.Region.Bounds().Middle())
}

// validate refuses what cannot be written as a program that works.
func validate(pr *strand.Print, c *printer.Card, s Settings) error {
	var errs []error
	say := func(format string, a ...any) { errs = append(errs, fmt.Errorf(format, a...)) }
	if !(s.PlasticTemperature > 0) || s.PlasticTemperature > c.NozzleMax && !s.TooHot {
		say("the plastic's %.0f °C is not within the nozzle's limit, %.0f °C; take another plastic or printer", s.PlasticTemperature, c.NozzleMax)
	}
	if s.BedTemperature > c.BedMax && !s.TooHot {
		say("the bed's %.0f °C is over its limit, %.0f °C; take another plastic or printer", s.BedTemperature, c.BedMax)
	}
	laysTow := slices.ContainsFunc(pr.Layers, func(l strand.Layer) bool { return len(l.Strands) > 0 })
	if laysTow && c.Process == printer.CoExtruded && !(s.TowArea > 0) {
		say("the tow's section is not given; name a tow card")
	}
	for i, t := range s.Temperatures {
		if !(t > 0) || t > c.NozzleMax && !s.TooHot {
			say("layer %d: %.0f °C is not within the nozzle's limit, %.0f °C", i, t, c.NozzleMax)
			break
		}
	}
	for i, f := range s.Feeds {
		if !(f > 0) {
			say("layer %d: a feed of %g mm/s", i, f)
			break
		}
	}
	for _, l := range pr.Layers {
		if !(l.Height > 0) {
			say("layer %d has no height", l.Index)
		}
		if len(l.Beads) > 0 && !c.HasPlastic {
			say("layer %d has plain plastic and the printer no nozzle for it; leave out walls and covers, or take another printer", l.Index)
			break
		}
		if c.Bridge == nil && slices.ContainsFunc(l.Beads, func(b strand.Bead) bool { return b.Kind == strand.Span }) {
			say("layer %d has bridges, of which the printer's card says nothing; take the printer that the print was laid for", l.Index)
		}
		for i := range l.Strands {
			n := l.Strands[i].Length()
			if full := s.Spools.fullTow(); full > 0 && n+c.CutterDistance > full {
				say("layer %d, strand %d is %.0f mm long; a spool holds %.0f mm of tow, of which %.0f mm stay in the machine; put on a longer spool", l.Index, i, n, full, c.CutterDistance)
			}
			if n < c.CutterDistance-cutSlack {
				say("layer %d, strand %d is %.2f mm long; the cutter allows no less than %.2f mm", l.Index, i, n, c.CutterDistance)
			}
			if len(l.Strands[i].Width) != len(l.Strands[i].Points) {
				say("layer %d, strand %d has %d points and %d widths", l.Index, i, len(l.Strands[i].Points), len(l.Strands[i].Width))
			}
		}
	}
	return errors.Join(errs...)
}

// cutSlack, mm, is by how much a strand may be shorter than the cutter's
// distance: rounding of coordinates, far below what a cutter repeats.
const cutSlack = 0.02

// Write writes the print's program. Errors: what validate refuses, or the
// writer's. The same input gives the same bytes.
func Write(out io.Writer, pr *strand.Print, c *printer.Card, s Settings) (*Summary, error) {
	if err := validate(pr, c, s); err != nil {
		return nil, err
	}
	w := newWriter(out, c, s, s.place(pr, c))
	w.whole = []geom.Region{pr.Region}
	w.head()
	for i := range pr.Layers {
		w.layer(&pr.Layers[i])
		if w.err != nil {
			return nil, w.err
		}
	}
	w.tail()
	if w.flush(); w.err != nil {
		return nil, w.err
	}
	return w.summary(), nil
}

// writer holds what the machine will hold when it has read the blocks so far.
type writer struct {
	out   io.Writer
	err   error
	card  *printer.Card
	set   Settings
	shift geom.Point
	line  []byte
	scale float64 // units of length per mm
	efeed float64 // units of plastic feed per mm

	at        [3]int64 // in units, on the bed
	known     bool     // at counts
	zero      [3]int64 // what a word of 0 means, in units
	feed      int64    // mm/min
	filament  float64  // fed so far less what was written, mm
	written   int64    // plastic feed so far, absolute counting
	tool      printer.ToolKind
	hasTool   bool
	retracted bool
	z         float64 // of the layer
	first     bool    // no layer is finished yet
	timer     *printer.Timer
	bends     bends
	whole     []geom.Region // the print's outline
	outline   []geom.Region // of the layer
	ways      *routes       // inside it
	spools    spoolState
	laying    bool    // something of the layer is laid
	started   float64 // time at which its first piece began
	fan       float64 // share
	feeds     float64 // of plain beads in the layer; 0: the card's
	sum       Summary
}

func newWriter(out io.Writer, c *printer.Card, s Settings, shift geom.Point) *writer {
	return &writer{
		out: out, line: make([]byte, 0, blockSize+4096), card: c, set: s, shift: shift, first: true,
		scale: math.Pow10(c.Words.Decimals), efeed: math.Pow10(c.Words.FeedDecimals),
		timer: printer.NewTimer(c.Motion()), spools: s.Spools.state(s.PlasticDensity), sum: Summary{},
	}
}

func (w *writer) head() {
	w.comment("machine program for " + w.card.ID)
	if w.set.Name != "" {
		w.comment("job " + w.set.Name)
	}
	if w.set.Hash != "" {
		w.comment("made from " + w.set.Hash)
	}
	if w.set.Advice != "" {
		w.comment(w.set.Advice)
	}
	w.template("start", printer.Values{"Bed": w.set.BedTemperature, "Nozzle": w.set.PlasticTemperature})
	heat := printer.Values{"Temperature": w.set.BedTemperature}
	w.template("bed", heat)
	if w.card.HasPlastic {
		w.heat("nozzle", printer.PlasticTool, w.set.PlasticTemperature)
	}
	w.heat("nozzle", printer.CompositeTool, w.set.PlasticTemperature)
	w.template("bed_wait", heat)
	w.timer.Pause(w.card.HeatTime, int(Heating))
}

func (w *writer) heat(name string, k printer.ToolKind, temperature float64) {
	w.template(name, printer.Values{"Tool": float64(w.card.Tool(k).Number), "Temperature": temperature})
}

// tail ends the program: nozzle up, the tool parked.
func (w *writer) tail() {
	w.park()
	w.template("end", nil)
	w.timer.Stop()
}

// layer writes one layer, first what the tool in hand prints: a swap a layer.
func (w *writer) layer(l *strand.Layer) {
	w.z, w.outline = l.Z, w.outlines(l)
	w.template("layer", printer.Values{"Layer": float64(l.Index + 1), "Z": l.Z})
	if l.Index == 1 {
		w.blow(w.card.Fan)
	}
	if k := l.Index; k < len(w.set.Temperatures) && w.hasTool && (k == 0 || w.set.Temperatures[k] != w.set.Temperatures[k-1]) {
		w.heat("nozzle_wait", printer.PlasticTool, w.set.Temperatures[k])
	}
	w.feeds = 0
	if l.Index < len(w.set.Feeds) {
		w.feeds = w.set.Feeds[l.Index]
	}
	w.laying = false
	strandsFirst := !w.hasTool || w.tool == printer.CompositeTool
	if strandsFirst {
		w.strands(l)
	}
	for i := range l.Beads {
		w.bead(l, i)
	}
	if !strandsFirst {
		w.strands(l)
	}
	w.first = false
	w.cool()
}

func (w *writer) strands(l *strand.Layer) {
	for i := range l.Strands {
		w.strand(l, i)
	}
}

// take swaps to a tool unless it is in hand.
func (w *writer) take(k printer.ToolKind) {
	if w.hasTool && w.tool == k {
		return
	}
	if w.hasTool {
		w.park()
		if w.card.Standby > 0 {
			w.heat("nozzle", w.tool, w.set.PlasticTemperature-w.card.Standby)
		}
		w.sum.Swaps++
	}
	t := w.card.Tool(k)
	w.template("tool", printer.Values{"Tool": float64(t.Number)})
	w.heat("nozzle_wait", k, w.set.temperature(k))
	w.timer.Pause(w.card.SwapTime, int(Swapping))
	w.tool, w.hasTool, w.known = k, true, false
	w.count()
	w.retracted = k == printer.PlasticTool && w.sum.used[k] && w.card.RetractLength > 0
	w.sum.used[k] = true
	w.wipe()
}

// wipe draws the nozzle of the tool just taken through the brush: from above
// into it, along it and back, and up again.
func (w *writer) wipe() {
	b := w.card.Wipe
	if b == nil {
		return
	}
	w.rise()
	w.jump(b.At)
	w.known = true
	down := w.to(b.At, b.Z)
	w.travel(down, [3]bool{false, false, true}, w.card.LiftFeed)
	for _, x := range [2]float64{b.Length, 0} {
		w.travel(w.to(b.At.Add(geom.Point{X: x}), b.Z), [3]bool{true, true, false}, w.card.LiftFeed)
	}
	w.rise()
}

// begin notes when the first piece of a layer is laid.
func (w *writer) begin() {
	if !w.laying {
		w.laying, w.started = true, w.timer.Total()
	}
}

// cool waits at the tool's place until the layer has had its least time.
func (w *writer) cool() {
	if !w.laying || w.timer.Total()-w.started >= w.card.LayerTime {
		return
	}
	w.park()
	w.timer.Stop()
	left := w.card.LayerTime - (w.timer.Total() - w.started)
	if left <= 0 {
		return
	}
	seconds := math.Ceil(left*10) / 10
	w.template("dwell", printer.Values{"Seconds": seconds})
	w.timer.Pause(seconds, int(Cooling))
}

// park lifts the nozzle and brings the tool to its place.
func (w *writer) park() {
	if !w.hasTool {
		return
	}
	w.retract()
	w.rise()
	w.jump(w.card.Tool(w.tool).Park)
}
