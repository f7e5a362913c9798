package main

import (
	"fmt"
	"text/tabwriter"

	"sinew/job"
	"sinew/unit"
)

// cardCommand groups what deals with cards.
type cardCommand struct {
	List  cardListCommand  `cmd:"" help:"List the cards that a job can name."`
	Show  cardShowCommand  `cmd:"" help:"Show a card: every value with unit and source."`
	Check cardCheckCommand `cmd:"" help:"Check a card file: keys, units, ranges, sources."`
}

// cardFlags are the options of the card commands.
type cardFlags struct {
	common
	Cards string `help:"Folder with cards of your own." placeholder:"DIR"`
}

type cardListCommand struct {
	cardFlags
	Kind string `arg:"" optional:"" help:"tow, plastic, bead, metal, printer or knockdown; all when left out."`
}

// Run is called by kong.
func (c *cardListCommand) Run(t *terminal) error {
	list, err := job.ListCards(c.Cards, c.Kind)
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(t.out, list)
	}
	w := tabwriter.NewWriter(t.out, 0, 0, 2, ' ', 0)
	for _, e := range list {
		origin := e.Origin
		if e.Over != "" {
			origin += ", in place of built-in " + e.Over
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\n", e.Kind, e.ID, e.Version, origin, e.Title)
	}
	return w.Flush()
}

type cardShowCommand struct {
	cardFlags
	ID string `arg:"" help:"Card, as id or kind/id."`
}

// Run is called by kong.
func (c *cardShowCommand) Run(t *terminal) error {
	shown, err := job.ShowCard(c.Cards, c.ID)
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(t.out, shown)
	}
	fmt.Fprintf(t.out, "%s/%s  version %s, %s", shown.Kind, shown.ID, shown.Version, shown.Origin)
	if shown.Over != "" {
		fmt.Fprintf(t.out, ", in place of built-in version %s", shown.Over)
	}
	fmt.Fprintf(t.out, ", sha256 %s\n%s\n%s\n\n", shown.SHA256[:16], shown.Title, shown.Note)
	w := tabwriter.NewWriter(t.out, 0, 0, 2, ' ', 0)
	for _, v := range shown.Values {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", v.Key, v.Is, v.Date, v.Source)
	}
	return w.Flush()
}

type cardCheckCommand struct {
	common
	File string `arg:"" help:"Card file."`
}

// Run is called by kong.
func (c *cardCheckCommand) Run(t *terminal) error {
	e, err := job.CheckCard(c.File)
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(t.out, e)
	}
	if !c.Quiet {
		fmt.Fprintf(t.out, "%s: a %s card, version %s, %d values, sha256 %s: good\n", c.File, e.Kind, e.Version, e.Count, e.SHA256)
		if e.Undated > 0 {
			fmt.Fprintf(t.out, "%d values have no date: give each, or the card, date = \"YYYY-MM\"\n", e.Undated)
		}
	}
	return nil
}

// readDigits of totals in the summary; the JSON answer holds all.
const readDigits = 5

type readCommand struct {
	common
	Program string `arg:"" help:"Machine program."`
	Printer string `required:"" help:"Card of the printer it is for." placeholder:"CARD"`
	Cards   string `help:"Folder with cards of your own." placeholder:"DIR"`
	Job     string `help:"Job whose plan it is compared with, strand by strand." placeholder:"DIR"`
}

// Run is called by kong.
func (c *readCommand) Run(t *terminal) error {
	r, err := job.ReadProgram(t.ctx, c.Program, c.Printer, c.Cards, c.Job)
	if err != nil {
		return err
	}
	if c.JSON {
		if err := writeJSON(t.out, r); err != nil {
			return err
		}
	} else if !c.Quiet {
		fmt.Fprintf(t.out, "%s for %s: %d layers, %d strands, %d cuts, %s of tow, %s of plastic, %s\n", r.File, r.Printer, r.Layers, r.Strands, r.Cuts,
			unit.FormatDigits(r.LengthMM, unit.Length, readDigits), unit.FormatDigits(r.PlasticMM3, unit.Volume, readDigits), unit.FormatDigits(r.TimeS, unit.Time, readDigits))
		for _, f := range r.Findings {
			fmt.Fprintf(t.out, "line %d: %s: %s; %s\n", f.Line, f.Severity, f.What, f.Remedy)
		}
		for _, d := range r.Differences {
			fmt.Fprintf(t.out, "differs from the plan: %s\n", d)
		}
	}
	if !r.Good {
		return errFails
	}
	return nil
}
