package study

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"net/http"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
	"time"

	"sinew/job"
)

// Limits on what comes over the network.
const (
	maxAnswerBytes = 8 << 20  // the answer for a point
	maxAskBytes    = 64 << 10 // any other request
	headerTimeout  = 10 * time.Second
	bodyTimeout    = time.Minute
	idleTimeout    = 2 * time.Minute
	longPoll       = 10 * time.Second // how long a worker waits for a point in one request
	lastWords      = 3 * time.Second  // for workers to hear that the study is over
)

// The requests of a worker, below this path; all are POST but for files.
const root = "/study/1/"

type (
	// joining is a worker's first request.
	joining struct {
		Build string `json:"build"`
		Name  string `json:"name"` // of its machine, for messages
	}
	// welcome is the answer to it.
	welcome struct {
		Worker string    `json:"worker"` // the name to give from now on
		Stage  job.Stage `json:"stage"`
		Lease  int       `json:"lease_s"`
		Files  []packed  `json:"files"`
	}
	// asking is a request for a point, or about one.
	asking struct {
		Worker string `json:"worker"`
		Key    string `json:"key,omitempty"`
	}
	// given is a point.
	given struct {
		Key  string `json:"key"`
		Text []byte `json:"text"`
	}
)

// Build names the program as exactly as figures depend on it: version, revision,
// compiler and processor family.
func Build() string {
	parts := []string{job.Version, runtime.Version(), runtime.GOARCH}
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" || s.Key == "vcs.modified" && s.Value == "true" {
				parts = append(parts, strings.TrimPrefix(s.Key, "vcs.")+" "+s.Value)
			}
		}
	}
	return strings.Join(parts, ", ")
}

// counter is the desk's face to workers on other machines.
type counter struct {
	desk    *desk
	files   []packed
	token   string
	tell    func(string)
	ctx     context.Context // ends when the server does
	mu      sync.Mutex
	known   map[string]string // name of the machine by worker
	gone    map[string]bool   // workers that were told that the study is over
	closing bool              // nobody is asked for more answers
	parted  chan struct{}     // closed when, from then on, all were
}

// serve answers workers until the function it returns is called, which lets them
// hear that the study is over.
func serve(d *desk, files []packed, s Settings) (stop func()) {
	ctx, cancel := context.WithCancel(context.Background())
	c := &counter{desk: d, files: files, token: s.Token, tell: s.Tell, ctx: ctx, known: map[string]string{}, gone: map[string]bool{}, parted: make(chan struct{})}
	srv := &http.Server{Handler: c.handler(), ReadHeaderTimeout: headerTimeout, ReadTimeout: bodyTimeout, IdleTimeout: idleTimeout, MaxHeaderBytes: maxAskBytes}
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		if err := srv.Serve(s.Listener); !errors.Is(err, http.ErrServerClosed) {
			d.fail(fmt.Errorf("the server for workers ended: %w", err))
		}
	}()
	return func() {
		d.close()
		select {
		case <-c.allTold():
		case <-time.After(lastWords):
		}
		cancel()
		srv.Close()
		<-ended
	}
}

// allTold is closed when every worker that joined knows that the study is over.
func (c *counter) allTold() <-chan struct{} {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.closing = true
	c.checkParted()
	return c.parted
}

// checkParted closes the channel where it is due; the lock is held.
func (c *counter) checkParted() {
	select {
	case <-c.parted:
	default:
		if c.closing && len(c.gone) == len(c.known) {
			close(c.parted)
		}
	}
}

func (c *counter) handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("POST "+root+"join", c.join)
	mux.HandleFunc("GET "+root+"files/{sum}", c.file)
	mux.HandleFunc("POST "+root+"take", c.take)
	mux.HandleFunc("POST "+root+"renew", c.renew)
	mux.HandleFunc("POST "+root+"return", c.giveBack)
	mux.HandleFunc("POST "+root+"answer", c.answer)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "no-store")
		w.Header().Set("X-Content-Type-Options", "nosniff")
		shown, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
		if !ok || !sameToken(shown, c.token) {
			http.Error(w, "show the token that sinew study printed, or that its token file holds", http.StatusUnauthorized)
			return
		}
		limit := int64(maxAskBytes)
		if r.URL.Path == root+"answer" {
			limit = maxAnswerBytes
		}
		r.Body = http.MaxBytesReader(w, r.Body, limit)
		mux.ServeHTTP(w, r)
	})
}

// sameToken compares in a time that does not depend on where the two differ.
func sameToken(a, b string) bool {
	x, y := sha256.Sum256([]byte(a)), sha256.Sum256([]byte(b))
	return subtle.ConstantTimeCompare(x[:], y[:]) == 1
}

