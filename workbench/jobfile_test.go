package workbench

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestEditFile(t *testing.T) {
	s, h := newServer(t, Options{}, "hanger")
	var f, g FileState
	if code := call(t, h.URL, "GET", "/api/jobs/hanger/file", nil, &f); code != 200 || !f.Readable || len(f.Faults) != 0 || f.Undo != "" {
		t.Fatalf("status %d, %+v", code, f)
	}
	edit := map[string]any{"base": f.Version, "edits": []any{map[string]any{"op": "set", "key": "case[0].load[0].force", "value": "1.4 kN"}}}
	if code := call(t, h.URL, "PATCH", "/api/jobs/hanger/file", edit, &g); code != 200 {
		t.Fatalf("status %d", code)
	}
	if !strings.Contains(g.Text, `force = "1.4 kN"`) || g.Undo != "set case[0].load[0].force" || g.Version == f.Version || g.Places["case[0].load[0].force"] == [2]int{} {
		t.Errorf("%+v", g)
	}
	onDisk, err := os.ReadFile(filepath.Join(s.space.root, "hanger", "job.toml"))
	if err != nil || string(onDisk) != g.Text {
		t.Errorf("on disk %q, %v", onDisk, err)
	}

	var p Problem
	if code := call(t, h.URL, "PATCH", "/api/jobs/hanger/file", edit, &p); code != 409 || p.Conflict == nil || p.Conflict.TheirVersion != g.Version || p.Conflict.TheirText != g.Text || p.Conflict.BaseText != f.Text {
		t.Errorf("an edit on an old base: status %d, %+v", code, p)
	}
	var u FileState
	if code := call(t, h.URL, "POST", "/api/jobs/hanger/undo", map[string]any{"base": g.Version}, &u); code != 200 || u.Text != f.Text || u.Redo == "" {
		t.Errorf("undo: status %d", code)
	}
	var r FileState
	if code := call(t, h.URL, "POST", "/api/jobs/hanger/redo", map[string]any{"base": u.Version}, &r); code != 200 || r.Text != g.Text {
		t.Errorf("redo: status %d", code)
	}
	var list EditList
	if code := call(t, h.URL, "GET", "/api/jobs/hanger/edits", nil, &list); code != 200 || list.At != 1 || len(list.Entries) != 1 {
		t.Errorf("edits: status %d, %+v", code, list)
	}
}

func TestWrongValueIsKeptAndShown(t *testing.T) {
	_, h := newServer(t, Options{}, "hanger")
	var f, g FileState
	call(t, h.URL, "GET", "/api/jobs/hanger/file", nil, &f)
	set := func(key string, value any, dry bool) map[string]any {
		return map[string]any{"base": f.Version, "dry_run": dry, "edits": []any{map[string]any{"op": "set", "key": key, "value": value}}}
	}
	if code := call(t, h.URL, "PATCH", "/api/jobs/hanger/file", set("part.thickness", "4 kg", true), &g); code != 200 || len(g.Faults) != 1 || g.Faults[0].Key != "part.thickness" || g.Faults[0].Line == 0 {
		t.Fatalf("status %d, faults %v", code, g.Faults)
	}
	var now FileState
	call(t, h.URL, "GET", "/api/jobs/hanger/file", nil, &now)
	if now.Version != f.Version {
		t.Error("a dry run wrote")
	}
	call(t, h.URL, "PATCH", "/api/jobs/hanger/file", set("name", "<script>alert(1)</script>\u2028\"", false), &g)
	call(t, h.URL, "GET", "/api/jobs/hanger/file", nil, &now)
	if now.Doc["name"] != "<script>alert(1)</script>\u2028\"" || len(now.Faults) != 0 {
		t.Errorf("name %q, faults %v", now.Doc["name"], now.Faults)
	}
}

func TestRefusedEdits(t *testing.T) {
	_, h := newServer(t, Options{}, "hanger")
	var f FileState
	call(t, h.URL, "GET", "/api/jobs/hanger/file", nil, &f)
	rows := []struct {
		name         string
		method, path string
		body         any
		want         int
	}{
		{"no such job", "GET", "/api/jobs/none/file", nil, 404},
		{"a job above", "GET", "/api/jobs/..%2fhanger/file", nil, 404},
		{"a job by path", "GET", "/api/jobs/hanger%2f..%2fhanger/file", nil, 404},
		{"a job of dots", "GET", "/api/jobs/%2e%2e/file", nil, 404},
		{"a name of control characters", "GET", "/api/jobs/han%00ger/file", nil, 404},
		{"no such element", "PATCH", "/api/jobs/hanger/file", map[string]any{"base": f.Version, "edits": []any{map[string]any{"op": "set", "key": "case[9].name", "value": "x"}}}, 422},
		{"no edit", "PATCH", "/api/jobs/hanger/file", map[string]any{"base": f.Version, "edits": []any{}}, 422},
		{"unknown edit", "PATCH", "/api/jobs/hanger/file", map[string]any{"base": f.Version, "edits": []any{map[string]any{"op": "paint"}}}, 422},
		{"unknown field", "PATCH", "/api/jobs/hanger/file", map[string]any{"base": f.Version, "edit": 1}, 422},
		{"no JSON", "PATCH", "/api/jobs/hanger/file", "{", 422},
		{"text too long", "PUT", "/api/jobs/hanger/file", map[string]any{"base": f.Version, "text": strings.Repeat("x", 1<<20+1)}, 422},
		{"body too long", "PUT", "/api/jobs/hanger/file", map[string]any{"base": f.Version, "text": strings.Repeat("x", 9<<20)}, 413},
		{"nothing to take back", "POST", "/api/jobs/hanger/undo", map[string]any{"base": f.Version}, 422},
		{"step from an old version", "POST", "/api/jobs/hanger/undo", map[string]any{"base": "0"}, 409},
		{"no such run", "GET", "/api/jobs/hanger/history/0123456789abcdef", nil, 404},
		{"restored from no run", "POST", "/api/jobs/hanger/history/0123456789abcdef/restore", map[string]any{"base": f.Version}, 404},
		{"no such card", "GET", "/api/jobs/hanger/cards/plastic/unobtainium", nil, 404},
		{"plots of no card", "GET", "/api/jobs/hanger/cards/plastic/unobtainium/curves", nil, 404},
		{"copy of no card", "POST", "/api/jobs/hanger/cards/plastic/unobtainium/copy", map[string]any{"name": "mine"}, 404},
		{"no such kind of card", "GET", "/api/jobs/hanger/cards/glue/unobtainium", nil, 422},
		{"unknown kind of quantity", "GET", "/api/unit?kind=love&text=1", nil, 422},
		{"quantity without unit", "GET", "/api/unit?kind=force&text=1", nil, 422},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			var p Problem
			if code := call(t, h.URL, r.method, r.path, r.body, &p); code != r.want {
				t.Errorf("status %d, want %d: %+v", code, r.want, p)
			}
		})
	}
	var now FileState
	if call(t, h.URL, "GET", "/api/jobs/hanger/file", nil, &now); now.Version != f.Version {
		t.Error("a refused request changed the file")
	}
}

