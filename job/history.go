package job

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"sinew/internal/atomicfile"
)

// runsFolder holds earlier runs below the folder of notes.
const runsFolder = "runs"

// maxRuns bounds how many earlier runs are kept.
const maxRuns = 50

// KeptRun is an earlier run: its record, the job file it was made from, and
// what the clock said.
type KeptRun struct {
	ID     string    `json:"id"`
	When   string    `json:"when" doc:"RFC 3339"`
	Record Record    `json:"record"`
	Run    RunRecord `json:"run"`
	Text   string    `json:"text" doc:"job file; empty where it was changed before anybody looked"`
	SVG    string    `json:"strands_svg,omitempty" doc:"drawing of a layer of strands"`
}

// RunBrief sums up an earlier run.
type RunBrief struct {
	ID        string             `json:"id"`
	When      string             `json:"when"`
	Stage     string             `json:"stage" doc:"command that was run"`
	InputHash string             `json:"input_hash"`
	Version   string             `json:"version" doc:"of the job file"`
	Verdict   string             `json:"verdict" enum:",passes,fails"`
	Designs   []DesignBrief      `json:"designs"`
	Seconds   map[string]float64 `json:"seconds_by_stage"`
	Changed   []KeyChange        `json:"changed" doc:"in the job file since the run before"`
}

// DesignBrief sums up a design.
type DesignBrief struct {
	Name         string  `json:"name"`
	MassG        float64 `json:"mass_g"`
	FibreLengthM float64 `json:"fibre_length_m"`
	TimeS        float64 `json:"time_s"`
	Cost         float64 `json:"cost"`
	Stiffness    float64 `json:"stiffness_N_mm"`
	Reserve      float64 `json:"reserve_factor" doc:"least of all cases; 0 where nothing is loaded"`
	Mode         string  `json:"mode"`
	Case         string  `json:"case"`
}

// KeyChange is a key of the job file that differs between two texts.
type KeyChange struct {
	Key    string `json:"key"`
	Before string `json:"before" doc:"as TOML writes it; empty where the key was not there"`
	After  string `json:"after" doc:"empty where it is gone"`
}

// KeepRun puts the results that lie in a job's folder into its history, unless
// they are there already, and returns their id; drawing may be empty.
func KeepRun(dir string, o Options, drawing string) (string, error) {
	out := jobIn(dir, o).out
	recData, err := os.ReadFile(filepath.Join(out, resultName))
	if errors.Is(err, fs.ErrNotExist) {
		return "", ErrNoResults
	}
	runData, err2 := os.ReadFile(filepath.Join(out, runName))
	if err = errors.Join(err, err2); err != nil {
		return "", err
	}
	k := KeptRun{SVG: drawing}
	if err := errors.Join(json.Unmarshal(recData, &k.Record), json.Unmarshal(runData, &k.Run)); err != nil {
		return "", fmt.Errorf("the kept record cannot be read: %w; run the job again", err)
	}
	sum := sha256.Sum256(append(slices.Clone(recData), runData...))
	k.ID, k.When = hex.EncodeToString(sum[:8]), k.Run.Started
	path := runPath(dir, k.ID)
	if _, err := os.Stat(path); err == nil {
		return k.ID, nil
	}
	k.Text = textOfRecord(dir, &k.Record)
	brief := briefOfRun(&k)
	if before, err := Runs(dir); err == nil && len(before) > 0 {
		if last, err := ReadRun(dir, before[0].ID); err == nil {
			brief.Changed = ChangedKeys(last.Text, k.Text)
		}
	}
	if err := writeRun(dir, &k, &brief); err != nil {
		return "", err
	}
	return k.ID, forgetRuns(dir)
}

// writeRun writes a run and, beside it, its brief, which is what lists are
// made from.
func writeRun(dir string, k *KeptRun, brief *RunBrief) error {
	b := atomicfile.NewBatch()
	defer b.Discard()
	for path, v := range map[string]any{runPath(dir, k.ID): k, briefPath(dir, k.ID): brief} {
		data, err := marshal(v)
		if err != nil {
			return err
		}
		if err := b.Add(path, data); err != nil {
			return err
		}
	}
	return b.Commit()
}

// textOfRecord finds the job file that a record was made from.
func textOfRecord(dir string, rec *Record) string {
	for _, in := range rec.Inputs {
		if in.Kind != "job" {
			continue
		}
		if now, err := readInput(filepath.Join(dir, FileName), FileName, maxJobBytes); err == nil && versionOf(now) == in.SHA256 {
			return string(now)
		}
		if old, ok := NewJournal(dir).text(in.SHA256); ok {
			return string(old)
		}
	}
	return ""
}

func runPath(dir, id string) string {
	return filepath.Join(dir, NotesFolder, runsFolder, id+".json")
}

// briefExtension ends the name of a run's brief.
const briefExtension = ".brief"

func briefPath(dir, id string) string {
	return filepath.Join(dir, NotesFolder, runsFolder, id+briefExtension)
}

