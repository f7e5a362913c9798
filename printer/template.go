package printer

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/template/parse"
)

// Limits of a template: far above what any machine needs.
const (
	maxTemplateBytes = 16 << 10
	maxTemplateLines = 200
)

// Template is a piece of program with values to be filled in.
type Template struct {
	Name  string
	Lines []TemplateLine
}

// TemplateLine is one block: words, or a comment alone.
type TemplateLine struct {
	Words   []TemplateWord
	Comment []piece
}

// TemplateWord is a letter with a number, or with a field that gives the
// number.
type TemplateWord struct {
	Letter byte
	Number float64
	Field  string // empty: Number counts
	Scale  float64
	whole  bool
	text   string // of a fixed number, as the card writes it
}

// piece is a text or a field of a comment.
type piece struct {
	text, field string
	scale       float64
	whole       bool
}

// Values are what a template may show.
type Values map[string]float64

// templateFields lists, for each template that a card may have, its fields,
// and whether a card must have it.
func templateFields(name string) (fields []string, must, known bool) {
	switch name {
	case "start":
		return []string{"Bed", "Nozzle"}, true, true
	case "end":
		return nil, true, true
	case "tool":
		return []string{"Tool"}, true, true
	case "nozzle", "nozzle_wait":
		return []string{"Tool", "Temperature"}, true, true
	case "bed", "bed_wait":
		return []string{"Temperature"}, true, true
	case "restart":
		return []string{"Length", "Feed"}, true, true
	case "cut":
		return []string{"Length"}, true, true
	case "pause":
		return nil, false, true
	case "dwell":
		return []string{"Seconds"}, false, true
	case "fan":
		return []string{"Share"}, false, true
	case "layer":
		return []string{"Layer", "Z"}, false, true
	}
	return nil, false, false
}

// TemplateNames lists the templates that a card may have, in order of first use.
func TemplateNames() []string {
	return []string{"start", "bed", "bed_wait", "nozzle", "nozzle_wait", "tool", "fan", "layer", "restart", "cut", "pause", "dwell", "end"}
}

// newTemplate reads a template. The error says what is not allowed.
func newTemplate(name, text string, w Words) (*Template, error) {
	fields, _, known := templateFields(name)
	if !known {
		return nil, fmt.Errorf("unknown template; the known ones are %s", strings.Join(TemplateNames(), ", "))
	}
	if len(text) > maxTemplateBytes {
		return nil, fmt.Errorf("has %d bytes; at most %d are read", len(text), maxTemplateBytes)
	}
	lines, err := pieces(name, text, fields)
	if err != nil {
		return nil, err
	}
	if len(lines) > maxTemplateLines {
		return nil, fmt.Errorf("has %d lines; at most %d are read", len(lines), maxTemplateLines)
	}
	t := &Template{Name: name}
	for i, l := range lines {
		line, err := lineOf(l, w)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", i+1, err)
		}
		if len(line.Words) > 0 || len(line.Comment) > 0 {
			t.Lines = append(t.Lines, line)
		}
	}
	return t, nil
}

// functions are those of the template language: a factor, and whether the
// result is rounded to a whole number.
func function(name string) (scale float64, whole, ok bool) {
	switch name {
	case "perMinute": // of a speed in mm/s
		return 60, false, true
	case "percent": // of a share
		return 100, true, true
	case "byte": // of a share, 0 to 255
		return 255, true, true
	case "whole":
		return 1, true, true
	}
	return 0, false, false
}

// pieces parses the template's syntax and splits it at line ends.
func pieces(name, text string, fields []string) ([][]piece, error) {
	tree := parse.New(name)
	tree.Mode = parse.SkipFuncCheck
	all := map[string]*parse.Tree{}
	tree, err := tree.Parse(text, "", "", all)
	if err != nil {
		return nil, fmt.Errorf("%s", strings.TrimPrefix(err.Error(), "template: "))
	}
	for other := range all {
		if other != name {
			return nil, fmt.Errorf("{{define}} and {{block}} are not allowed; templates hold text and values such as {{.Temperature}}")
		}
	}
	lines := [][]piece{nil}
	if tree.Root == nil {
		return lines, nil
	}
	for _, n := range tree.Root.Nodes {
		switch n := n.(type) {
		case *parse.TextNode:
			for i, t := range strings.Split(strings.ReplaceAll(string(n.Text), "\r", ""), "\n") {
				if i > 0 {
					lines = append(lines, nil)
				}
				if t != "" {
					lines[len(lines)-1] = append(lines[len(lines)-1], piece{text: t})
				}
			}
		case *parse.ActionNode:
			p, err := fieldPiece(n.Pipe, fields)
			if err != nil {
				return nil, err
			}
			lines[len(lines)-1] = append(lines[len(lines)-1], p)
		default:
			return nil, fmt.Errorf("%s is not allowed; templates hold text and values such as {{.Temperature}}", n)
		}
	}
	return lines, nil
}

