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

// smallText is a job that runs in a second: a short plate with two holes, few
// layers, coarse elements.
const smallText = `schema = "sinew-job/1"
name = "small plate"

[part]
drawing = "plate.dxf"
thickness = "1.04 mm"

[[feature]]
name = "left hole"
hole = { near = ["0 mm", "0 mm"] }

[[feature]]
name = "right hole"
hole = { near = ["80 mm", "0 mm"] }

[[support]]
at = "left hole"
how = "fixed"

[[case]]
name = "pull"
factor = 1.5
  [[case.load]]
  at = "right hole"
  how = "bearing"
  force = "60 N"
  angle = "0 °"

[[probe]]
name = "gauge"
point = ["40 mm", "0 mm"]

[material]
tow = "carbon-tow"
plastic = "polyamide"
printer = "twin-nozzle"

[layup]
covers = { bottom = 1, top = 1 }

[[layup.family]]
kind = "steered"
layers = 2
spacing = "1.2 mm"

[mesh]
size = "4 mm"
tolerance = "20 %"

[layup.refine]
steps = 2
`

// writeFiles makes a folder with the given files.
func writeFiles(t testing.TB, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		if err := os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// smallJob makes a folder with the small job.
func smallJob(t testing.TB) string {
	return writeFiles(t, map[string]string{FileName: smallText, sampleName: string(sampleDrawing)})
}

// runJob runs all stages and saves.
func runJob(t testing.TB, dir string, o Options) *Results {
	t.Helper()
	j, err := Open(dir, o)
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	r, err := j.Run(context.Background(), Post, "run")
	if err != nil {
		t.Fatal(err)
	}
	if err := r.Save(context.Background()); err != nil {
		t.Fatal(err)
	}
	return r
}

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
			dir := writeFiles(t, map[string]string{
				FileName: smallText, sampleName: string(sampleDrawing),
				"cards/polyamide.toml": stock.Text("plastic/polyamide", `"260 °C"`, `"420 °C"`),
			})
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
