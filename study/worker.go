package study

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"runtime"
	"strings"
	"sync"
	"time"

	"sinew/job"
)

// WorkSettings steers a worker; URL and Token are needed.
type WorkSettings struct {
	URL     string // that sinew study printed
	Token   string
	Workers int          // points at a time, each on one processor; 0 means one for each processor
	Tell    func(string) // told of what happens; may be nil
}

// How a worker deals with a network that fails: it asks again, less and less
// often, and gives up after a while.
const (
	firstPause    = 500 * time.Millisecond
	longestPause  = 10 * time.Second
	patience      = 2 * time.Minute
	answerTimeout = 2 * time.Minute // for one request with its answer
	partingTime   = 3 * time.Second // for giving a point back on the way out
)

// Work computes points of a study on another machine until it is over.
func Work(ctx context.Context, s WorkSettings) error {
	u, err := url.Parse(s.URL)
	if err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" {
		return &job.InputError{Faults: []job.Fault{{Key: "URL", What: fmt.Sprintf("%q is no address", s.URL), Remedy: "give what sinew study printed, such as http://192.168.1.20:8090"}}}
	}
	if s.Workers <= 0 {
		s.Workers = runtime.GOMAXPROCS(0)
	}
	if s.Tell == nil {
		s.Tell = func(string) {}
	}
	c := &client{base: u.Scheme + "://" + u.Host + root, token: s.Token, tell: s.Tell, http: &http.Client{
		Timeout:       answerTimeout,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }, // the token goes nowhere else
	}}
	for {
		if err := c.session(ctx, s.Workers); !errors.Is(err, errStranger) {
			return err
		}
		s.Tell("the study was started again; joining it")
	}
}

// client is a worker's side of the interface.
type client struct {
	base, token string
	tell        func(string)
	http        *http.Client
	worker      string
	stage       job.Stage
	lease       time.Duration
}

// errStranger says that the study was started again since the worker joined.
var errStranger = errors.New("the study does not know this worker")

// statusError is an answer that is none of those hoped for.
type statusError struct {
	status int
	text   string
}

func (e *statusError) Error() string { return e.text }

// Is makes a forgotten worker an errStranger.
func (e *statusError) Is(target error) bool {
	return target == errStranger && e.status == http.StatusForbidden
}

// isStatus reports whether an error is an answer of a status.
func isStatus(err error, status int) bool {
	var s *statusError
	return errors.As(err, &s) && s.status == status
}

// session joins, fetches the files, and works until the study is over.
func (c *client) session(ctx context.Context, workers int) error {
	host, _ := os.Hostname() // only for messages
	var w welcome
	if err := c.post(ctx, "join", joining{Build(), host}, &w); err != nil {
		return err
	}
	c.worker, c.stage, c.lease = w.Worker, w.Stage, time.Duration(w.Lease)*time.Second
	if c.lease < time.Second {
		return fmt.Errorf("the study gives points for %v, which is no time to work in", c.lease)
	}
	if err := c.fetch(ctx, w.Files); err != nil {
		return err
	}
	c.tell(fmt.Sprintf("joined the study; %d points at a time", workers))
	working, end := context.WithCancel(ctx)
	defer end()
	errs := make([]error, workers)
	var group sync.WaitGroup
	for i := range workers {
		group.Go(func() {
			errs[i] = c.work(working, w.Files)
			end() // what one of them hears, that the study is over or unreachable, holds for all
		})
	}
	group.Wait()
	for _, err := range errs {
		if err != nil && !errors.Is(err, context.Canceled) {
			return err
		}
	}
	return ctx.Err()
}

// fetch reads the files of the study, each held to its size and hash.
func (c *client) fetch(ctx context.Context, files []packed) error {
	left := int64(maxPackBytes)
	for i := range files {
		f := &files[i]
		if f.Bytes < 0 || f.Bytes > left {
			return fmt.Errorf("the files of the study are larger than %d bytes", int64(maxPackBytes))
		}
		left -= f.Bytes
		data, err := c.ask(ctx, http.MethodGet, "files/"+url.PathEscape(f.SHA256), nil, f.Bytes)
		if err != nil {
			return err
		}
		if hashOf(data) != f.SHA256 {
			return fmt.Errorf("the file %s came with another hash than was announced; is there a proxy in between?", f.Path)
		}
		f.data = data
	}
	return nil
}

