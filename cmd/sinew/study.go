package main

import (
	"crypto/rand"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"sinew/job"
	"sinew/study"
)

// studyCommand carries a job out many times.
type studyCommand struct {
	common
	Job       string `arg:"" help:"Folder of the job (holds job.toml and study.toml)."`
	Out       string `help:"Folder for results; default out in the job's folder." placeholder:"DIR"`
	Cards     string `help:"Folder with cards of your own." placeholder:"DIR"`
	Workers   *int   `help:"Points at a time on this machine, each on one processor; 0 leaves all to other machines. Default one for each processor." placeholder:"N"`
	Listen    string `help:"Address at which workers on other machines ask for points." placeholder:"HOST:PORT"`
	TokenFile string `help:"File with the token that workers must show; default a new one, printed once." placeholder:"FILE"`
}

// Run is called by kong.
func (c *studyCommand) Run(t *terminal) error {
	s := study.Settings{Out: c.Out, Cards: c.Cards, Stop: t.stop}
	if c.Workers != nil {
		if s.Workers = *c.Workers; s.Workers <= 0 {
			s.Workers = -1
		}
	}
	if s.Workers < 0 && c.Listen == "" {
		return &job.InputError{Faults: []job.Fault{{Key: "--workers", What: "nobody would compute anything", Remedy: "give at least 1, or --listen for workers on other machines"}}}
	}
	if err := c.listen(t, &s); err != nil {
		return err
	}
	b := newBar(t, c.Quiet || c.JSON && !t.showBar)
	s.Progress = func(done, all int) {
		b.show(job.Progress{Stage: fmt.Sprintf("%d of %d points", done, all), Share: float64(done) / float64(all)})
	}
	if !c.Quiet {
		s.Tell = func(what string) { fmt.Fprintln(t.err, "sinew:", what) }
	}
	r, err := study.Run(t.ctx, c.Job, s)
	b.done()
	if err != nil {
		return err
	}
	return c.answer(t, r)
}

// listen opens the door to workers, where asked, and says how to come in.
func (c *studyCommand) listen(t *terminal, s *study.Settings) error {
	if c.Listen == "" {
		if c.TokenFile != "" {
			return &job.InputError{Faults: []job.Fault{{Key: "--token-file", What: "goes with --listen", Remedy: "delete it, or add --listen"}}}
		}
		return nil
	}
	s.Token = rand.Text()
	if c.TokenFile != "" {
		var err error
		if s.Token, err = readToken(c.TokenFile); err != nil {
			return err
		}
	}
	l, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return &job.InputError{Faults: []job.Fault{{Key: "--listen", What: err.Error(), Remedy: "choose another address, such as 0.0.0.0:8090, or 127.0.0.1:0 for any free port of this machine alone"}}}
	}
	s.Listener = l
	fmt.Fprintf(t.err, "sinew: on the other machines: sinew work http://%s --token-file FILE\n", l.Addr())
	if c.TokenFile == "" {
		fmt.Fprintf(t.err, "sinew: the token, for that file: %s\n", s.Token)
	}
	return nil
}

// readToken reads the token that a file holds, "-" for standard input.
func readToken(name string) (string, error) {
	fault := func(what, remedy string) error {
		return &job.InputError{Faults: []job.Fault{{File: name, Key: "--token-file", What: what, Remedy: remedy}}}
	}
	in := os.Stdin
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return "", fault("cannot be read", "check the path")
		}
		defer f.Close()
		in = f
	}
	data, err := io.ReadAll(io.LimitReader(in, maxTokenBytes))
	token := strings.TrimSpace(string(data))
	switch {
	case err != nil:
		return "", fault("cannot be read", "check the path")
	case len(token) < leastToken || strings.ContainsAny(token, "\r\n\t "):
		return "", fault(fmt.Sprintf("holds no token of %d characters or more on one line", leastToken), "write one that nobody guesses into it")
	}
	return token, nil
}

// maxTokenBytes bounds what is read of a token's file.
const maxTokenBytes = 4096

