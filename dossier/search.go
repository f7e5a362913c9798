package dossier

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"sinew/figure"
	"sinew/job"
)

// searchFigures draws how the objectives of the layer mix and of the refinement
// fall. They are sums of logarithms, so that the exponential of what they have
// fallen by is the share that is left.
func searchFigures(l *job.LayupRecord) []titled {
	if l == nil {
		return nil
	}
	var out []titled
	plot := func(caption, x, text string, values []float64) {
		c := figure.Curve{Name: "objective"}
		for i, v := range values {
			c.Points = append(c.Points, [2]float64{float64(i), math.Exp(v - values[0])})
		}
		out = append(out, titled{SVG: template.HTML(figure.Plot(caption, figure.Axis(x), "exp(objective − the first)", []figure.Curve{c})), Text: text})
	}
	if m := l.Mix; m != nil && len(m.Steps) > 0 {
		values := []float64{m.Start}
		for _, s := range m.Steps {
			values = append(values, s.Objective)
		}
		plot("layer mix: the objective falls", "exchange", "Objective of the search for the layer mix, from the families as given or, where that led farther, from straight fibre in all directions.", values)
	}
	if r := l.Refinement; r != nil && len(r.Objective) > 1 {
		plot("refinement: the objective falls", "step", fmt.Sprintf("Objective of the refinement; step %d is laid, the best of those that were drawn.", r.Kept), r.Objective)
	}
	return out
}

// mixOf writes how many layers hold which family.
func mixOf(t job.MixTrialRecord) string {
	var parts []string
	for _, f := range t.Layers {
		parts = append(parts, fmt.Sprintf("%d %s", f.Layers, f.Family))
	}
	return strings.Join(parts, " + ")
}

// gapToPlan lists the ratios of the print to the field as planned.
func gapToPlan(r *job.Record) []job.RatioRecord {
	var out []job.RatioRecord
	for _, d := range r.Designs {
		for _, x := range r.Ratios {
			if d.ID == job.PlannedID && x.Against == d.Name {
				out = append(out, x)
			}
		}
	}
	return out
}
