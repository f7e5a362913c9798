package job

import (
	"errors"
	"path/filepath"

	"github.com/pelletier/go-toml/v2"
)

// Inspection is a job file as an editor shows it: what it says, where, and
// what is wrong with it.
type Inspection struct {
	Version  string            // SHA-256 of the text
	Readable bool              // it is TOML
	Doc      map[string]any    // as written: quantities are text; nil where not readable
	Places   map[string][2]int // line and column of each key, from 1
	Faults   []Fault           // everything that keeps the job from being run
	file     *File
}

// Inspect reads a text as the job file of a folder. What it refers to is
// checked too, where the text itself has no fault.
func Inspect(dir string, text []byte, o Options) *Inspection {
	in := &Inspection{Version: versionOf(text), Places: map[string][2]int{}, Faults: []Fault{}}
	f, fl := decodeLenient(text)
	in.file = f
	if readableTOML(text) == nil {
		in.Readable = true
		if err := toml.Unmarshal(text, &in.Doc); err != nil {
			panic("job: a document that was read is refused: " + err.Error())
		}
		for key, p := range keyPlaces(text) {
			in.Places[key] = [2]int{p.line, p.column}
		}
	}
	if in.Faults = append(in.Faults, fl.faults...); len(in.Faults) > 0 {
		return in
	}
	_, err := prepare(dir, text, o)
	var bad *InputError
	switch {
	case errors.As(err, &bad):
		in.Faults = append(in.Faults, bad.Faults...)
	case err != nil:
		in.Faults = append(in.Faults, Fault{File: FileName, What: err.Error()})
	}
	return in
}

// prepare reads a job whose file has the given text, without its lock: for
// whoever looks and writes nothing.
func prepare(dir string, text []byte, o Options) (*Job, error) {
	j := jobIn(dir, o)
	err := j.confineAll()
	if err != nil {
		return nil, err
	}
	if j.file, j.faults, err = decode(text, FileName); err != nil {
		return nil, err
	}
	if j.in, err = j.load(text); err != nil {
		return nil, err
	}
	return j, nil
}

// Look opens a job without its lock: what is kept of it can be read, nothing
// can be run or written.
func Look(dir string, o Options) (*Job, error) {
	path := filepath.Join(dir, FileName)
	text, err := readInput(path, path, maxJobBytes)
	if err != nil {
		return nil, err
	}
	j, err := prepare(dir, text, o)
	if err != nil {
		return nil, err
	}
	j.unlock = func() {}
	return j, nil
}

// Name is what the job is called.
func (j *Job) Name() string { return j.file.Name }

// InputHash is the hash over all that goes into the job.
func (j *Job) InputHash() string { return j.in.hash.String() }
