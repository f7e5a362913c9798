package study

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/pelletier/go-toml/v2"
	check "github.com/santhosh-tekuri/jsonschema/v6"

	"sinew/job"
)

// folder is a copy of the test job with its study.
func folder(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "tie")
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("testdata", "tie"))); err != nil {
		t.Fatal(err)
	}
	return dir
}

func mustRun(t *testing.T, dir string, s Settings) *Record {
	t.Helper()
	r, err := Run(t.Context(), dir, s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// results reads what a study wrote.
func results(t *testing.T, out string) map[string]string {
	t.Helper()
	got := map[string]string{}
	for _, name := range []string{ResultName, TableName, PageName} {
		data, err := os.ReadFile(filepath.Join(out, name))
		if err != nil {
			t.Fatal(err)
		}
		got[name] = string(data)
	}
	return got
}

// same holds the results of a study to those of another, byte by byte.
func same(t *testing.T, what string, got, want map[string]string) {
	t.Helper()
	for name := range want {
		if got[name] != want[name] {
			t.Errorf("%s: %s differs", what, name)
		}
	}
}

// change edits a file of a folder.
func change(t *testing.T, dir, name, old, new string) {
	t.Helper()
	path := filepath.Join(dir, name)
	text, err := os.ReadFile(path)
	if err != nil || !strings.Contains(string(text), old) {
		t.Fatalf("%s does not hold %q (%v)", name, old, err)
	}
	if err := os.WriteFile(path, []byte(strings.Replace(string(text), old, new, 1)), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestStudy runs the study of the test job: what is refused is told with its
// reason, what misses a limit is off the front, the others are ranked, and the
// figures are those of a plain run of the job with the point's values.
func TestStudy(t *testing.T) {
	dir := folder(t)
	r := mustRun(t, dir, Settings{Workers: 1})
	if n := r.Counts; n.Points != 9 || n.Distinct != 9 || n.Refused != 3 || n.Misses != 1 || n.Meets != 5 || !r.Complete {
		t.Fatalf("counts %+v", n)
	}
	for _, number := range []int{7, 8, 9} {
		if p := r.Point(number); p.State != Refused || p.Rank != 0 || len(p.Reasons) == 0 || !strings.Contains(p.Reasons[0], "1 mm") || p.Figures[0] != nil {
			t.Errorf("point %d: %+v", number, p)
		}
	}
	if p := r.Point(4); p.State != Misses || len(p.Reasons) != 1 || !strings.HasPrefix(p.Reasons[0], "tow is 4.12") || !strings.HasSuffix(p.Reasons[0], "more than 4 m") {
		t.Errorf("point 4: %+v", p)
	}
	if !slices.Equal(r.Front, []int{1, 2, 3, 5}) || r.Point(6).Rank != 2 {
		t.Errorf("front %v, point 6 has rank %d", r.Front, r.Point(6).Rank)
	}
	if e := r.Effects[0].Levels[0]; e.Points != 3 || *e.Means[1] != (*r.Point(1).Figures[1]+*r.Point(2).Figures[1]+*r.Point(3).Figures[1])/3 || r.Effects[0].Levels[2].Means[0] != nil {
		t.Errorf("effect of the layers: %+v", r.Effects[0])
	}

	change(t, dir, job.FileName, "layers = 2\nspacing = \"1.0 mm\"", "layers = 3\nspacing = \"1 mm\"")
	change(t, dir, job.FileName, "0.64 mm", "0.96 mm")
	j, err := job.Open(dir, job.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	res, err := j.Run(t.Context(), job.Prove, "prove")
	if err != nil {
		t.Fatal(err)
	}
	d, p := res.Record.Designs[0], r.Point(5)
	if *p.Figures[0] != d.Governing.Reserve || *p.Figures[1] != d.MassG || *p.Figures[2] != res.Record.Strands.LengthM || p.Governing.Mode != d.Governing.Mode || p.Governing.Reserve != d.Governing.Reserve || p.Governing.X != d.Governing.X || p.InputHash != res.Record.InputHash {
		t.Errorf("point 5: %+v\nplain run: %+v, %g m", p, d, res.Record.Strands.LengthM)
	}
}

// TestSameBytesAndKept: two workers write what one writes; a second run finds all
// answers kept, a changed aim needs no new ones, a damaged one is made again, and
// a changed drawing needs all.
func TestSameBytesAndKept(t *testing.T) {
	dir := folder(t)
	computed := func(s Settings) (n int) {
		first := true
		s.Progress = func(done, all int) {
			if !first {
				n++
			}
			first = false
		}
		mustRun(t, dir, s)
		return n
	}
	out := filepath.Join(t.TempDir(), "two")
	if n := computed(Settings{Workers: 2, Out: out}); n != 9 {
		t.Errorf("%d points computed, want 9", n)
	}
	want := results(t, out)
	if n := computed(Settings{Workers: 1}); n != 9 {
		t.Errorf("%d points computed elsewhere, want 9", n)
	}
	same(t, "one worker", results(t, filepath.Join(dir, "out")), want)
	if n := computed(Settings{Workers: 2, Out: out}); n != 0 {
		t.Errorf("%d points computed again", n)
	}
	same(t, "from kept answers", results(t, out), want)

	kept, err := os.ReadDir(filepath.Join(out, keptFolder))
	if err != nil || len(kept) != 9 {
		t.Fatalf("%d answers kept (%v)", len(kept), err)
	}
	for i, damage := range []string{"", "{", `{"key":"` + strings.TrimSuffix(kept[2].Name(), ".json") + `","version":"0","refused":[{"what":"x"}]}`} {
		if err := os.WriteFile(filepath.Join(out, keptFolder, kept[i].Name()), []byte(damage), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if n := computed(Settings{Workers: 2, Out: out}); n != 3 {
		t.Errorf("%d damaged answers made again, want 3", n)
	}
	same(t, "after damage", results(t, out), want)

	change(t, dir, FileName, `most = "4 m"`, `most = "5 m"`)
	if n := computed(Settings{Workers: 2, Out: out}); n != 0 {
		t.Errorf("another limit made %d points anew", n)
	}
	change(t, dir, "tie.svg", "M0 0H80", "M0 0 H80")
	change(t, dir, FileName, "count = 3", "count = 2")
	if n := computed(Settings{Workers: 2, Out: out}); n != 6 {
		t.Errorf("another drawing: %d points computed, want 6", n)
	}
}

// TestEqualPointsAreComputedOnce and say so.
func TestEqualPointsAreComputedOnce(t *testing.T) {
	dir := folder(t)
	change(t, dir, FileName, `values = [[2, "0.64 mm"], [3, "0.96 mm"], [3, "1 mm"]]`, `values = [[2, "0.64 mm"], [2, "0.64 mm"]]`)
	change(t, dir, FileName, "count = 3", "count = 2")
	r := mustRun(t, dir, Settings{})
	if n := r.Counts; n.Points != 4 || n.Distinct != 2 || r.Point(3).SameAs != 1 || r.Point(4).SameAs != 2 || r.Point(1).SameAs != 0 {
		t.Errorf("counts %+v, points %+v", n, r.Points)
	}
	if !slices.Equal(r.Front, []int{1, 2, 3, 4}) || len(r.Ties) != 2 || !slices.Equal(r.Ties[0], []int{1, 3}) {
		t.Errorf("front %v, ties %v", r.Front, r.Ties)
	}
}

// TestReasonsNameNoFolderOfTheMachine, whatever file they are about; cards in the
// job's folder travel with the study.
func TestReasonsNameNoFolderOfTheMachine(t *testing.T) {
	dir := folder(t)
	if err := writeFile(filepath.Join(dir, "cards", "plastic", "vast.toml"), bytes.Repeat([]byte{' '}, 1<<20+1)); err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(minimal, `"0.8 mm", "1 mm"`, `"vast"`, 1)
	if err := os.WriteFile(filepath.Join(dir, FileName), []byte(strings.Replace(text, "layup.family[0].spacing", "material.plastic", 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	p := mustRun(t, dir, Settings{}).Point(1)
	if want := filepath.Join("job", "cards", "plastic", "vast.toml") + ": has 1048577 bytes"; p.State != Refused || !strings.HasPrefix(p.Reasons[0], want) {
		t.Errorf("%+v", p)
	}
}

// TestVerdictOfTheJob counts unless the study says otherwise.
func TestVerdictOfTheJob(t *testing.T) {
	dir := folder(t)
	change(t, dir, FileName, "count = 3", "count = 2")
	change(t, dir, job.FileName, "[compare]", "[require]\nfibre = 1000.0\n[compare]")
	r := mustRun(t, dir, Settings{})
	if len(r.Front) != 0 || r.Counts.Misses != 4 || !strings.Contains(strings.Join(r.Point(1).Reasons, ""), "1000.00 required") {
		t.Errorf("front %v, point 1 %+v", r.Front, r.Point(1))
	}
	change(t, dir, FileName, "[[aim]]", "[sample]\nhow = \"every\"\n[[aim]]")
	change(t, dir, FileName, "name = \"thick or dense\"", "must_pass = false")
	if r = mustRun(t, dir, Settings{}); len(r.Front) == 0 || r.Study != "tie" {
		t.Errorf("front %v of %q", r.Front, r.Study)
	}
}

// TestStoppedStudy: what is there is written and marked; the next run goes on and
// comes to the same bytes as one that was not stopped.
func TestStoppedStudy(t *testing.T) {
	dir := folder(t)
	for name, stopped := range map[string]func(context.Context, *Settings, context.CancelFunc) context.Context{
		"asked": func(ctx context.Context, s *Settings, _ context.CancelFunc) context.Context {
			var stop atomic.Bool
			s.Stop = stop.Load
			s.Progress = func(done, _ int) { stop.Store(done >= 2) }
			return ctx
		},
		"cancelled": func(ctx context.Context, s *Settings, cancel context.CancelFunc) context.Context {
			s.Progress = func(done, _ int) {
				if done >= 2 {
					cancel()
				}
			}
			return ctx
		},
	} {
		s := Settings{Workers: 1, Out: filepath.Join(t.TempDir(), "out")}
		ctx, cancel := context.WithCancel(t.Context())
		r, err := Run(stopped(ctx, &s, cancel), dir, s)
		cancel()
		if err != nil {
			t.Fatal(err)
		}
		if r.Complete || r.Counts.Open == 0 || r.Counts.Open > 7 || r.Point(9).State != Open || !strings.Contains(results(t, s.Out)[PageName], "was stopped") {
			t.Errorf("%s: counts %+v", name, r.Counts)
		}
		mustRun(t, dir, Settings{Workers: 2, Out: s.Out})
		mustRun(t, dir, Settings{Workers: 1})
		same(t, name, results(t, s.Out), results(t, filepath.Join(dir, "out")))
	}
}

// TestFullDisk: an answer that cannot be kept ends the study with that error.
func TestFullDisk(t *testing.T) {
	dir := folder(t)
	st, err := open(dir, Settings{}.filled(dir))
	if err != nil {
		t.Fatal(err)
	}
	full := errors.New("the disk is full")
	st.keep = func(*Outcome) error { return full }
	if err := st.carryOut(t.Context(), Settings{Workers: 2}.filled(dir)); !errors.Is(err, full) {
		t.Errorf("%v", err)
	}
}

// TestStudyRefused: without a study file, or with a job that is wrong, or while
// another command works there.
func TestStudyRefused(t *testing.T) {
	dir := folder(t)
	j, err := job.Open(dir, job.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Run(t.Context(), dir, Settings{}); !errors.Is(err, job.ErrLocked) {
		t.Errorf("while another command works there: %v", err)
	}
	j.Close()
	if err := os.Remove(filepath.Join(dir, FileName)); err != nil {
		t.Fatal(err)
	}
	var input *job.InputError
	if _, err := Run(t.Context(), dir, Settings{}); !errors.As(err, &input) || !strings.Contains(err.Error(), FileName) {
		t.Errorf("without a study file: %v", err)
	}
}

// TestRecordFollowsItsSchema, and the study file its own.
func TestRecordFollowsItsSchema(t *testing.T) {
	dir := folder(t)
	change(t, dir, FileName, "count = 3", "count = 2")
	mustRun(t, dir, Settings{})
	for _, row := range []struct {
		name, data string
		schema     func() ([]byte, error)
		wrong      string // key whose value is made a number
	}{
		{"record", results(t, filepath.Join(dir, "out"))[ResultName], ResultSchema, "front"},
		{"study file", studyAsJSON(t, dir), Schema, "vary"},
	} {
		data, err := row.schema()
		if err != nil {
			t.Fatal(err)
		}
		doc, err := check.UnmarshalJSON(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		c := check.NewCompiler()
		if err := c.AddResource("s.json", doc); err != nil {
			t.Fatal(err)
		}
		schema, err := c.Compile("s.json")
		if err != nil {
			t.Fatal(err)
		}
		v, err := check.UnmarshalJSON(strings.NewReader(row.data))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(v); err != nil {
			t.Errorf("%s: %v", row.name, err)
		}
		v.(map[string]any)[row.wrong] = 1
		if schema.Validate(v) == nil {
			t.Errorf("%s: the schema lets a wrong %s pass", row.name, row.wrong)
		}
	}
}

func studyAsJSON(t *testing.T, dir string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, FileName))
	if err != nil {
		t.Fatal(err)
	}
	var doc map[string]any
	if err := toml.Unmarshal(text, &doc); err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// TestPage: one file that loads nothing, with the caution, the front, what governs
// and why points are refused; text of the job is no markup.
func TestPage(t *testing.T) {
	dir := folder(t)
	change(t, dir, job.FileName, `name = "tie"`, `name = "<b>tie"`)
	change(t, dir, FileName, "name = \"thick or dense\"\n", "")
	r := mustRun(t, dir, Settings{})
	page := results(t, filepath.Join(dir, "out"))[PageName]
	for _, want := range []string{job.Caution, "<svg", "&lt;b&gt;tie", "plastic strength, pull", "is 0.96 mm thick, the part 1 mm", r.InputHash, r.StudyHash, "Effect of each variable", r.Files[0].SHA256} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	for _, bad := range []string{"<b>tie", "<script", "src=", "href=", "url(", "@import", "ZgotmplZ", "<nil>"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	rows := strings.Count(results(t, filepath.Join(dir, "out"))[TableName], "\n")
	if rows != 1+len(r.Points) {
		t.Errorf("%d lines in the table", rows)
	}
}

// TestFigures reads every figure of a run to the machine program.
func TestFigures(t *testing.T) {
	dir := folder(t)
	text := `schema = "sinew-study/1"
stage = "post"
must_pass = false
[[vary]]
keys = ["layup.family[0].layers", "part.thickness"]
values = [[2, "0.64 mm"]]
[[set]]
key = "analysis.buckling"
value = 1
[[aim]]
figure = "reserve"
want = "greatest"
[[aim]]
figure = "reserve"
case = "push"
mode = "fibre"
want = "greatest"
[[limit]]
figure = "displacement"
probe = "end"
most = "0.1 cm"
`
	names := []string{"buckling", "stiffness", "mass", "tow", "thickness", "strands", "cuts", "warnings", "time", "cost"}
	for _, name := range names {
		m, _ := measureOf(name)
		bound := "0"
		if !m.plain {
			bound = fmt.Sprintf("%q", "0 "+strings.Fields(m.kind.Example())[1])
		}
		text += fmt.Sprintf("[[limit]]\nfigure = %q\nleast = %s\n", name, bound)
	}
	if err := os.WriteFile(filepath.Join(dir, FileName), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	r := mustRun(t, dir, Settings{})
	p := r.Point(1)
	if p.State != Meets || !slices.Equal(r.Front, []int{1}) {
		t.Fatalf("%+v", p)
	}
	got := map[string]float64{}
	for i, c := range r.Columns {
		got[c.Name] = *p.Figures[i]
	}
	f := func(name string) float64 { return got[name] }
	// The strip is pulled by 1 kN and pushed by a tenth of it; probe and stiffness
	// are of the same solution, at the side that is pulled.
	if u := 1000 / f("stiffness"); f("displacement, of end") < 0.9*u || f("displacement, of end") > 1.1*u {
		t.Errorf("moves by %g mm, 1 kN over stiffness is %g mm", f("displacement, of end"), u)
	}
	if f("thickness") != 0.64 || f("reserve, fibre, in push") <= f("reserve") || f("tow") < 1 || f("strands") < 2 || f("mass") < 1 || f("time") < 1 || f("cost") <= 0 || f("buckling") <= 0 {
		t.Errorf("%v", got)
	}
}
