package job

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// exampleJob copies an example into a folder of its own.
func exampleJob(t *testing.T, name string) (dir, text string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), name)
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("..", "examples", name))); err != nil {
		t.Fatal(err)
	}
	if err := os.RemoveAll(filepath.Join(dir, "out")); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(filepath.Join(dir, FileName))
	if err != nil {
		t.Fatal(err)
	}
	return dir, string(data)
}

func TestInspectFaults(t *testing.T) {
	dir, text := exampleJob(t, "hanger")
	rows := []struct {
		name     string
		old, new string
		want     []string // "line key"
		readable bool
	}{
		{name: "as it is", readable: true},
		{name: "two wrong quantities and what else is wrong", readable: true,
			old: "force = \"1.1 kN\"\n  angle = \"0 °\"", new: "force = \"1.2 kg\"\n  angle = \"north\"\n  how2 = 1",
			want: []string{"33 case[0].load[0].force", "34 case[0].load[0].angle", "35 case[0].load[0].how2"}},
		{name: "wrong quantity in an inline table", readable: true,
			old: `diameter = "12 mm"`, new: `diameter = "12 h"`, want: []string{"13 feature[0].hole.diameter"}},
		{name: "number without unit", readable: true,
			old: `thickness = "4.64 mm"`, new: `thickness = 4.64`, want: []string{"9 part.thickness"}},
		{name: "feature that is not there", readable: true,
			old: `at = "upper pin"`, new: `at = "lower hook"`, want: []string{"24 support[0].at"}},
		{name: "card that is not there", readable: true,
			old: `plastic = "polyamide"`, new: `plastic = "butter"`, want: []string{"65 material.plastic"}},
		{name: "no TOML", old: `name = "irrigation boom hanger"`, new: `name = "irrigation`, want: []string{"4"}},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			in := Inspect(dir, []byte(strings.Replace(text, r.old, r.new, 1)), Options{})
			var got []string
			for _, f := range in.Faults {
				got = append(got, strings.TrimSpace(fmt.Sprintf("%d %s", f.Line, f.Key)))
			}
			if !slices.Equal(got, r.want) || in.Readable != r.readable || (in.Doc != nil) != r.readable {
				t.Errorf("faults %q, want %q; readable %v\n%v", got, r.want, in.Readable, in.Faults)
			}
		})
	}
}

func TestViewPart(t *testing.T) {
	dir, text := exampleJob(t, "hanger")
	v := ViewPart(dir, []byte(text), Options{})
	if len(v.Faults) != 0 {
		t.Fatalf("faults %v", v.Faults)
	}
	if len(v.Loops) != 4 || len(v.Features) != 3 || len(v.Supports) != 1 || len(v.Cases) != 3 || len(v.Probes) != 2 || len(v.Families) != 2 {
		t.Fatalf("%d loops, %d features, %d supports, %d cases, %d probes, %d families", len(v.Loops), len(v.Features), len(v.Supports), len(v.Cases), len(v.Probes), len(v.Families))
	}
	l := v.Cases[1].Loads[0]
	if l.Key != "case[1].load[0]" || math.Abs(l.FX-500*math.Cos(6*math.Pi/180)) > 1e-9 || l.X != 158 || l.Unit != "N" {
		t.Errorf("load %+v", l)
	}
	if math.Abs(v.Stack.HeightMM-v.Stack.TargetMM) > 1e-9 || v.Stack.Composite != 12 {
		t.Errorf("stack %+v", v.Stack)
	}
	if v.SpacingMM[0] <= 0 || v.SpacingMM[1] <= v.SpacingMM[0] {
		t.Errorf("spacing %v", v.SpacingMM)
	}
}

