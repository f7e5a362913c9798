package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os/exec"
	"runtime"
	"time"

	"sinew/job"
	"sinew/workbench"
)

// serveCommand opens the workbench.
type serveCommand struct {
	Dir       string   `arg:"" optional:"" default:"." help:"Workspace: a job's folder, or a folder that holds jobs."`
	Listen    string   `help:"Address to listen on. Anything but loopback needs a token." default:"127.0.0.1:8087" placeholder:"HOST:PORT"`
	Token     string   `help:"Who has it may come in; \"new\" makes one and prints it." placeholder:"TEXT"`
	Name      []string `help:"Further host name under which the server is reached. May be repeated." placeholder:"HOST"`
	NoBrowser bool     `help:"Do not open the browser."`
	Cards     string   `help:"Folder with cards of your own." placeholder:"DIR"`
	Workers   int      `help:"Processors to use in a run. Default all." default:"0"`
	Quiet     bool     `short:"q" help:"Print nothing but the address."`
}

// Timeouts of the server. Answers have none: events are followed for hours.
const (
	headerTimeout   = 10 * time.Second
	idleTimeout     = 2 * time.Minute
	shutdownTimeout = 5 * time.Second
	leastToken      = 16 // characters
)

// spareProcessors are for requests: a run keeps all others busy, and the system
// shares processors between threads more quickly than Go's scheduler does
// between goroutines.
const spareProcessors = 4

// Run is called by kong.
func (c *serveCommand) Run(t *terminal) error {
	if err := c.checkWide(); err != nil {
		return err
	}
	processors := runtime.GOMAXPROCS(0)
	if c.Workers <= 0 {
		c.Workers = processors
	}
	runtime.GOMAXPROCS(processors + spareProcessors)
	s, err := workbench.New(workbench.Options{Dir: c.Dir, Cards: c.Cards, Workers: c.Workers, Token: c.Token, Names: c.Name})
	if err != nil {
		return &job.InputError{Faults: []job.Fault{{What: err.Error()}}}
	}
	l, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return &job.InputError{Faults: []job.Fault{{Key: "--listen", What: err.Error(), Remedy: "choose another address, such as 127.0.0.1:0 for any free port"}}}
	}
	address := "http://" + l.Addr().String() + "/"
	if c.Token != "" {
		address += "?token=" + c.Token
	}
	fmt.Fprintln(t.out, address)
	if !c.Quiet {
		fmt.Fprintf(t.err, "sinew: the workbench of %s; Ctrl-C ends it\n", c.Dir)
	}
	if !c.NoBrowser {
		openBrowser(address)
	}
	return serve(t.ctx, l, s)
}

// checkWide insists on a token where more than this machine can come in, and
// makes one where asked.
func (c *serveCommand) checkWide() error {
	if c.Token == "new" {
		c.Token = rand.Text()
	}
	if c.Token != "" && len(c.Token) < leastToken {
		return &job.InputError{Faults: []job.Fault{{Key: "--token", What: "is shorter than 16 characters", Remedy: "use --token new"}}}
	}
	host, _, err := net.SplitHostPort(c.Listen)
	if err != nil {
		return &job.InputError{Faults: []job.Fault{{Key: "--listen", What: err.Error(), Remedy: "write it as 127.0.0.1:8087"}}}
	}
	ip := net.ParseIP(host)
	if c.Token == "" && host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return &job.InputError{Faults: []job.Fault{{Key: "--listen", What: "lets other machines in without a token", Remedy: "add --token new, or listen on 127.0.0.1"}}}
	}
	return nil
}

// serve answers requests until the context ends, then lets those under way
// finish for a moment.
func serve(ctx context.Context, l net.Listener, s *workbench.Server) error {
	srv := &http.Server{Handler: s, ReadHeaderTimeout: headerTimeout, IdleTimeout: idleTimeout}
	ended := make(chan error, 1)
	go func() { ended <- srv.Serve(l) }()
	select {
	case err := <-ended:
		return fmt.Errorf("the server ended: %w", err)
	case <-ctx.Done():
	}
	s.Close()
	late, cancel := context.WithTimeout(context.Background(), shutdownTimeout)
	defer cancel()
	if err := srv.Shutdown(late); err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return nil
}

// openBrowser asks the desktop to open an address. Where there is none, the
// printed address serves.
func openBrowser(address string) {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	}
	if err := exec.Command(name, args...).Start(); err != nil {
		return
	}
}
