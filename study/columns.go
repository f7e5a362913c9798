package study

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"sinew/job"
	"sinew/unit"
)

// column is a figure that the study reads of every point, with what is asked of
// it.
type column struct {
	Figure
	want        string   // greatest, least, or "" where it is only limited
	least, most *float64 // in the figure's unit; nil: no bound
}

// measure is how a figure is read and shown.
type measure struct {
	unit  string
	needs job.Stage // from which on it is known
	kind  unit.Kind // of its bounds
	plain bool      // bounds are numbers
	per   float64   // of sinew's own unit in the unit shown; 0 means 1
	of    string    // which keys beside figure it takes: "case", "mode", "probe"
	read  func(r *job.Record, f *Figure) (float64, bool)
}

// measureOf returns how a figure is read; false: there is none of the name. A
// switch rather than a variable, so that nothing can change it.
func measureOf(name string) (measure, bool) {
	switch name {
	case "reserve":
		return measure{needs: job.Prove, plain: true, of: "case mode", read: reserve}, true
	case "buckling":
		return measure{needs: job.Prove, plain: true, of: "case", read: buckling}, true
	case "stiffness":
		return measure{unit: "N/mm", needs: job.Prove, kind: unit.LineLoad, of: "case", read: stiffness}, true
	case "displacement":
		return measure{unit: "mm", needs: job.Prove, kind: unit.Length, of: "case probe", read: displacement}, true
	case "mass":
		return measure{unit: "g", needs: job.Prove, kind: unit.Mass, read: func(r *job.Record, _ *Figure) (float64, bool) {
			d := printed(r)
			return massOf(d), d != nil
		}}, true
	case "time":
		return measure{unit: "min", needs: job.Post, kind: unit.Time, per: 60, read: func(r *job.Record, _ *Figure) (float64, bool) {
			if r.Program == nil {
				return 0, false
			}
			return r.Program.TimeEachS / 60, true
		}}, true
	case "cost":
		return measure{needs: job.Post, plain: true, read: func(r *job.Record, _ *Figure) (float64, bool) {
			if r.Program == nil {
				return 0, false
			}
			return r.Program.CostEach, true
		}}, true
	}
	return layMeasure(name)
}

// layMeasure are the figures of the strands as laid.
func layMeasure(name string) (measure, bool) {
	of := func(read func(r *job.Record) float64) func(*job.Record, *Figure) (float64, bool) {
		return func(r *job.Record, _ *Figure) (float64, bool) {
			if r.Strands == nil {
				return 0, false
			}
			return read(r), true
		}
	}
	switch name {
	case "tow":
		return measure{unit: "m", kind: unit.Length, per: 1000, read: of(func(r *job.Record) float64 { return r.Strands.LengthM })}, true
	case "thickness":
		return measure{unit: "mm", kind: unit.Length, read: of(func(r *job.Record) float64 { return r.Part.ThicknessMM })}, true
	case "strands":
		return measure{plain: true, read: of(func(r *job.Record) float64 { return float64(r.Strands.Count) })}, true
	case "cuts":
		return measure{plain: true, read: of(func(r *job.Record) float64 { return float64(r.Strands.Cuts) })}, true
	case "warnings":
		return measure{plain: true, needs: job.Prove, read: of(func(r *job.Record) float64 { return float64(warnings(r)) })}, true
	}
	return measure{}, false
}

// printed is the design that is printed, nil where none was proved.
func printed(r *job.Record) *job.DesignRecord {
	for i := range r.Designs {
		if r.Designs[i].ID == job.PrintedID {
			return &r.Designs[i]
		}
	}
	return nil
}

func massOf(d *job.DesignRecord) float64 {
	if d == nil {
		return 0
	}
	return d.MassG
}