// TestPicksPick inserts each pick as a feature and finds it on its loop and
// edge again.
func TestPicksPick(t *testing.T) {
	for _, name := range []string{"hanger", "open-hole"} {
		dir, text := exampleJob(t, name)
		picks := ViewPart(dir, []byte(text), Options{}).Picks
		if len(picks) < 4 {
			t.Fatalf("%s: %d picks", name, len(picks))
		}
		for _, p := range picks {
			table := map[string]any{"name": "picked"}
			for k, val := range p.Table {
				table[k] = val
			}
			edited, err := ApplyEdits([]byte(text), []Edit{{Op: "insert", Key: "feature", Table: table}})
			if err != nil {
				t.Fatal(err)
			}
			v := ViewPart(dir, edited, Options{})
			i := slices.IndexFunc(v.Features, func(f FeatureView) bool { return f.Name == "picked" })
			if i < 0 {
				t.Errorf("%s: %v picks nothing: %v", name, p.Table, v.Faults)
				continue
			}
			f := v.Features[i]
			if f.Kind != p.Kind || f.Loop != p.Loop || p.Edge >= 0 && !slices.Contains(f.Edges, p.Edge) {
				t.Errorf("%s: %v picks %+v", name, p, f)
			}
		}
	}
}

// TestViewPartWithFaults shows what can be shown of a job that is being
// written.
func TestViewPartWithFaults(t *testing.T) {
	dir, _ := exampleJob(t, "hanger")
	rows := []struct {
		name, text             string
		loops, features, cases int
	}{
		{"drawing alone", "[part]\ndrawing = \"hanger.dxf\"\n", 4, 3, 0},
		{"thickness that cannot be read", "[part]\ndrawing = \"hanger.dxf\"\nthickness = \"much\"\n", 4, 3, 0},
		{"pick that fits nothing", "[part]\ndrawing = \"hanger.dxf\"\n[[feature]]\nname = \"a\"\nhole = { diameter = \"1 mm\" }\n", 4, 3, 0},
		{"pick of nothing", "[part]\ndrawing = \"hanger.dxf\"\n[[feature]]\nname = \"a\"\n[[probe]]\nname = \"p\"\n", 4, 3, 0},
		{"load on nothing", "[part]\ndrawing = \"hanger.dxf\"\n[[case]]\nname = \"c\"\n[[case.load]]\nat = \"x\"\n", 4, 3, 1},
		{"no drawing", "[part]\ndrawing = \"none.dxf\"\n", 0, 0, 0},
		{"drawing outside", "[part]\ndrawing = \"../x.dxf\"\n", 0, 0, 0},
		{"nothing", "", 0, 0, 0},
		{"no TOML", "[part", 0, 0, 0},
	}
	for _, r := range rows {
		v := ViewPart(dir, []byte(r.text), Options{})
		if len(v.Loops) != r.loops || len(v.Features) != r.features || len(v.Cases) != r.cases {
			t.Errorf("%s: %d loops, %d features, %d cases; %v", r.name, len(v.Loops), len(v.Features), len(v.Cases), v.Faults)
		}
	}
}

func TestConfined(t *testing.T) {
	outside := t.TempDir()
	rows := []struct{ name, link, to string }{
		{"drawing", "hanger.dxf", "hanger.dxf"},
		{"folder of results", "out", ""},
		{"folder of results that is not there", "out", "new"},
		{"cards", "cards", ""},
		{"notes", NotesFolder, ""},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			dir, text := exampleJob(t, "hanger")
			path := filepath.Join(dir, r.link)
			if data, err := os.ReadFile(path); err == nil {
				writeText(t, filepath.Join(outside, r.to), string(data))
				if err := os.Remove(path); err != nil {
					t.Fatal(err)
				}
			}
			if err := os.Symlink(filepath.Join(outside, r.to), path); err != nil {
				t.Fatal(err)
			}
			in := Inspect(dir, []byte(text), Options{Confined: true})
			if len(in.Faults) != 1 || !strings.Contains(in.Faults[0].What, "leads out") {
				t.Errorf("faults %v", in.Faults)
			}
			if in := Inspect(dir, []byte(text), Options{}); len(in.Faults) != 0 {
				t.Errorf("the owner's own link is refused: %v", in.Faults)
			}
		})
	}
}

func FuzzInspect(f *testing.F) {
	f.Add(editedText)
	f.Add("[part]\nthickness = \"x\"\njoin = 3\n[[feature]]\nhole = { near = [\"a\", \"b\"] }\n")
	f.Add("[[case]]\nload = [{ force = \"1 h\" }]\n")
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, text string) {
		in := Inspect(dir, []byte(text), Options{})
		if len(in.Faults) == 0 {
			t.Error("a job without a drawing has no fault")
		}
		ViewPart(dir, []byte(text), Options{})
	})
}
