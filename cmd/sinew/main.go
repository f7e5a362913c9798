// Command sinew designs parts printed with continuous fibre: from a drawing
// and its loads to a proven lay-up, a checked machine program and a dossier.
//
// Exit codes: 0 done; 1 the part or the print fails a requirement; 2 the
// input is wrong; 3 anything else.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/alecthomas/kong"

	"sinew/job"
)

// The exit codes of the contract.
const (
	exitDone  = 0
	exitFails = 1
	exitInput = 2
	exitOther = 3
)

// errFails says that the work was done and the answer is no.
var errFails = errors.New("the part or the print fails a requirement")

// commandLine is what the user may type; kong reads the tags.
type commandLine struct {
	New     newCommand     `cmd:"" help:"Make a commented job to start from."`
	Stress  stressCommand  `cmd:"" help:"Finite elements only: what happens to the part in one given material."`
	Lay     layCommand     `cmd:"" help:"Fibre field and strands."`
	Check   checkCommand   `cmd:"" help:"Findings: what printer or material forbids."`
	Prove   proveCommand   `cmd:"" help:"The part as printed against its cases and against other designs."`
	Post    postCommand    `cmd:"" help:"Machine program, read back before it is kept."`
	Run     runCommand     `cmd:"" help:"All of these, then the dossier."`
	Read    readCommand    `cmd:"" help:"Read a machine program: what it prints, what forbids it."`
	Bead    beadCommand    `cmd:"" help:"What a bead of tow and plastic is made of and worth, and the spacing that gives a wanted figure."`
	Stack   stackCommand   `cmd:"" help:"What a stack of layers is worth by laminate theory: stiffness, stresses, first failure, collapse, warp, hole and pin."`
	Tune    tuneCommand    `cmd:"" help:"Calibration prints, and new cards from what was measured on them."`
	Coupon  couponCommand  `cmd:"" help:"Coupon prints, and allowables from their tests."`
	Card    cardCommand    `cmd:"" help:"Material and printer cards."`
	Study   studyCommand   `cmd:"" help:"Carry a job out with many values of its keys: which are worth having."`
	Work    workCommand    `cmd:"" help:"Compute points of a study that runs on another machine."`
	Serve   serveCommand   `cmd:"" help:"The workbench: the whole job in a browser."`
	Version versionCommand `cmd:"" help:"Print the version."`
}

// common holds what every command takes.
type common struct {
	JSON  bool `name:"json" help:"One JSON document on standard output, nothing else."`
	Quiet bool `short:"q" help:"No progress and no summary."`
}

// terminal is where a command talks to the user.
type terminal struct {
	ctx      context.Context
	out, err io.Writer
	showBar  bool // standard error is a terminal
	// stop reports whether the user has asked for the best so far; nil: nobody
	// can ask.
	stop func() bool
}

func main() {
	ctx, cancel := context.WithCancel(context.Background())
	i := &interrupts{cancel: cancel, tell: os.Stderr}
	t := &terminal{ctx: ctx, out: os.Stdout, err: os.Stderr, showBar: isTerminal(os.Stderr), stop: i.stop}
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	go func() {
		for s := range signals {
			i.take(s)
		}
	}()
	code := run(t, os.Args[1:])
	cancel()
	os.Exit(code)
}

// run parses and runs one command and returns its exit code.
func run(t *terminal, args []string) int {
	var cl commandLine
	code := -1
	parser, err := kong.New(&cl,
		kong.Name("sinew"),
		kong.Description("Designs parts printed with continuous fibre. Predictions are not certification: prototypes are proof-tested, local rules and a qualified engineer decide."),
		kong.UsageOnError(), kong.Writers(t.out, t.err),
		kong.Exit(func(c int) { code = c }))
	if err != nil {
		panic("cmd/sinew: command line: " + err.Error())
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	k, err := parser.Parse(args)
	if code >= 0 { // help was shown
		return code
	}
	if err != nil {
		fmt.Fprintf(t.err, "sinew: %v; sinew --help lists commands and options\n", err)
		return exitInput
	}
	return report(t, asksJSON(args), k.Run(t))
}

// asksJSON reports whether the arguments ask for JSON: errors must follow the
// same form as results.
func asksJSON(args []string) bool {
	for _, a := range args {
		if a == "--" {
			return false
		}
		if a == "--json" {
			return true
		}
	}
	return false
}

// report tells the user of an error and chooses the exit code.
func report(t *terminal, asJSON bool, err error) int {
	var input *job.InputError
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errFails):
		return exitFails
	case errors.As(err, &input):
		if asJSON {
			writeJSON(t.out, map[string]any{"faults": input.Faults})
			return exitInput
		}
		for _, f := range input.Faults {
			fmt.Fprintf(t.err, "sinew: %s\n", f)
		}
		return exitInput
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(t.err, "sinew: stopped; nothing was written")
		return exitOther
	default:
		fmt.Fprintf(t.err, "sinew: %v\n", err)
		return exitOther
	}
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}
