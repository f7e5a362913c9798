package main

import (
	"os"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"sinew/job"
)

func isTerminal(f *os.File) bool { return term.IsTerminal(int(f.Fd())) }

// bar shows the stage in hand on standard error, where that is a terminal.
type bar struct{ pb *progressbar.ProgressBar }

// barSteps is the resolution of the bar.
const barSteps = 1000

func newBar(t *terminal, quiet bool) *bar {
	if quiet || !t.showBar {
		return &bar{}
	}
	return &bar{progressbar.NewOptions(barSteps,
		progressbar.OptionSetWriter(t.err), progressbar.OptionClearOnFinish(),
		progressbar.OptionSetWidth(30), progressbar.OptionSetPredictTime(false))}
}

// show is the job's progress function.
func (b *bar) show(p job.Progress) {
	if b.pb == nil {
		return
	}
	b.pb.Describe(p.Stage)
	b.pb.Set(int(barSteps * p.Share))
}

func (b *bar) done() {
	if b.pb != nil {
		b.pb.Finish()
	}
}
