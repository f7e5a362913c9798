package program

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"sinew/geom"
	"sinew/printer"
)

// Strand is one strand as a program lays it.
type Strand struct {
	Layer         int // from 0, by height
	Z             float64
	Line, CutLine int // of its restart and its cut; 0: never cut
	Points        []geom.Point
	Volumes       []float64 // mm³ of plastic fed up to each point
	Feeds         []float64 // mm/s of the move that ends at each point
	Lines         []int32   // of that move
	Length        float64
	CutAt         float64 // length of strand laid when it was cut
}

// Plastic returns the plastic fed in the strand, mm³.
func (s *Strand) Plastic() float64 {
	if len(s.Volumes) == 0 {
		return 0
	}
	return s.Volumes[len(s.Volumes)-1]
}

// Bead is one bead of plain plastic as a program lays it.
type Bead struct {
	Layer   int
	Z       float64
	Line    int // of its first block
	Points  []geom.Point
	Feeds   []float64 // mm/s of the move that ends at each point
	Lines   []int32   // of that move
	Plastic float64   // mm³
	Length  float64
}

// Layer is one height at which a program prints.
type Layer struct {
	Z, Height      float64
	Line           int // of its first printing block
	Strands, Beads int
}

// Visitor is shown what a program prints, in its order. What it is shown is
// valid until it returns. A nil function is left out.
type Visitor struct {
	Strand func(*Strand)
	Bead   func(*Bead)
	// Frame is shown what the machine does, moment by moment; see Frame.
	Frame func(Frame)
}

// Report is what Scan says of a program as a whole.
type Report struct {
	Layers               []Layer
	Strands, Beads, Cuts int
	Swaps, Restarts      int
	Pauses               int        // at which the operator goes on
	Tow                  float64    // mm laid
	Plastic              [2]float64 // mm³, by printer.ToolKind
	Travel               float64    // mm
	Time                 float64    // s, by the card's motion model
	Nozzle               [2]float64 // highest temperature asked, °C, by printer.ToolKind
	Bed                  float64
	Lines                int
	Bytes                int64
	// LongestOverAir is the longest way that a strand or bead goes over air, mm,
	// less about two squares of a millimetre; 0 where the card knows no bridges.
	LongestOverAir float64
	Findings       []Finding
	More           int // findings not kept
}

// Good reports whether nothing forbids the program.
func (r *Report) Good() bool {
	for _, f := range r.Findings {
		if f.Severity == Stop {
			return false
		}
	}
	return r.More == 0
}

// Readback is a program rebuilt from its text.
type Readback struct {
	Report
	AllStrands []Strand
	AllBeads   []Bead
}

// Read rebuilds a program. Errors: a *SyntaxError for a block that the card
// gives no meaning, or the reader's.
func Read(r io.Reader, c *printer.Card) (*Readback, error) {
	out := &Readback{}
	rep, err := Scan(r, c, Visitor{
		Strand: func(s *Strand) {
			k := *s
			k.Points, k.Volumes = slices.Clone(s.Points), slices.Clone(s.Volumes)
			k.Feeds, k.Lines = slices.Clone(s.Feeds), slices.Clone(s.Lines)
			out.AllStrands = append(out.AllStrands, k)
		},
		Bead: func(b *Bead) {
			k := *b
			k.Points, k.Feeds, k.Lines = slices.Clone(b.Points), slices.Clone(b.Feeds), slices.Clone(b.Lines)
			out.AllBeads = append(out.AllBeads, k)
		},
	})
	if err != nil {
		return nil, err
	}
	out.Report = *rep
	return out, nil
}

// Scan interprets a program and shows the visitor what it prints.
func Scan(r io.Reader, c *printer.Card, v Visitor) (*Report, error) {
	m := newMachine(r, c, v)
	for {
		line, err := m.in.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		words, err := m.in.split(line)
		if err != nil {
			return nil, err
		}
		if len(words) == 0 {
			continue
		}
		if err := m.block(words); err != nil {
			return nil, err
		}
	}
	return m.finish(), nil
}

