package program

import (
	"bytes"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// edited is a program as lines, with the places of its strands.
type edited struct {
	lines   []string
	strands [][2]int // of a layer: from the restart up to the last move, 0-based lines
}

func newEdited(text string, layer string) *edited {
	e := &edited{lines: strings.Split(text, "\n")}
	in := false
	for i, l := range e.lines {
		switch {
		case strings.HasPrefix(l, "(layer"):
			in = strings.HasPrefix(l, "(layer "+layer+" ")
		case in && strings.HasPrefix(l, "M95"):
			e.strands = append(e.strands, [2]int{i, i})
		case in && len(e.strands) > 0 && strings.HasPrefix(l, "G1") && !strings.Contains(l, " Z"):
			if k := len(e.strands) - 1; e.strands[k][1] >= i-2 { // over the cut
				e.strands[k][1] = i
			}
		}
	}
	return e
}

// feedBefore is the last F word before a line.
func (e *edited) feedBefore(i int) string {
	for ; ; i-- {
		if m := regexp.MustCompile(`F\d+$`).FindString(e.lines[i]); m != "" {
			return m
		}
	}
}

// Whatever is changed by hand is told with its strand and its line, and nothing
// else is.
func TestChangesNameStrandAndLine(t *testing.T) {
	c, s := builtIn(t, "twin-nozzle"), settings()
	text, _ := written(t, samplePrint(c, 0), c, s)
	plan, err := Read(bytes.NewReader(text), c)
	if err != nil {
		t.Fatal(err)
	}
	if got := Changes(plan, plan); len(got) > 0 {
		t.Fatalf("of itself: %v", got)
	}
	type want struct {
		strand, bead, line int // line counted from 1
		what               string
	}
	for _, row := range []struct {
		name   string
		change func(e *edited) []want
	}{
		{"a feed", func(e *edited) []want {
			i := e.strands[2][0] + 20
			was := e.feedBefore(i)
			e.lines[i] = regexp.MustCompile(` F\d+$`).ReplaceAllString(e.lines[i], "") + " F300"
			e.lines[i+1] += " " + was
			return []want{{3, 0, i + 1, "is laid at 5 mm/s, planned"}}
		}},
		{"a strand less", func(e *edited) []want {
			from, to := e.strands[3][0], e.strands[3][1]
			end := e.strands[2][1] + 1
			e.lines = slices.Delete(e.lines, from, to+1)
			return []want{{4, 0, end, "is not laid"}}
		}},
		{"a point moved", func(e *edited) []want {
			i := e.strands[1][0] + 30
			x := regexp.MustCompile(`X([\d.]+)`).FindStringSubmatch(e.lines[i])
			v, _ := strconv.ParseFloat(x[1], 64)
			e.lines[i] = strings.Replace(e.lines[i], x[0], "X"+strconv.FormatFloat(v, 'f', 3, 64)+" Y100.5", 1)
			e.lines[i] = regexp.MustCompile(`(Y100.5) Y[\d.]+`).ReplaceAllString(e.lines[i], "$1")
			return []want{{2, 0, 0, "mm long, planned"}, {2, 0, i + 1, "off its path"}}
		}},
		{"a cut elsewhere", func(e *edited) []want {
			i := e.strands[0][0]
			for !strings.HasPrefix(e.lines[i], "M96") {
				i++
			}
			e.lines[i], e.lines[i+1] = e.lines[i+1], e.lines[i]
			return []want{{1, 0, e.strands[0][1] + 1, "is cut"}}
		}},
		{"no cut", func(e *edited) []want {
			i := e.strands[0][0]
			for !strings.HasPrefix(e.lines[i], "M96") {
				i++
			}
			e.lines = slices.Delete(e.lines, i, i+1)
			return []want{{1, 0, e.strands[0][1], "is not cut"}}
		}},
		{"plastic", func(e *edited) []want {
			i := e.strands[4][0] + 15
			e.lines[i] = regexp.MustCompile(`E[\d.]+`).ReplaceAllString(e.lines[i], "E0.5")
			return []want{{5, 0, e.strands[4][0] + 1, "mm³ of plastic, planned"}}
		}},
		{"a bead more", func(e *edited) []want {
			i := len(e.lines) - 1
			for !strings.HasPrefix(e.lines[i], "M97") {
				i--
			}
			for !strings.HasPrefix(e.lines[i], "G1 E-0.8") {
				i--
			}
			e.lines = slices.Insert(e.lines, i, "G0 X150 Y130 F10800", "G1 X155 E0.2 F600")
			return []want{{0, -1, i + 2, "is not in the plan"}}
		}},
		{"hotter", func(e *edited) []want {
			for i := range e.lines {
				e.lines[i] = strings.Replace(e.lines[i], "P2 S260", "P2 S270", 1)
			}
			return []want{{0, 0, 1, "asked for 270 °C at most, planned 260 °C"}}
		}},
	} {
		e := newEdited(string(text), "2")
		if len(e.strands) < 6 {
			t.Fatalf("%d strands in layer 2", len(e.strands))
		}
		wants := row.change(e)
		rb, err := Read(strings.NewReader(strings.Join(e.lines, "\n")), c)
		if err != nil {
			t.Errorf("%s: %v", row.name, err)
			continue
		}
		got := Changes(plan, rb)
		for _, w := range wants {
			k := slices.IndexFunc(got, func(g Change) bool {
				return strings.Contains(g.What, w.what) && g.Strand == w.strand && (w.bead == 0) == (g.Bead == 0) && (w.line == 0 || g.Line == w.line)
			})
			if k < 0 {
				t.Errorf("%s: %v, want %+v", row.name, got, w)
			}
		}
		if len(got) > len(wants)+1 { // a moved point has a feed or plastic of its own
			t.Errorf("%s: more than was changed: %v", row.name, got)
		}
	}
}

// Strands in another order are one word a layer; layers are told by height.
func TestChangesOfOrderAndLayers(t *testing.T) {
	c, s := builtIn(t, "twin-nozzle"), settings()
	pr := samplePrint(c, 0)
	text, _ := written(t, pr, c, s)
	plan, _ := Read(bytes.NewReader(text), c)
	st := pr.Layers[1].Strands
	st[0], st[1] = st[1], st[0]
	text, _ = written(t, pr, c, s)
	got, _ := Read(bytes.NewReader(text), c)
	if all := Changes(plan, got); len(all) != 1 || all[0].Layer != 1 || all[0].Strand != 2 || !strings.Contains(all[0].What, "before others") {
		t.Errorf("exchanged: %v", all)
	}
	st[0], st[1] = st[1], st[0]
	top := pr.Layers[len(pr.Layers)-1]
	pr.Layers = pr.Layers[:len(pr.Layers)-1]
	text, _ = written(t, pr, c, s)
	got, _ = Read(bytes.NewReader(text), c)
	if all := Changes(plan, got); len(all) != 1 || all[0].Layer != top.Index || !strings.Contains(all[0].What, "is not printed") {
		t.Errorf("a layer less: %v", all)
	}
	if all := Changes(got, plan); len(all) != 1 || !strings.Contains(all[0].What, "is not in the plan") {
		t.Errorf("a layer more: %v", all)
	}
}
