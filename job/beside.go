package job

import (
	"bytes"
	"fmt"
	"reflect"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// Beside is a TOML file that belongs to a job, read as strictly as the job file
// itself. It gathers what is wrong with it and knows where its keys stand.
type Beside struct{ list *faultList }

// ReadBeside reads such a file into the struct that v points to, which names
// its keys as File does; reference is what a fault sends the reader to. The
// faults of the form are in Err, and so is what Fault adds.
func ReadBeside(data []byte, name, reference string, v any) *Beside {
	b := &Beside{&faultList{file: name}}
	if b.list.addSize(data); len(b.list.faults) > 0 {
		return b
	}
	dec := toml.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(v); err != nil {
		b.list.addTOML(err)
	} else {
		b.list.places = keyPlaces(data)
		_ = b.list.checkForm(data, reflect.TypeOf(v).Elem()) // its faults stay in the list
	}
	for i := range b.list.faults {
		f := &b.list.faults[i]
		f.Remedy = strings.Replace(f.Remedy, "the job-file reference", reference, 1)
	}
	return b
}

// Fault notes a fault at a key such as "vary[1].values".
func (b *Beside) Fault(key, what, remedy string) { b.list.add(key, what, remedy) }

// Err is an InputError of all faults, nil where there is none.
func (b *Beside) Err() error { return b.list.err() }

// CheckKey says what keeps a key path from being one of the job file's; nil:
// nothing. Whether a job has the list elements that it counts is not asked.
func CheckKey(key string) error {
	switch {
	case splitKey(key) == nil:
		return fmt.Errorf("%q is no key path; write it like case[0].load[1].force", key)
	case typeAt(key) == nil:
		return fmt.Errorf("a job file has no key %s; see the job-file reference", key)
	}
	return nil
}

// SchemaOf returns the JSON Schema of the type that v points to.
func SchemaOf(v any, title, text string) ([]byte, error) { return schemaOf(v, title, text) }
