package main

import (
	"bytes"
	"context"
	"errors"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"

	"sinew/workbench"
)

// serveWorkspace starts a server of an empty workspace.
func serveWorkspace(t *testing.T, token string) *Client {
	t.Helper()
	s, err := workbench.New(workbench.Options{Dir: t.TempDir(), Token: token})
	if err != nil {
		t.Fatal(err)
	}
	h := httptest.NewServer(s)
	t.Cleanup(func() {
		s.Close()
		h.Close()
	})
	return &Client{Address: h.URL, Token: token}
}

// TestDesign does what the command does, on a server of its own.
func TestDesign(t *testing.T) {
	c := serveWorkspace(t, "a-token-of-enough-length")
	var out bytes.Buffer
	if err := design(context.Background(), c, "strip", filepath.Join("..", "open-hole", "strip.dxf"), &out); err != nil {
		t.Fatalf("%v\n%s", err, &out)
	}
	for _, want := range []string{"%  mesh", "as printed", "reserve factor", "under twice the load", "strands, the one"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing in\n%s", want, &out)
		}
	}
}

func TestRefusals(t *testing.T) {
	ctx := context.Background()
	c := serveWorkspace(t, "a-token-of-enough-length")
	job, err := c.NewJob(ctx, "plate", "")
	if err != nil {
		t.Fatal(err)
	}
	var refused *Refusal
	if err := c.Set(ctx, job, "case[9].name", "x"); !errors.As(err, &refused) || refused.Status != 422 {
		t.Errorf("an element that is not there: %v", err)
	}
	if err := c.Set(ctx, job, "part.thickness", "4 kg"); err == nil || !strings.Contains(err.Error(), "part.thickness") {
		t.Errorf("a mass for a thickness: %v", err)
	}
	if err := c.Run(ctx, job, "lay", func(Progress) {}); !errors.As(err, &refused) || len(refused.Faults) == 0 {
		t.Errorf("a run of a job with faults: %v", err)
	}
	if _, err := c.Result(ctx, job); !errors.As(err, &refused) || refused.Status != 404 {
		t.Errorf("a result before a run: %v", err)
	}
	c.Token = "another-token-of-enough-length"
	if _, err := c.Result(ctx, job); !errors.As(err, &refused) || refused.Status != 401 {
		t.Errorf("a wrong token: %v", err)
	}
	for _, bad := range []string{"", "SNWV", "SNWV\xff\xff\xff\x7f", "SNWV\x02\x00\x00\x00{}", "GIF89a"} {
		if v, err := readView([]byte(bad)); err == nil && len(v.Floats) > 0 {
			t.Errorf("%q was read as %+v", bad, v)
		}
	}
}

func TestCancelledRun(t *testing.T) {
	c := serveWorkspace(t, "")
	job, err := c.NewJob(context.Background(), "plate", "")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	err = c.Run(ctx, job, "run", func(Progress) { cancel() })
	if !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled run: %v", err)
	}
}
