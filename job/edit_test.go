package job

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
)

// editedText is what most rows start from.
const editedText = `# head of the file
schema = "sinew-job/1"  # the rules
name = "link"

# what it is
[part]
drawing = "link.dxf"
thickness = "4 mm" # as bought

[[feature]]
name = "pin"
hole = { near = ["0 mm", "0 mm"], diameter = "8 mm" }

# the far end
[[feature]]
name = "end"
side = { end = "right" }

[[support]]
at = "pin"
how = "fixed"

[[case]]
name = "pull"
  # the rope
  [[case.load]]
  at = "end"
  how = "even"
  force = "1 kN"

[[case]]
name = "push"
  [[case.load]]
  at = "end"
  how = "even"
  force = "0.5 kN"
  angle = "180 °"

[layup]
walls = 1
covers = { bottom = 2, top = 2 }

[[layup.family]]
kind = "loop"
layers = 2
around = ["pin"]

[[layup.family]]
kind = "steered"
layers = 3
`

func at(i int) *int { return &i }

func TestEdits(t *testing.T) {
	rows := []struct {
		name      string
		edits     []Edit
		gone, new []string // lines that go, lines that come
		want      string   // part of the error
	}{
		{name: "value in its place, comment kept", edits: []Edit{{Op: "set", Key: "part.thickness", Value: "5 mm"}},
			gone: []string{`thickness = "4 mm" # as bought`}, new: []string{`thickness = "5 mm" # as bought`}},
		{name: "value in a nested element", edits: []Edit{{Op: "set", Key: "case[1].load[0].force", Value: "700 N"}},
			gone: []string{`  force = "0.5 kN"`}, new: []string{`  force = "700 N"`}},
		{name: "key that was not there", edits: []Edit{{Op: "set", Key: "case[0].load[0].angle", Value: "10 °"}},
			new: []string{`  angle = "10 °"`}},
		{name: "key into an inline table", edits: []Edit{{Op: "set", Key: "feature[1].side.layer", Value: "x"}},
			gone: []string{`side = { end = "right" }`}, new: []string{`side = { end = "right", layer = "x" }`}},
		{name: "value of an inline table", edits: []Edit{{Op: "set", Key: "layup.covers.top", Value: 4}},
			gone: []string{`covers = { bottom = 2, top = 2 }`}, new: []string{`covers = { bottom = 2, top = 4 }`}},
		{name: "table in place of another", edits: []Edit{{Op: "set", Key: "feature[0].hole", Value: map[string]any{"diameter": "9 mm"}}},
			gone: []string{`hole = { near = ["0 mm", "0 mm"], diameter = "8 mm" }`}, new: []string{`hole = { diameter = "9 mm" }`}},
		{name: "table that is made, in the order of the reference", edits: []Edit{{Op: "set", Key: "material.plastic", Value: "polyamide"}},
			new: []string{`[material]`, `plastic = "polyamide"`, ``}},
		{name: "key of the top", edits: []Edit{{Op: "set", Key: "note", Value: "a \"quoted\"\nline"}},
			new: []string{`note = "a \"quoted\"\nline"`}},
		{name: "key with dots below a table that is there", edits: []Edit{{Op: "set", Key: "part.extra.depth", Value: 1.5}},
			new: []string{`extra.depth = 1.5`}},
		{name: "key removed", edits: []Edit{{Op: "remove", Key: "part.thickness"}},
			gone: []string{`thickness = "4 mm" # as bought`}},
		{name: "first key of an inline table removed", edits: []Edit{{Op: "remove", Key: "feature[0].hole.near"}},
			gone: []string{`hole = { near = ["0 mm", "0 mm"], diameter = "8 mm" }`}, new: []string{`hole = { diameter = "8 mm" }`}},
		{name: "last key of an inline table removed", edits: []Edit{{Op: "remove", Key: "feature[0].hole.diameter"}},
			gone: []string{`hole = { near = ["0 mm", "0 mm"], diameter = "8 mm" }`}, new: []string{`hole = { near = ["0 mm", "0 mm"] }`}},
		{name: "only key of an inline table removed", edits: []Edit{{Op: "remove", Key: "feature[1].side.end"}},
			gone: []string{`side = { end = "right" }`}, new: []string{`side = {}`}},
		{name: "element removed with its comment", edits: []Edit{{Op: "remove", Key: "feature[1]"}},
			gone: []string{`# the far end`, `[[feature]]`, `name = "end"`, `side = { end = "right" }`, ``}},
		{name: "nested element removed", edits: []Edit{{Op: "remove", Key: "case[0].load[0]"}},
			gone: []string{`  # the rope`, `  [[case.load]]`, `  at = "end"`, `  how = "even"`, `  force = "1 kN"`}},
		{name: "nested element put in last and taken out again", edits: []Edit{{Op: "insert", Key: "case[0].load", Table: map[string]any{"at": "pin"}}, {Op: "remove", Key: "case[0].load[1]"}}},
		{name: "nested element put in first and taken out again", edits: []Edit{{Op: "insert", Key: "case[0].load", Table: map[string]any{"at": "pin"}, At: at(0)}, {Op: "remove", Key: "case[0].load[0]"}}},
		{name: "first of a nested list put in and taken out again", edits: []Edit{{Op: "insert", Key: "case[1].point", Table: map[string]any{"force": "1 N"}}, {Op: "remove", Key: "case[1].point"}}},
		{name: "last table put in and taken out again", edits: []Edit{{Op: "insert", Key: "layup.family", Table: map[string]any{"kind": "rim"}}, {Op: "remove", Key: "layup.family[2]"}}},
		{name: "table removed with all below it", edits: []Edit{{Op: "remove", Key: "layup"}},
			gone: []string{`[layup]`, `walls = 1`, `covers = { bottom = 2, top = 2 }`, ``, `[[layup.family]]`, `kind = "loop"`, `layers = 2`, `around = ["pin"]`, ``, `[[layup.family]]`, `kind = "steered"`, `layers = 3`, ``}},
		{name: "element inserted last", edits: []Edit{{Op: "insert", Key: "case", Table: map[string]any{
			"load": []any{map[string]any{"how": "even", "at": "end", "force": "2 N"}}, "name": "new", "factor": 1.5}}},
			new: []string{`[[case]]`, `name = "new"`, `factor = 1.5`, `  [[case.load]]`, `  at = "end"`, `  how = "even"`, `  force = "2 N"`, ``}},
		{name: "nested element inserted", edits: []Edit{{Op: "insert", Key: "case[0].load", Table: map[string]any{"at": "pin"}, At: at(0)}},
			new: []string{`  [[case.load]]`, `  at = "pin"`}},
		{name: "first of a list that is not there", edits: []Edit{{Op: "insert", Key: "probe", Table: map[string]any{"name": "tip", "at": "end"}}},
			new: []string{`[[probe]]`, `name = "tip"`, `at = "end"`, ``}},
		{name: "feature renamed wherever it is named", edits: []Edit{{Op: "rename", From: "pin", Value: "big pin"}},
			gone: []string{`name = "pin"`, `at = "pin"`, `around = ["pin"]`}, new: []string{`name = "big pin"`, `at = "big pin"`, `around = ["big pin"]`}},
		{name: "several at once", edits: []Edit{{Op: "remove", Key: "case[0]"}, {Op: "set", Key: "case[0].name", Value: "only"}},
			gone: []string{`name = "pull"`, `  # the rope`, `  [[case.load]]`, `  at = "end"`, `  how = "even"`, `  force = "1 kN"`, ``, `[[case]]`, `name = "push"`}, new: []string{`name = "only"`}},
		{name: "paths, one a line", edits: []Edit{{Op: "set", Key: "layup.family[1].paths", Value: []any{[]any{[]any{"0 mm", "1 mm"}, []any{"2 mm", "3 mm"}}}}},
			new: []string{`paths = [`, `  [["0 mm", "1 mm"], ["2 mm", "3 mm"]],`, `]`}},
		{name: "into a list below a table on one line", edits: []Edit{{Op: "insert", Key: "layup.covers.region", Table: map[string]any{"at": "pin", "within": "3 mm"}}},
			gone: []string{`covers = { bottom = 2, top = 2 }`},
			new:  []string{`[layup.covers]`, `bottom = 2`, `top = 2`, ``, `[[layup.covers.region]]`, `at = "pin"`, `within = "3 mm"`, ``}},
		{name: "lists on one line: put in, changed, moved, removed", edits: []Edit{
			{Op: "set", Key: "case[1].point", Value: []any{map[string]any{"at": []any{"1 mm", "2 mm"}, "force": "1 N"}}},
			{Op: "insert", Key: "case[1].point", Table: map[string]any{"at": []any{"5 mm", "6 mm"}, "force": "2 N"}},
			{Op: "set", Key: "case[1].point[0].force", Value: "3 N"},
			{Op: "move", Key: "case[1].point[1]", To: at(0)},
			{Op: "remove", Key: "case[1].point[1]"}},
			new: []string{`  [[case.point]]`, `  at = ["5 mm", "6 mm"]`, `  force = "2 N"`}},
		{name: "element of a list on one line", edits: []Edit{
			{Op: "set", Key: "case[1].point", Value: []any{map[string]any{"at": []any{"1 mm", "2 mm"}, "force": "1 N"}}},
			{Op: "set", Key: "case[1].point[0].force", Value: "3 N"}},
			new: []string{`  [[case.point]]`, `  at = ["1 mm", "2 mm"]`, `  force = "3 N"`}},

		{name: "no such element", edits: []Edit{{Op: "set", Key: "case[7].name", Value: "x"}}, want: "there is no case[7]"},
		{name: "no such key to remove", edits: []Edit{{Op: "remove", Key: "part.units"}}, want: "there is no part.units"},
		{name: "element by index set", edits: []Edit{{Op: "set", Key: "case[2]", Value: "x"}}, want: "insert an element"},
		{name: "table set to text", edits: []Edit{{Op: "set", Key: "part", Value: "x"}}, want: "is a table"},
		{name: "key below a value", edits: []Edit{{Op: "set", Key: "part.drawing.name", Value: "x"}}, want: "is no table"},
		{name: "inserted too far", edits: []Edit{{Op: "insert", Key: "case", At: at(5)}}, want: "insert at 0 to 2"},
		{name: "moved too far", edits: []Edit{{Op: "move", Key: "case[0]", To: at(2)}}, want: "move to 0 to 1"},
		{name: "moved nowhere", edits: []Edit{{Op: "move", Key: "case[0]"}}, want: "give to"},
		{name: "moved what is no element", edits: []Edit{{Op: "move", Key: "part", To: at(0)}}, want: "no element"},
		{name: "no name to rename", edits: []Edit{{Op: "rename", From: "nobody", Value: "x"}}, want: "nothing is called"},
		{name: "no key path", edits: []Edit{{Op: "set", Key: "part..x", Value: 1}}, want: "no key path"},
		{name: "header smuggled in a key", edits: []Edit{{Op: "set", Key: "part.a\n[b]", Value: 1}}, want: "no key path"},
		{name: "value of no kind", edits: []Edit{{Op: "set", Key: "note", Value: nil}}, want: "has no place"},
		{name: "unknown edit", edits: []Edit{{Op: "paint", Key: "note"}}, want: "is no edit"},
		{name: "all or none", edits: []Edit{{Op: "set", Key: "note", Value: "kept?"}, {Op: "remove", Key: "nothing"}}, want: "edit 2 (remove)"},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			got, err := ApplyEdits([]byte(editedText), r.edits)
			if r.want != "" {
				if err == nil || !strings.Contains(err.Error(), r.want) {
					t.Fatalf("error %v, want %q", err, r.want)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			gone, came := lineDifference(editedText, string(got))
			if !slices.Equal(gone, r.gone) || !slices.Equal(came, r.new) {
				t.Errorf("gone %q\nwant %q\ncame %q\nwant %q\n%s", gone, r.gone, came, r.new, got)
			}
		})
	}
}

