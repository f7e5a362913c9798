package main

import (
	"fmt"
	"text/tabwriter"

	"sinew/job"
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
	fmt.Fprintln(w, "\tspacing mm\tdry fibre\tthermoset\tplastic\tvoid\tg/m\tplastic mm³/mm\tE1 GPa\tE2 GPa\tG12 GPa\tXt MPa\tXc MPa\tYt MPa\tS MPa")
	line := func(name string, b *job.BeadRecord) {
		fmt.Fprintf(w, "%s\t%.3f\t%.1f %%\t%.1f %%\t%.1f %%\t%.1f %%\t%.3f\t%.4f\t%.1f\t%.2f\t%.2f\t%.0f\t%.0f\t%.1f\t%.1f\n", name, b.SpacingMM,
			100*b.DryFibreShare, 100*b.ThermosetShare, 100*b.PlasticShare, 100*b.VoidShare, b.MassPerMetre, b.PlasticFeed, b.E1/1000, b.E2/1000, b.G12/1000, b.Xt, b.Xc, b.Yt, b.S)
	}
	line("as asked", a.Bead)
	for _, r := range a.Reverse {
		line(r.Wanted, r.Bead)
	}
	line("densest that fits", a.Densest)
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(t.out, "spacing may go from %.3f mm, where beads no longer fit, to %.3f mm, the printer's limit; layers are %.3g mm high\n", a.LeastMM, a.MostMM, a.Bead.HeightMM)
	if !a.PlasticOK {
		fmt.Fprintf(t.out, "warning: %s\n", a.PlasticIs)
	}
	fmt.Fprintln(t.out, "estimates from the cards, not test data; --json tells where each figure comes from")
	return nil
}
