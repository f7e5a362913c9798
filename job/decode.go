package job

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"sort"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// maxJobBytes bounds a job file: far above any that a person writes.
const maxJobBytes = 1 << 20

// maxJobLines bounds its lines: the time to find the place of each unknown key
// grows with their square.
const maxJobLines = 5_000

// place is a position in the job file.
type place struct{ line, column int }

// Decode reads a job file and checks its form: keys, units, required values.
// What it refers to (drawing, cards, features) is checked when it is built.
func Decode(data []byte, name string) (*File, error) {
	f, _, err := decode(data, name)
	return f, err
}

func decode(data []byte, name string) (*File, *faultList, error) {
	fl := &faultList{file: name}
	if fl.addSize(data); len(fl.faults) > 0 {
		return nil, fl, fl.err()
	}
	f := new(File)
	dec := toml.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(f); err != nil {
		fl.addTOML(err)
		return nil, fl, fl.err()
	}
	fl.places = keyPlaces(data)
	if err := fl.checkForm(data, reflect.TypeFor[File]()); err != nil {
		return nil, fl, err
	}
	f.check(fl)
	return f, fl, fl.err()
}

// addSize notes a file that is too large to be one that a person writes.
func (l *faultList) addSize(data []byte) {
	if len(data) > maxJobBytes {
		l.add("", "the file is larger than 1 MiB", "it holds text only; put drawings beside it")
	} else if bytes.Count(data, []byte{'\n'}) > maxJobLines {
		l.add("", fmt.Sprintf("the file has more than %d lines", maxJobLines), "leave out what nothing refers to")
	}
}

// faultList gathers faults of one file and knows where its keys stand.
type faultList struct {
	file   string
	places map[string]place
	faults []Fault
}

// add notes a fault at a key such as "case[1].load[0].at". A key that is
// missing from the file is placed at the table that lacks it.
func (l *faultList) add(key, what, remedy string) {
	p := l.places[key]
	for k := key; p.line == 0 && k != ""; {
		k = parentKey(k)
		p = l.places[k]
	}
	l.faults = append(l.faults, Fault{l.file, p.line, p.column, key, what, remedy})
}

func parentKey(key string) string {
	return key[:max(strings.LastIndexByte(key, '.'), 0)]
}

func (l *faultList) err() error {
	if len(l.faults) == 0 {
		return nil
	}
	return &InputError{l.faults}
}

// addTOML notes what the TOML reader refused: syntax, types, unknown keys.
func (l *faultList) addTOML(err error) {
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) {
		for _, e := range strict.Errors {
			line, column := e.Position()
			key := strings.Join(e.Key(), ".")
			l.faults = append(l.faults, Fault{l.file, line, column, key, "unknown key", "see the job-file reference for the keys of this table, or delete it"})
		}
		return
	}
	var bad *toml.DecodeError
	if errors.As(err, &bad) {
		line, column := bad.Position()
		what, remedy := plainTOML(bad.Error())
		l.faults = append(l.faults, Fault{l.file, line, column, strings.Join(bad.Key(), "."), what, remedy})
		return
	}
	what, remedy := plainTOML(err.Error())
	l.faults = append(l.faults, Fault{File: l.file, What: what, Remedy: remedy})
}

// plainTOML words a refusal of the TOML reader for who writes job files: no
// names of Go types, and a remedy.
func plainTOML(text string) (what, remedy string) {
	text = strings.TrimPrefix(text, "toml: ")
	if given, ok := strings.CutPrefix(text, "cannot decode TOML "); ok {
		if given, wanted, ok := strings.Cut(given, " into "); ok {
			_, wanted, _ = strings.Cut(wanted, "of type ")
			return fmt.Sprintf("is a value of kind %s where another is wanted (%s)", given, kindWord(wanted)), "see the job-file reference for the kind of this key"
		}
	}
	if what, remedy, ok := cutRemedy(text); ok {
		return what, remedy
	}
	return text, "correct the TOML here: text stands in quotes on one line, each key and table once"
}

// kindWord names the kind of value that a Go type stands for.
func kindWord(goType string) string {
	switch strings.TrimPrefix(goType, "*") {
	case "int":
		return "whole number"
	case "float64":
		return "number"
	case "bool":
		return "true or false"
	case "string":
		return "text"
	}
	return "text, list or table, by the key"
}

