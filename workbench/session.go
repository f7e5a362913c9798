package workbench

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"time"

	"sinew/job"
)

// session is what the server knows of one job: who follows it, what runs, and
// what was read last.
type session struct {
	server  *Server
	id, dir string
	journal *job.Journal

	mu        sync.Mutex
	followers map[*follower]bool
	watching  bool
	seen      stamps // as the watcher last saw the folder
	run       *run   // under way, or the last one
	views     *job.Views
	viewsOf   string // stamp of the results that views belong to
	live      *job.Views
	quick     *job.Views
	looks     map[string]any // inspections by stamp
}

func newSession(s *Server, id, dir string) *session {
	return &session{server: s, id: id, dir: dir, journal: job.NewJournal(dir), followers: map[*follower]bool{}, looks: map[string]any{}}
}

// options are those of every look at the job.
func (x *session) options() job.Options {
	return job.Options{Cards: x.server.opt.Cards, Workers: x.server.opt.Workers, Confined: true}
}

// maxLooks bounds how many inspections are remembered; the present one and
// the one before serve an editor.
const maxLooks = 4

// remember returns what was made before from the same text and folder, or
// makes it: reading a big drawing again for every request would be felt.
func remember[T any](x *session, what string, text []byte, make func() T) T {
	sum := sha256.Sum256(text)
	key := what + hex.EncodeToString(sum[:]) + stampFolder(x.dir, x.server.opt.Cards)
	x.mu.Lock()
	kept, ok := x.looks[key].(T)
	x.mu.Unlock()
	if ok {
		return kept
	}
	made := make()
	x.mu.Lock()
	if len(x.looks) >= maxLooks {
		clear(x.looks)
	}
	x.looks[key] = made
	x.mu.Unlock()
	return made
}

// stamps say how a job's folder stood.
type stamps struct{ file, inputs, results string }

// stampOf tells a file's states apart without reading it; "" where it is not
// there.
func stampOf(path string) string {
	info, err := os.Stat(path)
	if err != nil {
		return ""
	}
	return fmt.Sprint(info.Size(), info.ModTime().UnixNano())
}

// stampFolder covers what a job reads besides its job file: the files in its
// folder, its cards and the user's.
func stampFolder(dir, cards string) string {
	h := sha256.New()
	note := func(folder string) {
		entries, _ := os.ReadDir(folder) // a folder that is not there holds nothing
		for _, e := range entries {
			if info, err := e.Info(); err == nil && !info.IsDir() && e.Name() != job.FileName && e.Name()[0] != '.' {
				fmt.Fprintln(h, folder, e.Name(), info.Size(), info.ModTime().UnixNano())
			}
		}
	}
	note(dir)
	for _, root := range []string{filepath.Join(dir, "cards"), cards} {
		if root == "" {
			continue
		}
		note(root)
		for _, kind := range job.CardKinds() {
			note(filepath.Join(root, kind))
		}
	}
	return hex.EncodeToString(h.Sum(nil)[:16])
}

func (x *session) stamp() stamps {
	return stamps{
		file:    stampOf(filepath.Join(x.dir, job.FileName)),
		inputs:  stampFolder(x.dir, x.server.opt.Cards),
		results: stampOf(filepath.Join(x.dir, "out", job.ResultName)),
	}
}

// Pace of the watcher and of the sign of life.
const (
	watchEvery = 300 * time.Millisecond
	aliveEvery = 15 * time.Second
)

// watch looks at the folder as long as somebody follows.
func (x *session) watch() {
	tick := time.NewTicker(watchEvery)
	defer tick.Stop()
	for range tick.C {
		x.mu.Lock()
		if len(x.followers) == 0 {
			x.watching = false
			x.mu.Unlock()
			return
		}
		x.mu.Unlock()
		x.look()
	}
}

// look tells followers what has changed since the last look, whoever did it.
// The results of a run of ours are told after its end is.
func (x *session) look() {
	now := x.stamp()
	x.mu.Lock()
	before := x.seen
	if x.run != nil && x.run.underWay() {
		now.results = before.results
	}
	x.seen = now
	x.mu.Unlock()
	switch {
	case now == before:
		return
	case now.file == "":
		x.tell(GoneEvent{})
		return
	}
	if now.inputs != before.inputs {
		x.tell(InputsEvent{})
	}
	if now.file != before.file {
		if e, err := x.fileEvent(); err == nil {
			x.tell(e)
		}
	}
	if now.results != before.results || now.inputs != before.inputs || now.file != before.file {
		if e, err := x.resultEvent(); err == nil {
			x.tell(e)
		}
	}
}

func (x *session) fileEvent() (FileEvent, error) {
	st, err := x.journal.State()
	if err != nil {
		return FileEvent{}, err
	}
	return FileEvent{Version: st.Version}, nil
}

func (x *session) resultEvent() (ResultEvent, error) {
	r, err := x.result()
	if err != nil {
		return ResultEvent{}, err
	}
	return ResultEvent{InputHash: r.Record.InputHash, Fresh: r.Fresh}, nil
}

// inputHash is that of the job as it is now; "" where it cannot be run.
func (x *session) inputHash() string {
	text, err := os.ReadFile(filepath.Join(x.dir, job.FileName))
	if err != nil {
		return ""
	}
	return remember(x, "hash", text, func() string {
		j, err := job.Look(x.dir, x.options())
		if err != nil {
			return ""
		}
		return j.InputHash()
	})
}

// viewsNow returns what can be looked at: a run's results as they come, or
// those kept. of is "run" or "quick".
func (x *session) viewsNow(of string) (*job.Views, error) {
	results := stampOf(filepath.Join(x.dir, "out", job.ResultName))
	x.mu.Lock()
	live, quick, kept, keptOf := x.live, x.quick, x.views, x.viewsOf
	x.mu.Unlock()
	switch {
	case of == "quick" && quick != nil:
		return quick, nil
	case of == "quick":
		return nil, problem(404, "no quick analysis was made yet")
	case live != nil:
		return live, nil
	case kept != nil && keptOf == results:
		return kept, nil
	}
	v, err := job.KeptViews(x.dir, x.options())
	if errors.Is(err, job.ErrNoResults) {
		return nil, problem(404, "%v", err)
	}
	if err != nil {
		return nil, err
	}
	x.mu.Lock()
	x.views, x.viewsOf = v, results
	x.mu.Unlock()
	return v, nil
}
