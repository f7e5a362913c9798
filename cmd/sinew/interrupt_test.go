package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"syscall"
	"testing"
)

// TestInterrupts: before a search asks, and the second time, an interrupt
// cancels; while one asks, the first gives the best so far.
func TestInterrupts(t *testing.T) {
	start := func() (*interrupts, context.Context, *bytes.Buffer) {
		ctx, cancel := context.WithCancel(context.Background())
		var out bytes.Buffer
		return &interrupts{cancel: cancel, tell: &out}, ctx, &out
	}
	i, ctx, _ := start()
	if i.take(os.Interrupt); ctx.Err() == nil {
		t.Error("an interrupt before any search does not cancel")
	}
	i, ctx, out := start()
	if i.stop() {
		t.Error("stopped before anybody asked")
	}
	if i.take(os.Interrupt); ctx.Err() != nil || !i.stop() || !strings.Contains(out.String(), "best so far") {
		t.Errorf("first interrupt: cancelled %v, stopped %v, told %q", ctx.Err(), i.stop(), out)
	}
	if i.take(os.Interrupt); ctx.Err() == nil {
		t.Error("the second interrupt does not cancel")
	}
	i, ctx, _ = start()
	i.stop()
	if i.take(syscall.SIGTERM); ctx.Err() == nil {
		t.Error("being told to terminate does not cancel")
	}
}