// reserve is the least reserve factor by case and mode.
func reserve(r *job.Record, f *Figure) (float64, bool) {
	d := printed(r)
	if d == nil {
		return 0, false
	}
	least := math.Inf(1)
	for _, c := range d.Cases {
		if f.Case != "" && c.Case != f.Case {
			continue
		}
		for _, m := range c.Margins {
			if f.counts(m.Mode) {
				least = math.Min(least, m.Reserve)
			}
		}
	}
	return least, !math.IsInf(least, 1)
}

// counts reports whether a mode of failure is what the figure asks for.
func (f *Figure) counts(mode string) bool {
	return f.Mode == "" || f.Mode == mode || f.Mode == "fibre" && slices.Contains([]string{"fibre tension", "fibre compression", "bearing at the pin"}, mode)
}

// unpressed stands for the buckling factor of what nothing presses: JSON has no
// infinity.
const unpressed = 1e6

// buckling is the least factor.
func buckling(r *job.Record, f *Figure) (float64, bool) {
	if r.Plate == nil {
		return 0, false
	}
	least := unpressed
	for _, c := range r.Plate.Cases {
		if (f.Case == "" || c.Case == f.Case) && len(c.Buckling) > 0 {
			least = math.Min(least, c.Buckling[0])
		}
	}
	return least, true
}

func stiffness(r *job.Record, f *Figure) (float64, bool) {
	d := printed(r)
	if d == nil {
		return 0, false
	}
	for _, c := range d.Cases {
		if f.Case == "" || c.Case == f.Case {
			return c.Stiffness, true
		}
	}
	return 0, false
}

// displacement is how far a probe moves, the farthest of the cases: in the
// plane, and across it where the case bends the part.
func displacement(r *job.Record, f *Figure) (float64, bool) {
	most, found := 0.0, false
	for _, p := range r.Probes {
		if p.Name == f.Probe && (f.Case == "" || p.Case == f.Case) {
			most, found = math.Max(most, math.Hypot(math.Hypot(p.U[0], p.U[1]), across(r, p.Case, p.Name))), true
		}
	}
	return most, found
}

func across(r *job.Record, inCase, probe string) float64 {
	if r.Plate == nil {
		return 0
	}
	for _, c := range r.Plate.Cases {
		for _, p := range c.Probes {
			if c.Case == inCase && p.Name == probe && c.Bends {
				return p.Across
			}
		}
	}
	return 0
}

func warnings(r *job.Record) int {
	n := 0
	for _, f := range r.Findings {
		if f.Severity == "warn" {
			n++
		}
	}
	return n
}

// label is the head of a column: "reserve, fibre, in pull".
func (f *Figure) label() string {
	parts := []string{f.Figure}
	if f.Mode != "" {
		parts = append(parts, f.Mode)
	}
	if f.Probe != "" {
		parts = append(parts, "of "+f.Probe)
	}
	if f.Case != "" {
		parts = append(parts, "in "+f.Case)
	}
	return strings.Join(parts, ", ")
}

// readColumns reads aims, then limits; a limit on what is an aim joins its
// column.
func (p *plan) readColumns(b *job.Beside, base *job.File) {
	for i, a := range p.file.Aims {
		at := fmt.Sprintf("aim[%d]", i)
		p.checkFigure(b, at, &a.Figure, base)
		if a.Want != "greatest" && a.Want != "least" {
			b.Fault(at+".want", fmt.Sprintf("is %q", a.Want), "write greatest or least")
		}
		if p.column(a.Figure) != nil {
			b.Fault(at, "is an aim already", "keep one of the two")
		}
		p.columns = append(p.columns, column{Figure: a.Figure, want: a.Want})
	}
	for i, l := range p.file.Limits {
		at := fmt.Sprintf("limit[%d]", i)
		m := p.checkFigure(b, at, &l.Figure, base)
		c := p.column(l.Figure)
		if c == nil {
			p.columns = append(p.columns, column{Figure: l.Figure})
			c = &p.columns[len(p.columns)-1]
		}
		if l.Least == nil && l.Most == nil {
			b.Fault(at, "has no bound", "give least, or most")
		}
		c.least = m.bound(b, at+".least", l.Least, c.least)
		c.most = m.bound(b, at+".most", l.Most, c.most)
	}
}

