package job

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"sinew/field"
	"sinew/internal/atomicfile"
	"sinew/stress"
)

// Names in the folder of results: the record of a run, what the clock said of
// it, and the machine program.
const (
	ResultName  = "result.json"
	RunName     = "run.json"
	ProgramName = programName
)

// FileName is the job file in a job's folder.
const FileName = "job.toml"

// The files that Save writes besides the program.
const (
	resultName = ResultName
	runName    = RunName
	lockName   = ".sinew.lock"
)

// Options steers a job's run; the zero value is the default.
type Options struct {
	Out      string         // folder of results; default "out" in the job's folder
	Cards    string         // folder of the user's cards; they go before the built-in ones
	Workers  int            // processors; default all. The answer does not depend on it
	Alone    bool           // judge the part as printed alone, without designs and printers to compare with
	Progress func(Progress) // told of every step; may be nil
	// Stop, where given, is asked during a search or a refinement: true ends it
	// with the best so far. The run goes on with that, says so, and the next run
	// of the same job goes on from there.
	Stop func() bool
	// Arrived is told of results as they come: "mesh", "strands", "proof", each
	// with what can be asked then; may be nil. It is called on the run's own
	// goroutine.
	Arrived func(what string, v *Views)
	// Confined refuses links that lead out of the job's folder: for whoever runs
	// jobs that others may have put there.
	Confined bool
}

// Progress says how far a run is.
type Progress struct {
	Stage string
	Share float64 // of the whole run, 0..1
}

// Job is an open job: its folder is locked until Close.
type Job struct {
	dir, out string
	opt      Options
	file     *File
	faults   *faultList // knows where keys stand in the file
	in       *inputs
	allowed  []string
	copies   int            // asked for beside the job file; 0: the file's
	rivals   []string       // printers to compare with, beside the job file's
	system   *stress.System // that the mesh was refined with in this run
	planned  *field.Input   // of the lay-up that was made in this run
	run      RunRecord
	files    []outFile
	stale    []string // results of an earlier run that must not stay beside this one's
	unlock   func()
}

// outFile is a result waiting to be written, path relative to the out folder.
type outFile struct {
	path string
	data []byte
}

// Open reads and checks a job: its file, drawing and cards. The folder stays
// locked against a second command until Close.
func Open(dir string, o Options) (*Job, error) {
	path := filepath.Join(dir, FileName)
	data, err := readInput(path, path, maxJobBytes)
	if err != nil {
		return nil, err
	}
	j, err := prepare(dir, data, o)
	if err != nil {
		return nil, err
	}
	if err := j.lock(); err != nil {
		return nil, err
	}
	return j, nil
}

// jobIn fills in the defaults of the options.
func jobIn(dir string, o Options) *Job {
	j := &Job{dir: dir, out: o.Out, opt: o}
	if j.out == "" {
		j.out = filepath.Join(dir, "out")
	}
	if j.opt.Workers <= 0 {
		j.opt.Workers = runtime.GOMAXPROCS(0)
	}
	return j
}

// lock keeps other commands out of the job's folder. A folder that cannot be
// written needs no lock as long as results go elsewhere.
func (j *Job) lock() error {
	unlock, err := atomicfile.Lock(filepath.Join(j.dir, lockName))
	if errors.Is(err, os.ErrPermission) && j.opt.Out != "" {
		j.unlock = func() {}
		return nil
	}
	j.unlock = unlock
	return err
}

// Close gives the folder back.
func (j *Job) Close() { j.unlock() }

// Allow lets findings pass by their id; the record says so.
func (j *Job) Allow(ids []string) { j.allowed = append(j.allowed, ids...) }

// begin starts the clock of a run.
func (j *Job) begin(command string) {
	j.files, j.stale, j.system, j.planned = nil, nil, nil, nil
	j.run = RunRecord{Command: command, Started: time.Now().UTC().Format(time.RFC3339), Seconds: map[string]float64{}, Reused: []string{}, Workers: j.opt.Workers}
}

// tell reports progress.
func (j *Job) tell(stage string, share float64) {
	if j.opt.Progress != nil {
		j.opt.Progress(Progress{stage, share})
	}
}

// arrived hands results over.
func (j *Job) arrived(what string, v *Views) {
	if j.opt.Arrived != nil {
		j.opt.Arrived(what, v)
	}
}

// AddFile adds a file to what Save writes, path relative to the out folder.
func (r *Results) AddFile(path string, data []byte) {
	r.job.files = append(r.job.files, outFile{path, data})
}

// Save writes all results at once: each file appears whole, and none does
// when the context is cancelled before. A program of an earlier run does not
// stay where this run forbids one.
func (r *Results) Save(ctx context.Context) error {
	rec, err := marshal(r.Record)
	if err != nil {
		return err
	}
	run, err := marshal(r.job.run)
	if err != nil {
		return err
	}
	b := atomicfile.NewBatch()
	defer b.Discard()
	for _, f := range append(r.job.files, outFile{resultName, rec}, outFile{runName, run}) {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := b.Add(filepath.Join(r.job.out, f.path), f.data); err != nil {
			return err
		}
	}
	if err := b.Commit(); err != nil {
		return err
	}
	for _, name := range r.job.stale {
		if err := os.Remove(filepath.Join(r.job.out, name)); err != nil && !errors.Is(err, os.ErrNotExist) {
			return fmt.Errorf("remove what an earlier run left: %w", err)
		}
	}
	return nil
}

func marshal(v any) ([]byte, error) {
	data, err := json.MarshalIndent(v, "", "  ")
	return append(data, '\n'), err
}
