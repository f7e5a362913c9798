package job

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// opened returns the document with the tables that stand on one line on the
// way to an element of a list, or to the whole list, written with headers of
// their own: only there can an element be put in, moved or edited by itself.
func (d *tomlText) opened(list string) (*tomlText, error) {
	steps := splitKey(list)
	path := ""
	for _, s := range steps {
		path = strings.TrimPrefix(path+"."+s.name, ".")
		if p, in := d.findPair(path); p != nil && in == nil {
			next, err := d.open(p)
			if err != nil {
				return nil, err
			}
			d = next
		}
		if s.index >= 0 {
			path += fmt.Sprintf("[%d]", s.index)
		}
	}
	return d, nil
}

// open writes a table or a list of tables that stands on one line with
// headers. What else the pair may hold stays as it is.
func (d *tomlText) open(p *tomlPair) (*tomlText, error) {
	var b strings.Builder
	indent := d.indentOf(p.path)
	switch v := valueAt(d.doc(), p.path).(type) {
	case map[string]any:
		text, err := d.wordTable("["+bareKey(p.path)+"]", bareKey(p.path), v, typeAt(p.path), indent)
		if err != nil {
			return nil, err
		}
		b.WriteString(text)
	case []any:
		for _, row := range tablesIn(v) {
			text, err := d.wordTable("[["+bareKey(p.path)+"]]", bareKey(p.path), row, elemOf(typeAt(p.path)), indent)
			if err != nil {
				return nil, err
			}
			b.WriteString(text)
		}
	}
	if b.Len() == 0 {
		return d, nil
	}
	from, to := d.lineOf(p.start, p.end)
	text := b.String()
	if comment := strings.TrimSpace(string(d.data[p.end:to])); comment != "" {
		head, rest, _ := strings.Cut(text, d.newline())
		text = head + "  " + comment + d.newline() + rest
	}
	d = cutTOML(d.splice(from, to, ""))
	at := d.placeOfElement(p.path, 0)
	if b := d.findBlock(parentKey(p.path)); b > 0 {
		at = d.contentEnd(b)
	}
	return cutTOML(d.spliceBlock(at, text, indent == "")), nil
}

// insert writes a new element of a list of tables.
func (d *tomlText) insert(list string, table map[string]any, at *int) ([]byte, error) {
	d, err := d.opened(list)
	if err != nil {
		return nil, err
	}
	parent := parentKey(list)
	if strings.Contains(parent, "[") && d.findBlock(parent) < 0 {
		return nil, fmt.Errorf("there is no %s; insert it first", parent)
	}
	n := d.count(list)
	index := n
	if at != nil {
		index = *at
	}
	if index > n {
		return nil, fmt.Errorf("there are %d of %s; insert at 0 to %d", n, list, n)
	}
	text, err := d.wordTable("[["+bareKey(list)+"]]", bareKey(list), table, elemOf(typeAt(list)), d.indentOf(list))
	if err != nil {
		return nil, err
	}
	return d.spliceBlock(d.placeOfElement(list, index), text, !strings.Contains(parent, "[")), nil
}

// bareKey drops the numbers of a key path, as headers are written.
func bareKey(key string) string {
	var names []string
	for _, s := range splitKey(key) {
		names = append(names, s.name)
	}
	return strings.Join(names, ".")
}

// indentOf is the indentation that a list's headers have, or will: two spaces
// more than the element they stand in.
func (d *tomlText) indentOf(list string) string {
	if b := d.findBlock(list + "[0]"); b > 0 {
		return d.indentAfter(d.blocks[b].head)
	}
	if b := d.findBlock(parentKey(list)); b > 0 && strings.Contains(parentKey(list), "[") {
		return d.indentAfter(d.blocks[b].head) + "  "
	}
	return ""
}

// placeOfElement returns where element index of a list begins, or would.
func (d *tomlText) placeOfElement(list string, index int) int {
	if b := d.findBlock(fmt.Sprintf("%s[%d]", list, index)); b > 0 {
		return d.blocks[b].start
	}
	if index > 0 {
		blocks := d.extent(fmt.Sprintf("%s[%d]", list, index-1))
		return d.contentEnd(blocks[len(blocks)-1])
	}
	if parent := parentKey(list); parent != "" {
		if blocks := d.extent(parent); len(blocks) > 0 {
			return d.contentEnd(blocks[len(blocks)-1])
		}
		return d.placeFor(splitKey(parent)[0].name)
	}
	return d.placeFor(list)
}

// contentEnd returns where a block's last key or header ends, so that empty
// lines and loose comments behind it stay behind what is put there.
func (d *tomlText) contentEnd(block int) int {
	b := &d.blocks[block]
	if n := len(b.pairs); n > 0 {
		_, to := d.lineOf(b.pairs[n-1].start, b.pairs[n-1].end)
		return to
	}
	_, to := d.lineOf(b.head, b.head)
	return to
}

// wordTable words a table or an element of a list below its header: keys
// first, then the lists of tables in it.
func (d *tomlText) wordTable(header, path string, table map[string]any, t reflect.Type, indent string) (string, error) {
	nl := d.newline()
	var b, nested strings.Builder
	b.WriteString(indent + header + nl)
	for _, k := range orderedKeys(table, t) {
		if !isBareKey(k) {
			return "", fmt.Errorf("%q is no key; keys hold letters, figures, - and _", k)
		}
		if rows := tablesIn(table[k]); rows != nil {
			for _, row := range rows {
				inner := path + "." + k
				text, err := d.wordTable("[["+inner+"]]", inner, row, elemOf(fieldOf(t, k)), indent+"  ")
				if err != nil {
					return "", err
				}
				nested.WriteString(text)
			}
			continue
		}
		text, err := wordValue(table[k], fieldOf(t, k))
		if err != nil {
			return "", fmt.Errorf("%s: %w", k, err)
		}
		b.WriteString(indent + k + " = " + text + nl)
	}
	return b.String() + nested.String(), nil
}

