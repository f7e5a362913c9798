package main

import (
	"fmt"
	"text/tabwriter"
	"time"

	"sinew/job"
)

// benchFlags name the cards of a print for measuring.
type benchFlags struct {
	common
	Printer string `required:"" help:"Card of the printer." placeholder:"CARD"`
	Plastic string `required:"" help:"Card of the plastic." placeholder:"CARD"`
	Tow     string `help:"Card of the tow, where the print lays tow." placeholder:"CARD"`
	Cards   string `help:"Folder with cards of your own." placeholder:"DIR"`
	Out     string `help:"Folder for what is made." default:"." placeholder:"DIR"`
}

func (f *benchFlags) bench() job.Bench {
	return job.Bench{Printer: f.Printer, Plastic: f.Plastic, Tow: f.Tow, Cards: f.Cards, Out: f.Out}
}

// tuneCommand groups calibration prints and their fit.
type tuneCommand struct {
	Print tunePrintCommand `cmd:"" help:"Make a calibration print with its page: bed, nozzles, cutter (place); flow, temperature, speed (a plastic)."`
	Fit   tuneFitCommand   `cmd:"" help:"Turn what was measured into a new card."`
}

type tunePrintCommand struct {
	benchFlags
	Name string `arg:"" help:"bed, nozzles, cutter, flow, temperature or speed."`
}

// Run is called by kong.
func (c *tunePrintCommand) Run(t *terminal) error {
	r, err := job.TunePrint(t.ctx, c.Name, c.bench())
	if err != nil {
		return err
	}
	return c.answer(t, r)
}

// answer shows what was made.
func (f *benchFlags) answer(t *terminal, r *job.PrintRecord) error {
	if f.JSON {
		return writeJSON(t.out, r)
	}
	if f.Quiet {
		return nil
	}
	fmt.Fprintf(t.out, "%s: %.0f min, %.1f m tow, cost %.2f\n", r.Title, r.TimeS/60, r.LengthM, r.Cost)
	for _, file := range r.Files {
		fmt.Fprintf(t.out, "made %s\n", file)
	}
	for _, n := range r.Notes {
		fmt.Fprintln(t.out, n)
	}
	return nil
}

type tuneFitCommand struct {
	benchFlags
	Name string `arg:"" help:"The calibration print that was measured."`
	Data string `arg:"" help:"What was measured: the print's CSV file, filled in."`
	ID   string `name:"id" help:"Id of the new card; default the old one's with -tuned." placeholder:"ID"`
}

// Run is called by kong.
func (c *tuneFitCommand) Run(t *terminal) error {
	r, err := job.TuneFit(t.ctx, c.Name, c.Data, c.ID, today(), c.bench())
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(t.out, r)
	}
	if c.Quiet {
		return nil
	}
	for _, ch := range r.Changes {
		was := ""
		if ch.Was != "" {
			was = ", was " + ch.Was
		}
		fmt.Fprintf(t.out, "%s = %s%s (%s)\n", ch.Key, ch.Is, was, ch.Source)
		if ch.Note != "" {
			fmt.Fprintf(t.out, "  %s\n", ch.Note)
		}
	}
	fmt.Fprintf(t.out, "made %s\n", r.File)
	return nil
}

// today is the date of a measurement, for its card.
func today() string { return time.Now().Format("2006-01-02") }

// couponCommand groups coupon prints and allowables.
type couponCommand struct {
	Print couponPrintCommand `cmd:"" help:"Make a plate from which coupons of a standard test are sawn, with its page."`
	Fit   couponFitCommand   `cmd:"" help:"Turn test data into allowables and a measured bead card."`
}

type couponPrintCommand struct {
	benchFlags
	Test      string `arg:"" help:"tension-0, tension-90, compression-0, compression-90, shear or short-beam."`
	Count     int    `help:"Number of coupons." default:"6"`
	Spacing   string `help:"Of the strands; default the printer's least." placeholder:"LENGTH"`
	Thickness string `help:"Of the composite; default the test's." placeholder:"LENGTH"`
}

// Run is called by kong.
func (c *couponPrintCommand) Run(t *terminal) error {
	r, err := job.CouponPrint(t.ctx, c.Test, job.Plate{Count: c.Count, Spacing: c.Spacing, Thickness: c.Thickness}, c.bench())
	if err != nil {
		return err
	}
	return c.answer(t, r)
}

type couponFitCommand struct {
	common
	Data        string `arg:"" help:"Test data: CSV with test, batch, width_mm, thickness_mm, force_N, modulus_MPa, or strength_MPa."`
	ID          string `name:"id" help:"Id of the bead card; without it none is written." placeholder:"ID"`
	Title       string `help:"Its title." placeholder:"TEXT"`
	Tow         string `help:"Card of the tow in the coupons." placeholder:"CARD"`
	Spacing     string `help:"Of the strands in the coupons." placeholder:"LENGTH"`
	Temperature string `help:"Of the tests, such as 60°C; default 23 °C." placeholder:"T"`
	Conditioned bool   `help:"The coupons were moist as in room air."`
	Share       string `help:"What becomes the strength: B, A or mean." default:"B"`
	Out         string `help:"Folder for the card." default:"." placeholder:"DIR"`
}

// Run is called by kong.
func (c *couponFitCommand) Run(t *terminal) error {
	r, err := job.CouponFit(t.ctx, c.Data, job.Measured{ID: c.ID, Title: c.Title, Tow: c.Tow, Spacing: c.Spacing, Temperature: c.Temperature, Conditioned: c.Conditioned, Date: today(), Share: c.Share}, c.Out)
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(t.out, r)
	}
	if c.Quiet {
		return nil
	}
	w := tabwriter.NewWriter(t.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "test\tn\tmean MPa\tCV %\tB MPa\tA MPa\tby")
	for _, a := range r.Tests {
		fmt.Fprintf(w, "%s\t%d\t%.4g\t%.1f\t%s\t%s\t%s (significance %.2f)\n", a.Test, a.N, a.Mean, 100*a.CV, orDash(a.B), orDash(a.A), a.Distribution, a.OSL)
	}
	w.Flush()
	for _, a := range r.Tests {
		for _, n := range a.Notes {
			fmt.Fprintf(t.out, "%s: %s\n", a.Test, n)
		}
	}
	if r.File != "" {
		fmt.Fprintf(t.out, "made %s\n", r.File)
	}
	return nil
}

func orDash(v float64) string {
	if v == 0 {
		return "-"
	}
	return fmt.Sprintf("%.4g", v)
}
