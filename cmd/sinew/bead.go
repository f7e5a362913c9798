package main

import (
	"fmt"
	"io"
	"text/tabwriter"

	"sinew/job"
	"sinew/unit"
)

// materialFlags name the materials that a question is about, and their state.
type materialFlags struct {
	Tow         string   `help:"Card of the tow; a bead card may name its own." placeholder:"CARD"`
	Plastic     string   `help:"Card of the plastic." required:"" placeholder:"CARD"`
	Bead        string   `help:"Card of a measured or stated bead." placeholder:"CARD"`
	Printer     string   `help:"Card of the printer: layer height and limits of spacing." required:"" placeholder:"CARD"`
	TowMethod   string   `help:"Method from filament and resin to the tow; default that of the bead card, else halpin-tsai." placeholder:"METHOD"`
	BeadMethod  string   `help:"Method from tow and plastic to the bead; default as --tow-method." placeholder:"METHOD"`
	Temperature string   `help:"At which the part works, such as 60°C; default 23 °C." placeholder:"T"`
	Conditioned bool     `help:"Polyamides: moist as in room air."`
	Knockdown   []string `help:"Card of knock-down factors. May be repeated." placeholder:"CARD"`
}

func (f *materialFlags) question() job.CardQuestion {
	return job.CardQuestion{
		Tow: f.Tow, Plastic: f.Plastic, Bead: f.Bead, Printer: f.Printer, TowMethod: f.TowMethod, BeadMethod: f.BeadMethod,
		Temperature: f.Temperature, Conditioned: f.Conditioned, Knockdowns: f.Knockdown,
	}
}

type beadCommand struct {
	cardFlags
	materialFlags
	Spacing    string `help:"Distance of strands, such as 0.8mm; default 1 mm." placeholder:"LENGTH"`
	FibreShare string `help:"Which spacing gives this share of dry fibre, such as 25%?" placeholder:"SHARE"`
	Modulus    string `help:"Which spacing gives this modulus along the fibres, such as 50GPa?" placeholder:"STRESS"`
	Strength   string `help:"Which spacing gives this tensile strength along the fibres, such as 600MPa?" placeholder:"STRESS"`
	Explain    bool   `help:"Show how each figure comes about: formula with numbers, source, date."`
}

// Run is called by kong.
func (c *beadCommand) Run(t *terminal) error {
	a, err := job.AskBead(c.Cards, job.BeadQuestion{
		CardQuestion: c.question(),
		Spacing:      c.Spacing, FibreShare: c.FibreShare, Modulus: c.Modulus, Strength: c.Strength,
	})
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(t.out, a)
	}
	if c.Quiet {
		return nil
	}
	w := tabwriter.NewWriter(t.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "\tspacing mm\tdry fibre\tthermoset\tplastic\tvoid\tfibre by mass\tg/cm³\tg/m\tplastic mm³/mm\tE1 GPa\tE2 GPa\tG12 GPa\tnu12\tXt MPa\tXc MPa\tYt MPa\tYc MPa\tS MPa")
	line := func(name string, b *job.BeadRecord) {
		fmt.Fprintf(w, "%s\t%.3f\t%.1f %%\t%.1f %%\t%.1f %%\t%.1f %%\t%.1f %%\t%.3f\t%.3f\t%.4f\t%.1f\t%.2f\t%.2f\t%.3f\t%.0f\t%.0f\t%.1f\t%.1f\t%.1f\n", name, b.SpacingMM,
			100*b.DryFibreShare, 100*b.ThermosetShare, 100*b.PlasticShare, 100*b.VoidShare, 100*b.FibreMassShare, b.DensityGCM3, b.MassPerMetre, b.PlasticFeed,
			b.E1/1000, b.E2/1000, b.G12/1000, b.Nu12, b.Xt, b.Xc, b.Yt, b.Yc, b.S)
	}
	line("as asked", a.Bead)
	for _, r := range a.Reverse {
		line(r.Wanted, r.Bead)
	}
	line("densest that fits", a.Densest)
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(t.out, "spacing may go from %.3f mm, where beads no longer fit, to %.3f mm, the printer's limit; layers are %.3g mm high\n\n", a.LeastMM, a.MostMM, a.Bead.HeightMM)
	if err := writeMethods(t.out, a.Bead); err != nil {
		return err
	}
	if c.Explain {
		if err := writeLedger(t.out, a.Bead); err != nil {
			return err
		}
	}
	if !a.PlasticOK {
		fmt.Fprintf(t.out, "warning: %s\n", a.PlasticIs)
	}
	for _, n := range a.Notes {
		fmt.Fprintf(t.out, "note: %s\n", n)
	}
	fmt.Fprint(t.out, "estimates from the cards, not test data")
	if !c.Explain {
		fmt.Fprint(t.out, "; --explain shows how each figure comes about")
	}
	fmt.Fprintln(t.out)
	return nil
}

// writeMethods shows the bead as asked by every method, between its bounds, and
// what decides its strength in compression.
func writeMethods(out io.Writer, b *job.BeadRecord) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "at %.3f mm by\tE1 GPa\tE2 GPa\tG12 GPa\tG23 GPa\tnu12\texpansion 1e-6/K\tswelling\tconductivity W/(m·K)\n", b.SpacingMM)
	for _, m := range b.Methods {
		fmt.Fprintf(w, "%s\t%.2f\t%.3f\t%.3f\t%.3f\t%.3f\t%.2f, %.1f\t%.4f, %.3f\t%.2f, %.3f\n", m.Method, m.E1/1000, m.E2/1000, m.G12/1000, m.G23/1000, m.Nu12, 1e6*m.Alpha1, 1e6*m.Alpha2, m.Beta1, m.Beta2, m.K1, m.K2)
	}
	fmt.Fprint(w, "bounds (Hashin and Rosen, both steps)")
	for _, y := range b.Bounds {
		scale := 1000.0
		if y.Property == "nu12" {
			scale = 1
		}
		fmt.Fprintf(w, "\t%.4g to %.4g", y.Low/scale, y.High/scale)
	}
	fmt.Fprintln(w)
	if err := w.Flush(); err != nil {
		return err
	}
	for i, m := range b.Compression {
		form := "; %s at %.0f MPa"
		if i == 0 {
			form = "compression: %s governs, at %.0f MPa"
		}
		fmt.Fprintf(out, form, m.Name, m.Stress)
	}
	if len(b.Compression) > 0 {
		fmt.Fprintln(out, "; before measured figures and knock-downs")
	}
	fmt.Fprintf(out, "between layers: shear %.1f MPa, tension %.1f MPa\n\n", b.Sis, b.Zt)
	return nil
}

// writeLedger shows how each figure of the bead comes about.
func writeLedger(out io.Writer, b *job.BeadRecord) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	for _, f := range b.Figures {
		source := f.Source
		if f.Date != "" {
			source += ", " + f.Date
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\n", f.Property, unit.FormatDigits(f.Value, unit.Share, 4), f.Unit, f.How, source)
	}
	fmt.Fprintln(w)
	return w.Flush()
}