// read reads a request's JSON; what is none is answered.
func read(w http.ResponseWriter, r *http.Request, v any) bool {
	dec := json.NewDecoder(r.Body)
	dec.DisallowUnknownFields()
	if err := dec.Decode(v); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			http.Error(w, fmt.Sprintf("the request is larger than %d bytes", large.Limit), http.StatusRequestEntityTooLarge)
		} else {
			http.Error(w, "the request is no JSON of this interface: "+err.Error(), http.StatusBadRequest)
		}
		return false
	}
	return true
}

func write(w http.ResponseWriter, v any) {
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(v) // who asked may be gone
}

func (c *counter) join(w http.ResponseWriter, r *http.Request) {
	var in joining
	if !read(w, r, &in) {
		return
	}
	host, _, _ := net.SplitHostPort(r.RemoteAddr)
	name := fmt.Sprintf("%.40q at %s", in.Name, host)
	if ours := Build(); in.Build != ours {
		c.tell(fmt.Sprintf("%s was sent away: it runs sinew %.200q, this is %q", name, in.Build, ours))
		http.Error(w, fmt.Sprintf("the study runs sinew %s, this worker %.200s: figures could differ; install the same build", ours, in.Build), http.StatusConflict)
		return
	}
	worker := rand.Text()
	c.mu.Lock()
	c.known[worker] = name
	c.mu.Unlock()
	c.tell(name + " joins")
	write(w, welcome{worker, c.desk.stage, int(leaseTime / time.Second), c.files})
}

// isKnown reports whether a worker joined; who did not is answered.
func (c *counter) isKnown(w http.ResponseWriter, worker string) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.known[worker] == "" {
		http.Error(w, "this study does not know the worker; join first", http.StatusForbidden)
		return false
	}
	return true
}

func (c *counter) file(w http.ResponseWriter, r *http.Request) {
	for _, f := range c.files {
		if f.SHA256 == r.PathValue("sum") {
			w.Header().Set("Content-Type", "application/octet-stream")
			_, _ = w.Write(f.data)
			return
		}
	}
	http.NotFound(w, r)
}

func (c *counter) take(w http.ResponseWriter, r *http.Request) {
	var in asking
	if !read(w, r, &in) || !c.isKnown(w, in.Worker) {
		return
	}
	ctx, cancel := context.WithTimeout(r.Context(), longPoll)
	defer cancel()
	defer context.AfterFunc(c.ctx, cancel)()
	t, err := c.desk.wait(ctx, in.Worker, leaseTime)
	switch {
	case errors.Is(err, errOver):
		c.part(w, in.Worker, err, http.StatusGone)
	case errors.Is(err, errBarred):
		c.part(w, in.Worker, err, http.StatusLocked)
	case err != nil:
		w.WriteHeader(http.StatusNoContent)
	default:
		write(w, given{t.key, t.text})
	}
}

// part tells a worker that it gets no more points.
func (c *counter) part(w http.ResponseWriter, worker string, why error, status int) {
	http.Error(w, why.Error(), status)
	c.mu.Lock()
	defer c.mu.Unlock()
	c.gone[worker] = true
	c.checkParted()
}

func (c *counter) renew(w http.ResponseWriter, r *http.Request) {
	var in asking
	if !read(w, r, &in) || !c.isKnown(w, in.Worker) {
		return
	}
	if !c.desk.renew(in.Worker, in.Key, leaseTime) {
		http.Error(w, "the point is with another worker, or done", http.StatusGone)
		return
	}
	w.WriteHeader(http.StatusNoContent)
}

func (c *counter) giveBack(w http.ResponseWriter, r *http.Request) {
	var in asking
	if !read(w, r, &in) || !c.isKnown(w, in.Worker) {
		return
	}
	c.desk.giveBack(in.Worker, in.Key)
	w.WriteHeader(http.StatusNoContent)
}

// answer takes in the answer for a point. The body is kept as it came: who sent it
// and for what stands in the query.
func (c *counter) answer(w http.ResponseWriter, r *http.Request) {
	worker, key := r.URL.Query().Get("worker"), r.URL.Query().Get("key")
	if !c.isKnown(w, worker) {
		return
	}
	data, err := readAll(r.Body, maxAnswerBytes)
	if err != nil {
		data = nil // too large, or cut off: no answer
	}
	var wrong *wrongAnswer
	switch err := c.desk.receive(worker, key, data); {
	case errors.As(err, &wrong):
		c.mu.Lock()
		name := c.known[worker]
		c.mu.Unlock()
		c.tell(fmt.Sprintf("an answer of %s was thrown away: it %v", name, err))
		http.Error(w, fmt.Sprintf("the answer %v", err), http.StatusUnprocessableEntity)
	case err != nil:
		http.Error(w, "the answer could not be kept", http.StatusInternalServerError)
	default:
		w.WriteHeader(http.StatusNoContent)
	}
}
