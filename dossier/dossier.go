package dossier

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"math"
	"strconv"
	"strings"

	"sinew/job"
	"sinew/unit"
)

//go:embed dossier.html
var page string

// view is what the page shows.
type view struct {
	*job.Record
	Caution string
	Figures []titled // of the part and its loads, stress
	Layers  []titled // one for each distinct composite layer
	Marks   []titled // utilisation and findings
	Falls   []titled // the way to collapse
	Search  []titled // objectives of the search, falling
	Best    string   // name of the design that is printed
}

// titled is a drawing with the sentence under it.
type titled struct {
	SVG  template.HTML // from package figure alone, which escapes what it writes
	Text string
}

// HTML returns the dossier of a job that was run to its program.
func HTML(res *job.Results) ([]byte, error) {
	t, err := template.New("dossier").Funcs(words).Parse(page)
	if err != nil {
		panic("dossier: page template: " + err.Error())
	}
	v := view{Record: res.Record, Caution: job.Caution, Best: job.PrintedID}
	v.Figures = partFigures(res)
	v.Layers = layerFigures(res)
	v.Marks = markFigures(res)
	v.Search = searchFigures(res.Record.Layup)
	v.Falls = collapseFigures(res)
	var b bytes.Buffer
	if err := t.Execute(&b, v); err != nil {
		return nil, fmt.Errorf("dossier: %w", err)
	}
	return b.Bytes(), nil
}

// words are the functions of the page template.
var words = template.FuncMap{
	"num":       number,
	"percent":   func(v float64) string { return number(100*v, 3) + " %" },
	"minutes":   func(s float64) string { return fmt.Sprintf("%d:%02d min", int(s)/60, int(math.Round(s))%60) },
	"short":     func(hash string) string { return hash[:min(16, len(hash))] },
	"place":     func(m job.MarginRecord) string { return place(m) },
	"reserve":   unit.Reserve,
	"low":       func(v float64) bool { return v < 1 },
	"mib":       func(bytes int) int { return (bytes + 1<<20 - 1) >> 20 },
	"spoilt":    func(condition float64) float64 { return condition * 0x1p-53 },
	"add":       func(a, b int) int { return a + b },
	"mm":        func(v float64) string { return number(math.Round(100*v)/100, 5) },
	"times":     times,
	"gpa":       func(mpa float64) float64 { return mpa / 1000 },
	"metre":     func(mm float64) float64 { return mm / 1000 },
	"hundred":   func(share float64) float64 { return 100 * share },
	"least":     least,
	"mix":       mixOf,
	"gap":       gapToPlan,
	"micro":     func(v float64) string { return number(1e6*v, 3) },
	"joints":    hasJoints,
	"formulas":  func() []string { return []string{"bearing", "net section", "shear-out"} },
	"check":     checkOf,
	"ruletext":  ruleText,
	"judged":    judged,
	"allowable": allowable,
	"metals":    metals,
	"over":      overPrint,
	"term":      term,
	"minus":     func(v float64) float64 { return -v },
	"worth":     worth,
	"inputs":    inputs,
	"figure":    figureText,
	"exceeds":   exceeds,
}

// worth picks the figures of the bead itself, inputs what went into them: the
// cards' figures, which stand under the title of their card, and the choices of
// the estimate.
func worth(list []job.FigureOfRecord) []job.FigureOfRecord {
	for i, f := range list {
		if f.Property == lastOfBead {
			return list[:i+1]
		}
	}
	return list
}

func inputs(list []job.FigureOfRecord) []job.FigureOfRecord { return list[len(worth(list)):] }

// lastOfBead is the figure that ends what the bead is worth.
const lastOfBead = "Zt"

// symbols write the bead's figures as engineers do.
var symbols = strings.NewReplacer("alpha1", "α₁", "alpha2", "α₂", "beta1", "β₁", "beta2", "β₂", "k1", "λ₁", "k2", "λ₂", "nu12", "ν₁₂", "nu23", "ν₂₃",
	"E1", "E₁", "E2", "E₂", "G12", "G₁₂", "G23", "G₂₃", "Xt", "X_t", "Xc", "X_c", "Yt", "Y_t", "Yc", "Y_c", "Sis", "S_is", "Zt", "Z_t")

// figureText is a figure as a row of the page shows it.
func figureText(f job.FigureOfRecord) (out struct{ Name, Value, Unit, Source string }) {
	out.Name, out.Value, out.Unit, out.Source = f.Property, number(f.Value, 4), f.Unit, f.Source
	if !strings.Contains(f.Property, " ") {
		out.Name = symbols.Replace(f.Property)
	}
	if f.Unit == "1/K" {
		out.Value, out.Unit = number(1e6*f.Value, 4), "10⁻⁶/K"
	}
	if f.Date != "" {
		out.Source += ", " + f.Date
	}
	return out
}

