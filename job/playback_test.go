package job

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// The program of a small job played whole and in pages: the pages put together
// are the whole, layers start in order, laid beads have a width.
func TestPlayProgram(t *testing.T) {
	dir := keptJob(t)
	j, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	ctx := context.Background()
	res, err := j.Run(ctx, Post, "post")
	if err != nil {
		t.Fatal(err)
	}
	if err := res.Save(ctx); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "out", programName)
	whole, err := j.Play(ctx, path, PlaybackWindow{})
	if err != nil {
		t.Fatal(err)
	}
	n := len(whole.End)
	if n == 0 || whole.NextS != 0 || whole.End[n-1] != whole.DurationS || len(whole.Layers) != len(res.Print.Layers) {
		t.Fatalf("%d rows to %v s of %v s, %d layers of %d", n, whole.End[max(0, n-1)], whole.DurationS, len(whole.Layers), len(res.Print.Layers))
	}
	strands := 0
	for i := range n {
		strands = max(strands, whole.Strand[i]+1)
		if whole.Activities[whole.Activity[i]] == "laying strands" && !(whole.Width[i] > 0.3 && whole.Width[i] < 3) {
			t.Fatalf("row %d lays a bead %v mm wide", i, whole.Width[i])
		}
	}
	if strands != res.Record.Strands.Count {
		t.Errorf("%d strands played, %d planned", strands, res.Record.Strands.Count)
	}
	for i := 1; i < len(whole.Layers); i++ {
		if whole.Layers[i].StartS <= whole.Layers[i-1].StartS {
			t.Errorf("layer %d starts at %v s, the one below at %v s", i, whole.Layers[i].StartS, whole.Layers[i-1].StartS)
		}
	}
	rows, from := 0, 0.0
	for {
		page, err := PlayProgram(ctx, path, "twin-nozzle", "", PlaybackWindow{From: from, Most: 500})
		if err != nil {
			t.Fatal(err)
		}
		for i := range page.End {
			if page.End[i] != whole.End[rows+i] || page.X[i] != whole.X[rows+i] {
				t.Fatalf("row %d of the page that starts at %v s differs", i, from)
			}
		}
		rows += len(page.End)
		if page.NextS == 0 {
			break
		}
		if from = page.NextS; math.IsNaN(from) {
			t.Fatal("no time")
		}
	}
	if rows != n {
		t.Errorf("%d rows in pages, %d in one", rows, n)
	}
}

func TestPlayProgramRefuses(t *testing.T) {
	dir := t.TempDir()
	bad := filepath.Join(dir, "bad.nc")
	if err := os.WriteFile(bad, []byte("G71\nhello\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct{ name, path, printer string }{
		{"not there", filepath.Join(dir, "none.nc"), "twin-nozzle"},
		{"a folder", dir, "twin-nozzle"},
		{"no program", bad, "twin-nozzle"},
		{"no printer", bad, "loom"},
	} {
		_, err := PlayProgram(context.Background(), row.path, row.printer, "", PlaybackWindow{})
		var input *InputError
		if !errors.As(err, &input) {
			t.Errorf("%s: error %v", row.name, err)
		}
	}
}
