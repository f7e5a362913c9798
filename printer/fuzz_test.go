package printer

import (
	"strings"
	"testing"
)

// Any text as a template ends in bounded time: it is refused with a reason, or
// its lines are words that render within a bound of its own length.
func FuzzTemplate(f *testing.F) {
	for _, s := range []string{
		"M92 P{{.Tool}} S{{.Temperature}}", "G90\n(start)\nM40", "{{range .Tool}}{{end}}", "{{template \"x\"}}", "{{define \"x\"}}{{template \"x\"}}{{end}}",
		"{{while}}", "{{perMinute .Tool}}", "M1 S{{.Tool | perMinute}}", "; {{.Tool}}", "M{{.Tool}}{{.Tool}}", "{{/*", "{{if true}}M1{{end}}", "X1e9", strings.Repeat("{{.Tool}}", 50),
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, w := range []Words{{CommentOpen: "(", CommentClose: ")"}, {CommentOpen: ";"}} {
			tpl, err := newTemplate("nozzle", text, w)
			if err != nil {
				continue
			}
			out := tpl.Append(nil, Values{"Tool": 2, "Temperature": 260})
			if len(out) > 40*len(text)+100 || len(tpl.Lines) > maxTemplateLines {
				t.Errorf("%q renders %d bytes in %d lines", text, len(out), len(tpl.Lines))
			}
		}
	})
}

// Templates that would loop, nest or take without end are refused.
func TestTemplatesThatLoop(t *testing.T) {
	for _, text := range []string{
		"{{range .Tool}}M1{{end}}", "{{template \"nozzle\"}}", "{{define \"a\"}}{{template \"a\"}}{{end}}", "{{block \"a\" .}}{{template \"a\"}}{{end}}",
		"{{with .Tool}}M1{{end}}", "{{$x := .Tool}}M1", "{{if .Tool}}M1{{end}}", "{{break}}", strings.Repeat("M1\n", 300), strings.Repeat("M1 ", 10<<20),
	} {
		if _, err := newTemplate("nozzle", text, Words{CommentOpen: "("}); err == nil {
			t.Errorf("%.40q is taken", text)
		}
	}
}
