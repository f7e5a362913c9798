package job

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"sinew/internal/shapes"
	"sinew/solid"
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

// changed is the small job's text with text put in place of other text, pair by
// pair.
func changed(t testing.TB, pairs ...string) string {
	t.Helper()
	text := smallText
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			t.Fatalf("the small job has no %q", pairs[i])
		}
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	return text
}

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
func smallJob(t testing.TB) string { return changedJob(t) }

// changedJob makes a folder with the small job, changed.
func changedJob(t testing.TB, pairs ...string) string {
	t.Helper()
	return writeFiles(t, map[string]string{FileName: changed(t, pairs...), sampleName: string(sampleDrawing)})
}

// runTo runs a job up to a stage and saves.
func runTo(t testing.TB, dir string, last Stage, o Options) *Results {
	t.Helper()
	r, err := runAndSave(dir, last, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func runAndSave(dir string, last Stage, o Options) (*Results, error) {
	j, err := Open(dir, o)
	if err != nil {
		return nil, err
	}
	defer j.Close()
	r, err := j.Run(context.Background(), last, fmt.Sprintf("to stage %d", last))
	if err != nil {
		return nil, err
	}
	return r, r.Save(context.Background())
}

// layJob runs a job up to its strands and saves.
func layJob(t testing.TB, dir string, o Options) *Results {
	t.Helper()
	return runTo(t, dir, Lay, o)
}

// proveJob runs a job up to its proof and saves.
func proveJob(t testing.TB, dir string) *Results {
	t.Helper()
	return runTo(t, dir, Prove, Options{})
}

// runJob runs all stages and saves.
func runJob(t testing.TB, dir string, o Options) *Results {
	t.Helper()
	return runTo(t, dir, Post, o)
}

// shared is the folder of jobs that run once for all tests.
var shared string

func TestMain(m *testing.M) {
	var err error
	if shared, err = os.MkdirTemp("", "sinew-job-test"); err != nil {
		panic(err)
	}
	code := m.Run()
	os.RemoveAll(shared)
	os.Exit(code)
}

// ran is a job that has run through all its stages. Tests read it and what is in
// its folder; what they change is a copy.
type ran struct {
	*Results
	dir  string
	came map[string]*Views // while it ran
}

// ranOnce runs the job that make gives the files of, the first time it is called.
func ranOnce(make func() (map[string]string, error)) func() (*ran, error) {
	return sync.OnceValues(func() (*ran, error) {
		files, err := make()
		if err != nil {
			return nil, err
		}
		r := &ran{came: map[string]*Views{}}
		if r.dir, err = os.MkdirTemp(shared, ""); err != nil {
			return nil, err
		}
		for name, text := range files {
			if err := os.WriteFile(filepath.Join(r.dir, name), []byte(text), 0o644); err != nil {
				return nil, err
			}
		}
		r.Results, err = runAndSave(r.dir, Post, Options{Arrived: func(what string, v *Views) { r.came[what] = v }})
		return r, err
	})
}

// copied gives a test a folder of its own that holds what the run left.
func (r *ran) copied(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(r.dir)); err != nil {
		t.Fatal(err)
	}
	return dir
}

var (
	plainOnce = ranOnce(func() (map[string]string, error) {
		return map[string]string{FileName: smallText, sampleName: string(sampleDrawing)}, nil
	})
	stripOnce = ranOnce(func() (map[string]string, error) {
		files := map[string]string{}
		for _, name := range []string{FileName, "strip.dxf"} {
			data, err := os.ReadFile(filepath.Join("..", "examples", "open-hole", name))
			if err != nil {
				return nil, err
			}
			files[name] = string(data)
		}
		coarse, err := ApplyEdits([]byte(files[FileName]), []Edit{{Op: "set", Key: "mesh.size", Value: "4 mm"}, {Op: "set", Key: "mesh.tolerance", Value: "20 %"}, {Op: "set", Key: "layup.family[0].layers", Value: 10}})
		files[FileName] = string(coarse)
		return files, err
	})
	pocketOnce = ranOnce(func() (map[string]string, error) {
		return map[string]string{FileName: pocketText(), "link.3mf": string(shapes.ThreeMF(pocketShape()))}, nil
	})
)

// pocketText is the small job on a link with a pocket in its upper layers: two
// covers and one composite layer below, then two composite layers and two covers.
func pocketText() string {
	text := strings.Replace(smallText, "drawing = \"plate.dxf\"\nthickness = \"1.04 mm\"", "solid = \"link.3mf\"\nup = \"z\"", 1)
	return strings.NewReplacer("80 mm", "120 mm", "bottom = 1, top = 1", "bottom = 2, top = 2", "layers = 2", "layers = 3", "60 N", "20 N").Replace(text)
}

// pocketShape is its solid, with the floor of the pocket and the top at the
// heights of layers.
func pocketShape() *solid.Mesh { return shapes.PocketedLink(14, pocketFloor, pocketTop, 0.005) }

const pocketFloor, pocketTop = 0.72, 1.76 // mm: two covers and one layer, then two layers and two covers

// plainRun is the small job, run through all its stages.
func plainRun(t testing.TB) *ran { return hadFrom(t, plainOnce) }

// stripRun is the open-hole example on a coarse mesh, run through all its stages.
func stripRun(t testing.TB) *ran { return hadFrom(t, stripOnce) }

// pocketRun is the small job on a link with a pocket, run through all its stages.
func pocketRun(t testing.TB) *ran { return hadFrom(t, pocketOnce) }

func hadFrom(t testing.TB, run func() (*ran, error)) *ran {
	t.Helper()
	r, err := run()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// keptJob makes a folder with the small job, changed, and with what a run of it
// left before the change: stages that the change leaves standing are not run again.
func keptJob(t testing.TB, pairs ...string) string {
	t.Helper()
	dir := plainRun(t).copied(t)
	if err := os.WriteFile(filepath.Join(dir, FileName), []byte(changed(t, pairs...)), 0o644); err != nil {
		t.Fatal(err)
	}
	return dir
}
