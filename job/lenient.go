package job

import (
	"bytes"
	"errors"
	"reflect"
	"slices"

	"github.com/pelletier/go-toml/v2"
)

// maxBlanked bounds how many values that cannot be read are set aside.
const maxBlanked = 100

// decodeLenient reads as much of a job file as can be read, for editors that
// show a job while it is being written. A value of the wrong kind is noted and
// counts as left out; all such values are noted, not just the first. The file
// is nil where the text is no TOML.
func decodeLenient(data []byte) (*File, *faultList) {
	fl := &faultList{file: FileName}
	if err := readableTOML(data); err != nil || len(data) > maxJobBytes || bytes.Count(data, []byte{'\n'}) > maxJobLines {
		_, strict, _ := decode(data, FileName)
		return nil, strict
	}
	text := slices.Clone(data)
	f := new(File)
	for range maxBlanked {
		*f = File{}
		dec := toml.NewDecoder(bytes.NewReader(text))
		dec.DisallowUnknownFields()
		err := dec.Decode(f)
		var strict *toml.StrictMissingError
		var bad *toml.DecodeError
		if !errors.As(err, &strict) && errors.As(err, &bad) && fl.blank(text, bad) {
			continue
		}
		if err != nil {
			fl.addTOML(err)
			fl.numberKeys(text)
			*f = File{}
			if err := toml.Unmarshal(text, f); err != nil {
				return nil, fl
			}
		}
		break
	}
	fl.places = keyPlaces(data)
	fl.checkRest(f, text)
	return f, fl
}

// numberKeys gives faults that name a key without numbers the full key that
// stands at their place.
func (l *faultList) numberKeys(text []byte) {
	lines, d := lineStarts(text), cutTOML(text)
	for i := range l.faults {
		f := &l.faults[i]
		if f.Line < 1 || f.Line > len(lines) {
			continue
		}
		if p, _ := d.pairAt(lines[f.Line-1] + f.Column - 1); p != nil {
			f.Key = p.path
		}
	}
}

// blank notes a value that is of the wrong kind and overwrites it, with its
// key, by spaces, so that all other places stay where they are.
func (l *faultList) blank(text []byte, bad *toml.DecodeError) bool {
	lines := lineStarts(text)
	line, column := bad.Position()
	if line < 1 || line > len(lines) {
		return false
	}
	d := cutTOML(text)
	pair, table := d.pairAt(lines[line-1] + column - 1)
	if pair == nil {
		return false
	}
	what, remedy := plainTOML(bad.Error())
	l.faults = append(l.faults, Fault{l.file, line, column, pair.path, what, remedy})
	from, to := pair.start, pair.end
	if table != nil {
		i := slices.IndexFunc(table.inner, func(q tomlPair) bool { return q.start == pair.start })
		if i > 0 {
			from = table.inner[i-1].end
		} else if len(table.inner) > 1 {
			to = table.inner[1].start
		}
	}
	for i := from; i < to; i++ {
		if text[i] != '\n' && text[i] != '\r' {
			text[i] = ' '
		}
	}
	return true
}

// pairAt returns the innermost pair around an offset.
func (d *tomlText) pairAt(offset int) (pair, table *tomlPair) {
	var search func(list []tomlPair, in *tomlPair)
	search = func(list []tomlPair, in *tomlPair) {
		for i := range list {
			if list[i].start <= offset && offset < list[i].end {
				pair, table = &list[i], in
				search(list[i].inner, &list[i])
			}
		}
	}
	for i := range d.blocks {
		search(d.blocks[i].pairs, nil)
	}
	return pair, table
}

// checkRest notes what the file shows by itself, but for keys that have a
// fault already.
func (l *faultList) checkRest(f *File, text []byte) {
	before := l.faults
	l.faults = nil
	_ = l.checkForm(text, reflect.TypeFor[File]()) // its faults stay in the list
	f.check(l)
	for _, add := range l.faults {
		if !slices.ContainsFunc(before, func(b Fault) bool { return b.Key != "" && within(add.Key, b.Key) }) {
			before = append(before, add)
		}
	}
	l.faults = before
}
