package study

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"net"
	"net/http"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"sinew/job"
)

const testToken = "a token that nobody guesses"

// served is a study of the test job that waits for workers.
type served struct {
	*study
	url   string
	clock atomic.Int64 // seconds that the desk's clock is ahead
	told  *log
	over  chan error // of carryOut
	out   string
	dir   string
}

// log keeps what was told.
type log struct {
	mu    sync.Mutex
	lines []string
}

func (l *log) add(line string) { l.mu.Lock(); l.lines = append(l.lines, line); l.mu.Unlock() }

func (l *log) holds(text string) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return strings.Contains(strings.Join(l.lines, "\n"), text)
}

// serveStudy starts a study with a number of workers of its own.
func serveStudy(t *testing.T, workers int) *served {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	v := &served{url: "http://" + l.Addr().String(), told: new(log), over: make(chan error, 1), dir: folder(t)}
	v.out = filepath.Join(v.dir, "out")
	s := Settings{Workers: workers, Listener: l, Token: testToken, Tell: v.told.add}.filled(v.dir)
	if v.study, err = open(v.dir, s); err != nil {
		t.Fatal(err)
	}
	v.now = func() time.Time { return time.Unix(v.clock.Load(), 0) }
	go func() { v.over <- v.carryOut(t.Context(), s) }()
	return v
}

