package study

import (
	"context"
	"fmt"
	"net"
	"path/filepath"
	"runtime"
	"sync"
	"time"

	"sinew/internal/atomicfile"
	"sinew/job"
)

// Names of the results in the folder of results.
const (
	ResultName = "study.json"
	TableName  = "study.csv"
	PageName   = "study.html"
	keptFolder = "study" // answers as they came
)

// maxFileBytes bounds job file and study file: far above any that a person
// writes.
const maxFileBytes = 1 << 20

// stopLooks is how often a study asks whether it is to stop.
const stopLooks = 100 * time.Millisecond

// Settings steers a study; the zero value computes it here, with every processor.
type Settings struct {
	Out   string // folder of results; default "out" in the job's folder
	Cards string // folder of the user's cards
	// Workers is how many points are computed at a time on this machine, each on
	// one processor; 0 means one for each processor, -1 none.
	Workers int
	// Listener is where workers on other machines ask for points; nil: nowhere.
	Listener net.Listener
	Token    string              // that they must show
	Progress func(done, all int) // told of every distinct point; may be nil
	Tell     func(what string)   // told of workers that come or are sent away; may be nil
	Stop     func() bool         // true ends the study when the points in hand are done; may be nil
}

// Run carries out the study in a job's folder and writes its results. Where the
// context ends or Stop says so before all points are done, it writes what there
// is, says so in the record, and the next run goes on from there.
func Run(ctx context.Context, dir string, s Settings) (*Record, error) {
	s = s.filled(dir)
	j, err := job.Open(dir, job.Options{Out: s.Out, Cards: s.Cards})
	if err != nil {
		return nil, err
	}
	defer j.Close() // until then the folder is this study's
	st, err := open(dir, s)
	if err != nil {
		return nil, err
	}
	if err := st.carryOut(ctx, s); err != nil {
		return nil, err
	}
	r := st.record(j)
	return r, r.save(s.Out)
}

// study is a study with its files and what is known of its points.
type study struct {
	*plan
	*desk
	hash    string // of the study file
	files   []packed
	answers []*task // one a point; equal points share one
}

// open reads the study in a job's folder, and the answers that are kept.
func open(dir string, s Settings) (*study, error) {
	jobText, err := readInput(dir, job.FileName, maxFileBytes)
	if err != nil {
		return nil, err
	}
	text, err := readInput(dir, FileName, maxFileBytes)
	if err != nil {
		return nil, err
	}
	p, err := readPlan(text, jobText)
	if err != nil {
		return nil, err
	}
	files, err := readPack(dir, s.Cards)
	if err != nil {
		return nil, err
	}
	kept := journal{filepath.Join(s.Out, keptFolder)}
	st := &study{plan: p, desk: newDesk(p.stage, kept.keep, s.Progress), hash: hashOf(text), files: files}
	for _, pt := range p.points {
		key := keyOf(pt.text, p.stage, files)
		st.answers = append(st.answers, st.add(key, pt.text, func() *Outcome { return kept.find(key, p.stage) }))
	}
	s.Progress(len(st.tasks)-st.left, len(st.tasks))
	return st, nil
}

// record judges what is known of the points of a job.
func (st *study) record(j *job.Job) *Record {
	r := st.newRecord(st.answers)
	r.Study, r.Job, r.InputHash, r.StudyHash = st.file.Name, j.Name(), j.InputHash(), st.hash
	if r.Study == "" {
		r.Study = r.Job
	}
	r.Files = append(r.Files, st.files...)
	return r
}

// filled puts in the defaults.
func (s Settings) filled(dir string) Settings {
	if s.Out == "" {
		s.Out = filepath.Join(dir, "out")
	}
	if s.Workers == 0 {
		s.Workers = runtime.GOMAXPROCS(0)
	}
	if s.Progress == nil {
		s.Progress = func(int, int) {}
	}
	if s.Tell == nil {
		s.Tell = func(string) {}
	}
	if s.Stop == nil {
		s.Stop = func() bool { return false }
	}
	return s
}

// carryOut computes what lies on the desk: here, and wherever workers ask. When
// it returns nobody is at work any more.
func (st *study) carryOut(ctx context.Context, s Settings) error {
	ctx, end := context.WithCancel(ctx)
	var group sync.WaitGroup
	defer group.Wait()
	defer end()
	group.Go(func() {
		for ctx.Err() == nil && !s.Stop() {
			select {
			case <-ctx.Done():
			case <-time.After(stopLooks):
			}
		}
		st.close()
	})
	if s.Listener != nil {
		stopServing := serve(st.desk, st.files, s)
		defer stopServing()
	}
	var local sync.WaitGroup
	for i := range max(s.Workers, 0) {
		local.Go(func() {
			if err := st.work(ctx, fmt.Sprintf("here %d", i+1), st.files); err != nil {
				st.fail(err)
			}
		})
	}
	st.over(ctx)
	local.Wait() // the points in hand are done, unless the context ended
	return st.failure()
}

// work is a worker on this machine.
func (d *desk) work(ctx context.Context, name string, files []packed) error {
	b, err := newBench(files)
	if err != nil {
		return err
	}
	defer b.remove()
	for {
		t, err := d.wait(ctx, name, 0)
		if err != nil {
			return nil // the study is over, or was stopped
		}
		o, err := b.compute(ctx, t.key, t.text, d.stage)
		if ctx.Err() != nil {
			return nil
		}
		if err != nil {
			return err
		}
		if err := d.put(o); err != nil {
			return err
		}
	}
}

// save writes the results, all together.
func (r *Record) save(out string) error {
	data, err := r.JSON()
	if err != nil {
		return err
	}
	table, err := r.csv()
	if err != nil {
		return err
	}
	page, err := r.page()
	if err != nil {
		return err
	}
	b := atomicfile.NewBatch()
	defer b.Discard()
	for name, data := range map[string][]byte{ResultName: data, TableName: table, PageName: page} {
		if err := b.Add(filepath.Join(out, name), data); err != nil {
			return err
		}
	}
	return b.Commit()
}
