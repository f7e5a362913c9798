package study

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"sinew/internal/atomicfile"
	"sinew/job"
)

// Outcome is the answer for one point: what the run found, or why the job was
// refused. It is what workers send and what is kept.
type Outcome struct {
	Key     string      `json:"key"` // hash of all that it depends on
	Version string      `json:"version"`
	Refused []job.Fault `json:"refused,omitempty"`
	Record  *job.Record `json:"record,omitempty"` // without the parts that no figure is read from
}

// bench is a folder in which one point after another is computed. Stages that a
// point shares with the one before are not made again.
type bench struct{ dir string }

// newBench lays out the files of a study in a new temporary folder.
func newBench(files []packed) (*bench, error) {
	dir, err := os.MkdirTemp("", "sinew-study-")
	if err != nil {
		return nil, err
	}
	b := &bench{dir}
	for _, f := range files {
		if !filepath.IsLocal(filepath.FromSlash(f.Path)) {
			err = fmt.Errorf("the file %q lies outside of its folder", f.Path)
		} else {
			err = writeFile(filepath.Join(dir, filepath.FromSlash(f.Path)), f.data)
		}
		if err != nil {
			b.remove()
			return nil, err
		}
	}
	return b, nil
}

func writeFile(name string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return err
	}
	return os.WriteFile(name, data, 0o644)
}

// remove deletes the folder with all that is in it.
func (b *bench) remove() { os.RemoveAll(b.dir) }

// compute carries a point out on one processor. A job that is refused is an
// answer; an error is what has nothing to do with the point.
func (b *bench) compute(ctx context.Context, key string, text []byte, stage job.Stage) (*Outcome, error) {
	out := &Outcome{Key: key, Version: job.Version}
	rec, err := b.run(ctx, text, stage)
	var input *job.InputError
	if errors.As(err, &input) {
		for _, f := range input.Faults {
			f.File = strings.TrimPrefix(f.File, b.dir+string(filepath.Separator)) // the same on every machine
			out.Refused = append(out.Refused, f)
		}
		return out, nil
	}
	if err != nil {
		return nil, err
	}
	out.Record = trimmed(rec)
	return out, nil
}

func (b *bench) run(ctx context.Context, text []byte, stage job.Stage) (*job.Record, error) {
	dir := filepath.Join(b.dir, packJob)
	if err := writeFile(filepath.Join(dir, job.FileName), text); err != nil {
		return nil, err
	}
	j, err := job.Open(dir, job.Options{Cards: filepath.Join(b.dir, packCards), Workers: 1, Alone: true, Confined: true})
	if err != nil {
		return nil, err
	}
	defer j.Close()
	res, err := j.Run(ctx, stage, "study")
	if err != nil {
		return nil, err
	}
	return res.Record, res.Save(ctx)
}

// trimmed keeps of a record what figures and reasons are read from.
func trimmed(r *job.Record) *job.Record {
	out := &job.Record{
		Job: r.Job, InputHash: r.InputHash, Version: r.Version, Part: job.PartRecord{ThicknessMM: r.Part.ThicknessMM, AreaMM2: r.Part.AreaMM2, Box: r.Part.Box},
		Strands: r.Strands, Findings: r.Findings, Probes: r.Probes, Plate: r.Plate, Program: r.Program, Verdict: r.Verdict, Warnings: r.Warnings,
	}
	if d := printed(r); d != nil {
		out.Designs = []job.DesignRecord{*d}
	}
	return out
}

// readOutcome reads an answer and holds it to its form: what is kept on disk and
// what workers send comes in here.
func readOutcome(data []byte, key string, stage job.Stage) (*Outcome, error) {
	o := new(Outcome)
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(o); err != nil {
		return nil, fmt.Errorf("is no answer: %w", err)
	}
	switch r := o.Record; {
	case o.Key != key:
		return nil, fmt.Errorf("answers %.16q, not %.16q: the inputs are others", o.Key, key)
	case o.Version != job.Version:
		return nil, fmt.Errorf("comes of version %q, this is %q", o.Version, job.Version)
	case (r == nil) == (len(o.Refused) == 0):
		return nil, errors.New("is neither a record nor a refusal")
	case r == nil:
	case r.Version != job.Version || len(r.InputHash) != len(key) || r.Verdict == nil && stage > job.Lay || r.Strands == nil:
		return nil, errors.New("lacks parts of a record")
	case stage >= job.Prove && (printed(r) == nil || len(printed(r).Cases) == 0):
		return nil, errors.New("lacks the margins as printed")
	}
	return o, nil
}

// journal keeps answers as they come, each in a file of its own, so that a study
// goes on where it was stopped.
type journal struct{ dir string }

func (j journal) path(key string) string { return filepath.Join(j.dir, key+".json") }

// find returns a kept answer; one that is damaged or of another version counts
// as none.
func (j journal) find(key string, stage job.Stage) *Outcome {
	data, err := readLimited(j.path(key), maxAnswerBytes)
	if err != nil {
		return nil
	}
	o, err := readOutcome(data, key, stage)
	if err != nil {
		return nil
	}
	return o
}

// keep writes an answer, whole or not at all.
func (j journal) keep(o *Outcome) error {
	data, err := json.Marshal(o)
	if err != nil {
		return fmt.Errorf("keep a point: %w", err)
	}
	return atomicfile.WriteFile(j.path(o.Key), append(data, '\n'))
}
