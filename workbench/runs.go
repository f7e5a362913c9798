package workbench

import (
	"context"
	"errors"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"sinew/dossier"
	"sinew/job"
)

// RunState is a run under way, or the last one.
type RunState struct {
	ID      string      `json:"id"`
	Stage   string      `json:"stage" doc:"how far it is to go"`
	State   string      `json:"state" enum:"waiting,running,done,failed,cancelled"`
	Step    string      `json:"step" doc:"what is being done"`
	Share   float64     `json:"share" doc:"of the whole run that is done, 0 to 1"`
	Elapsed float64     `json:"elapsed_s"`
	Left    *float64    `json:"left_s,omitempty" doc:"estimated from how long the stages took before; left out: not known"`
	Arrived []string    `json:"arrived" doc:"results that views can show: mesh, strands, proof"`
	Error   string      `json:"error,omitempty"`
	Faults  []job.Fault `json:"faults,omitempty"`
	Verdict string      `json:"verdict,omitempty" enum:"passes,fails"`
}

// StartRun asks for a run.
type StartRun struct {
	JobPath
	Body struct {
		Stage string   `json:"stage" enum:"lay,check,prove,post,run" doc:"run: all of them, then the dossier"`
		Allow []string `json:"allow,omitempty" maxItems:"50" doc:"ids of findings that may pass"`
	}
}

// run is a run of the engine.
type run struct {
	state   RunState
	started time.Time
	stages  []string // that it goes through
	seconds map[string]float64
	stage   int       // into stages
	since   time.Time // of the stage
	told    time.Time // when progress was last told
	cancel  context.CancelFunc
	ended   chan struct{}
}

// stagesOf lists the engine's stages up to a goal.
func stagesOf(goal string) (job.Stage, []string) {
	switch goal {
	case "lay":
		return job.Lay, []string{"mesh", "lay"}
	case "check":
		return job.Check, []string{"mesh", "lay", "prove"}
	case "prove":
		return job.Prove, []string{"mesh", "lay", "prove"}
	}
	return job.Post, []string{"mesh", "lay", "prove", "program"}
}

func (s *Server) registerRuns() {
	register(s, huma.Operation{Method: http.MethodPost, Path: "/api/jobs/{job}/runs", OperationID: "start-run", Summary: "Carry out the stages of a job", DefaultStatus: http.StatusAccepted},
		func(ctx context.Context, in *StartRun) (*RunState, error) {
			return onJob(s, in.Job, func(x *session) (*RunState, error) { return x.start(in.Body.Stage, in.Body.Allow) })
		})
	get(s, "/api/jobs/{job}/runs/current", "get-run", "The run under way, or the last one", func(ctx context.Context, in *JobPath) (*RunState, error) {
		return onJob(s, in.Job, func(x *session) (*RunState, error) {
			st, ok := x.runState()
			if !ok {
				return nil, problem(http.StatusNotFound, "nothing has been run since the server was started")
			}
			return &st, nil
		})
	})
	register(s, huma.Operation{Method: http.MethodDelete, Path: "/api/jobs/{job}/runs/current", OperationID: "cancel-run", Summary: "Cancel the run under way"},
		func(ctx context.Context, in *JobPath) (*RunState, error) {
			return onJob(s, in.Job, func(x *session) (*RunState, error) { return x.cancelRun(ctx) })
		})
	register(s, huma.Operation{Method: http.MethodPost, Path: "/api/jobs/{job}/quick", OperationID: "quick-analysis", Summary: "Margins of the strands as laid under the loads as they are now"},
		func(ctx context.Context, in *JobPath) (*job.QuickRecord, error) {
			return onJob(s, in.Job, func(x *session) (*job.QuickRecord, error) { return x.analyseQuickly(ctx) })
		})
}

// start begins a run, unless one is under way. What is wrong with the job is
// told at once.
func (x *session) start(goal string, allow []string) (*RunState, error) {
	upTo, stages := stagesOf(goal)
	ctx, cancel := context.WithCancel(context.Background())
	r := &run{
		state:   RunState{ID: strconv.FormatInt(time.Now().UnixNano(), 36), Stage: goal, State: "waiting", Arrived: []string{}},
		started: time.Now(), since: time.Now(), stages: stages, seconds: job.StageSeconds(x.dir), cancel: cancel, ended: make(chan struct{}),
	}
	x.mu.Lock()
	if x.run != nil && x.run.underWay() {
		x.mu.Unlock()
		cancel()
		return nil, problem(http.StatusConflict, "a run is under way; wait for it or cancel it")
	}
	before := x.run
	x.run = r
	x.mu.Unlock()
	o := x.options()
	o.Progress = func(p job.Progress) { x.progress(r, p) }
	o.Arrived = func(what string, v *job.Views) { x.arrived(r, what, v) }
	j, err := job.Open(x.dir, o)
	if err != nil {
		x.mu.Lock()
		x.run = before
		x.mu.Unlock()
		cancel()
		return nil, err
	}
	j.Allow(allow)
	x.server.work.Go(func() { x.carryOut(ctx, r, j, upTo) })
	st, _ := x.runState()
	return &st, nil
}

func (r *run) underWay() bool { return r.state.State == "waiting" || r.state.State == "running" }

// carryOut waits for its turn and runs the job to its end.
func (x *session) carryOut(ctx context.Context, r *run, j *job.Job, upTo job.Stage) {
	defer close(r.ended)
	defer r.cancel()
	defer j.Close()
	var err error
	var res *job.Results
	select {
	case x.server.turns <- struct{}{}:
		x.setState(r, func() { r.state.State, r.since = "running", time.Now() })
		res, err = x.runEngine(ctx, r, j, upTo)
		<-x.server.turns
	case <-ctx.Done():
		err = ctx.Err()
	case <-x.server.closing:
		err = context.Canceled
	}
	x.finish(r, res, err)
}

