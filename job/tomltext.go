package job

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// tomlText is a TOML document cut into blocks, so that one value can be
// changed while every other byte stays. Blocks follow each other without gaps;
// the first holds what stands before the first table.
//
//	# comment directly above   ┐ start      block "case[0]"
//	[[case]]                   │ head
//	name = "full boom"         │ pairs
//	                           ┘ end = start of the next
type tomlText struct {
	data   []byte
	blocks []tomlBlock
}

// tomlBlock is a table's header with the comment lines directly above it, and
// all down to the next block. Offsets are into the document.
type tomlBlock struct {
	path             string // "" before the first table; "case[0].load[1]"
	list             bool   // an element of a list of tables: [[…]]
	start, head, end int
	pairs            []tomlPair
}

// tomlPair is a key with its value.
type tomlPair struct {
	path       string
	start, end int // from the key to the end of the value
	value      int // where the value begins
	inline     bool
	inner      []tomlPair // of an inline table
}

// cutTOML cuts a document that the TOML reader accepts.
func cutTOML(data []byte) *tomlText {
	d := &tomlText{data: data, blocks: []tomlBlock{{}}}
	counts := map[string]int{}
	lines := lineStarts(data)
	var p unstable.Parser
	p.Reset(data)
	for p.NextExpression() {
		e := p.Expression()
		last := &d.blocks[len(d.blocks)-1]
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			path, at := keyPath(lines, e, "", counts)
			head := lines[at.line-1]
			b := tomlBlock{path: path, list: e.Kind == unstable.ArrayTable, head: head, start: commentsAbove(data, lines, at.line)}
			if b.list {
				b.path = fmt.Sprintf("%s[%d]", path, counts[path])
				counts[path]++
			}
			last.end = b.start
			d.blocks = append(d.blocks, b)
		case unstable.KeyValue:
			last.pairs = append(last.pairs, cutPair(lines, e, last.path, counts))
		}
	}
	d.blocks[len(d.blocks)-1].end = len(data)
	return d
}

// commentsAbove returns where the comment lines directly above a line begin.
func commentsAbove(data []byte, lines []int, line int) int {
	first := line - 1
	for first > 0 && bytes.HasPrefix(bytes.TrimLeft(data[lines[first-1]:lines[first]], " \t"), []byte("#")) {
		first--
	}
	return lines[first]
}

func cutPair(lines []int, e *unstable.Node, prefix string, counts map[string]int) tomlPair {
	path, _ := keyPath(lines, e, prefix, counts)
	p := tomlPair{path: path, start: int(e.Raw.Offset), end: int(e.Raw.Offset + e.Raw.Length)}
	key := e.Key()
	for key.Next() {
		raw := key.Node().Raw
		p.value = int(raw.Offset + raw.Length)
	}
	if v := e.Value(); v.Kind == unstable.InlineTable {
		p.inline = true
		for it := v.Children(); it.Next(); {
			if it.Node().Kind == unstable.KeyValue {
				p.inner = append(p.inner, cutPair(lines, it.Node(), path, counts))
			}
		}
	}
	return p
}

// findPair returns the pair of a key and the inline table it stands in, if any.
func (d *tomlText) findPair(key string) (pair, parent *tomlPair) {
	var search func(list []tomlPair, in *tomlPair) (*tomlPair, *tomlPair)
	search = func(list []tomlPair, in *tomlPair) (*tomlPair, *tomlPair) {
		for i := range list {
			if list[i].path == key {
				return &list[i], in
			}
			if strings.HasPrefix(key, list[i].path+".") {
				if p, q := search(list[i].inner, &list[i]); p != nil {
					return p, q
				}
			}
		}
		return nil, nil
	}
	for i := range d.blocks {
		if p, q := search(d.blocks[i].pairs, nil); p != nil {
			return p, q
		}
	}
	return nil, nil
}

// findBlock returns the index of the table of a path, -1 where no header says
// it.
func (d *tomlText) findBlock(path string) int {
	for i := range d.blocks {
		if d.blocks[i].path == path && (i == 0) == (path == "") {
			return i
		}
	}
	return -1
}

// within reports whether a path lies in or below another.
func within(path, root string) bool {
	rest, ok := strings.CutPrefix(path, root)
	return ok && (rest == "" || rest[0] == '.' || rest[0] == '[')
}

// extent lists the blocks of a table and of all below it.
func (d *tomlText) extent(root string) []int {
	var out []int
	for i := range d.blocks {
		if i > 0 && within(d.blocks[i].path, root) {
			out = append(out, i)
		}
	}
	return out
}

// count returns how many elements a list of tables has.
func (d *tomlText) count(list string) int {
	n := 0
	for d.findBlock(fmt.Sprintf("%s[%d]", list, n)) > 0 {
		n++
	}
	return n
}

// newline is the line end that the document uses.
func (d *tomlText) newline() string {
	if bytes.Contains(d.data, []byte("\r\n")) {
		return "\r\n"
	}
	return "\n"
}

// lineOf returns the whole lines that [start, end) touches, the line end and a
// comment behind them included.
func (d *tomlText) lineOf(start, end int) (from, to int) {
	from = bytes.LastIndexByte(d.data[:start], '\n') + 1
	if i := bytes.IndexByte(d.data[end:], '\n'); i >= 0 {
		return from, end + i + 1
	}
	return from, len(d.data)
}

// indent returns the white space before an offset in its line.
func (d *tomlText) indent(at int) string {
	from := bytes.LastIndexByte(d.data[:at], '\n') + 1
	line := d.data[from:at]
	return string(line[:len(line)-len(bytes.TrimLeft(line, " \t"))])
}

// valueStart skips "=" and white space behind a key.
func (d *tomlText) valueStart(p *tomlPair) int {
	i := p.value
	for d.data[i] == ' ' || d.data[i] == '\t' || d.data[i] == '=' {
		i++
	}
	return i
}
