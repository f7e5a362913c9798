package workbench

import (
	"bufio"
	"context"
	"encoding/binary"
	"encoding/json"
	"math"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sinew/job"
)

// event is one server-sent event.
type event struct {
	name string
	data json.RawMessage
}

// followEvents reads a job's events until the test ends.
func followEvents(t *testing.T, base, id string) <-chan event {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(cancel)
	req, err := http.NewRequestWithContext(ctx, "GET", base+"/api/jobs/"+id+"/events", nil)
	if err != nil {
		t.Fatal(err)
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	if ct := res.Header.Get("Content-Type"); ct != "text/event-stream" {
		t.Fatalf("content type %q", ct)
	}
	out := make(chan event, 4096)
	go func() {
		defer res.Body.Close()
		defer close(out)
		lines := bufio.NewScanner(res.Body)
		lines.Buffer(nil, 1<<20)
		var e event
		for lines.Scan() {
			name, value, _ := strings.Cut(lines.Text(), ": ")
			switch name {
			case "event":
				e.name = value
			case "data":
				e.data = json.RawMessage(value)
			case "":
				out <- e
				e = event{}
			}
		}
	}()
	return out
}

// patience bounds how long a test waits for an event that must come.
const patience = 5 * time.Minute

// await returns the next event of a name that is as wanted.
func await(t *testing.T, events <-chan event, name string, wanted func(json.RawMessage) bool) json.RawMessage {
	t.Helper()
	late := time.After(patience)
	for {
		select {
		case e, ok := <-events:
			if !ok {
				t.Fatalf("the events ended before %s", name)
			}
			if e.name == name && (wanted == nil || wanted(e.data)) {
				return e.data
			}
		case <-late:
			t.Fatalf("no event %s came", name)
		}
	}
}

func inState(state string) func(json.RawMessage) bool {
	return func(data json.RawMessage) bool {
		var st RunState
		return json.Unmarshal(data, &st) == nil && st.State == state
	}
}

// coarsen makes an example quick to run.
func coarsen(t *testing.T, base, id string) FileState {
	t.Helper()
	var f, g FileState
	call(t, base, "GET", "/api/jobs/"+id+"/file", nil, &f)
	edits := []any{map[string]any{"op": "set", "key": "mesh.size", "value": "4 mm"}, map[string]any{"op": "set", "key": "mesh.tolerance", "value": "20 %"}}
	if code := call(t, base, "PATCH", "/api/jobs/"+id+"/file", map[string]any{"base": f.Version, "edits": edits}, &g); code != 200 || len(g.Faults) != 0 {
		t.Fatalf("status %d, faults %v", code, g.Faults)
	}
	return g
}

func TestRunFromStartToEnd(t *testing.T) {
	server, h := newServer(t, Options{}, "open-hole")
	f := coarsen(t, h.URL, "open-hole")
	events := followEvents(t, h.URL, "open-hole")
	await(t, events, "file", nil)
	if code := call(t, h.URL, "GET", "/api/jobs/open-hole/result", nil, nil); code != 404 {
		t.Errorf("result before a run: status %d", code)
	}
	if code := call(t, h.URL, "GET", "/api/jobs/open-hole/views", nil, nil); code != 404 {
		t.Errorf("views before a run: status %d", code)
	}
	if code := call(t, h.URL, "GET", "/api/jobs/open-hole/runs/current", nil, nil); code != 404 {
		t.Errorf("run before a run: status %d", code)
	}
	var st RunState
	if code := call(t, h.URL, "POST", "/api/jobs/open-hole/runs", map[string]any{"stage": "run"}, &st); code != 202 {
		t.Fatalf("status %d", code)
	}
	if code := call(t, h.URL, "POST", "/api/jobs/open-hole/runs", map[string]any{"stage": "lay"}, nil); code != 409 {
		t.Errorf("a second run: status %d", code)
	}
	await(t, events, "arrived", func(d json.RawMessage) bool { return strings.Contains(string(d), `"mesh"`) })
	var v job.ViewsSummary
	if code := call(t, h.URL, "GET", "/api/jobs/open-hole/views", nil, &v); code != 200 || v.Triangles == 0 {
		t.Errorf("views while it runs: status %d, %+v", code, v)
	}
	await(t, events, "arrived", func(d json.RawMessage) bool { return strings.Contains(string(d), `"strands"`) })
	await(t, events, "arrived", func(d json.RawMessage) bool { return strings.Contains(string(d), `"proof"`) })
	var done RunState
	if err := json.Unmarshal(await(t, events, "run", func(d json.RawMessage) bool { return !inState("running")(d) && !inState("waiting")(d) }), &done); err != nil || done.State != "done" || done.Share != 1 || len(done.Arrived) != 3 || done.Verdict == "" {
		t.Fatalf("run ended %+v, %v", done, err)
	}
	await(t, events, "result", func(d json.RawMessage) bool { return strings.Contains(string(d), `"fresh":true`) })

	t.Run("result", func(t *testing.T) {
		var r ResultState
		if code := call(t, h.URL, "GET", "/api/jobs/open-hole/result", nil, &r); code != 200 || !r.Fresh || len(r.Record.Designs) == 0 || r.Run.Command != "run" {
			t.Errorf("status %d, %+v", code, r)
		}
		for _, file := range []string{"dossier", "program"} {
			var body []byte
			if code := call(t, h.URL, "GET", "/api/jobs/open-hole/"+file, nil, &body); code != 200 || len(body) < 1000 {
				t.Errorf("%s: status %d, %d bytes", file, code, len(body))
			}
		}
		var list JobList
		if call(t, h.URL, "GET", "/api/jobs", nil, &list); list.Jobs[0].Verdict == "" {
			t.Error("no verdict in the list")
		}
	})
	t.Run("binary views", func(t *testing.T) { checkBinary(t, h.URL) })
	t.Run("history", func(t *testing.T) { checkHistory(t, h.URL, f) })
	t.Run("quick analysis", func(t *testing.T) { checkQuick(t, h.URL) })
	t.Run("results after the end", func(t *testing.T) { checkOrder(t, server) })
}

// checkOrder holds that results which appear while a run is under way are told
// after its end, however the looks of the watcher fall.
func checkOrder(t *testing.T, s *Server) {
	x, err := s.session("open-hole")
	if err != nil {
		t.Fatal(err)
	}
	x.setState(x.run, func() { x.run.state.State = "running" })
	x.look() // the edits of before
	f := x.join()
	defer x.leave(f)
	later := time.Now().Add(time.Hour)
	if err := os.Chtimes(filepath.Join(x.dir, "out", job.ResultName), later, later); err != nil {
		t.Fatal(err)
	}
	x.look()
	if n := len(f.events); n != 0 {
		t.Fatalf("%d events before the end: %#v", n, <-f.events)
	}
	x.finish(x.run, nil, context.Canceled)
	if e, ok := (<-f.events).(RunEvent); !ok || e.State != "cancelled" {
		t.Errorf("the first event is %+v", e)
	}
	if e, ok := (<-f.events).(ResultEvent); !ok || e.InputHash == "" {
		t.Errorf("the second event is %+v", e)
	}
}

// readView fetches a binary view and reads its header and arrays.
func readView(t *testing.T, url string) (head map[string]any, arrays map[string][]byte, heads map[string]arrayHead) {
	t.Helper()
	res, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	var data []byte
	req, _ := http.NewRequest("GET", url, nil)
	if code := send(t, req, &data); code != 200 {
		t.Fatalf("%s: status %d: %s", url, code, data)
	}
	if string(data[:4]) != magic {
		t.Fatalf("%s begins with %q", url, data[:4])
	}
	start := 8 + int(binary.LittleEndian.Uint32(data[4:]))
	if start%align != 0 {
		t.Errorf("data begin at %d", start)
	}
	var list struct{ Arrays []arrayHead }
	if err := json.Unmarshal(data[8:start], &head); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data[8:start], &list); err != nil {
		t.Fatal(err)
	}
	arrays, heads = map[string][]byte{}, map[string]arrayHead{}
	end := start
	for _, a := range list.Arrays {
		width := map[string]int{"u8": 1, "u32": 4, "f32": 4}[a.Type]
		if a.Offset%align != 0 || start+a.Offset < end {
			t.Errorf("%s lies at %d", a.Name, a.Offset)
		}
		end = start + a.Offset + a.Count*a.Items*width
		arrays[a.Name], heads[a.Name] = data[start+a.Offset:end], a
	}
	if padded(end) != len(data) {
		t.Errorf("%s: %d bytes, %d used", url, len(data), end)
	}
	return head, arrays, heads
}