// finish waits for the end and returns the bytes of the results.
func (v *served) finish(t *testing.T) map[string]string {
	t.Helper()
	if err := <-v.over; err != nil {
		t.Fatal(err)
	}
	j, err := job.Open(v.dir, job.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if err := v.record(j).save(v.out); err != nil {
		t.Fatal(err)
	}
	return results(t, v.out)
}

// joined is a worker that joined and does by itself nothing.
func (v *served) joined(t *testing.T) (*client, welcome) {
	t.Helper()
	c := &client{base: v.url + root, token: testToken, tell: func(string) {}, http: http.DefaultClient}
	var w welcome
	if err := c.post(t.Context(), "join", joining{Build(), "test"}, &w); err != nil {
		t.Fatal(err)
	}
	c.worker, c.stage, c.lease = w.Worker, w.Stage, time.Hour
	if err := c.fetch(t.Context(), w.Files); err != nil {
		t.Fatal(err)
	}
	return c, w
}

func (c *client) takeOne(t *testing.T) given {
	t.Helper()
	var g given
	if err := c.post(t.Context(), "take", asking{Worker: c.worker}, &g); err != nil || g.Key == "" {
		t.Fatalf("no point: %v", err)
	}
	return g
}

func (c *client) send(ctx context.Context, key string, data []byte) error {
	_, err := c.ask(ctx, http.MethodPost, "answer?worker="+c.worker+"&key="+key, data, maxAskBytes)
	return err
}

// TestWorkersAndTheirFailings: one worker dies with a point in hand, one takes a
// point and is silent until its lease is over and others have answered, one gives
// wrong answers until it gets no more points, one answers twice, one is stopped
// half-way; two good ones do the rest. The results are those of one worker alone,
// byte by byte.
func TestWorkersAndTheirFailings(t *testing.T) {
	alone := folder(t)
	mustRun(t, alone, Settings{Workers: 1})
	want := results(t, filepath.Join(alone, "out"))

	v := serveStudy(t, -1)
	ctx := t.Context()

	dead, _ := v.joined(t)
	dead.takeOne(t) // and is never heard of again

	slow, files := v.joined(t)
	late := slow.takeOne(t)
	bench, err := newBench(files.Files)
	if err != nil {
		t.Fatal(err)
	}
	defer bench.remove()
	o, err := bench.compute(ctx, late.Key, late.Text, slow.stage)
	if err != nil {
		t.Fatal(err)
	}
	answer, err := json.Marshal(o)
	if err != nil {
		t.Fatal(err)
	}

	liar, _ := v.joined(t)
	for i, lie := range [][]byte{
		[]byte("{"),
		answer, // of another point
		bytes.Replace(answer, []byte(job.Version), []byte("0.0.9"), 1),
	} {
		g := liar.takeOne(t)
		if err := liar.send(ctx, g.Key, lie); !isStatus(err, http.StatusUnprocessableEntity) {
			t.Errorf("lie %d: %v", i, err)
		}
	}
	if err := liar.post(ctx, "take", asking{Worker: liar.worker}, nil); !isStatus(err, http.StatusLocked) || !strings.Contains(err.Error(), "3 wrong answers") {
		t.Errorf("after three wrong answers: %v", err)
	}
	if !v.told.holds("thrown away") {
		t.Errorf("told %q", v.told.lines)
	}

	twice, _ := v.joined(t)
	g := twice.takeOne(t)
	o2, err := bench.compute(ctx, g.Key, g.Text, twice.stage)
	if err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(o2)
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if err := twice.send(ctx, g.Key, data); err != nil {
			t.Error(err)
		}
	}
	if err := twice.post(ctx, "renew", asking{twice.worker, g.Key}, nil); !isStatus(err, http.StatusGone) {
		t.Errorf("a point that is done is held on to: %v", err)
	}

	killed, kill := context.WithCancel(ctx)
	stopped := make(chan error, 1)
	go func() {
		stopped <- Work(killed, WorkSettings{URL: v.url, Token: testToken, Workers: 1, Tell: func(what string) {
			if strings.HasPrefix(what, "joined") {
				time.AfterFunc(100*time.Millisecond, kill) // in the midst of a point, most likely
			}
		}})
	}()
	if err := <-stopped; !errors.Is(err, context.Canceled) {
		t.Errorf("the stopped worker: %v", err)
	}

	v.clock.Add(int64(2 * leaseTime / time.Second)) // the leases of the dead and the slow one end
	good := make(chan error, 2)
	for range 2 {
		go func() { good <- Work(ctx, WorkSettings{URL: v.url + "/", Token: testToken, Workers: 1}) }()
	}
	for {
		v.mu.Lock()
		answered := v.byKey[late.Key].answer != nil
		v.mu.Unlock()
		if answered {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	if err := slow.send(ctx, late.Key, answer); err != nil {
		t.Errorf("an answer that comes late: %v", err)
	}
	same(t, "many workers", v.finish(t), want)
	for range 2 {
		if err := <-good; err != nil {
			t.Errorf("a good worker: %v", err)
		}
	}
}

// TestWorkersHereAndThere share a study; the worker elsewhere hears when it is
// over.
func TestWorkersHereAndThere(t *testing.T) {
	v := serveStudy(t, 1)
	there := make(chan error, 1)
	go func() { there <- Work(t.Context(), WorkSettings{URL: v.url, Token: testToken, Workers: 2}) }()
	got := v.finish(t)
	if err := <-there; err != nil {
		t.Errorf("the worker elsewhere: %v", err)
	}
	mustRun(t, v.dir, Settings{Out: filepath.Join(t.TempDir(), "kept")})
	alone := folder(t)
	mustRun(t, alone, Settings{Workers: 1})
	same(t, "here and there", got, results(t, filepath.Join(alone, "out")))
}

// TestLateAnswerCounts where nobody else has given one.
func TestLateAnswerCounts(t *testing.T) {
	v := serveStudy(t, -1)
	c, w := v.joined(t)
	g := c.takeOne(t)
	v.clock.Add(int64(2 * leaseTime / time.Second))
	b, err := newBench(w.Files)
	if err != nil {
		t.Fatal(err)
	}
	defer b.remove()
	o, err := b.compute(t.Context(), g.Key, g.Text, c.stage)
	if err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(o)
	if err != nil {
		t.Fatal(err)
	}
	if err := c.send(t.Context(), g.Key, data); err != nil {
		t.Error(err)
	}
	v.close()
	if err := <-v.over; err != nil || v.byKey[g.Key].answer == nil {
		t.Errorf("the answer was lost (%v)", err)
	}
}

// TestDoor: who does not show the token, runs another build, sends too much or
// something else, or asks for what is not there, is told so and changes nothing.
func TestDoor(t *testing.T) {
	v := serveStudy(t, -1)
	c, w := v.joined(t)
	ask := func(method, path, token, body string) (int, string) {
		r, err := http.NewRequest(method, v.url+path, strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		if token != "" {
			r.Header.Set("Authorization", "Bearer "+token)
		}
		a, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		defer a.Body.Close()
		text, err := io.ReadAll(a.Body)
		if err != nil {
			t.Fatal(err)
		}
		return a.StatusCode, string(text)
	}
	g := c.takeOne(t)
	worker := `{"worker":"` + c.worker + `"}`
	for _, row := range []struct {
		name, method, path, token, body string
		status                          int
		says                            string
	}{
		{"no token", "POST", root + "join", "", "{}", 401, "show the token"},
		{"part of the token", "POST", root + "join", testToken[:20], "{}", 401, "show the token"},
		{"no token for a file", "GET", root + "files/" + w.Files[0].SHA256, "", "", 401, "show the token"},
		{"another build", "POST", root + "join", testToken, `{"build":"0.0.9, go1.0, pdp11","name":"old"}`, 409, "install the same build"},
		{"no JSON", "POST", root + "join", testToken, "hello", 400, "no JSON"},
		{"unknown key", "POST", root + "take", testToken, `{"worker":"x","speed":9}`, 400, "no JSON"},
		{"a stranger", "POST", root + "take", testToken, `{"worker":"x"}`, 403, "join first"},
		{"a stranger's answer", "POST", root + "answer?worker=x&key=" + g.Key, testToken, "{}", 403, "join first"},
		{"too much", "POST", root + "join", testToken, `{"name":"` + strings.Repeat("x", maxAskBytes) + `"}`, 413, "larger than"},
		{"an answer that is too much", "POST", root + "answer?worker=" + c.worker + "&key=" + g.Key, testToken, strings.Repeat(" ", maxAnswerBytes+1), 422, "no answer"},
		{"an answer for nothing", "POST", root + "answer?worker=" + c.worker + "&key=none", testToken, `{"key":"none","version":"` + job.Version + `","refused":[{"what":"x"}]}`, 422, "not asked"},
		{"no such file", "GET", root + "files/0", testToken, "", 404, ""},
		{"another method", "GET", root + "take", testToken, "", 405, ""},
		{"another path", "GET", "/etc/passwd", testToken, "", 404, ""},
		{"hold what one has not", "POST", root + "renew", testToken, `{"worker":"` + c.worker + `","key":"none"}`, 410, "another worker"},
		{"give back", "POST", root + "return", testToken, `{"worker":"` + c.worker + `","key":"` + g.Key + `"}`, 204, ""},
		{"take again", "POST", root + "take", testToken, worker, 200, g.Key},
	} {
		status, text := ask(row.method, row.path, row.token, row.body)
		if status != row.status || !strings.Contains(text, row.says) {
			t.Errorf("%s: %d %q, want %d %q", row.name, status, text, row.status, row.says)
		}
	}
	if !v.told.holds("sent away") || v.left != len(v.tasks) {
		t.Errorf("%d of %d left, told %q", v.left, len(v.tasks), v.told.lines)
	}
	for _, s := range []WorkSettings{{URL: v.url, Token: "another token altogether"}, {URL: "ftp://nowhere", Token: testToken}, {URL: "127.0.0.1:80", Token: testToken}} {
		if err := Work(t.Context(), s); err == nil {
			t.Errorf("a worker at %s with %q is content", s.URL, s.Token)
		}
	}
	v.close()
	<-v.over
}

// TestFilesAreHeldToTheirHash, on the worker's side.
func TestFilesAreHeldToTheirHash(t *testing.T) {
	v := serveStudy(t, -1)
	c, w := v.joined(t)
	w.Files[0].data = nil
	good := w.Files[0]
	v.files[0].data = bytes.Repeat([]byte{'x'}, int(good.Bytes))
	if err := c.fetch(t.Context(), w.Files); err == nil || !strings.Contains(err.Error(), "another hash") {
		t.Errorf("%v", err)
	}
	w.Files[0].Bytes = maxPackBytes + 1
	if err := c.fetch(t.Context(), w.Files); err == nil || !strings.Contains(err.Error(), "larger than") {
		t.Errorf("%v", err)
	}
	if _, err := newBench([]packed{{Path: "../../etc/passwd", data: []byte("x")}}); err == nil {
		t.Error("a file outside of the folder was written")
	}
	v.close()
	<-v.over
}

// FuzzAnswer: whatever bytes come as an answer, they are one or are refused.
func FuzzAnswer(f *testing.F) {
	key := strings.Repeat("0", 64)
	f.Add([]byte(`{"key":"`+key+`","version":"`+job.Version+`","refused":[{"what":"too thick"}]}`), 2)
	f.Add([]byte(`{"key":"`+key+`","version":"`+job.Version+`","record":{"version":"`+job.Version+`","input_hash":"`+key+`","strands":{},"verdict":{},"designs":[{"id":"printed","cases":[{"margins":[{"mode":"matrix","reserve_factor":2}]}]}]}}`), 2)
	f.Add([]byte(`{"key":"`+key+`","record":null}`), 0)
	f.Fuzz(func(t *testing.T, data []byte, stage int) {
		o, err := readOutcome(data, key, job.Stage(stage))
		if err != nil || o.Record == nil {
			return
		}
		for _, name := range []string{"reserve", "buckling", "stiffness", "displacement", "mass", "tow", "thickness", "strands", "cuts", "warnings", "time", "cost"} {
			if m, ok := measureOf(name); !ok {
				t.Errorf("no figure %s", name)
			} else {
				m.read(o.Record, &Figure{Figure: name, Probe: "end"})
			}
		}
	})
}