func TestNewCopyUpload(t *testing.T) {
	s, h := newServer(t, Options{}, "hanger")
	drawing, err := os.ReadFile("../examples/open-hole/strip.dxf")
	if err != nil {
		t.Fatal(err)
	}
	solid, err := os.ReadFile("../examples/pocketed-link/link.3mf")
	if err != nil {
		t.Fatal(err)
	}
	rows := []struct {
		name   string
		path   string
		fields map[string]string
		file   string
		data   []byte
		want   int
	}{
		{"from a drawing", "/api/jobs", map[string]string{"name": "strip"}, "strip.dxf", drawing, 201},
		{"from a solid", "/api/jobs", map[string]string{"name": "solid"}, "link.3mf", solid, 201},
		{"a solid that is none", "/api/jobs", map[string]string{"name": "bad"}, "a.3mf", drawing, 422},
		{"a solid that is not read", "/api/jobs", map[string]string{"name": "bad"}, "a.step", drawing, 422},
		{"from the sample", "/api/jobs", map[string]string{"name": "plate"}, "", nil, 201},
		{"a name that is there", "/api/jobs", map[string]string{"name": "hanger"}, "", nil, 409},
		{"a name that leads out", "/api/jobs", map[string]string{"name": "../out"}, "", nil, 422},
		{"a hidden name", "/api/jobs", map[string]string{"name": ".x"}, "", nil, 422},
		{"no name", "/api/jobs", nil, "", nil, 422},
		{"a drawing that is none", "/api/jobs", map[string]string{"name": "bad"}, "a.dxf", []byte("GIF89a"), 422},
		{"an extension that is none", "/api/jobs", map[string]string{"name": "bad"}, "a.exe", drawing, 422},
		{"file name that leads out", "/api/jobs", map[string]string{"name": "led"}, "../../evil.dxf", drawing, 201},
		{"script in the file name", "/api/jobs", map[string]string{"name": "bad"}, "<script>.dxf", drawing, 422},
		{"file into a job", "/api/jobs/hanger/files", nil, "strip.dxf", drawing, 201},
		{"the same again", "/api/jobs/hanger/files", nil, "strip.dxf", drawing, 409},
		{"the same again, replaced", "/api/jobs/hanger/files?replace=true", nil, "strip.dxf", drawing, 201},
		{"job file by upload", "/api/jobs/hanger/files?replace=true", nil, "job.toml", drawing, 422},
		{"no file", "/api/jobs/hanger/files", nil, "", nil, 422},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			var body []byte
			if code := upload(t, h.URL+r.path, r.fields, r.file, r.data, &body); code != r.want {
				t.Errorf("status %d, want %d: %s", code, r.want, body)
			}
		})
	}
	if code := call(t, h.URL, "POST", "/api/jobs/strip/copy", map[string]any{"name": "strip two"}, nil); code != 201 {
		t.Errorf("copy: status %d", code)
	}
	var list JobList
	call(t, h.URL, "GET", "/api/jobs", nil, &list)
	var ids []string
	for _, e := range list.Jobs {
		ids = append(ids, e.ID)
		if e.Problem != "" {
			t.Errorf("%s: %s", e.ID, e.Problem)
		}
	}
	if got := strings.Join(ids, ","); got != "hanger,led,plate,solid,strip,strip two" {
		t.Errorf("jobs %s", got)
	}
	outside, err := os.ReadDir(filepath.Dir(s.space.root))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range outside {
		if e.Name() == "evil.dxf" {
			t.Error("an upload was written outside")
		}
	}
	var files FileList
	if call(t, h.URL, "GET", "/api/jobs/led/files", nil, &files); len(files.Files) != 1 || files.Files[0].Name != "evil.dxf" {
		t.Errorf("files %v", files)
	}
	var part PartState
	if code := call(t, h.URL, "GET", "/api/jobs/strip%20two/part", nil, &part); code != 200 || len(part.Loops) != 2 {
		t.Errorf("part: status %d, %+v", code, part)
	}
}
