package program

import (
	"fmt"
	"math"
	"strings"

	"sinew/geom"
	"sinew/printer"
)

// appendFixed writes units of 10^-decimals without trailing zeros.
func appendFixed(dst []byte, units int64, decimals int) []byte {
	if units < 0 {
		dst = append(dst, '-')
		units = -units
	}
	for decimals > 0 && units%10 == 0 {
		units /= 10
		decimals--
	}
	var digits [24]byte // an int64 has at most 19
	i, n := len(digits), uint64(units)
	for n > 0 || decimals >= 0 {
		i--
		next := n / 10
		digits[i] = byte('0' + n - 10*next)
		n = next
		if decimals--; decimals == 0 {
			i--
			digits[i] = '.'
		}
	}
	return append(dst, digits[i:]...)
}

// blockSize is how many bytes are gathered before they are written.
const blockSize = 1 << 16

// put ends a block; blocks are written many at a time.
func (w *writer) put() {
	if len(w.line) >= blockSize {
		w.flush()
	}
}

func (w *writer) flush() {
	n, err := w.out.Write(w.line)
	w.sum.Bytes += int64(n)
	if err != nil && w.err == nil {
		w.err = fmt.Errorf("program: %w", err)
	}
	w.line = w.line[:0]
}

// comment writes a comment, without what would end it early.
func (w *writer) comment(text string) {
	text = strings.Map(func(r rune) rune {
		if r == '(' || r == ')' || r < ' ' {
			return ' '
		}
		return r
	}, text)
	w.line = append(w.line, w.card.Words.CommentOpen...)
	w.line = append(w.line, text...)
	w.line = append(append(w.line, w.card.Words.CommentClose...), '\n')
	w.put()
}

func (w *writer) template(name string, v printer.Values) {
	if t := w.card.Templates[name]; t != nil {
		w.line = t.Append(w.line, v)
		w.put()
	}
}

// word adds a word whose number is a count of units.
func (w *writer) word(letter byte, units int64, decimals int) {
	w.line = append(w.line, ' ', letter)
	w.line = appendFixed(w.line, units, decimals)
}

// to returns the place on the bed in units.
func (w *writer) to(p geom.Point, z float64) [3]int64 {
	return [3]int64{int64(math.Round(p.X * w.scale)), int64(math.Round(p.Y * w.scale)), int64(math.Round(z * w.scale))}
}

// axes adds the words of the axes that change. The machine counts from its own
// zero, and where the card says so from the tool's point of reference.
func (w *writer) axes(to [3]int64, which [3]bool) {
	off := w.zero
	for k, letter := range [3]byte{'X', 'Y', 'Z'} {
		if which[k] && (!w.known || to[k] != w.at[k]) {
			w.word(letter, to[k]-off[k], w.card.Words.Decimals)
		}
	}
}

// count brings the machine's zero to that of the tool in hand.
func (w *writer) count() {
	x, y, z := origin(w.card, w.tool)
	w.zero = w.to(geom.Point{X: x, Y: y}, z)
}

// origin returns what a word of 0 means on the bed for a tool.
func origin(c *printer.Card, k printer.ToolKind) (x, y, z float64) {
	x, y = c.Zero.X, c.Zero.Y
	if c.OffsetsInProgram {
		t := c.Tool(k)
		x, y, z = x+t.Offset.X, y+t.Offset.Y, t.OffsetZ
	}
	return x, y, z
}

func (w *writer) feedWord(feed float64) {
	if f := int64(math.Floor(feed*60 + feedRounding)); f != w.feed {
		w.feed = f
		w.word('F', f, 0)
	}
}

// feedRounding, mm/min, keeps a whole feed from being rounded down.
const feedRounding = 1e-6

// plastic adds the word for a feed of filament; what rounding leaves is kept
// for the next block.
func (w *writer) plastic(filament float64) {
	w.filament += filament
	units := int64(math.Round(w.filament * w.efeed))
	if units == 0 {
		return
	}
	w.filament -= float64(units) / w.efeed
	w.written += units
	if w.card.Words.Relative {
		w.word(w.card.Words.Extrude, units, w.card.Words.FeedDecimals)
	} else {
		w.word(w.card.Words.Extrude, w.written, w.card.Words.FeedDecimals)
	}
}

