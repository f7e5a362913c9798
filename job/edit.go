package job

import (
	"bytes"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// Edit is one change of a job file by key path. Comments, order and spelling
// of everything else stay.
type Edit struct {
	Op    string         `json:"op" enum:"set,remove,insert,move,copy,rename" doc:"set a key; remove a key, a table or an element of a list of tables; insert, move, copy an element; rename a feature wherever it is named"`
	Key   string         `json:"key,omitempty" maxLength:"300" doc:"key path; for insert that of the list" example:"case[0].load[0].force"`
	Value any            `json:"value,omitempty" doc:"set: text, number, true or false, list, or table; rename: the new name"`
	Table map[string]any `json:"table,omitempty" doc:"insert: keys and values of the element"`
	At    *int           `json:"at,omitempty" minimum:"0" doc:"insert: its index; left out: last"`
	To    *int           `json:"to,omitempty" minimum:"0" doc:"move, copy: index it gets; copy left out: behind the original"`
	From  string         `json:"from,omitempty" maxLength:"300" doc:"rename: the present name"`
}

// ApplyEdits carries out edits on the text of a job file, in order, all or
// none. The text must be TOML; whether the values are right is not asked here.
func ApplyEdits(text []byte, edits []Edit) ([]byte, error) {
	if err := readableTOML(text); err != nil {
		return nil, err
	}
	text = slices.Clone(text)
	for i := range edits {
		e := &edits[i]
		next, err := e.apply(cutTOML(text))
		if err == nil && len(next) > maxJobBytes {
			err = fmt.Errorf("makes the file larger than 1 MiB; leave something out")
		}
		if err == nil {
			err = readableTOML(next)
		}
		if err != nil {
			return nil, e.fault(i, err)
		}
		text = next
	}
	return text, nil
}

// fault says which edit was refused.
func (e *Edit) fault(i int, err error) error {
	what, remedy, _ := cutRemedy(err.Error())
	return &InputError{[]Fault{{Key: e.Key, What: fmt.Sprintf("edit %d (%s): %s", i+1, e.Op, what), Remedy: remedy}}}
}

func readableTOML(text []byte) error {
	fl := &faultList{file: FileName}
	var doc map[string]any
	if err := toml.Unmarshal(text, &doc); err != nil {
		fl.addTOML(err)
	}
	return fl.err()
}

func (e *Edit) apply(d *tomlText) ([]byte, error) {
	if e.Op != "rename" && splitKey(e.Key) == nil {
		return nil, fmt.Errorf("%q is no key path; write it like case[0].load[1].force", e.Key)
	}
	if i := strings.LastIndexByte(e.Key, '['); i > 0 && e.Op != "insert" {
		list := e.Key[:i]
		if p, _ := d.findPair(list); p != nil && tablesIn(valueAt(d.doc(), list)) != nil {
			var err error
			if d, err = d.opened(list); err != nil {
				return nil, err
			}
		}
	}
	switch e.Op {
	case "set":
		return d.set(e.Key, e.Value)
	case "remove":
		return d.remove(e.Key)
	case "insert":
		return d.insert(e.Key, e.Table, e.At)
	case "move":
		return d.move(e.Key, e.To)
	case "copy":
		return d.copyElement(e.Key, e.To)
	case "rename":
		return d.rename(e.From, e.Value)
	}
	return nil, fmt.Errorf("%q is no edit; use set, remove, insert, move, copy or rename", e.Op)
}

// splice replaces [from, to) by text.
func (d *tomlText) splice(from, to int, text string) []byte {
	return slices.Concat(d.data[:from], []byte(text), d.data[to:])
}

// set gives a key a value, in its place where it has one.
func (d *tomlText) set(key string, value any) ([]byte, error) {
	text, err := wordValue(value, typeAt(key))
	if err != nil {
		return nil, err
	}
	if p, _ := d.findPair(key); p != nil {
		return d.splice(d.valueStart(p), p.end, text), nil
	}
	if len(d.extent(key)) > 0 {
		return nil, fmt.Errorf("%s is a table; set the keys in it, or remove it first", key)
	}
	steps := splitKey(key)
	if steps[len(steps)-1].index >= 0 {
		return nil, fmt.Errorf("there is no %s; set the whole list, or insert an element", key)
	}
	return d.add(key, text)
}

// add puts a new key into the nearest table that is there.
func (d *tomlText) add(key, text string) ([]byte, error) {
	for parent := parentKey(key); ; parent = parentKey(parent) {
		name := strings.TrimPrefix(strings.TrimPrefix(key, parent), ".")
		if strings.Contains(name, "[") {
			return nil, fmt.Errorf("there is no %s; insert it first", parentKey(key))
		}
		if p, _ := d.findPair(parent); p != nil {
			if !p.inline {
				return nil, fmt.Errorf("%s is no table; remove it first", parent)
			}
			return d.addInline(p, name, text), nil
		}
		if b := d.findBlock(parent); b >= 0 && (b > 0 || !strings.Contains(name, ".")) {
			return d.addPair(&d.blocks[b], name, text), nil
		}
		if b := d.dottedHome(parent); b != nil && parent != "" {
			full := strings.TrimPrefix(strings.TrimPrefix(key, b.path), ".")
			return d.addPair(b, full, text), nil
		}
		if parent == "" || !strings.Contains(parent, ".") && !strings.Contains(parent, "[") {
			return d.addTable(parent, name, text), nil
		}
	}
}

// dottedHome returns the block in which keys below path stand with dots.
func (d *tomlText) dottedHome(path string) *tomlBlock {
	for i := range d.blocks {
		for k := range d.blocks[i].pairs {
			if strings.HasPrefix(d.blocks[i].pairs[k].path, path+".") {
				return &d.blocks[i]
			}
		}
	}
	return nil
}

// addPair writes a line behind the last key of a block.
func (d *tomlText) addPair(b *tomlBlock, name, text string) []byte {
	line := name + " = " + text + d.newline()
	if n := len(b.pairs); n > 0 {
		_, to := d.lineOf(b.pairs[n-1].start, b.pairs[n-1].end)
		return d.splice(to, to, d.freshLine(to)+d.indent(b.pairs[n-1].start)+line)
	}
	if b.path == "" {
		return d.splice(0, 0, line)
	}
	_, to := d.lineOf(b.head, b.head)
	head := b.head + len(d.indentAfter(b.head))
	return d.splice(to, to, d.freshLine(to)+d.indent(head)+line)
}

// freshLine is a line end where the text before an offset lacks one.
func (d *tomlText) freshLine(at int) string {
	if at > 0 && d.data[at-1] != '\n' {
		return d.newline()
	}
	return ""
}

// indentAfter returns the white space that begins at an offset.
func (d *tomlText) indentAfter(at int) string {
	rest := d.data[at:]
	return string(rest[:len(rest)-len(bytes.TrimLeft(rest, " \t"))])
}

// addInline writes a key behind the last of an inline table.
func (d *tomlText) addInline(p *tomlPair, name, text string) []byte {
	if n := len(p.inner); n > 0 {
		at := p.inner[n-1].end
		return d.splice(at, at, ", "+name+" = "+text)
	}
	return d.splice(d.valueStart(p), p.end, "{ "+name+" = "+text+" }")
}

// addTable writes a new table at the top level with one key.
func (d *tomlText) addTable(table, name, text string) []byte {
	at := d.placeFor(table)
	nl := d.newline()
	return d.spliceBlock(at, "["+table+"]"+nl+name+" = "+text+nl, true)
}

// placeFor returns where a new table of the top level belongs: before tables
// below it, else behind those that the job-file reference lists before it.
func (d *tomlText) placeFor(table string) int {
	if below := d.extent(table); len(below) > 0 {
		return d.blocks[below[0]].start
	}
	at := d.blocks[0].end
	for i := range d.blocks[1:] {
		top := splitKey(d.blocks[1+i].path)
		if len(top) > 0 && fieldIndex(top[0].name) <= fieldIndex(table) {
			at = d.blocks[1+i].end
		}
	}
	return at
}

func fieldIndex(key string) int {
	t := reflect.TypeFor[File]()
	for i := range t.NumField() {
		if t.Field(i).Tag.Get("toml") == key {
			return i
		}
	}
	return t.NumField()
}

// spliceBlock puts the text of tables at an offset between blocks, parted from
// what stands around it by an empty line where it is apart.
func (d *tomlText) spliceBlock(at int, text string, apart bool) []byte {
	nl := d.newline()
	before := d.freshLine(at)
	if apart && !emptyLineBefore(d.data[:at]) {
		before += nl
	}
	text = strings.TrimRight(text, " \t\r\n") + nl
	if apart && at < len(d.data) && !bytes.HasPrefix(bytes.TrimLeft(d.data[at:], " \t\r"), []byte("\n")) {
		text += nl
	}
	return d.splice(at, at, before+text)
}

// emptyLineBefore reports whether the text is empty or ends with an empty
// line.
func emptyLineBefore(text []byte) bool {
	rest := bytes.TrimRight(text, " \t\r\n")
	return len(rest) == 0 || bytes.Count(text[len(rest):], []byte("\n")) > 1
}

// remove takes out a key, a table with all below it, or an element.
func (d *tomlText) remove(key string) ([]byte, error) {
	if p, in := d.findPair(key); p != nil {
		if in != nil {
			return d.removeInline(in, p), nil
		}
		from, to := d.lineOf(p.start, p.end)
		return d.splice(from, to, ""), nil
	}
	if blocks := d.extent(key); len(blocks) > 0 {
		return d.removeBlocks(blocks), nil
	}
	out := slices.Clone(d.data)
	if home := d.dottedHome(key); home != nil {
		for _, p := range slices.Backward(home.pairs) {
			if strings.HasPrefix(p.path, key+".") {
				from, to := d.lineOf(p.start, p.end)
				out = slices.Delete(out, from, to)
			}
		}
		return out, nil
	}
	return nil, fmt.Errorf("there is no %s; it may have been removed already", key)
}

// removeBlocks takes blocks out, ascending, so that what stood around each run of
// them is parted by an empty line where it was.
func (d *tomlText) removeBlocks(blocks []int) []byte {
	out := slices.Clone(d.data)
	for i := len(blocks) - 1; i >= 0; i-- {
		to := d.blocks[blocks[i]].end
		for i > 0 && blocks[i-1] == blocks[i]-1 {
			i--
		}
		from := d.blocks[blocks[i]].start
		switch parted := emptyLineBefore(d.data[:to]); {
		case to == len(d.data):
			from = len(bytes.TrimRight(d.data[:from], " \t\r\n"))
			out = append(out[:from], d.newline()...)
		case parted && !emptyLineBefore(d.data[:from]):
			out = slices.Replace(out, from, to, []byte(d.newline())...)
		default:
			out = slices.Delete(out, from, to)
		}
	}
	return out
}

// removeInline takes a key out of an inline table, its comma too.
func (d *tomlText) removeInline(table, p *tomlPair) []byte {
	i := slices.IndexFunc(table.inner, func(q tomlPair) bool { return q.start == p.start })
	switch {
	case i > 0:
		return d.splice(table.inner[i-1].end, p.end, "")
	case len(table.inner) > 1:
		return d.splice(p.start, table.inner[1].start, "")
	}
	return d.splice(d.valueStart(table), table.end, "{}")
}