func checkBinary(t *testing.T, base string) {
	views := base + "/api/jobs/open-hole/views/"
	_, _, mesh := readView(t, views+"mesh")
	head, _, field := readView(t, views+"field?quantity=index.worst&design=0&case=-1&layer=-1")
	if field["values"].Count != mesh["triangles"].Count || head["unit"] == "" {
		t.Errorf("%d values of %d triangles, %v", field["values"].Count, mesh["triangles"].Count, head)
	}
	if _, _, u := readView(t, views+"displacement?design=1"); u["u"].Count != mesh["nodes"].Count {
		t.Errorf("%d displacements of %d nodes", u["u"].Count, mesh["nodes"].Count)
	}
	_, data, strands := readView(t, views+"strands")
	starts := data["start"]
	if last := binary.LittleEndian.Uint32(starts[len(starts)-4:]); int(last) != strands["points"].Count || strands["use"].Count != strands["points"].Count {
		t.Errorf("strands end at %d of %d points", last, strands["points"].Count)
	}
	if w := math.Float32frombits(binary.LittleEndian.Uint32(data["width"])); w < 0.3 || w > 3 {
		t.Errorf("width %g mm", w)
	}
	readView(t, views+"principal?case=0")
	if head, _, frames := readView(t, base+"/api/jobs/open-hole/playback"); head["total_s"].(float64) <= 0 || frames["to"].Count == 0 {
		t.Errorf("playback %v", head)
	}
	readView(t, views+"beads?layer=0")
	readView(t, views+"coverage?layer=0")
	var p job.PlaceView
	if code := call(t, base, "GET", "/api/jobs/open-hole/views/at?x=75&y=30", nil, &p); code != 200 || !p.Inside {
		t.Errorf("at: status %d, %+v", code, p)
	}
	var sec job.SectionView
	if code := call(t, base, "GET", "/api/jobs/open-hole/views/section?ax=75&ay=0&bx=75&by=36&n=50&quantity=stress.s1", nil, &sec); code != 200 || len(sec.S) != 50 {
		t.Errorf("section: status %d", code)
	}
	var st job.StrandView
	if code := call(t, base, "GET", "/api/jobs/open-hole/views/strand?layer=0&strand=0", nil, &st); code != 200 || len(st.S) < 2 {
		t.Errorf("strand: status %d", code)
	}
	for path, want := range map[string]int{"field?quantity=none": 422, "field": 422, "field?quantity=stress.s1&design=99": 422, "beads?layer=999": 422, "strands?of=quick": 404, "section?ax=1": 422} {
		if code := call(t, base, "GET", "/api/jobs/open-hole/views/"+path, nil, nil); code != want {
			t.Errorf("%s: status %d, want %d", path, code, want)
		}
	}
}