// checkForm notes what the TOML reader lets pass: quantities that are plain
// numbers, which would be taken for sinew's own unit, keys in other letters
// than they are listed in, and a table where a list of tables belongs. The
// document is known to fit the type otherwise.
func (l *faultList) checkForm(data []byte, t reflect.Type) error {
	var doc map[string]any
	if err := toml.Unmarshal(data, &doc); err != nil {
		panic("job: a document that was read is refused: " + err.Error())
	}
	l.formOf("", doc, t)
	return l.err()
}

// formOf follows a document and the type it was read into.
func (l *faultList) formOf(key string, v any, t reflect.Type) {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t.Kind() == reflect.Interface {
		return // any value will do
	}
	switch v := v.(type) {
	case map[string]any:
		if t.Kind() != reflect.Struct {
			l.add(key, "is a table where a list of tables belongs", fmt.Sprintf("begin each with [[%s]]", key))
			return
		}
		for _, name := range slices.Sorted(maps.Keys(v)) {
			l.formOfKey(strings.TrimPrefix(key+"."+name, "."), name, v[name], t)
		}
	case []any:
		if t.Kind() == reflect.Array && len(v) != t.Len() {
			l.add(key, fmt.Sprintf("holds %d values where %d belong", len(v), t.Len()), "write "+strings.ReplaceAll(typeText(t), "`", ""))
			return
		}
		for i, inner := range v {
			l.formOf(fmt.Sprintf("%s[%d]", key, i), inner, t.Elem())
		}
	case int64, float64:
		if t.Kind() == reflect.Float64 && t != reflect.TypeFor[float64]() {
			l.add(key, fmt.Sprintf("%v has no unit", v), "write it as text, a "+strings.ReplaceAll(typeText(t), "`", ""))
		}
	}
}

func (l *faultList) formOfKey(key, name string, v any, table reflect.Type) {
	for i := range table.NumField() {
		f := table.Field(i)
		switch listed := f.Tag.Get("toml"); {
		case f.Anonymous:
			l.formOfKey(key, name, v, f.Type)
		case listed == name:
			l.formOf(key, v, f.Type)
		case strings.EqualFold(listed, name):
			l.add(key, "unknown key", fmt.Sprintf("write %q", listed))
		}
	}
}

// keyPlaces finds where each key of a valid TOML document stands. Array
// tables are numbered: "case[0].load[1].at".
func keyPlaces(data []byte) map[string]place {
	places := map[string]place{}
	counts := map[string]int{}
	lines := lineStarts(data)
	var p unstable.Parser
	p.Reset(data)
	prefix := ""
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			path, at := keyPath(lines, e, "", counts)
			if e.Kind == unstable.ArrayTable {
				n := counts[path]
				counts[path]++
				path = fmt.Sprintf("%s[%d]", path, n)
			}
			prefix = path
			places[path] = at
		case unstable.KeyValue:
			notePair(lines, e, prefix, counts, places)
		}
	}
	return places
}

// notePair notes a key and, where its value is an inline table, its keys.
func notePair(lines []int, e *unstable.Node, prefix string, counts map[string]int, places map[string]place) {
	path, at := keyPath(lines, e, prefix, counts)
	places[path] = at
	if v := e.Value(); v.Kind == unstable.InlineTable {
		for it := v.Children(); it.Next(); {
			notePair(lines, it.Node(), path, counts, places)
		}
	}
}

// keyPath joins a node's key below prefix; a part that names an array table
// means its latest element.
func keyPath(lines []int, e *unstable.Node, prefix string, counts map[string]int) (string, place) {
	path := prefix
	var at place
	it := e.Key()
	for first := true; it.Next(); first = false {
		k := it.Node()
		if first {
			at = placeOf(lines, int(k.Raw.Offset))
		} else if n := counts[path]; n > 0 {
			path = fmt.Sprintf("%s[%d]", path, n-1)
		}
		if path != "" {
			path += "."
		}
		path += string(k.Data)
	}
	return path, at
}

// lineStarts returns the offset at which each line of a text begins.
func lineStarts(data []byte) []int {
	starts := []int{0}
	for i, c := range data {
		if c == '\n' {
			starts = append(starts, i+1)
		}
	}
	return starts
}

// placeOf returns line and column, in bytes, of an offset.
func placeOf(lines []int, offset int) place {
	n := sort.SearchInts(lines, offset+1)
	return place{n, offset - lines[n-1] + 1}
}