// exceeds reports whether a constant of a method lies outside its bounds by
// more than such figures are known.
func exceeds(b *job.BeadRecord, property string, v float64) bool {
	for _, y := range b.Bounds {
		if y.Property == property {
			return v < y.Low*(1-boundSlack) || v > y.High*(1+boundSlack)
		}
	}
	return false
}

const boundSlack = 1e-3

// number writes v with the given number of significant digits, plain.
func number(v float64, digits int) string {
	if v == 0 {
		return "0"
	}
	// The exponent is that of the rounded figure: 999.99 with four digits is 1000.
	_, exponent, _ := strings.Cut(strconv.FormatFloat(v, 'e', digits-1, 64), "e")
	power, _ := strconv.Atoi(exponent) // of a figure: none for infinity, which stands as it is
	decimals := max(digits-1-power, 0)
	return strings.Replace(strconv.FormatFloat(v, 'f', decimals, 64), "-", "−", 1)
}

// times writes a ratio; beyond a hundred its size says no more.
func times(v float64) string {
	switch {
	case v == 0:
		return "–"
	case v > 100:
		return "> 100 ×"
	}
	return number(v, 3) + " ×"
}

// place words where a margin lies.
func place(m job.MarginRecord) string {
	s := fmt.Sprintf("(%.1f, %.1f) mm", m.X, m.Y)
	if m.Layer >= 0 {
		s += fmt.Sprintf(", composite layer %d at %.0f°", m.Layer+1, m.AngleDeg)
	}
	if m.Feature != "" {
		s += ", at " + m.Feature
	}
	return s
}

// judged words the stress behind a margin.
func judged(m job.MarginRecord) string {
	list := m.Stress[:]
	switch m.Mode {
	case "shear between layers":
		list = list[:2]
	case "bearing at the pin":
		if m.Layer < 0 { // the mean pressure
			list = list[:1]
		}
	}
	return listed(list)
}

// allowable words what the stress was held against.
func allowable(m job.MarginRecord) string { return listed(m.Allowable) }

func listed(values []float64) string {
	text := make([]string, len(values))
	for i, v := range values {
		text[i] = number(v, 3)
	}
	return strings.Join(text, ", ")
}

// term writes a term of a stiffness: what is rounding beside a newton is none.
func term(v float64) string {
	if math.Abs(v) < 1e-6 {
		return "0"
	}
	return number(v, 4)
}

// metals are the designs judged against yield.
func metals(designs []job.DesignRecord) []job.DesignRecord {
	var out []job.DesignRecord
	for _, d := range designs {
		if least(d, "yield") != nil {
			out = append(out, d)
		}
	}
	return out
}

// overPrint is a mass over that of the print; 0 without a print.
func overPrint(mass float64, designs []job.DesignRecord) float64 {
	for _, d := range designs {
		if d.ID == job.PrintedID && d.MassG > 0 {
			return mass / d.MassG
		}
	}
	return 0
}

// least returns the margin of a mode with the lowest reserve over the cases
// of a design, nil where it has none.
func least(d job.DesignRecord, mode string) *job.MarginRecord {
	var out *job.MarginRecord
	for i := range d.Cases {
		for k := range d.Cases[i].Margins {
			m := &d.Cases[i].Margins[k]
			if m.Mode == mode && (out == nil || m.Reserve < out.Reserve) {
				worst := *m
				worst.Case, out = d.Cases[i].Case, &worst
			}
		}
	}
	return out
}

// checkOf returns what one of the simple formulas says of a loaded hole, nil
// where it does not apply.
func checkOf(j job.JointRecord, name string) *job.JointReport {
	for i := range j.Checks {
		if j.Checks[i].Check == name {
			return &j.Checks[i]
		}
	}
	return nil
}

// hasJoints reports whether any design has a loaded hole.
func hasJoints(designs []job.DesignRecord) bool {
	for _, d := range designs {
		for _, c := range d.Cases {
			if len(c.Joints) > 0 {
				return true
			}
		}
	}
	return false
}

// ruleText says over what distance the margins were judged.
func ruleText(s job.StrengthRecord) string {
	switch s.Rule {
	case "point-stress":
		return fmt.Sprintf("Judged %s mm from the edge (point stress), inside the part by the mean over a disc of %s mm.", number(s.PointMM, 3), number(s.RadiusMM, 3))
	case "average-stress":
		return fmt.Sprintf("Judged by the mean over %s mm from the edge (average stress), inside the part by the mean over a disc of %s mm.", number(s.AverageMM, 3), number(s.RadiusMM, 3))
	}
	return fmt.Sprintf("Judged by the mean over a disc of %s mm.", number(s.RadiusMM, 3))
}