func checkHistory(t *testing.T, base string, f FileState) {
	var list HistoryList
	if code := call(t, base, "GET", "/api/jobs/open-hole/history", nil, &list); code != 200 || len(list.Runs) != 1 || len(list.Runs[0].Designs) == 0 {
		t.Fatalf("status %d, %+v", code, list)
	}
	id := list.Runs[0].ID
	var k job.KeptRun
	if code := call(t, base, "GET", "/api/jobs/open-hole/history/"+id, nil, &k); code != 200 || k.Text != f.Text || !strings.Contains(k.SVG, "<svg") {
		t.Errorf("status %d, %d bytes of text", code, len(k.Text))
	}
	var g, back FileState
	edit := map[string]any{"base": f.Version, "edits": []any{map[string]any{"op": "set", "key": "note", "value": "other"}}}
	call(t, base, "PATCH", "/api/jobs/open-hole/file", edit, &g)
	var c ChangeList
	if code := call(t, base, "GET", "/api/jobs/open-hole/history/"+id+"/changes", nil, &c); code != 200 || len(c.Changed) != 1 || c.Changed[0].Key != "note" {
		t.Errorf("changes: status %d, %+v", code, c)
	}
	var r ResultState
	if call(t, base, "GET", "/api/jobs/open-hole/result", nil, &r); r.Fresh {
		t.Error("the result is fresh after an edit")
	}
	if code := call(t, base, "POST", "/api/jobs/open-hole/history/"+id+"/restore", map[string]any{"base": g.Version}, &back); code != 200 || back.Text != f.Text {
		t.Errorf("restore: status %d", code)
	}
	for _, bad := range []string{"zz", "..%2f..%2fedits", "00"} {
		if code := call(t, base, "GET", "/api/jobs/open-hole/history/"+bad, nil, nil); code != 404 {
			t.Errorf("run %s: status %d", bad, code)
		}
	}
}