// travel goes to a place without printing, axes as marked.
func (w *writer) travel(to [3]int64, which [3]bool, feed float64) {
	if w.known && (!which[0] || to[0] == w.at[0]) && (!which[1] || to[1] == w.at[1]) && (!which[2] || to[2] == w.at[2]) {
		return
	}
	w.line = append(w.line, "G0"...)
	w.axes(to, which)
	w.feedWord(feed)
	w.line = append(w.line, '\n')
	w.put()
	if w.known {
		w.timer.Add(printer.Move{D: w.way(to, which), Feed: feed}, int(Travelling))
	}
	for k := range to {
		if which[k] {
			w.at[k] = to[k]
		}
	}
}

func (w *writer) way(to [3]int64, which [3]bool) (d [3]float64) {
	for k := range d {
		if which[k] {
			d[k] = float64(to[k]-w.at[k]) / w.scale
		}
	}
	return d
}

// print goes straight to p while it feeds filament, and returns the length of
// the way as written.
func (w *writer) print(p geom.Point, filament, feed float64, class Activity) float64 {
	to := w.to(p, w.z)
	if to[0] == w.at[0] && to[1] == w.at[1] {
		w.filament += filament
		return 0
	}
	w.line = append(w.line, "G1"...)
	w.axes(to, [3]bool{true, true, false})
	if filament > 0 {
		w.plastic(filament)
	}
	w.feedWord(feed)
	w.line = append(w.line, '\n')
	w.put()
	m := printer.Move{D: w.way(to, [3]bool{true, true, false}), Feed: feed}
	w.timer.Add(m, int(class))
	w.at[0], w.at[1] = to[0], to[1]
	n := m.Length()
	w.sum.Lengths[class] += n
	return n
}

// filamentOnly draws plastic back or brings it forward again.
func (w *writer) filamentOnly(filament float64) {
	w.line = append(w.line, "G1"...)
	w.plastic(filament)
	w.feedWord(w.card.RetractFeed)
	w.line = append(w.line, '\n')
	w.put()
	w.timer.Pause(math.Abs(filament)/w.card.RetractFeed, int(Retracting))
}

func (w *writer) retract() {
	if w.tool == printer.PlasticTool && !w.retracted && w.card.RetractLength > 0 && w.sum.used[printer.PlasticTool] {
		w.filamentOnly(-w.card.RetractLength)
		w.retracted = true
	}
}

func (w *writer) advance() {
	if w.retracted {
		w.filamentOnly(w.card.RetractLength)
		w.retracted = false
	}
}

// rise lifts the nozzle over what is printed.
func (w *writer) rise() {
	w.travel(w.to(geom.Point{}, min(w.z+w.card.Lift, w.card.Bed.Z)), [3]bool{false, false, true}, w.card.LiftFeed)
}

// jump goes to a place on the bed at the height the nozzle has.
func (w *writer) jump(p geom.Point) {
	w.travel(w.to(p, 0), [3]bool{true, true, false}, w.card.TravelFeed)
}

// goTo brings the nozzle to where a strand or bead of the layer starts.
func (w *writer) goTo(p geom.Point) {
	if !w.known {
		// After a swap the machine's place is not the program's: height first.
		w.rise()
		w.jump(p)
		w.known = true
	} else if far := w.distance(p) > w.card.MinTravel; far || w.tool == printer.CompositeTool {
		way, inside := w.within(p)
		if !inside {
			w.retract()
			way = []geom.Point{p}
		}
		w.rise()
		for _, q := range way {
			w.jump(q)
		}
	} else {
		w.travel(w.to(p, w.z), [3]bool{true, true, true}, w.card.LiftFeed)
	}
	w.travel(w.to(p, w.z), [3]bool{false, false, true}, w.card.LiftFeed)
}

func (w *writer) distance(p geom.Point) float64 {
	to := w.to(p, w.z)
	return math.Hypot(float64(to[0]-w.at[0]), float64(to[1]-w.at[1])) / w.scale
}