// runEngine runs the job and keeps its results. A broken invariant of the
// engine ends the run, not the server.
func (x *session) runEngine(ctx context.Context, r *run, j *job.Job, upTo job.Stage) (res *job.Results, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("the program made a mistake of its own: %v", p)
		}
	}()
	if res, err = j.Run(ctx, upTo, r.state.Stage); err != nil {
		return nil, err
	}
	picture := ""
	if res.Print != nil {
		picture = dossier.StrandPicture(res)
	}
	if r.state.Stage == "run" {
		page, err := dossier.HTML(res)
		if err != nil {
			return nil, err
		}
		res.AddFile("dossier.html", page)
	}
	// Results of another command that nobody has looked at yet go into the
	// history before they are replaced; those that cannot be read are no loss.
	job.KeepRun(x.dir, x.options(), "")
	if err = res.Save(ctx); err != nil {
		return nil, err
	}
	_, err = job.KeepRun(x.dir, x.options(), picture)
	return res, err
}

// finish notes how a run ended and tells it.
func (x *session) finish(r *run, res *job.Results, err error) {
	var input *job.InputError
	x.mu.Lock()
	r.state.Elapsed = time.Since(r.started).Seconds()
	r.state.Left = nil
	switch {
	case err == nil:
		r.state.State, r.state.Share, r.state.Step = "done", 1, ""
		if v := res.Record.Verdict; v != nil {
			r.state.Verdict = "fails"
			if v.Passes {
				r.state.Verdict = "passes"
			}
		}
		if x.live != nil { // kept now: the same results need not be read again
			x.views, x.viewsOf = x.live, x.stamp().results
		}
	case errors.Is(err, context.Canceled):
		r.state.State, r.state.Error = "cancelled", "cancelled; nothing was written"
	default:
		r.state.State, r.state.Error = "failed", err.Error()
		if errors.As(err, &input) {
			r.state.Faults = input.Faults
		}
	}
	x.live = nil
	x.tellLocked(RunEvent{r.state}) // under the lock: a look sees the run's end only when it is told
	x.mu.Unlock()
	x.look()
}

// setState changes a run's state and tells it.
func (x *session) setState(r *run, change func()) {
	x.mu.Lock()
	change()
	st := x.measured(r)
	x.mu.Unlock()
	x.tell(RunEvent{st})
}

// progressEvery is the shortest time between two events of progress.
const progressEvery = 100 * time.Millisecond

func (x *session) progress(r *run, p job.Progress) {
	x.mu.Lock()
	r.state.Step, r.state.Share = p.Stage, math.Max(r.state.Share, p.Share)
	due := time.Since(r.told) >= progressEvery
	if due {
		r.told = time.Now()
	}
	st := x.measured(r)
	x.mu.Unlock()
	if due {
		x.tell(RunEvent{st})
	}
}

// arrived keeps what can be shown before the run ends.
func (x *session) arrived(r *run, what string, v *job.Views) {
	x.mu.Lock()
	x.live = v
	r.state.Arrived = append(r.state.Arrived[:len(r.state.Arrived):len(r.state.Arrived)], what)
	r.stage, r.since = min(r.stage+1, len(r.stages)-1), time.Now()
	st := x.measured(r)
	x.mu.Unlock()
	x.tell(ArrivedEvent{Run: st.ID, What: what})
	x.tell(RunEvent{st})
}

// leastLeft keeps the estimate of a stage that takes longer than before from
// running out: so much of its time is always said to be left.
const leastLeft = 0.1

// measured returns the state with the times as they are now. The caller holds
// the lock.
func (x *session) measured(r *run) RunState {
	st := r.state
	if !r.underWay() {
		return st
	}
	st.Elapsed = time.Since(r.started).Seconds()
	left := 0.0
	for i := r.stage; i < len(r.stages); i++ {
		took, known := r.seconds[r.stages[i]]
		if !known {
			return st
		}
		if i == r.stage && st.State == "running" {
			took = math.Max(took-time.Since(r.since).Seconds(), leastLeft*took)
		}
		left += took
	}
	st.Left = &left
	return st
}

// runState returns the state of the run under way or of the last one.
func (x *session) runState() (RunState, bool) {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.run == nil {
		return RunState{}, false
	}
	return x.measured(x.run), true
}

// cancelRun stops the run and waits until it has stopped.
func (x *session) cancelRun(ctx context.Context) (*RunState, error) {
	x.mu.Lock()
	r := x.run
	x.mu.Unlock()
	if r == nil {
		return nil, problem(http.StatusNotFound, "nothing runs")
	}
	r.cancel()
	select {
	case <-r.ended:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	st, _ := x.runState()
	return &st, nil
}

// analyseQuickly analyses the strands of the last results under the loads as
// they are now.
func (x *session) analyseQuickly(ctx context.Context) (*job.QuickRecord, error) {
	v, err := x.viewsNow("run")
	if err != nil {
		return nil, err
	}
	rec, quick, err := v.Quick(ctx, x.dir, x.options())
	if errors.Is(err, job.ErrOtherStrands) || errors.Is(err, job.ErrNoResults) {
		return nil, problem(http.StatusConflict, "%v", err)
	}
	if err != nil {
		return nil, err
	}
	x.mu.Lock()
	x.quick = quick
	x.mu.Unlock()
	return rec, nil
}