func checkQuick(t *testing.T, base string) {
	var f, g FileState
	call(t, base, "GET", "/api/jobs/open-hole/file", nil, &f)
	set := func(key string, value any) {
		t.Helper()
		if code := call(t, base, "PATCH", "/api/jobs/open-hole/file", map[string]any{"base": f.Version, "edits": []any{map[string]any{"op": "set", "key": key, "value": value}}}, &g); code != 200 {
			t.Fatalf("status %d", code)
		}
		f = g
	}
	set("case[0].load[0].force", "5 kN")
	var r ResultState
	call(t, base, "GET", "/api/jobs/open-hole/result", nil, &r)
	var q job.QuickRecord
	if code := call(t, base, "POST", "/api/jobs/open-hole/quick", nil, &q); code != 200 {
		t.Fatalf("status %d", code)
	}
	if a, b := q.Designs[0].Governing.Reserve, 2*r.Record.Designs[0].Governing.Reserve; math.Abs(a/b-1) > 1e-6 {
		t.Errorf("half the load: reserve %g, want %g", a, b)
	}
	readView(t, base+"/api/jobs/open-hole/views/field?of=quick&quantity=index.worst&case=0")
	set("layup.family[0].spacing", "1.2 mm")
	if code := call(t, base, "POST", "/api/jobs/open-hole/quick", nil, nil); code != 409 {
		t.Errorf("quick analysis of another lay-up: status %d", code)
	}
}

