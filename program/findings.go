package program

import "fmt"

// Severity orders findings.
type Severity int

// The severities.
const (
	Note Severity = iota
	Warn
	Stop
)

// String returns the word used in records and reports.
func (s Severity) String() string { return [...]string{"note", "warn", "stop"}[s] }

// Finding is what forbids a program, or is worth knowing. ID names the rule.
type Finding struct {
	ID       string
	Severity Severity
	Line     int
	What     string
	Remedy   string
}

// String gives "line 12: stop: what; remedy".
func (f Finding) String() string {
	return fmt.Sprintf("line %d: %s: %s; %s", f.Line, f.Severity, f.What, f.Remedy)
}

// maxFindings of one program are kept; the rest are counted.
const maxFindings = 500

// Limits that say when a program misses what the card asks, each above the
// rounding of coordinates and far below what matters in a print.
const (
	bedSlack     = 0.01 // mm off the bed
	heightSlack  = 0.01 // mm of a layer's rise
	cutTolerance = 0.1  // mm by which a cut may be misplaced
	feedSlack    = 1.01 // share of a feed's limit
	bendSlack    = 1.25 // share of the feed allowed in a bend, whose radius rounding blurs
	flowSlack    = 1.05 // share of the nozzle's flow, whose feed words are rounded
	backSlack    = 1e-3 // mm of plastic filament drawn back
	// beadLeast and beadMost bound a plain bead's section as shares of the
	// card's wall by its layer's height.
	beadLeast, beadMost = 0.2, 3.0
	// flowLeast, mm, is the shortest block whose flow is judged: on a shorter
	// one the last digit of the plastic's feed decides.
	flowLeast = 0.1
	// printsFrom, °C, is below what any plastic prints at.
	printsFrom = 120.0
)
