package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"sync/atomic"
)

// interrupts answers the user's signals. While a job searches or refines, the
// first interrupt asks for the best so far; otherwise, and the second time,
// the command is cancelled. Being told to terminate cancels at once.
type interrupts struct {
	cancel context.CancelFunc
	tell   io.Writer
	asks   atomic.Bool // somebody asks whether to stop
	wanted atomic.Bool
}

// stop is the job's question; whoever asks it can end with the best so far.
func (i *interrupts) stop() bool {
	i.asks.Store(true)
	return i.wanted.Load()
}

// take answers a signal.
func (i *interrupts) take(s os.Signal) {
	if s == os.Interrupt && i.asks.Load() && !i.wanted.Swap(true) {
		fmt.Fprintln(i.tell, "sinew: going on with the best so far; interrupt again to stop at once")
		return
	}
	i.cancel()
}
