package card

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// Fault is one thing wrong with a card: where, what, and what to do.
type Fault struct {
	File         string
	Line, Column int // from 1; 0 where the file has no such place
	Key          string
	What, Remedy string
}

// String gives "file:12:1: value.density: what; remedy".
func (f Fault) String() string {
	var b strings.Builder
	b.WriteString(f.File)
	if f.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", f.Line, f.Column)
	}
	if f.Key != "" {
		b.WriteString(": " + f.Key)
	}
	b.WriteString(": " + f.What)
	if f.Remedy != "" {
		b.WriteString("; " + f.Remedy)
	}
	return b.String()
}

// Error holds all faults found in a card, in the order of the file.
type Error struct{ Faults []Fault }

// Error lists the faults, one a line.
func (e *Error) Error() string {
	var lines []string
	for _, f := range e.Faults {
		lines = append(lines, f.String())
	}
	return strings.Join(lines, "\n")
}

// place is a position in the file.
type place struct{ line, column int }

// faults gathers what is wrong with one file.
type faults struct {
	file  string
	lines map[string]place
	list  []Fault
}

// add notes a fault. A key that the file lacks is placed at its table.
func (l *faults) add(key, what, remedy string) {
	at := l.lines[key]
	for k := key; at.line == 0 && k != ""; at = l.lines[k] {
		k = k[:max(strings.LastIndexByte(k, '.'), 0)]
	}
	l.list = append(l.list, Fault{l.file, at.line, at.column, key, what, remedy})
}

// addTOML notes what the TOML reader refused.
func (l *faults) addTOML(err error) {
	var strict *toml.StrictMissingError
	var bad *toml.DecodeError
	switch {
	case errors.As(err, &strict):
		for _, e := range strict.Errors {
			line, column := e.Position()
			l.list = append(l.list, Fault{l.file, line, column, strings.Join(e.Key(), "."), "unknown key", "delete it, or put it below [value]"})
		}
	case errors.As(err, &bad):
		line, column := bad.Position()
		l.list = append(l.list, Fault{l.file, line, column, strings.Join(bad.Key(), "."), strings.TrimPrefix(bad.Error(), "toml: "), "values are text in quotes"})
	default:
		l.list = append(l.list, Fault{File: l.file, What: strings.TrimPrefix(err.Error(), "toml: ")})
	}
}

// err returns the faults in the order of the file, or nil. The order does not
// depend on the order in which maps were walked.
func (l *faults) err() error {
	if len(l.list) == 0 {
		return nil
	}
	slices.SortStableFunc(l.list, func(a, b Fault) int {
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return strings.Compare(a.Key+a.What, b.Key+b.What)
	})
	return &Error{l.list}
}

// keyLines finds where each key of a valid TOML document stands.
func keyLines(data []byte) map[string]place {
	lines := map[string]place{}
	var p unstable.Parser
	p.Reset(data)
	table := ""
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			table = noteKey(&p, e, "", lines)
		case unstable.KeyValue:
			notePair(&p, e, table, lines)
		}
	}
	return lines
}

// notePair notes a key and the keys of the inline table it holds.
func notePair(p *unstable.Parser, e *unstable.Node, table string, lines map[string]place) {
	key := noteKey(p, e, table, lines)
	if v := e.Value(); v.Kind == unstable.InlineTable {
		for it := v.Children(); it.Next(); {
			notePair(p, it.Node(), key, lines)
		}
	}
}

// noteKey notes the place of each part of a dotted key and returns the whole.
func noteKey(p *unstable.Parser, e *unstable.Node, table string, lines map[string]place) string {
	key := table
	for it := e.Key(); it.Next(); {
		n := it.Node()
		if key != "" {
			key += "."
		}
		key += string(n.Data)
		if _, seen := lines[key]; !seen {
			start := p.Shape(n.Raw).Start
			lines[key] = place{start.Line, start.Column}
		}
	}
	return key
}
