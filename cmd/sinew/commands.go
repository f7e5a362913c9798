package main

import (
	"fmt"
	"os"
	"path/filepath"

	"sinew/dossier"
	"sinew/job"
)

// jobFlags are the options of every command that works on a job.
type jobFlags struct {
	common
	Job     string `arg:"" help:"Folder of the job (holds job.toml)."`
	Out     string `help:"Folder for results; default out in the job's folder." placeholder:"DIR"`
	Cards   string `help:"Folder with cards of your own; they go before the built-in ones. The job's own folder cards goes first." placeholder:"DIR"`
	Workers int    `help:"Processors to use; the answer does not depend on it. Default all." default:"0"`
}

func (f *jobFlags) open(t *terminal) (*job.Job, *bar, error) {
	b := newBar(t, f.Quiet || f.JSON && !t.showBar)
	j, err := job.Open(f.Job, job.Options{Out: f.Out, Cards: f.Cards, Workers: f.Workers, Progress: b.show, Stop: t.stop})
	return j, b, err
}

// carryOut runs the job's stages up to one, keeps the results and reports;
// more may add files before they are kept.
func (f *jobFlags) carryOut(t *terminal, upTo job.Stage, command string, p printFlags, more func(*job.Results) error) error {
	j, b, err := f.open(t)
	if err != nil {
		return err
	}
	defer j.Close()
	if err := p.apply(j); err != nil {
		return err
	}
	res, err := j.Run(t.ctx, upTo, command)
	b.done()
	if err != nil {
		return err
	}
	if more != nil {
		if err := more(res); err != nil {
			return err
		}
	}
	if err := res.Save(t.ctx); err != nil {
		return err
	}
	return f.answer(t, res, upTo)
}

// answer prints the record and turns a failed requirement into its error.
func (f *jobFlags) answer(t *terminal, res *job.Results, upTo job.Stage) error {
	switch {
	case f.JSON:
		if err := writeJSON(t.out, res.Record); err != nil {
			return err
		}
	case !f.Quiet:
		summarise(t.out, res, upTo)
	}
	if v := res.Record.Verdict; v != nil && !v.Passes {
		if !f.JSON {
			for _, r := range v.Reasons {
				fmt.Fprintf(t.err, "sinew: %s\n", r)
			}
		}
		return errFails
	}
	return nil
}

type layCommand struct{ jobFlags }

// Run is called by kong.
func (c *layCommand) Run(t *terminal) error { return c.carryOut(t, job.Lay, "lay", printFlags{}, nil) }

type checkCommand struct{ jobFlags }

// Run is called by kong.
func (c *checkCommand) Run(t *terminal) error {
	return c.carryOut(t, job.Check, "check", printFlags{}, nil)
}

type proveCommand struct{ jobFlags }

// Run is called by kong.
func (c *proveCommand) Run(t *terminal) error {
	return c.carryOut(t, job.Prove, "prove", printFlags{}, nil)
}

// printFlags are the options of the commands that write a machine program.
type printFlags struct {
	Allow   []string `help:"Id of a finding to let pass; it stands in the dossier. May be repeated." placeholder:"ID"`
	Copies  int      `help:"Parts in one print, instead of the job's number." default:"0"`
	Printer []string `help:"Card of another printer to compare with, beside those of the job. May be repeated." placeholder:"CARD"`
}

func (p printFlags) apply(j *job.Job) error {
	j.Allow(p.Allow)
	if p.Copies != 0 {
		if err := j.Copies(p.Copies); err != nil {
			return err
		}
	}
	return j.ComparePrinters(p.Printer)
}

type postCommand struct {
	jobFlags
	printFlags
}

// Run is called by kong.
func (c *postCommand) Run(t *terminal) error {
	return c.carryOut(t, job.Post, "post", c.printFlags, nil)
}

type runCommand struct {
	jobFlags
	printFlags
}

// Run is called by kong.
func (c *runCommand) Run(t *terminal) error {
	return c.carryOut(t, job.Post, "run", c.printFlags, func(res *job.Results) error {
		page, err := dossier.HTML(res)
		if err != nil {
			return err
		}
		res.AddFile("dossier.html", page)
		return nil
	})
}

type stressCommand struct {
	jobFlags
	Material string `help:"Card of the metal or plastic; default the job's first metal to compare with." placeholder:"CARD"`
}

// Run is called by kong.
func (c *stressCommand) Run(t *terminal) error {
	j, b, err := c.open(t)
	if err != nil {
		return err
	}
	defer j.Close()
	rec, err := j.Stress(t.ctx, c.Material)
	b.done()
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(t.out, rec)
	}
	if !c.Quiet {
		summariseStress(t.out, rec)
	}
	return nil
}

type newCommand struct {
	common
	Dir  string `arg:"" help:"Folder to make."`
	From string `help:"Drawing (DXF, SVG) or solid (3MF, STL) to start from." placeholder:"FILE"`
}

// Run is called by kong.
func (c *newCommand) Run(t *terminal) error {
	var drawing []byte
	name := ""
	if c.From != "" {
		var err error
		if drawing, err = os.ReadFile(c.From); err != nil {
			return &job.InputError{Faults: []job.Fault{{File: c.From, What: "cannot be read", Remedy: "check the path"}}}
		}
		name = filepath.Base(c.From)
	}
	made, err := job.New(c.Dir, name, drawing)
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(t.out, map[string]any{"made": made})
	}
	if !c.Quiet {
		for _, m := range made {
			fmt.Fprintf(t.out, "made %s\n", m)
		}
		fmt.Fprintf(t.out, "edit %s, then: sinew run %s\n", filepath.Join(c.Dir, job.FileName), c.Dir)
	}
	return nil
}

type versionCommand struct{}

// Run is called by kong.
func (versionCommand) Run(t *terminal) error {
	_, err := fmt.Fprintln(t.out, "sinew", job.Version)
	return err
}