func TestCancelAndLock(t *testing.T) {
	s, h := newServer(t, Options{}, "hanger")
	events := followEvents(t, h.URL, "hanger")
	var st RunState
	if code := call(t, h.URL, "POST", "/api/jobs/hanger/runs", map[string]any{"stage": "run"}, &st); code != 202 {
		t.Fatalf("status %d", code)
	}
	await(t, events, "run", inState("running"))
	if _, err := job.Open(filepath.Join(s.space.root, "hanger"), job.Options{}); err == nil {
		t.Error("a command could open the job while it runs")
	}
	if code := call(t, h.URL, "DELETE", "/api/jobs/hanger/runs/current", nil, &st); code != 200 || st.State != "cancelled" {
		t.Errorf("status %d, %+v", code, st)
	}
	if _, err := os.Stat(filepath.Join(s.space.root, "hanger", "out")); err == nil {
		t.Error("a cancelled run left results")
	}
	j, err := job.Open(filepath.Join(s.space.root, "hanger"), job.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if code := call(t, h.URL, "POST", "/api/jobs/hanger/runs", map[string]any{"stage": "lay"}, nil); code != 423 {
		t.Errorf("a run beside a command: status %d", code)
	}
	j.Close()
	var f FileState
	call(t, h.URL, "GET", "/api/jobs/hanger/file", nil, &f)
	edit := map[string]any{"base": f.Version, "edits": []any{map[string]any{"op": "set", "key": "part.thickness", "value": "4 kg"}}}
	call(t, h.URL, "PATCH", "/api/jobs/hanger/file", edit, nil)
	var p Problem
	if code := call(t, h.URL, "POST", "/api/jobs/hanger/runs", map[string]any{"stage": "lay"}, &p); code != 422 || len(p.Faults) == 0 {
		t.Errorf("a run of a job with faults: status %d, %+v", code, p)
	}
	if code := call(t, h.URL, "POST", "/api/jobs/hanger/runs", map[string]any{"stage": "fly"}, nil); code != 422 {
		t.Errorf("a stage that is none: status %d", code)
	}
}

// TestEventsTellWhatOthersDo changes a job behind the server's back.
func TestEventsTellWhatOthersDo(t *testing.T) {
	s, h := newServer(t, Options{}, "hanger")
	dir := filepath.Join(s.space.root, "hanger")
	events := followEvents(t, h.URL, "hanger")
	await(t, events, "file", nil)
	text, err := os.ReadFile(filepath.Join(dir, "job.toml"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "job.toml"), append(text, "# by hand\n"...), 0o644); err != nil {
		t.Fatal(err)
	}
	await(t, events, "file", nil)
	var f FileState
	if call(t, h.URL, "GET", "/api/jobs/hanger/file", nil, &f); f.Undo != "changed outside" {
		t.Errorf("undo %q", f.Undo)
	}
	if err := os.WriteFile(filepath.Join(dir, "other.dxf"), []byte("x"), 0o644); err != nil {
		t.Fatal(err)
	}
	await(t, events, "inputs", nil)
	if err := os.Rename(dir, dir+" gone"); err != nil {
		t.Fatal(err)
	}
	await(t, events, "gone", nil)
}

func TestCardRoutes(t *testing.T) {
	_, h := newServer(t, Options{}, "hanger")
	var list CardList
	if code := call(t, h.URL, "GET", "/api/jobs/hanger/cards?kind=plastic", nil, &list); code != 200 || len(list.Cards) < 3 {
		t.Fatalf("status %d, %+v", code, list)
	}
	var c, mine job.CardState
	if code := call(t, h.URL, "GET", "/api/jobs/hanger/cards/plastic/polyamide", nil, &c); code != 200 || c.Editable || len(c.Values) == 0 || len(c.Faults) != 0 {
		t.Errorf("status %d, %+v", code, c)
	}
	var curves CurveList
	if code := call(t, h.URL, "GET", "/api/jobs/hanger/cards/plastic/polyamide/curves", nil, &curves); code != 200 || len(curves.Curves) == 0 || curves.Curves[0].X.Unit != "°C" {
		t.Errorf("status %d, %+v", code, curves)
	}
	if code := call(t, h.URL, "GET", "/api/jobs/hanger/bead", nil, &curves); code != 200 || len(curves.Curves) != 3 || curves.Curves[1].Series[0].Y[0] < curves.Curves[1].Series[0].Y[48] {
		t.Errorf("bead: status %d, %+v", code, curves)
	}
	var answer job.BeadAnswer
	if code := call(t, h.URL, "GET", "/api/jobs/hanger/bead/worth?modulus=50GPa&fibre_share=20%25", nil, &answer); code != 200 || len(answer.Reverse) != 2 ||
		math.Abs(answer.Reverse[1].Bead.E1-50e3) > 1 || math.Abs(answer.Reverse[0].Bead.DryFibreShare-0.2) > 1e-6 || len(answer.Bead.Methods) != 5 || len(answer.Bead.Compression) == 0 {
		t.Errorf("bead: status %d, %+v", code, answer.Reverse)
	}
	var beyond Problem
	if code := call(t, h.URL, "GET", "/api/jobs/hanger/bead/worth?modulus=500GPa", nil, &beyond); code != 422 || len(beyond.Faults) != 1 || !strings.Contains(beyond.Faults[0].What, "out of reach") || beyond.Faults[0].Key != "modulus" {
		t.Errorf("bead beyond reach: status %d, %+v", code, beyond)
	}
	if code := call(t, h.URL, "POST", "/api/jobs/hanger/cards/plastic/polyamide/copy", map[string]any{"name": "my-polyamide"}, &mine); code != 201 || !mine.Editable || mine.ID != "my-polyamide" || mine.Origin != "own" {
		t.Fatalf("status %d, %+v", code, mine)
	}
	put := func(base, text string) (int, Problem) {
		var p Problem
		return call(t, h.URL, "PUT", "/api/jobs/hanger/cards/plastic/my-polyamide", map[string]any{"base": base, "text": text}, &p), p
	}
	if code, p := put(mine.TextVersion, strings.Replace(mine.Text, "g/cm³", "N", 1)); code != 422 || len(p.Faults) == 0 || p.Faults[0].Line == 0 {
		t.Errorf("a card with a fault: status %d, %+v", code, p)
	}
	if code, _ := put(mine.TextVersion, strings.Replace(mine.Text, `id = "my-polyamide"`, `id = "polyamide"`, 1)); code != 422 {
		t.Errorf("a card of another id: status %d", code)
	}
	if code, _ := put("0", mine.Text+"# x\n"); code != 409 {
		t.Errorf("a card on an old base: status %d", code)
	}
	if code, p := put(mine.TextVersion, mine.Text+"# x\n"); code != 200 {
		t.Errorf("status %d, %+v", code, p)
	}
	rows := map[string]int{
		"/api/jobs/hanger/cards/plastic/polyamide/copy": 422, // the name is taken now
		"/api/jobs/hanger/cards/plastic/none/copy":      404,
	}
	for path, want := range rows {
		if code := call(t, h.URL, "POST", path, map[string]any{"name": "my-polyamide"}, nil); code != want {
			t.Errorf("%s: status %d, want %d", path, code, want)
		}
	}
	for _, bad := range []string{"../x", "A", "x/y", "a.toml"} {
		if code := call(t, h.URL, "POST", "/api/jobs/hanger/cards/plastic/polyamide/copy", map[string]any{"name": bad}, nil); code != 422 {
			t.Errorf("copy to %q: status %d", bad, code)
		}
	}
	if code := call(t, h.URL, "GET", "/api/jobs/hanger/cards/plastic/..%2f..%2fjob", nil, nil); code != 404 {
		t.Errorf("a card by path: status %d", code)
	}
	var f, u FileState
	call(t, h.URL, "GET", "/api/jobs/hanger/file", nil, &f)
	if f.Undo != "edit card my-polyamide" {
		t.Errorf("undo %q", f.Undo)
	}
	for range 2 {
		call(t, h.URL, "POST", "/api/jobs/hanger/undo", map[string]any{"base": f.Version}, &u)
	}
	if code := call(t, h.URL, "GET", "/api/jobs/hanger/cards/plastic/my-polyamide", nil, nil); code != 404 {
		t.Errorf("the copy after two steps back: status %d", code)
	}
}