// answer prints the record and turns an empty front and a stopped study into
// their errors.
func (c *studyCommand) answer(t *terminal, r *study.Record) error {
	switch {
	case c.JSON:
		if err := writeJSON(t.out, r); err != nil {
			return err
		}
	case !c.Quiet:
		summariseStudy(t.out, r)
		out := c.Out
		if out == "" {
			out = filepath.Join(c.Job, "out")
		}
		fmt.Fprintf(t.out, "all points: %s\n", filepath.Join(out, study.PageName))
	}
	if !r.Complete {
		return fmt.Errorf("stopped with %d of %d points; the same command goes on from there", r.Counts.Points-r.Counts.Open, r.Counts.Points)
	}
	if len(r.Front) == 0 {
		if !c.JSON {
			fmt.Fprintln(t.err, "sinew: no point meets the limits")
		}
		return errFails
	}
	return nil
}

// summariseStudy prints the front, and why points are not on it where that needs
// saying.
func summariseStudy(w io.Writer, r *study.Record) {
	n := r.Counts
	fmt.Fprintf(w, "%s  (input %s, study %s)\n", r.Study, r.InputHash[:16], r.StudyHash[:16])
	fmt.Fprintf(w, "%d points, %d distinct: %d meet the limits, %d miss one, %d refused, %d not computed\n", n.Points, n.Distinct, n.Meets, n.Misses, n.Refused, n.Open)
	if len(r.Front) > 0 {
		fmt.Fprintln(w, "front: no other point is at least as good in every aim and better in one")
		frontTable(w, r)
	}
	for _, group := range r.Ties {
		fmt.Fprintf(w, "equal in every aim: points %v\n", group)
	}
	tellReasons(w, r, study.Refused)
	if len(r.Front) == 0 {
		tellReasons(w, r, study.Misses)
	}
	fmt.Fprintln(w, job.Caution)
}

func frontTable(w io.Writer, r *study.Record) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprint(t, "point")
	for _, v := range r.Variables {
		fmt.Fprint(t, "\t", v.Name)
	}
	for _, c := range r.Columns {
		fmt.Fprint(t, "\t", c.Title())
	}
	fmt.Fprintln(t, "\tgoverned by")
	for _, number := range r.Front {
		p := r.Point(number)
		fmt.Fprintf(t, "%d\t%s", p.Number, strings.Join(p.Values, "\t"))
		for _, f := range p.Figures {
			fmt.Fprint(t, "\t", study.Number(f))
		}
		governed := ""
		if g := p.Governing; g != nil {
			governed = fmt.Sprintf("%s in %s", g.Mode, g.Case)
		}
		fmt.Fprintln(t, "\t"+governed)
	}
	t.Flush()
}

// mostReasons is how many points of a state the summary tells of.
const mostReasons = 5

// tellReasons says why points are refused, or miss a limit.
func tellReasons(w io.Writer, r *study.Record, state string) {
	told := 0
	for i := range r.Points {
		p := &r.Points[i]
		if p.State != state {
			continue
		}
		if told++; told > mostReasons {
			fmt.Fprintf(w, "%s: more points, with their reasons in the results\n", state)
			return
		}
		fmt.Fprintf(w, "%s: point %d (%s): %s\n", state, p.Number, strings.Join(p.Values, "; "), p.Reasons[0])
	}
}

// workCommand computes points of a study on another machine.
type workCommand struct {
	URL       string `arg:"" help:"Address that sinew study printed."`
	TokenFile string `required:"" help:"File with the token of the study; - reads it from standard input." placeholder:"FILE"`
	Workers   int    `help:"Points at a time, each on one processor. Default one for each processor." default:"0" placeholder:"N"`
	Quiet     bool   `short:"q" help:"Print nothing."`
}

// Run is called by kong.
func (c *workCommand) Run(t *terminal) error {
	token, err := readToken(c.TokenFile)
	if err != nil {
		return err
	}
	s := study.WorkSettings{URL: c.URL, Token: token, Workers: c.Workers}
	if !c.Quiet {
		s.Tell = func(what string) { fmt.Fprintln(t.err, "sinew:", what) }
	}
	return study.Work(t.ctx, s)
}