// ReadRun reads an earlier run.
func ReadRun(dir, id string) (*KeptRun, error) {
	if strings.Trim(id, "0123456789abcdef") != "" || id == "" {
		return nil, noRun(id)
	}
	data, err := os.ReadFile(runPath(dir, id))
	k := new(KeptRun)
	if err == nil {
		err = json.Unmarshal(data, k)
	}
	if err != nil {
		return nil, noRun(id)
	}
	return k, nil
}

func noRun(id string) error {
	return missing(fmt.Sprintf("there is no run %q in the history", id), "see history for what there is")
}

// Runs lists the history, newest first. A damaged entry counts as none.
func Runs(dir string) ([]RunBrief, error) {
	out := []RunBrief{}
	entries, err := os.ReadDir(filepath.Join(dir, NotesFolder, runsFolder))
	if errors.Is(err, fs.ErrNotExist) {
		return out, nil
	}
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		id, ok := strings.CutSuffix(e.Name(), briefExtension)
		if !ok {
			continue
		}
		var b RunBrief
		data, err := os.ReadFile(briefPath(dir, id))
		if err == nil && json.Unmarshal(data, &b) == nil && b.ID == id {
			out = append(out, b)
		}
	}
	slices.SortFunc(out, func(a, b RunBrief) int {
		if a.When != b.When {
			return strings.Compare(b.When, a.When)
		}
		return strings.Compare(a.ID, b.ID)
	})
	return out, nil
}

// forgetRuns drops the oldest runs beyond what is kept.
func forgetRuns(dir string) error {
	kept, err := Runs(dir)
	if err != nil {
		return err
	}
	for _, k := range kept[min(maxRuns, len(kept)):] {
		if err := errors.Join(os.Remove(briefPath(dir, k.ID)), os.Remove(runPath(dir, k.ID))); err != nil {
			return err
		}
	}
	return nil
}

func briefOfRun(k *KeptRun) RunBrief {
	b := RunBrief{ID: k.ID, When: k.When, Stage: k.Run.Command, InputHash: k.Record.InputHash, Designs: []DesignBrief{}, Seconds: k.Run.Seconds, Changed: []KeyChange{}}
	for _, in := range k.Record.Inputs {
		if in.Kind == "job" {
			b.Version = in.SHA256
		}
	}
	if v := k.Record.Verdict; v != nil {
		b.Verdict = "fails"
		if v.Passes {
			b.Verdict = "passes"
		}
	}
	for i := range k.Record.Designs {
		d := &k.Record.Designs[i]
		db := DesignBrief{Name: d.Name, MassG: d.MassG, FibreLengthM: d.FibreLengthM, TimeS: d.TimeS, Cost: d.Cost, Stiffness: d.Stiffness}
		if g := d.Governing; g != nil {
			db.Reserve, db.Mode, db.Case = g.Reserve, g.Mode, g.Case
		}
		b.Designs = append(b.Designs, db)
	}
	return b
}

// ChangedKeys lists what differs between two job files, key by key. A text
// that is no TOML counts as empty.
func ChangedKeys(before, after string) []KeyChange {
	a, b := leavesOf(before), leavesOf(after)
	keys := slices.Sorted(maps.Keys(a))
	for _, k := range slices.Sorted(maps.Keys(b)) {
		if _, there := a[k]; !there {
			keys = append(keys, k)
		}
	}
	slices.Sort(keys)
	out := []KeyChange{}
	for _, k := range keys {
		if a[k] != b[k] {
			out = append(out, KeyChange{k, a[k], b[k]})
		}
	}
	return out
}

// leavesOf flattens a job file to its keys and values.
func leavesOf(text string) map[string]string {
	out := map[string]string{}
	var doc map[string]any
	if err := toml.Unmarshal([]byte(text), &doc); err != nil {
		return out
	}
	var follow func(key string, v any)
	follow = func(key string, v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, inner := range v {
				follow(strings.TrimPrefix(key+"."+k, "."), inner)
			}
			return
		case []any:
			if rows := tablesIn(v); rows != nil {
				for i, row := range rows {
					follow(fmt.Sprintf("%s[%d]", key, i), row)
				}
				return
			}
		}
		word, err := wordValue(plainValue(v), nil)
		if err != nil {
			word = fmt.Sprint(v)
		}
		out[key] = word
	}
	follow("", doc)
	return out
}

// plainValue turns whole numbers of the TOML reader into those of wordValue.
func plainValue(v any) any {
	switch v := v.(type) {
	case int64:
		return int(v)
	case []any:
		out := make([]any, len(v))
		for i := range v {
			out[i] = plainValue(v[i])
		}
		return out
	}
	return v
}

// StageSeconds tells how long each stage took when it was last carried out
// here, for estimates.
func StageSeconds(dir string) map[string]float64 {
	out := map[string]float64{}
	kept, err := Runs(dir)
	if err != nil {
		return out
	}
	for _, k := range slices.Backward(kept) {
		maps.Copy(out, k.Seconds)
	}
	return out
}