// lineDifference lists the lines that only one of two texts has, in order, by
// the longest common subsequence.
func lineDifference(a, b string) (gone, came []string) {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	length := make([][]int, len(x)+1)
	for i := range length {
		length[i] = make([]int, len(y)+1)
	}
	for i := len(x) - 1; i >= 0; i-- {
		for j := len(y) - 1; j >= 0; j-- {
			if x[i] == y[j] {
				length[i][j] = length[i+1][j+1] + 1
			} else {
				length[i][j] = max(length[i+1][j], length[i][j+1])
			}
		}
	}
	i, j := 0, 0
	for i < len(x) || j < len(y) {
		switch {
		case i < len(x) && j < len(y) && x[i] == y[j]:
			i, j = i+1, j+1
		case j == len(y) || i < len(x) && length[i+1][j] >= length[i][j+1]:
			gone = append(gone, x[i])
			i++
		default:
			came = append(came, y[j])
			j++
		}
	}
	return gone, came
}

func TestMoveAndCopyKeepText(t *testing.T) {
	got, err := ApplyEdits([]byte(editedText), []Edit{{Op: "move", Key: "feature[1]", To: at(0)}, {Op: "copy", Key: "case[0]"}})
	if err != nil {
		t.Fatal(err)
	}
	text := string(got)
	if strings.Index(text, "# the far end\n[[feature]]\nname = \"end\"") > strings.Index(text, `name = "pin"`) {
		t.Errorf("the second feature did not come first with its comment:\n%s", text)
	}
	if strings.Count(text, "# the rope") != 2 || strings.Count(text, `name = "pull"`) != 2 {
		t.Errorf("the case was not copied with its comment:\n%s", text)
	}
}

