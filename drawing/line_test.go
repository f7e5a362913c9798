package drawing

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

func TestLines(t *testing.T) {
	const open = `M0 0 L10 0 L10 10`
	for _, c := range []struct {
		name, body string
		layers     []string
		want       []string // layer, edges, open or closed
	}{
		{"a polyline", `<path d="` + open + `"/>`, nil, []string{"2 open"}},
		{"a closed one", `<path d="M0 0 H10 V10 Z"/>`, nil, []string{"3 closed"}},
		{"pieces in any order and direction", `<path d="M10 0 L10 10"/><path d="M10 0 L0 0"/><path d="M10 10 L20 10"/>`, nil, []string{"3 open"}},
		{"two lines", `<path d="` + open + `"/><path d="M0 50 h20"/>`, nil, []string{"2 open", "1 open"}},
		{"a branch ends lines", `<path d="M0 0 h10"/><path d="M10 0 h10"/><path d="M10 0 v10"/>`, nil, []string{"1 open", "1 open", "1 open"}},
		{"layers stay apart", `<g id="a"><path d="M0 0 h10"/></g><g id="b"><path d="M10 0 h10"/></g>`, nil, []string{"1 open", "1 open"}},
		{"one layer of two", `<g id="a"><path d="M0 0 h10"/></g><g id="b"><path d="M10 0 h10 v5"/></g>`, []string{"b"}, []string{"2 open"}},
	} {
		d := mustSVG(t, c.body)
		lines, err := d.Lines(JoinSettings{Tolerance: 0.01, Layers: c.layers})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var got []string
		for _, l := range lines {
			got = append(got, fmt.Sprintf("%d %s", len(l.Edges), map[bool]string{true: "closed", false: "open"}[l.Closed]))
			for i := 1; i < len(l.Edges); i++ {
				if l.Edges[i].A != l.Edges[i-1].B {
					t.Errorf("%s: edge %d does not begin where the one before it ends", c.name, i)
				}
			}
		}
		if strings.Join(got, ", ") != strings.Join(c.want, ", ") {
			t.Errorf("%s: lines %v, want %v", c.name, got, c.want)
		}
	}
}

func TestLinePathKeepsToItsArcs(t *testing.T) {
	lines, err := mustSVG(t, `<circle cx="50" cy="40" r="20"/>`).Lines(JoinSettings{})
	if err != nil || len(lines) != 1 || !lines[0].Closed {
		t.Fatalf("lines %v, %v", lines, err)
	}
	p := lines[0].Path(0.002)
	if n := p.Length(); !p.Closed || math.Abs(n-40*math.Pi) > 0.03 {
		t.Errorf("a circle of 20 mm radius is %g mm long", n)
	}
}
