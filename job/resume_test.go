package job

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// TestStoppedRunGoesOn: a run that is stopped ends with what it has, says so,
// and the next run goes on to the bytes of one that was never stopped.
func TestStoppedRunGoesOn(t *testing.T) {
	text := strings.NewReplacer("steps = 2", "steps = 6", `"4 mm"`, `"8 mm"`, `"1.04 mm"`, `"1.68 mm"`, "layers = 2", "layers = 2\nlock = true").Replace(smallText) +
		"\n[[layup.family]]\nkind = \"straight\"\nangle = \"20 °\"\nlayers = 2\n\n[layup.search]\ncandidates = [\"rim\"]\n"
	files := map[string]string{FileName: text, sampleName: string(sampleDrawing)}
	once := writeFiles(t, files)
	asks := 0
	layJob(t, once, Options{Stop: func() bool { asks++; return false }})
	want := results(t, once)
	for name, after := range map[string]int{"in the search": 0, "in the refinement": asks - 3} {
		dir := writeFiles(t, files)
		asked := 0
		r := layJob(t, dir, Options{Stop: func() bool { asked++; return asked > after }})
		if !slices.ContainsFunc(r.Record.Layup.Notes, func(s string) bool { return strings.HasPrefix(s, "stopped: the "+strings.TrimPrefix(name, "in the ")) }) {
			t.Errorf("%s (asked %d times): notes %q do not say it was stopped", name, asked, r.Record.Layup.Notes)
		}
		if bytes.Equal(results(t, dir), want) {
			t.Errorf("%s: the stopped run has the record of the whole one", name)
		}
		layJob(t, dir, Options{})
		if !bytes.Equal(results(t, dir), want) {
			t.Errorf("%s: resumed, the record differs from that of a run in one go", name)
		}
		if _, err := os.Stat(filepath.Join(dir, "out", stagesFolder, stageResume+".gob")); err == nil {
			t.Errorf("%s: the state to go on from is still there", name)
		}
		if again := layJob(t, dir, Options{}); !slices.Contains(again.job.run.Reused, stageLay) {
			t.Errorf("%s: the finished stage is not used again: %v", name, again.job.run.Reused)
		}
	}
}

// results returns the record that a run left.
func results(t *testing.T, dir string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, "out", resultName))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// TestProgressShowsTheObjective: the user sees it fall.
func TestProgressShowsTheObjective(t *testing.T) {
	var told []string
	j, err := Open(smallJob(t), Options{Progress: func(p Progress) {
		if strings.Contains(p.Stage, "objective") {
			told = append(told, p.Stage)
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if _, err := j.Run(context.Background(), Lay, "lay"); err != nil {
		t.Fatal(err)
	}
	if len(told) < 2 {
		t.Errorf("told %q", told)
	}
}
