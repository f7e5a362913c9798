package workbench

import (
	"context"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/sse"
)

// FileEvent says that the job file has another version now.
type FileEvent struct {
	Version string `json:"version"`
}

// InputsEvent says that a drawing or a card has been changed.
type InputsEvent struct{}

// RunEvent is the state of the run, told when it changes and while it
// progresses.
type RunEvent struct{ RunState }

// ArrivedEvent says that views have more to show.
type ArrivedEvent struct {
	Run  string `json:"run"`
	What string `json:"what" enum:"mesh,strands,proof"`
}

// ResultEvent says that there are results of this input, and whether they are
// of the job as it is now.
type ResultEvent struct {
	InputHash string `json:"input_hash"`
	Fresh     bool   `json:"fresh"`
}

// GoneEvent says that the job's folder or file has vanished.
type GoneEvent struct{}

// AliveEvent comes now and then, so that a dead connection is noticed.
type AliveEvent struct{}

// follower is one connection that follows events. Its channel is closed when
// it falls too far behind: the page then connects again and is told the
// present state.
type follower struct {
	events chan any
}

// followerRoom is how many events a slow follower may be behind.
const followerRoom = 256

func (s *Server) registerEvents() {
	op := s.withProblem(huma.Operation{Method: "GET", Path: "/api/jobs/{job}/events", OperationID: "follow-events", Summary: "What happens to a job, as it happens (server-sent events)"})
	sse.Register(s.api, op, map[string]any{
		"file": FileEvent{}, "inputs": InputsEvent{}, "run": RunEvent{}, "arrived": ArrivedEvent{}, "result": ResultEvent{}, "gone": GoneEvent{}, "alive": AliveEvent{},
	}, func(ctx context.Context, in *JobPath, send sse.Sender) {
		x, err := s.session(in.Job)
		if err != nil {
			_ = send.Data(GoneEvent{}) // who asked for nothing is told so, or has gone
			return
		}
		x.follow(ctx, send)
	})
}

// follow sends the present state, then every event, until the connection or
// the server ends.
func (x *session) follow(ctx context.Context, send sse.Sender) {
	f := x.join()
	defer x.leave(f)
	for _, e := range x.present() {
		if send.Data(e) != nil {
			return
		}
	}
	alive := time.NewTicker(aliveEvery)
	defer alive.Stop()
	for {
		var e any
		ok := true
		select {
		case <-ctx.Done():
			return
		case <-x.server.closing:
			return
		case e, ok = <-f.events:
		case <-alive.C:
			e = AliveEvent{}
		}
		if !ok || send.Data(e) != nil {
			return
		}
	}
}

// present lists what a new follower must know.
func (x *session) present() []any {
	var out []any
	if e, err := x.fileEvent(); err == nil {
		out = append(out, e)
	}
	if st, ok := x.runState(); ok {
		out = append(out, RunEvent{st})
	}
	if e, err := x.resultEvent(); err == nil {
		out = append(out, e)
	}
	return out
}

// join adds a follower and begins to watch the folder.
func (x *session) join() *follower {
	f := &follower{events: make(chan any, followerRoom)}
	now := x.stamp()
	x.mu.Lock()
	defer x.mu.Unlock()
	x.followers[f] = true
	if !x.watching {
		x.watching, x.seen = true, now
		go x.watch()
	}
	return f
}

func (x *session) leave(f *follower) {
	x.mu.Lock()
	defer x.mu.Unlock()
	delete(x.followers, f)
}

// tell sends an event to all followers.
func (x *session) tell(e any) {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.tellLocked(e)
}

// tellLocked is tell for who holds the lock already.
func (x *session) tellLocked(e any) {
	for f := range x.followers {
		select {
		case f.events <- e:
		default:
			delete(x.followers, f)
			close(f.events)
		}
	}
}