func TestEditKeepsLineEnds(t *testing.T) {
	text := strings.ReplaceAll(editedText, "\n", "\r\n")
	got, err := ApplyEdits([]byte(text), []Edit{{Op: "insert", Key: "probe", Table: map[string]any{"name": "tip"}}, {Op: "set", Key: "part.join", Value: "1 mm"}})
	if err != nil {
		t.Fatal(err)
	}
	if strings.Count(string(got), "\n") != strings.Count(string(got), "\r\n") {
		t.Errorf("line ends of two kinds:\n%q", got)
	}
}

func TestEditRefusesWhatIsNoTOML(t *testing.T) {
	if _, err := ApplyEdits([]byte("name = \"x"), []Edit{{Op: "set", Key: "name", Value: "y"}}); err == nil {
		t.Error("a broken file was edited")
	}
}

// TestEditsAgainstTree carries out random edits on the text and, by the plain
// rules of trees, on the document, and compares what the text then says.
func TestEditsAgainstTree(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for round := range 300 {
		text := []byte(editedText)
		doc := treeOf(t, text)
		comments := strings.Count(editedText, "#")
		for step := range 8 {
			e := randomEdit(rng, doc)
			want, ok := editTree(doc, e)
			got, err := ApplyEdits(text, []Edit{e})
			if ok != (err == nil) {
				t.Fatalf("round %d step %d: %+v: error %v, tree says %v\n%s", round, step, e, err, ok, text)
			}
			if err != nil {
				continue
			}
			if tree := treeOf(t, got); !reflect.DeepEqual(tree, want) {
				t.Fatalf("round %d step %d: %s %s: tree %v\nwant %v\nbefore:\n%s\nafter:\n%s", round, step, e.Op, e.Key, tree, want, text, got)
			}
			if n := strings.Count(string(got), "#"); e.Op == "set" || e.Op == "insert" || e.Op == "move" {
				if n < comments {
					t.Fatalf("round %d step %d: %+v lost a comment:\n%s", round, step, e, got)
				}
			}
			text, doc, comments = got, want, strings.Count(string(got), "#")
		}
	}
}

