package program

import (
	"math"

	"sinew/printer"
	"sinew/strand"
)

// Spools says what the machine has on its spools and what a full one holds; 0
// is not known, and what is not known does not run out. Each nozzle has a spool
// of plastic of its own.
type Spools struct {
	TowLeft, Tow         float64 // mm
	PlasticLeft, Plastic float64 // g
}

// fullTow is the longest tow without a joint, mm; 0 when it is not known.
func (s Spools) fullTow() float64 { return math.Max(s.TowLeft, s.Tow) }

// SpoolChange is a place at which a spool does not reach any further: before a
// strand, or before a bead of the plastic nozzle.
type SpoolChange struct {
	Tow   bool // else plastic
	Tool  printer.ToolKind
	Layer int     // index of the printed layer
	Index int     // of the strand or bead in its layer
	Time  float64 // s from the start of the program
}

// spoolState is what is left on the spools while a program is written.
type spoolState struct {
	tow, fullTow         float64    // mm
	plastic, fullPlastic [2]float64 // mm³, by printer.ToolKind
}

func (s Spools) state(density float64) spoolState {
	var out spoolState
	out.tow, out.fullTow = leftAndFull(s.TowLeft, s.Tow, 1)
	for k := range out.plastic {
		out.plastic[k], out.fullPlastic[k] = leftAndFull(s.PlasticLeft, s.Plastic, density)
	}
	return out
}

// leftAndFull fills in what is not given: a spool of unknown rest is full, a
// full one of unknown size like the one that is on.
func leftAndFull(left, full, per float64) (float64, float64) {
	if left == 0 {
		left = full
	}
	if full == 0 {
		full = left
	}
	if left == 0 || per == 0 {
		return math.Inf(1), math.Inf(1)
	}
	return left / per, full / per
}

// towSpool changes the tow's spool where it does not reach to the end of the
// strand: what stays between cutter and tip cannot be laid.
func (w *writer) towSpool(l *strand.Layer, index int, length float64) {
	need := length + math.Max(0, w.card.RestartLength-w.card.CutterDistance)
	if w.spools.tow < need+w.card.CutterDistance {
		w.changeSpool(SpoolChange{Tow: true, Tool: printer.CompositeTool, Layer: l.Index, Index: index})
		w.spools.tow = w.spools.fullTow
	}
	w.spools.tow -= need
	w.sum.TowUsed += need
}

// plasticSpool changes the spool of the tool in hand where it does not hold the
// volume.
func (w *writer) plasticSpool(l *strand.Layer, index int, volume float64) {
	if w.spools.plastic[w.tool] < volume && w.spools.plastic[w.tool] < w.spools.fullPlastic[w.tool] {
		w.changeSpool(SpoolChange{Tool: w.tool, Layer: l.Index, Index: index})
		w.spools.plastic[w.tool] = w.spools.fullPlastic[w.tool]
	}
	w.spools.plastic[w.tool] -= volume
}

// changeSpool brings the tool in hand to its place and waits.
func (w *writer) changeSpool(c SpoolChange) {
	if w.known {
		w.park()
	}
	what := "plastic"
	if c.Tow {
		what = "tow"
	}
	w.comment("change the spool of " + what + " of the " + c.Tool.String() + " nozzle")
	w.template("pause", nil)
	w.timer.Pause(w.card.SpoolTime, int(SpoolChanging))
	c.Time = w.timer.Total()
	w.sum.SpoolChanges = append(w.sum.SpoolChanges, c)
}