// edits reports whether the study gives a key of the job a value.
func (p *plan) edits(key string) bool {
	return slices.ContainsFunc(p.file.Set, func(s SetTable) bool { return s.Key == key }) ||
		slices.ContainsFunc(p.vars, func(v variable) bool { return slices.Contains(v.keys, key) })
}

func (p *plan) column(f Figure) *column {
	i := slices.IndexFunc(p.columns, func(c column) bool { return c.Figure == f })
	if i < 0 {
		return nil
	}
	return &p.columns[i]
}

// checkFigure holds a figure to what is known at the study's stage, and to the
// cases and probes of the job.
func (p *plan) checkFigure(b *job.Beside, at string, f *Figure, base *job.File) measure {
	m, ok := measureOf(f.Figure)
	if !ok {
		b.Fault(at+".figure", fmt.Sprintf("there is no figure %q", f.Figure), "name one of those that docs/format/study.md lists")
		return m
	}
	if m.needs > p.stage {
		needs := map[job.Stage]string{job.Prove: "prove", job.Post: "post"}[m.needs]
		b.Fault(at+".figure", fmt.Sprintf("%s is not known that early", f.Figure), fmt.Sprintf("write stage = %q", needs))
	}
	for _, k := range []struct{ name, given string }{{"case", f.Case}, {"mode", f.Mode}, {"probe", f.Probe}} {
		if k.given != "" && !strings.Contains(m.of, k.name) {
			b.Fault(at+"."+k.name, "does not go with "+f.Figure, "delete it")
		}
	}
	if f.Case != "" && !slices.ContainsFunc(base.Cases, func(c job.CaseTable) bool { return c.Name == f.Case }) {
		b.Fault(at+".case", fmt.Sprintf("the job has no case %q", f.Case), "name one of its [[case]] tables")
	}
	if strings.Contains(m.of, "probe") && !slices.ContainsFunc(base.Probes, func(t job.ProbeTable) bool { return t.Name == f.Probe }) {
		b.Fault(at+".probe", fmt.Sprintf("the job has no probe %q", f.Probe), "name one of its [[probe]] tables")
	}
	if f.Figure == "buckling" && base.Analysis.Buckling == 0 && !p.edits("analysis.buckling") {
		b.Fault(at+".figure", "the job asks for no buckling factors", `set analysis.buckling = 1 in the job, or with [[set]]`)
	}
	if f.Mode != "" && !slices.Contains([]string{"fibre", "matrix", "fibre tension", "fibre compression", "bearing at the pin", "plastic strength"}, f.Mode) {
		b.Fault(at+".mode", fmt.Sprintf("there is no mode %q", f.Mode), "name one of those that docs/format/study.md lists")
	}
	return m
}

// bound reads a bound in the figure's unit; before is that of an earlier limit
// on the same figure.
func (m measure) bound(b *job.Beside, at string, v any, before *float64) *float64 {
	if v == nil {
		return before
	}
	if before != nil {
		b.Fault(at, "is given twice", "keep one of the two")
		return before
	}
	if m.plain || m.read == nil {
		x, sym, _, ok := number(v)
		if !ok || sym != "" {
			b.Fault(at, fmt.Sprintf("%v is no plain number", v), "write a number without a unit")
		}
		return &x
	}
	text, ok := v.(string)
	if !ok {
		b.Fault(at, fmt.Sprintf("%v has no unit", v), fmt.Sprintf("write it as text, such as %q", m.kind.Example()))
		return nil
	}
	x, err := unit.Parse(text, m.kind)
	if err != nil {
		b.Fault(at, err.Error(), fmt.Sprintf("write it such as %q", m.kind.Example()))
	}
	if m.per != 0 {
		x /= m.per
	}
	return &x
}