func treeOf(t *testing.T, text []byte) map[string]any {
	t.Helper()
	var doc map[string]any
	if err := toml.Unmarshal(text, &doc); err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return doc
}

// randomEdit draws an edit near what is there.
func randomEdit(rng *rand.Rand, doc map[string]any) Edit {
	lists := []string{"feature", "case", "case[0].load", "case[1].load", "layup.family", "support", "probe"}
	list := lists[rng.IntN(len(lists))]
	n := 0
	if l, ok := valueAt(doc, list).([]any); ok {
		n = len(l)
	}
	i := rng.IntN(n + 1)
	element := fmt.Sprintf("%s[%d]", list, i)
	switch rng.IntN(6) {
	case 0:
		keys := []string{"part.thickness", "part.join", "mesh.size", "note", "layup.walls", "layup.covers.top", "case[0].factor", "require.fibre", "name"}
		return Edit{Op: "set", Key: keys[rng.IntN(len(keys))], Value: fmt.Sprint(rng.IntN(100), " mm")}
	case 1:
		return Edit{Op: "set", Key: element + ".name", Value: fmt.Sprint("n", rng.IntN(100))}
	case 2:
		keys := []string{"part.thickness", "part.join", "mesh", "note", element, element + ".name", "feature[0].hole.near"}
		return Edit{Op: "remove", Key: keys[rng.IntN(len(keys))]}
	case 3:
		return Edit{Op: "insert", Key: list, At: &i, Table: map[string]any{"name": fmt.Sprint("i", rng.IntN(100)), "inner": map[string]any{"x": "1 mm"}}}
	case 4:
		to := rng.IntN(n + 1)
		return Edit{Op: "move", Key: element, To: &to}
	}
	return Edit{Op: "copy", Key: element}
}

