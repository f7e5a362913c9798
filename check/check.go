package check

import (
	"runtime"
	"slices"

	"sinew/geom"
	"sinew/part"
	"sinew/printer"
	"sinew/strand"
)

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

// Input is what Run judges. A field left zero leaves out the rules that need it.
type Input struct {
	Print *strand.Print
	Card  *printer.Card
	Part  *part.Part
	// Bending says that all cases were judged as those of a plate that bends.
	Bending bool
	// Place is where the origin of the part's drawing lies on the bed. With
	// Placed false the part is taken to lie in the middle.
	Place  geom.Point
	Placed bool
	// PlasticName, PlasticTemperature and BedTemperature are the plastic and the
	// temperatures its card prints at, °C.
	PlasticName                        string
	PlasticTemperature, BedTemperature float64
	TowArea                            float64 // mm² of tow, its resin included
	// Utilisation is how highly the part is stressed, all cases together: any
	// measure that grows with it.
	Utilisation []Utilisation

	Workers int // goroutines, default one a processor; findings do not depend on it

	rasters []*strand.Raster // of the layers, made when first wanted
}

// Utilisation is how highly one place is stressed, and the area it stands for.
type Utilisation struct {
	At    geom.Point
	Area  float64 // mm²
	Value float64
}

// Run applies all rules and returns what they find: by severity, gravest
// first, then by the order of the rules, then by layer.
func Run(in Input) []Finding {
	if in.Workers <= 0 {
		in.Workers = runtime.GOMAXPROCS(0)
	}
	if in.Print != nil {
		in.rasters = make([]*strand.Raster, len(in.Print.Layers))
	}
	var out []Finding
	for _, r := range rules() {
		for _, f := range r.find(in) {
			f.ID = r.ID
			if f.Severity == unset {
				f.Severity = r.Severity
			}
			if f.Remedy == "" {
				f.Remedy = r.Remedy
			}
			out = append(out, f)
		}
	}
	slices.SortStableFunc(out, func(a, b Finding) int { return int(b.Severity) - int(a.Severity) })
	return out
}

// unset marks a finding that takes its rule's severity.
const unset Severity = -1

// Rule is one thing that is looked for.
type Rule struct {
	ID       string
	Severity Severity
	Text     string // what is looked for
	Remedy   string // what to do about it
	find     func(Input) []Finding
}

// rules are all of them in the order in which they are applied.
func rules() []Rule {
	return slices.Concat(strandRules(), layerRules(), terraceRules(), airRules(), thinRules(), machineRules())
}
