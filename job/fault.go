package job

import (
	"errors"
	"fmt"
	"strings"

	"sinew/geom"
)

// Fault is one thing wrong with what the user gave: where it stands, what is
// wrong, what to do. Line and Column are 1-based, 0 where unknown.
type Fault struct {
	File   string `json:"file,omitempty"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
	Key    string `json:"key,omitempty"`
	What   string `json:"what"`
	Remedy string `json:"remedy,omitempty"`
}

// String gives "job.toml:12:3: part.thickness: what; remedy".
func (f Fault) String() string {
	var b strings.Builder
	if f.File != "" {
		b.WriteString(f.File)
		if f.Line > 0 {
			fmt.Fprintf(&b, ":%d:%d", f.Line, f.Column)
		}
		b.WriteString(": ")
	}
	if f.Key != "" {
		b.WriteString(f.Key + ": ")
	}
	b.WriteString(f.What)
	if f.Remedy != "" {
		b.WriteString("; " + f.Remedy)
	}
	return b.String()
}

// InputError carries all that is wrong with the input: the command ends with
// exit code 2.
type InputError struct{ Faults []Fault }

// Error lists the faults, one a line.
func (e *InputError) Error() string {
	lines := make([]string, len(e.Faults))
	for i, f := range e.Faults {
		lines[i] = f.String()
	}
	return strings.Join(lines, "\n")
}

// MissingError says that what was asked for by its name is not there.
type MissingError struct{ *InputError }

// Unwrap gives the input error, for who makes no difference.
func (e *MissingError) Unwrap() error { return e.InputError }

func missing(what, remedy string) error {
	return &MissingError{&InputError{[]Fault{{What: what, Remedy: remedy}}}}
}

// asInput turns an error of a room into an input error that names the file;
// nil stays nil.
func asInput(file, key string, err error) error {
	var already *InputError
	if err == nil || errors.As(err, &already) {
		return err
	}
	var shape geom.Faults
	if errors.As(err, &shape) {
		list := make([]Fault, len(shape))
		for i, f := range shape {
			what := strings.TrimSuffix(f.Error(), ": "+f.Remedy)
			list[i] = Fault{File: file, Key: key, What: what, Remedy: f.Remedy}
		}
		return &InputError{list}
	}
	f := Fault{File: file, Key: key, What: err.Error()}
	if what, remedy, ok := cutRemedy(f.What); ok {
		f.What, f.Remedy = what, remedy
	}
	return &InputError{[]Fault{f}}
}

// cutRemedy parts a message of the form "what; remedy". One of several lines
// stays whole.
func cutRemedy(text string) (what, remedy string, ok bool) {
	i := strings.LastIndex(text, "; ")
	if i < 0 || strings.Contains(text, "\n") {
		return text, "", false
	}
	return text[:i], text[i+2:], true
}