// editTree is the plain version of an edit; ok is false where there is nothing
// to do it on.
func editTree(doc map[string]any, e Edit) (map[string]any, bool) {
	out := cloneTree(doc).(map[string]any)
	steps := splitKey(e.Key)
	last := steps[len(steps)-1]
	var parent any = out
	for _, s := range steps[:len(steps)-1] {
		table, _ := parent.(map[string]any)
		if table == nil {
			return nil, false
		}
		if _, there := table[s.name]; !there && s.index < 0 && e.Op == "set" {
			table[s.name] = map[string]any{}
		}
		if parent = table[s.name]; s.index >= 0 {
			l, _ := parent.([]any)
			if s.index >= len(l) {
				return nil, false
			}
			parent = l[s.index]
		}
	}
	table, _ := parent.(map[string]any)
	if table == nil {
		return nil, false
	}
	list, _ := table[last.name].([]any)
	switch e.Op {
	case "set":
		table[last.name] = e.Value
		return out, true
	case "remove":
		if last.index < 0 {
			_, there := table[last.name]
			delete(table, last.name)
			return out, there
		}
		if last.index >= len(list) {
			return nil, false
		}
		if list = slices.Delete(list, last.index, last.index+1); len(list) == 0 {
			delete(table, last.name)
		} else {
			table[last.name] = list
		}
		return out, true
	case "insert":
		if *e.At > len(list) {
			return nil, false
		}
		table[last.name] = slices.Insert(list, *e.At, any(cloneTree(e.Table)))
		return out, true
	}
	if last.index >= len(list) {
		return nil, false
	}
	moved := list[last.index]
	if e.Op == "copy" {
		table[last.name] = slices.Insert(list, last.index+1, cloneTree(moved))
		return out, true
	}
	if *e.To >= len(list) {
		return nil, false
	}
	list = slices.Delete(list, last.index, last.index+1)
	table[last.name] = slices.Insert(list, *e.To, moved)
	return out, true
}

func cloneTree(v any) any {
	switch v := v.(type) {
	case map[string]any:
		out := maps.Clone(v)
		for k := range out {
			out[k] = cloneTree(out[k])
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i := range v {
			out[i] = cloneTree(v[i])
		}
		return out
	}
	return v
}

func FuzzEditKey(f *testing.F) {
	f.Add(editedText, "case[0].load[0].force", "1 N")
	f.Add("a.b = 1\n[c]\nd = { e = 2 }\n", "c.d.f", "x")
	f.Add("", "part.join", "y")
	f.Fuzz(func(t *testing.T, text, key, value string) {
		got, err := ApplyEdits([]byte(text), []Edit{{Op: "set", Key: key, Value: value}})
		if err != nil {
			return
		}
		if v := valueAt(treeOf(t, got), key); v != value {
			t.Errorf("%s is %q after it was set to %q in\n%s", key, v, value, text)
		}
	})
}