// fieldPiece accepts {{.Field}} and {{function .Field}}.
func fieldPiece(pipe *parse.PipeNode, fields []string) (piece, error) {
	bad := fmt.Errorf("{{%s}} is not allowed; write {{.Field}} or {{function .Field}}", pipe)
	if len(pipe.Decl) > 0 || len(pipe.Cmds) != 1 || len(pipe.Cmds[0].Args) > 2 {
		return piece{}, bad
	}
	args, p := pipe.Cmds[0].Args, piece{scale: 1}
	if len(args) == 2 {
		id, ok := args[0].(*parse.IdentifierNode)
		if !ok {
			return piece{}, bad
		}
		if p.scale, p.whole, ok = function(id.Ident); !ok {
			return piece{}, fmt.Errorf("unknown function %q; the known ones are perMinute, percent, byte, whole", id.Ident)
		}
	}
	f, ok := args[len(args)-1].(*parse.FieldNode)
	if !ok || len(f.Ident) != 1 {
		return piece{}, bad
	}
	p.field = f.Ident[0]
	if !slices.Contains(fields, p.field) {
		return piece{}, fmt.Errorf("{{.%s}} has no meaning here; this template knows %s", p.field, orNone(fields))
	}
	return p, nil
}

func orNone(fields []string) string {
	if len(fields) == 0 {
		return "no fields"
	}
	return "." + strings.Join(fields, ", .")
}

// lineOf splits a line into words, or takes it as a comment.
func lineOf(l []piece, w Words) (TemplateLine, error) {
	var out TemplateLine
	for i := 0; i < len(l); i++ {
		rest := l[i].text
		if l[i].field != "" {
			return out, fmt.Errorf("{{.%s}} follows no letter; write a word such as S{{.%s}}", l[i].field, l[i].field)
		}
		for rest = strings.TrimLeft(rest, " \t"); rest != ""; rest = strings.TrimLeft(rest, " \t") {
			if strings.HasPrefix(rest, w.CommentOpen) {
				if len(out.Words) > 0 {
					return out, fmt.Errorf("a comment stands on a line of its own")
				}
				out.Comment = append([]piece{{text: rest}}, l[i+1:]...)
				return out, checkComment(out.Comment, w)
			}
			c := rest[0]
			if c < 'A' || c > 'Z' {
				return out, fmt.Errorf("%q starts no word; a word is a capital letter with a number", rest)
			}
			rest = rest[1:]
			if rest == "" && i+1 < len(l) && l[i+1].field != "" {
				i++
				out.Words = append(out.Words, TemplateWord{Letter: c, Field: l[i].field, Scale: l[i].scale, whole: l[i].whole})
				break
			}
			n := numberLength(rest)
			v, err := strconv.ParseFloat(rest[:n], 64)
			if err != nil || math.IsInf(v, 0) {
				return out, fmt.Errorf("the letter %c has no number", c)
			}
			out.Words = append(out.Words, TemplateWord{Letter: c, Number: v, text: rest[:n]})
			rest = rest[n:]
		}
	}
	return out, nil
}

func checkComment(c []piece, w Words) error {
	last := c[len(c)-1]
	if w.CommentClose != "" && !strings.HasSuffix(strings.TrimRight(last.text, " \t"), w.CommentClose) {
		return fmt.Errorf("the comment does not end with %q", w.CommentClose)
	}
	return nil
}

func numberLength(s string) int {
	n := 0
	for n < len(s) && (s[n] >= '0' && s[n] <= '9' || s[n] == '.' || n == 0 && (s[n] == '-' || s[n] == '+')) {
		n++
	}
	return n
}

// Append renders the template with the values, a line each.
func (t *Template) Append(dst []byte, v Values) []byte {
	for _, l := range t.Lines {
		for i, w := range l.Words {
			if i > 0 {
				dst = append(dst, ' ')
			}
			dst = append(dst, w.Letter)
			if w.Field == "" {
				dst = append(dst, w.text...)
			} else {
				dst = appendValue(dst, v[w.Field]*w.Scale, w.whole)
			}
		}
		for _, p := range l.Comment {
			if p.field == "" {
				dst = append(dst, p.text...)
			} else {
				dst = appendValue(dst, v[p.field]*p.scale, p.whole)
			}
		}
		dst = append(dst, '\n')
	}
	return dst
}

// valueDecimals of rendered values: more than any machine resolves.
const valueDecimals = 4

func appendValue(dst []byte, x float64, whole bool) []byte {
	if whole {
		return strconv.AppendFloat(dst, math.Round(x), 'f', 0, 64)
	}
	scale := math.Pow10(valueDecimals)
	return strconv.AppendFloat(dst, math.Round(x*scale)/scale, 'f', -1, 64)
}