// work computes one point after another.
func (c *client) work(ctx context.Context, files []packed) error {
	b, err := newBench(files)
	if err != nil {
		return err
	}
	defer b.remove()
	for {
		var g given
		err := c.post(ctx, "take", asking{Worker: c.worker}, &g)
		switch {
		case isStatus(err, http.StatusGone):
			return nil // the study is over
		case err != nil:
			return err
		case g.Key == "":
			continue // nothing to do at present
		}
		if err := c.do(ctx, b, g, files); err != nil {
			return err
		}
	}
}

// do computes a point and sends the answer. A point that cannot be computed here
// goes back.
func (c *client) do(ctx context.Context, b *bench, g given, files []packed) error {
	about := asking{c.worker, g.Key}
	if keyOf(g.Text, c.stage, files) != g.Key {
		c.giveBack(ctx, about)
		return errors.New("a point came with another hash than its inputs have here; install the same build on both machines")
	}
	held, drop := context.WithCancel(ctx)
	defer drop()
	go c.hold(held, drop, about)
	o, err := b.compute(held, g.Key, g.Text, c.stage)
	switch {
	case held.Err() != nil && ctx.Err() == nil:
		return nil // it is with another worker, or done
	case err != nil:
		c.giveBack(ctx, about)
		return err
	}
	data, err := json.Marshal(o)
	if err != nil {
		return err
	}
	_, err = c.ask(ctx, http.MethodPost, "answer?"+url.Values{"worker": {c.worker}, "key": {g.Key}}.Encode(), data, maxAskBytes)
	if isStatus(err, http.StatusUnprocessableEntity) {
		c.tell(err.Error())
		return nil
	}
	return err
}

// hold renews the lease of a point until it is done or lost.
func (c *client) hold(ctx context.Context, drop func(), about asking) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-time.After(c.lease / 3):
		}
		if err := c.post(ctx, "renew", about, nil); isStatus(err, http.StatusGone) || isStatus(err, http.StatusForbidden) {
			drop()
			return
		}
	}
}

// giveBack frees a point, also on the way out.
func (c *client) giveBack(ctx context.Context, about asking) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), partingTime)
	defer cancel()
	_ = c.post(ctx, "return", about, nil) // else its lease ends
}

// post asks with JSON and reads the JSON of the answer, where there is one.
func (c *client) post(ctx context.Context, what string, in, out any) error {
	body, err := json.Marshal(in)
	if err != nil {
		return err
	}
	data, err := c.ask(ctx, http.MethodPost, what, body, maxAnswerBytes)
	if err != nil || len(data) == 0 || out == nil {
		return err
	}
	if err := json.Unmarshal(data, out); err != nil {
		return fmt.Errorf("the study's answer cannot be read (%w); does the address belong to sinew study?", err)
	}
	return nil
}

// ask makes one request; one that does not get through is made again for a
// while.
func (c *client) ask(ctx context.Context, method, what string, body []byte, limit int64) ([]byte, error) {
	pause, waited := firstPause, time.Duration(0)
	for {
		data, err := c.once(ctx, method, what, body, limit)
		var s *statusError
		if err == nil || errors.As(err, &s) && s.status < http.StatusInternalServerError {
			return data, err
		}
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if waited >= patience {
			return nil, fmt.Errorf("the study cannot be reached any more: %w", err)
		}
		if waited == 0 {
			c.tell(fmt.Sprintf("no answer (%v); asking again", err))
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-time.After(pause):
		}
		waited += pause
		pause = min(2*pause, longestPause)
	}
}

func (c *client) once(ctx context.Context, method, what string, body []byte, limit int64) ([]byte, error) {
	r, err := http.NewRequestWithContext(ctx, method, c.base+what, bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	r.Header.Set("Authorization", "Bearer "+c.token)
	a, err := c.http.Do(r)
	if err != nil {
		return nil, err
	}
	defer a.Body.Close()
	data, err := readAll(a.Body, limit)
	if a.StatusCode/100 != 2 {
		text := strings.TrimSpace(string(data))
		if text == "" {
			text = a.Status
		}
		return nil, &statusError{a.StatusCode, text}
	}
	return data, err
}
