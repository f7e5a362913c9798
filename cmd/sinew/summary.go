package main

import (
	"fmt"
	"io"
	"text/tabwriter"

	"sinew/job"
	"sinew/unit"
)

// summarise prints what a person wants to know first; the record and the
// dossier hold the rest.
func summarise(w io.Writer, res *job.Results, upTo job.Stage) {
	r := res.Record
	fmt.Fprintf(w, "%s  (input %s)\n", r.Job, r.InputHash[:16])
	if b := r.Bead; b != nil {
		fmt.Fprintf(w, "bead at %.2f mm spacing: dry fibre %.1f %%, thermoset %.1f %%, plastic %.1f %%; E1 %.1f GPa\n",
			b.SpacingMM, 100*b.DryFibreShare, 100*b.ThermosetShare, 100*b.PlasticShare, b.E1/1000)
	}
	if s := r.Strands; s != nil {
		fmt.Fprintf(w, "strands: %d, %d cuts, %.1f m of tow; shortest %.0f mm, least radius %.1f mm, widths %.2f to %.2f mm\n",
			s.Count, s.Cuts, s.LengthM, s.ShortestMM, s.MinRadiusMM, s.SpacingLo, s.SpacingHi)
	}
	if len(r.Designs) > 0 {
		designTable(w, r)
		collapseLines(w, r)
	}
	if r.Plate != nil {
		plateLines(w, r.Plate)
	}
	if upTo >= job.Check {
		findingTable(w, r)
	}
	if p := r.Program; p != nil {
		fmt.Fprintf(w, "program: %s, %d bytes, %.0f min, %.1f m tow, %.1f g plastic, cost %.2f; read back: %d strands, %d cuts, agrees\n",
			p.File, p.Bytes, p.TimeS/60, p.LengthM, p.PlasticG, p.Cost, p.ReadBack.Strands, p.ReadBack.Cuts)
		if p.Copies > 1 {
			fmt.Fprintf(w, "%d copies in one print: %.0f min and %.2f each\n", p.Copies, p.TimeEachS/60, p.CostEach)
		}
	}
	if len(r.Printers) > 0 {
		printerTable(w, r)
	}
	for _, text := range r.Warnings {
		fmt.Fprintf(w, "warning: %s\n", text)
	}
	if v := r.Verdict; v != nil && v.Passes {
		fmt.Fprintln(w, "meets what the job requires, by prediction; proof-test a prototype before anyone depends on it")
	}
}

// designTable compares the designs by their least reserve factors.
func designTable(w io.Writer, r *job.Record) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "design\tmass g\tfibre m\tstiffness N/mm\treserve\tby\tin case\tplace")
	for _, d := range r.Designs {
		g := d.Governing
		if g == nil {
			g = &job.MarginRecord{}
		}
		where := fmt.Sprintf("(%.1f, %.1f)", g.X, g.Y)
		if g.Feature != "" {
			where += " at " + g.Feature
		}
		fmt.Fprintf(t, "%s\t%.1f\t%.1f\t%.0f\t%s\t%s\t%s\t%s\n", d.Name, d.MassG, d.FibreLengthM, d.Stiffness, unit.Reserve(g.Reserve), g.Mode, g.Case, where)
	}
	t.Flush()
	if k := r.Strength; k != nil {
		for _, d := range k.KnockDowns {
			fmt.Fprintf(w, "knock-down in every allowable of beads and plastic: %s: fibre tension × %g, compression × %g, matrix × %g, between layers × %g, stiffness × %g\n", d.Title, d.Tension, d.Compression, d.Matrix, d.Interlaminar, d.Stiffness)
		}
	}
	for _, q := range r.Ratios {
		if q.Case != r.Ratios[0].Case {
			continue // the dossier holds every case
		}
		fmt.Fprintf(w, "as printed over %s, %s: first fibre failure %.2f ×, first matrix failure %.2f ×, stiffness %.2f ×\n", q.Against, q.Case, q.Fibre, q.Matrix, q.Stiffness)
	}
}

// printerTable sets the printers side by side.
func printerTable(w io.Writer, r *job.Record) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "printer\tlayers\tthick mm\tmass g\treserve\ttime\tcost each\tstop, warn, note")
	for _, p := range r.Printers {
		time, cost, reserve := "-", "-", "-"
		if p.Program != nil {
			time, cost = fmt.Sprintf("%.0f min", p.Program.TimeEachS/60), fmt.Sprintf("%.2f", p.Program.CostEach)
		}
		if p.Governing != nil {
			reserve = unit.Reserve(p.Governing.Reserve)
		}
		n := map[string]int{}
		for _, f := range p.Findings {
			n[f.Severity] += f.Count
		}
		fmt.Fprintf(t, "%s\t%d\t%.3g\t%.1f\t%s\t%s\t%s\t%d, %d, %d\n", p.Printer, p.Layers, p.ThicknessMM, p.MassG, reserve, time, cost, n["stop"], n["warn"], n["note"])
	}
	t.Flush()
	for _, p := range r.Printers {
		for _, note := range p.Notes {
			fmt.Fprintf(w, "%s: %s\n", p.Printer, note)
		}
	}
}

// collapseLines tells the way to collapse where it was followed, in load
// factors; 0 stands for none.
func collapseLines(w io.Writer, r *job.Record) {
	for _, d := range r.Designs {
		for _, c := range d.Cases {
			if k := c.Collapse; k != nil {
				fmt.Fprintf(w, "%s, %s: first matrix failure %.2f, first fibre failure %.2f, collapse %.2f\n", d.Name, c.Case, k.FirstMatrix, k.FirstFibre, k.Load)
			}
		}
	}
}

func findingTable(w io.Writer, r *job.Record) {
	if len(r.Findings) == 0 {
		fmt.Fprintln(w, "findings: none")
		return
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	seen := map[string]bool{}
	for _, f := range r.Findings {
		id := f.Severity + f.ID
		if seen[id] {
			continue // the first of its kind stands for all; the dossier lists each
		}
		seen[id] = true
		sev := f.Severity
		if f.Allowed {
			sev += " (allowed)"
		}
		fmt.Fprintf(t, "%s\t%s\t%s%s; %s\n", sev, f.ID, f.What, inLayers(r.Findings, f), f.Remedy)
	}
	t.Flush()
}

// inLayers says in how many layers a finding stands.
func inLayers(all []job.FindingRecord, one job.FindingRecord) string {
	n := 0
	for _, f := range all {
		if f.ID == one.ID && f.Severity == one.Severity {
			n++
		}
	}
	if n < 2 {
		return ""
	}
	return fmt.Sprintf(" (and in %d more layers)", n-1)
}

// summariseStress prints the answer of the stress command.
func summariseStress(w io.Writer, r *job.StressRecord) {
	fmt.Fprintf(w, "%s in %s\n", r.Job, r.Material)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "case\treserve\tby\tplace\tpeak MPa\tstiffness N/mm\timbalance")
	for _, c := range r.Cases {
		fmt.Fprintf(t, "%s\t%s\t%s\t(%.1f, %.1f)\t%.1f\t%.0f\t%.0e\n", c.Case, unit.Reserve(c.Governing.Reserve), c.Governing.Mode, c.Governing.X, c.Governing.Y, c.PeakMPa, c.Stiffness, c.Imbalance)
	}
	t.Flush()
	fmt.Fprintf(w, "mesh: %d elements, estimated energy error %.1f %%\n", r.Elements, 100*r.ErrorShare)
	for _, text := range r.Warnings {
		fmt.Fprintf(w, "warning: %s\n", text)
	}
}
