// Command client does a job over the interface of "sinew serve", with nothing
// but Go's library and what docs/format/interface.md says: it makes a job from
// a drawing, sets a load, runs it while it shows progress, and prints the
// margins; then it doubles the load and asks how the same strands stand that.
//
//	sinew serve WORKSPACE --no-browser
//	go run ./examples/client http://127.0.0.1:8087 bracket bracket.dxf
package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
)

func main() {
	if len(os.Args) < 3 || len(os.Args) > 4 {
		fmt.Fprintln(os.Stderr, "usage: client ADDRESS NAME [DRAWING]; the token, if the server wants one, in SINEW_TOKEN")
		os.Exit(2)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	drawing := ""
	if len(os.Args) == 4 {
		drawing = os.Args[3]
	}
	c := &Client{Address: os.Args[1], Token: os.Getenv("SINEW_TOKEN")}
	if err := design(ctx, c, os.Args[2], drawing, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "client:", err)
		os.Exit(1)
	}
}

// design makes, edits, runs and re-analyses a job.
func design(ctx context.Context, c *Client, name, drawing string, out io.Writer) error {
	job, err := c.NewJob(ctx, name, drawing)
	if err != nil {
		return err
	}
	if err := c.Set(ctx, job, "case[0].load[0].force", "800 N"); err != nil {
		return err
	}
	err = c.Run(ctx, job, "prove", func(p Progress) {
		fmt.Fprintf(out, "%3.0f %%  %s\n", 100*p.Share, p.Step)
	})
	if err != nil {
		return err
	}
	record, err := c.Result(ctx, job)
	if err != nil {
		return err
	}
	for _, d := range record.Designs {
		fmt.Fprintf(out, "%-40s %6.1f g  reserve factor %.2f by %s\n", d.Name, d.Mass, d.Governing.Reserve, d.Governing.Mode)
	}
	if err := c.Set(ctx, job, "case[0].load[0].force", "1.6 kN"); err != nil {
		return err
	}
	quick, err := c.Quick(ctx, job)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "the same strands under twice the load: reserve factor %.2f\n", quick.Designs[0].Governing.Reserve)
	use, err := c.View(ctx, job, "views/strands")
	if err != nil {
		return err
	}
	most := float32(0)
	for _, u := range use.Floats["strand_use"] {
		most = max(most, u)
	}
	fmt.Fprintf(out, "%d strands, the one that works hardest at %.0f %% of its fibre's strength\n", len(use.Floats["strand_use"]), 100*most)
	return nil
}
