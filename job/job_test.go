package job

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sinew/internal/atomicfile"
	"sinew/internal/stock"
)

// listing names every file below a folder with its size and time of change.
func listing(t testing.TB, dir string) string {
	t.Helper()
	var b strings.Builder
	err := filepath.Walk(dir, func(path string, info os.FileInfo, err error) error {
		if err == nil && path != dir {
			b.WriteString(strings.TrimPrefix(path, dir) + " " + info.ModTime().String() + "\n")
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestStoppedRunLeavesTheFolderAsItWas(t *testing.T) {
	dir := smallJob(t)
	before := listing(t, dir)
	ctx, cancel := context.WithCancel(context.Background())
	j, err := Open(dir, Options{Progress: func(p Progress) {
		if p.Stage == "fibre field" {
			cancel()
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := j.Run(ctx, Post, "run"); err != context.Canceled {
		t.Errorf("a stopped run says %v", err)
	}
	j.Close()
	if after := listing(t, dir); after != before {
		t.Errorf("the folder was\n%sand is\n%s", before, after)
	}
}

func TestAllowedFindingStandsInTheRecord(t *testing.T) {
	dir := writeFiles(t, map[string]string{
		FileName: smallText, sampleName: string(sampleDrawing),
		"cards/polyamide.toml": stock.Text("plastic/polyamide", `"260 °C"`, `"420 °C"`),
	})
	runTo(t, dir, Check, Options{})
	for _, c := range []struct {
		name  string
		allow []string
		want  bool
	}{
		{"nothing allowed", nil, false},
		{"another allowed", []string{"too-large"}, false},
		{"this one allowed", []string{"too-hot"}, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			j, err := Open(dir, Options{})
			if err != nil {
				t.Fatal(err)
			}
			defer j.Close()
			j.Allow(c.allow)
			r, err := j.Run(context.Background(), Check, "check")
			if err != nil {
				t.Fatal(err)
			}
			seen := false
			for _, f := range r.Record.Findings {
				if f.ID == "too-hot" {
					seen = true
					if f.Allowed != c.want {
						t.Errorf("allowed %v, want %v", f.Allowed, c.want)
					}
				}
			}
			if !seen || r.Record.Verdict.Passes != c.want {
				t.Errorf("found %v, verdict %+v", seen, r.Record.Verdict)
			}
		})
	}
}

func TestSecondCommandIsKeptOut(t *testing.T) {
	dir := smallJob(t)
	first, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Open(dir, Options{}); !errors.Is(err, atomicfile.ErrLocked) {
		t.Errorf("a second command in the folder says %v", err)
	}
	first.Close()
	again, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	again.Close()
}

// TestSaveThatCannotWriteLeavesNothing: a file stands where a folder is
// needed, so that the last files cannot be staged.
func TestSaveThatCannotWriteLeavesNothing(t *testing.T) {
	dir := smallJob(t)
	j, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	r, err := j.Run(context.Background(), Lay, "lay")
	if err != nil {
		t.Fatal(err)
	}
	before := listing(t, dir)
	r.AddFile(filepath.Join("..", FileName, "figure.svg"), []byte("x"))
	if err := r.Save(context.Background()); err == nil {
		t.Error("saved below a file")
	}
	if after := listing(t, dir); after != before {
		t.Errorf("the folder was\n%sand is\n%s", before, after)
	}
}