// machine is what the printer holds while it runs the program.
type machine struct {
	in     *lines
	card   *printer.Card
	visit  Visitor
	rep    Report
	timer  *printer.Timer
	bends  bends
	cross  crossings
	ground ground
	forms  []form

	started, ended bool
	motion         int // of G0, G1, G2, G3; -1: none yet
	at             [3]float64
	known          [3]bool
	feed           float64 // mm/s
	extrude        float64 // absolute count
	tool           printer.ToolKind
	hasTool        bool
	wiped          bool       // the tool in hand went through the brush
	set, waited    [2]float64 // temperatures asked and reached
	back           float64    // plastic filament drawn back, mm

	strand Strand
	inTow  bool // a strand runs
	bead   Bead
	inBead bool

	pending []Frame // moves whose time the timer has not told yet
	told    int     // of them, which are done with
	clock   float64 // at the start of the first of the others, s
}

func newMachine(r io.Reader, c *printer.Card, v Visitor) *machine {
	m := &machine{in: newLines(r, c.Words), card: c, visit: v, timer: printer.NewTimer(c.Motion()), forms: formsOf(c), motion: -1}
	if v.Frame != nil {
		m.timer.Each = m.played
	}
	return m
}

// find notes a finding that stops the program.
func (m *machine) find(id, remedy, format string, a ...any) {
	if len(m.rep.Findings) >= maxFindings {
		m.rep.More++
		return
	}
	m.rep.Findings = append(m.rep.Findings, Finding{id, Stop, m.in.line, fmt.Sprintf(format, a...), remedy})
}

// warn notes a finding that lets the program pass.
func (m *machine) warn(id, remedy, format string, a ...any) {
	m.find(id, remedy, format, a...)
	if n := len(m.rep.Findings); n > 0 && m.rep.Findings[n-1].ID == id {
		m.rep.Findings[n-1].Severity = Warn
	}
}

func (m *machine) finish() *Report {
	m.endBead()
	m.endStrand()
	if !m.ended {
		m.find("no-end", "the program is cut short: write it again", "the program does not end with the card's words")
	}
	m.timer.Stop()
	m.rep.Time = m.timer.Total()
	m.rep.Lines, m.rep.Bytes = m.in.line, m.in.bytes
	slices.SortStableFunc(m.rep.Findings, func(a, b Finding) int { return cmp.Compare(a.Line, b.Line) })
	return &m.rep
}

// block runs one block.
func (m *machine) block(words []word) error {
	if m.ended && !m.endGoesOn(words) {
		m.find("after-end", "delete what follows the end", "the program goes on after its end")
	}
	kind, isMotion := m.motionOf(words)
	if !isMotion {
		return m.runForm(words)
	}
	return m.move(kind, words)
}

// endGoesOn reports whether the block is a later line of the card's end.
func (m *machine) endGoesOn(words []word) bool {
	i := m.match(words)
	return i >= 0 && m.forms[i].name == "end" && !m.forms[i].first
}

// motionOf returns the kind of motion a block asks for. A block without a G
// word goes on with the kind before.
func (m *machine) motionOf(words []word) (int, bool) {
	first := words[0]
	if first.letter == 'G' && first.value >= 0 && first.value <= 3 && first.value == math.Trunc(first.value) {
		return int(first.value), true
	}
	if m.motion >= 0 && (first.letter >= 'X' && first.letter <= 'Z' || first.letter == 'F' || first.letter == m.card.Words.Extrude) && m.match(words) < 0 {
		return m.motion, true
	}
	return 0, false
}

// target is what a motion block says.
type target struct {
	to       [3]float64
	has      [3]bool
	filament float64
	center   [2]float64 // of an arc, from its start
}

// read takes the words of a motion block.
func (m *machine) read(kind int, words []word) (target, error) {
	t := target{to: m.at}
	ox, oy, oz := origin(m.card, m.tool)
	off := [3]float64{ox, oy, oz}
	for i, w := range words {
		switch {
		case w.letter == 'G' && i == 0:
		case w.letter >= 'X' && w.letter <= 'Z':
			k := w.letter - 'X'
			t.to[k], t.has[k] = w.value+off[k], true
		case w.letter == 'F':
			m.feed = w.value / 60
		case w.letter == m.card.Words.Extrude:
			t.filament = w.value
			if !m.card.Words.Relative {
				t.filament = w.value - m.extrude
				m.extrude = w.value
			}
		case kind >= 2 && (w.letter == 'I' || w.letter == 'J'):
			t.center[w.letter-'I'] = w.value
		default:
			return t, &SyntaxError{m.in.line, int(w.column), fmt.Sprintf("the word %c has no meaning in a move", w.letter), "delete it, or check the printer card"}
		}
	}
	return t, nil
}