// tablesIn returns the tables of a list that holds tables alone, nil else.
func tablesIn(v any) []map[string]any {
	list, ok := v.([]any)
	if !ok || len(list) == 0 {
		return nil
	}
	var out []map[string]any
	for _, e := range list {
		row, ok := e.(map[string]any)
		if !ok {
			return nil
		}
		out = append(out, row)
	}
	return out
}

// element cuts the text of one element of a list of tables.
func (d *tomlText) element(key string) (list string, index int, blocks []int, text string, err error) {
	steps := splitKey(key)
	index = steps[len(steps)-1].index
	blocks = d.extent(key)
	if index < 0 || len(blocks) == 0 || !d.blocks[blocks[0]].list {
		return "", 0, nil, "", fmt.Errorf("%s is no element of a list of tables; write it like case[0]", key)
	}
	var b strings.Builder
	for _, i := range blocks {
		b.Write(d.data[d.blocks[i].start:d.blocks[i].end])
		if b.Len() > 0 && !strings.HasSuffix(b.String(), "\n") {
			b.WriteString(d.newline())
		}
	}
	return key[:strings.LastIndexByte(key, '[')], index, blocks, b.String(), nil
}

// move gives an element another index.
func (d *tomlText) move(key string, to *int) ([]byte, error) {
	list, index, _, text, err := d.element(key)
	if err != nil {
		return nil, err
	}
	n := d.count(list)
	switch {
	case to == nil:
		return nil, errors.New("says not where to; give to")
	case *to >= n:
		return nil, fmt.Errorf("there are %d of %s; move to 0 to %d", n, list, n-1)
	case *to == index:
		return d.data, nil
	}
	rest, err := d.remove(key)
	if err != nil {
		return nil, err
	}
	e := cutTOML(rest)
	return e.spliceBlock(e.placeOfElement(list, *to), text, !strings.Contains(parentKey(list), "[")), nil
}

// copyElement repeats an element with its comments.
func (d *tomlText) copyElement(key string, to *int) ([]byte, error) {
	list, index, _, text, err := d.element(key)
	if err != nil {
		return nil, err
	}
	at := index + 1
	if to != nil {
		at = *to
	}
	if n := d.count(list); at > n {
		return nil, fmt.Errorf("there are %d of %s; copy to 0 to %d", n, list, n)
	}
	return d.spliceBlock(d.placeOfElement(list, at), text, !strings.Contains(parentKey(list), "[")), nil
}

// rename changes a feature's name where it is given and wherever it is named.
func (d *tomlText) rename(from string, value any) ([]byte, error) {
	name, ok := value.(string)
	if !ok || strings.TrimSpace(name) == "" || from == "" {
		return nil, errors.New("needs the present and the new name; give from and value")
	}
	doc := d.doc()
	changed := 0
	for _, key := range namesOf(doc, from) {
		p, _ := d.findPair(key)
		if p == nil {
			continue
		}
		text, err := wordValue(renamed(valueAt(doc, key), from, name), nil)
		if err != nil {
			return nil, err
		}
		d = cutTOML(d.splice(d.valueStart(p), p.end, text))
		changed++
	}
	if changed == 0 {
		return nil, fmt.Errorf("nothing is called %q; it may have been renamed already", from)
	}
	return d.data, nil
}

// doc is the document as it is read.
func (d *tomlText) doc() map[string]any {
	var doc map[string]any
	if err := toml.Unmarshal(d.data, &doc); err != nil {
		panic("job: a document that was read is refused: " + err.Error())
	}
	return doc
}

// renamed replaces a name that is the value, or stands in the list.
func renamed(v any, from, to string) any {
	if list, ok := v.([]any); ok {
		list = slices.Clone(list)
		for i := range list {
			if list[i] == from {
				list[i] = to
			}
		}
		return list
	}
	return to
}

// namesOf lists the keys whose value names a feature: the feature's own name,
// and the fields of type File that are marked as references.
func namesOf(doc map[string]any, name string) []string {
	var out []string
	var follow func(key string, v any, t reflect.Type)
	follow = func(key string, v any, t reflect.Type) {
		if t = plainType(t); t == nil {
			return
		}
		switch v := v.(type) {
		case map[string]any:
			for _, k := range orderedKeys(v, t) {
				inner := strings.TrimPrefix(key+"."+k, ".")
				if isReference(t, k) && names(v[k], name) {
					out = append(out, inner)
				}
				follow(inner, v[k], fieldOf(t, k))
			}
		case []any:
			for i := range v {
				follow(fmt.Sprintf("%s[%d]", key, i), v[i], elemOf(t))
			}
		}
	}
	follow("", doc, reflect.TypeFor[File]())
	return out
}

// isReference reports whether a key of a table holds the name of a feature.
func isReference(t reflect.Type, key string) bool {
	if t.Kind() != reflect.Struct {
		return false
	}
	for i := range t.NumField() {
		if f := t.Field(i); f.Tag.Get("toml") == key {
			return f.Tag.Get("names") == "feature"
		}
	}
	return false
}

func names(v any, name string) bool {
	list, ok := v.([]any)
	return v == name || ok && slices.Contains(list, any(name))
}

// valueAt returns what stands at a key path of a document.
func valueAt(doc map[string]any, key string) any {
	var v any = doc
	for _, s := range splitKey(key) {
		table, _ := v.(map[string]any)
		if v = table[s.name]; s.index >= 0 {
			list, _ := v.([]any)
			if s.index >= len(list) {
				return nil
			}
			v = list[s.index]
		}
	}
	return v
}
