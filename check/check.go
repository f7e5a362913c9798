// Package check says what printer or material forbids in a print: findings
// with a place, a severity and a remedy.
package check

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

// Finding is one thing that is wrong or worth knowing. ID is stable: it names
// the rule, and with layer and place the finding.
type Finding struct {
	ID       string // of the rule, e.g. "short-strand"
	Severity Severity
	Layer    int // index of the printed layer, -1: none
	X, Y     float64
	Count    int // how many like it this finding stands for (worst place given)
	What     string
	Remedy   string
}