func (m *machine) move(kind int, words []word) error {
	if kind >= 2 && !m.card.Arcs {
		return &SyntaxError{m.in.line, int(words[0].column), fmt.Sprintf("the printer knows no G%d", kind), "write the arc as straight moves"}
	}
	t, err := m.read(kind, words)
	if err != nil {
		return err
	}
	if kind >= 2 {
		return m.arc(kind, t, words[0])
	}
	m.motion = kind
	m.straight(kind, t)
	return nil
}

// straight runs a straight move.
func (m *machine) straight(kind int, t target) {
	if !m.started {
		m.find("no-start", "put the card's start before the first move", "the program moves before it has started the machine")
		m.started = true
	}
	from, known := m.at, m.known[0] && m.known[1] && m.known[2]
	for k := range t.has {
		m.known[k] = m.known[k] || t.has[k]
	}
	m.at = t.to
	d := geom.Point{X: t.to[0] - from[0], Y: t.to[1] - from[1]}
	way := math.Sqrt(d.X*d.X + d.Y*d.Y)
	rise := t.to[2] - from[2]
	m.checkPlace()
	m.checkFeed(kind, way, rise)
	switch {
	case kind == 0:
		m.throughBrush(geom.Point{X: from[0], Y: from[1]}, way)
		m.travel(t, way, rise)
	case way == 0:
		m.turn(t.filament, rise)
	case m.tool == printer.CompositeTool || !m.hasTool:
		m.layTow(geom.Point{X: from[0], Y: from[1]}, t.filament, way, rise)
	default:
		m.layPlastic(geom.Point{X: from[0], Y: from[1]}, t.filament, way, rise)
	}
	if known {
		m.advance(from, printer.Move{D: [3]float64{d.X, d.Y, rise}, Feed: m.feed, Filament: t.filament}, kind == 0)
	}
}

func (m *machine) checkPlace() {
	if m.known[0] && m.known[1] {
		if off := m.card.Bed.Outside(geom.Point{X: m.at[0], Y: m.at[1]}); off > bedSlack {
			m.find("off-bed", "move the part on the bed", "the move ends %.2f mm off the bed", off)
		}
	}
	if m.known[2] && (m.at[2] < -bedSlack || m.at[2] > m.card.Bed.Z+bedSlack) {
		m.find("off-bed", "keep the height within the printer's reach", "the move ends at height %.3f mm; the printer reaches 0 to %.4g mm", m.at[2], m.card.Bed.Z)
	}
}

func (m *machine) checkFeed(kind int, way, rise float64) {
	limit := m.card.TravelFeed
	if kind != 0 && way > 0 && m.hasTool {
		limit = m.card.Tool(m.tool).FeedMax
	}
	if way == 0 && rise != 0 {
		limit = max(m.card.LiftFeed, m.card.FirstFeed)
	}
	switch {
	case !(m.feed > 0):
		m.find("feed-zero", "give the block an F word above 0", "the move has no feed")
		m.feed = limit // so that the time stays a number
	case m.feed > limit*feedSlack:
		m.find("too-fast", "lower the F word", "the move asks for %.4g mm/s; the limit is %.4g mm/s", m.feed, limit)
	}
}

// travel ends what was being printed.
func (m *machine) travel(t target, way, rise float64) {
	if t.filament != 0 {
		m.find("feeds-on-travel", "feed plastic in G1 blocks", "a travel feeds plastic")
	}
	m.rep.Travel += way
	m.endBead()
	if way != 0 || rise != 0 {
		m.endStrand()
	}
}

// turn is a block without a way in the plane.
func (m *machine) turn(filament, rise float64) {
	if m.inTow && rise != 0 {
		m.find("lifted", "keep the height through the strand", "the nozzle leaves its height within a strand, by %.3f mm", rise)
	}
	if filament == 0 {
		return
	}
	m.endBead()
	if m.tool == printer.CompositeTool || !m.hasTool {
		m.find("plastic-without-tow", "plain plastic comes from the plastic nozzle", "the composite nozzle feeds plastic at rest")
		return
	}
	m.back -= filament // drawn back it is still in the tool: no plastic printed
	if m.back < -backSlack {
		m.rep.Plastic[m.tool] -= m.back * m.card.FilamentArea()
		m.find("blob", "feed no more than was drawn back", "%.3f mm of plastic filament are fed at rest", -m.back)
		m.back = 0
	}
	if m.back > m.card.RetractLength+backSlack {
		m.find("drawn-back", "draw back no more than the card's length", "%.3f mm of plastic filament are drawn back; the card allows %.3f mm", m.back, m.card.RetractLength)
	}
}
