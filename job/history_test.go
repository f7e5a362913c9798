package job

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"reflect"
	"slices"
	"testing"
)

func TestChangedKeys(t *testing.T) {
	edited, err := ApplyEdits([]byte(editedText), []Edit{
		{Op: "set", Key: "part.thickness", Value: "5 mm"}, {Op: "remove", Key: "layup.walls"}, {Op: "set", Key: "layup.covers.top", Value: 3}, {Op: "set", Key: "note", Value: "x"},
		{Op: "set", Key: "layup.family[0].around", Value: []any{"pin", "end"}},
	})
	if err != nil {
		t.Fatal(err)
	}
	want := []KeyChange{
		{"layup.covers.top", "2", "3"}, {"layup.family[0].around", `["pin"]`, `["pin", "end"]`}, {"layup.walls", "1", ""}, {"note", "", `"x"`}, {"part.thickness", `"4 mm"`, `"5 mm"`},
	}
	if got := ChangedKeys(editedText, string(edited)); !reflect.DeepEqual(got, want) {
		t.Errorf("got %q\nwant %q", got, want)
	}
	if got := ChangedKeys("[broken", "a = 1"); len(got) != 1 {
		t.Errorf("against no TOML: %v", got)
	}
}

// TestHistoryAndQuick runs a job, keeps the run, changes a load, and looks at
// both.
func TestHistoryAndQuick(t *testing.T) {
	ctx := context.Background()
	r := stripRun(t)
	dir, came, rec := r.copied(t), r.came, r.Record
	id, err := KeepRun(dir, Options{}, "<svg/>")
	if err != nil {
		t.Fatal(err)
	}
	if again, err := KeepRun(dir, Options{}, ""); err != nil || again != id {
		t.Errorf("kept twice: %s, %v", again, err)
	}
	k, err := ReadRun(dir, id)
	if err != nil || k.Record.InputHash != rec.InputHash || k.Text == "" || k.SVG != "<svg/>" {
		t.Errorf("kept %+v, %v", k, err)
	}
	for _, bad := range []string{"", "..", "../edits", "00", "zz"} {
		var in *InputError
		if _, err := ReadRun(dir, bad); !errors.As(err, &in) {
			t.Errorf("run %q: %v", bad, err)
		}
	}
	if s := StageSeconds(dir); s[stageLay] <= 0 || s[stageProve] <= 0 {
		t.Errorf("seconds %v", s)
	}

	j := NewJournal(dir)
	change := func(edits ...Edit) {
		t.Helper()
		st, err := j.State()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := j.Change(st.Version, "edit", func(text []byte) ([]byte, error) { return ApplyEdits(text, edits) }); err != nil {
			t.Fatal(err)
		}
	}
	views := came["proof"]
	same, _, err := views.Quick(ctx, dir, Options{})
	kept := slices.Clone(rec.Designs[0].Cases)
	for i := range kept {
		kept[i].Collapse = nil // takes a hundred solutions: no part of a quick answer
	}
	if err != nil || !reflect.DeepEqual(same.Designs[0].Cases, kept) || same.StrandsOf != rec.InputHash {
		t.Fatalf("quick answer to an unchanged job: %+v, %v", same, err)
	}
	change(Edit{Op: "set", Key: "case[0].load[0].force", Value: "20 kN"})
	twice, quick, err := views.Quick(ctx, dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	a, b := rec.Designs[0].Governing.Reserve, twice.Designs[0].Governing.Reserve
	if a/b < 2*(1-1e-6) || a/b > 2*(1+1e-6) {
		t.Errorf("twice the load: reserve %g, before %g", b, a)
	}
	if twice.InputHash == rec.InputHash || len(twice.Probes) != len(rec.Probes) {
		t.Errorf("quick answer %+v", twice)
	}
	if f, err := quick.Field(ctx, FieldQuery{Quantity: "index.worst", Case: 0, Layer: -1}); err != nil || f.Meta["hi"].(float64) < 1/b*(1-1e-9) {
		t.Errorf("field of the quick answer: %v", err)
	}
	for name, e := range map[string]Edit{
		"thickness": {Op: "set", Key: "layup.family[0].layers", Value: 9},
		"spacing":   {Op: "set", Key: "layup.family[0].spacing", Value: "1.1 mm"},
		"material":  {Op: "set", Key: "material.temperature", Value: "60 °C"},
	} {
		change(e)
		if _, _, err := views.Quick(ctx, dir, Options{}); !errors.Is(err, ErrOtherStrands) {
			t.Errorf("other %s: %v", name, err)
		}
		st, err := j.State()
		if err == nil {
			_, err = j.Undo(st.Version)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

func TestHistoryForgets(t *testing.T) {
	dir := t.TempDir()
	for i := range maxRuns + 3 {
		k := &KeptRun{ID: fmt.Sprintf("%04x", i), When: fmt.Sprintf("2026-01-01T00:00:%02dZ", i)}
		b := briefOfRun(k)
		if err := writeRun(dir, k, &b); err != nil {
			t.Fatal(err)
		}
	}
	if err := forgetRuns(dir); err != nil {
		t.Fatal(err)
	}
	list, err := Runs(dir)
	if err != nil || len(list) != maxRuns || list[0].ID != fmt.Sprintf("%04x", maxRuns+2) {
		t.Errorf("%d runs, %v", len(list), err)
	}
	files, err := filepath.Glob(filepath.Join(dir, NotesFolder, runsFolder, "*"))
	if err != nil || len(files) != 2*maxRuns || slices.ContainsFunc(files, func(f string) bool { return filepath.Base(f) == "0000.json" }) {
		t.Errorf("%d files, %v", len(files), err)
	}
}
