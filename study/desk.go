package study

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"sinew/job"
)

// leaseTime is how long a point stays with a worker on another machine that is
// not heard of.
const leaseTime = 30 * time.Second

// lookAgain is how often a waiting worker looks whether a lease has ended.
const lookAgain = time.Second

// maxStrikes is how many wrong answers a worker may give before it gets no more
// points.
const maxStrikes = 3

// task is one distinct point: those with equal keys are computed once.
type task struct {
	key    string
	text   []byte
	answer *Outcome  // nil: not known yet
	holder string    // worker that has it; "": none
	until  time.Time // when its lease ends; zero: never
}

// desk hands points out in their order and takes the answers. All of its methods
// may be called at once.
type desk struct {
	stage job.Stage
	keep  func(*Outcome) error
	now   func() time.Time
	tell  func(done, all int)

	mu      sync.Mutex
	tasks   []*task
	byKey   map[string]*task
	left    int // tasks without answer
	closed  bool
	err     error
	strikes map[string]int // wrong answers by worker
	changed chan struct{}  // closed, and made anew, when a waiting worker should look again
}

// errOver says that there is nothing left to do: all is answered, or the study
// was stopped.
var errOver = errors.New("the study is over")

// errNothing says that there is nothing to do at present: what is left is with
// others.
var errNothing = errors.New("every point is with a worker")

// errBarred says that a worker gave too many wrong answers.
var errBarred = fmt.Errorf("this worker gave %d wrong answers and gets no more points; install the same version on it", maxStrikes)

func newDesk(stage job.Stage, keep func(*Outcome) error, tell func(done, all int)) *desk {
	return &desk{stage: stage, keep: keep, now: time.Now, tell: tell, byKey: map[string]*task{}, strikes: map[string]int{}, changed: make(chan struct{})}
}

// add puts a point on the desk, unless it lies there already; answer is what is
// known of it.
func (d *desk) add(key string, text []byte, find func() *Outcome) *task {
	if t := d.byKey[key]; t != nil {
		return t
	}
	t := &task{key: key, text: text, answer: find()}
	if t.answer == nil {
		d.left++
	}
	d.tasks = append(d.tasks, t)
	d.byKey[key] = t
	return t
}

// take hands the first free point to a worker, for a time or (zero) for as long
// as it takes.
func (d *desk) take(worker string, lease time.Duration) (*task, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	switch {
	case d.left == 0 || d.closed:
		return nil, errOver
	case d.strikes[worker] >= maxStrikes:
		return nil, errBarred
	}
	now := d.now()
	for _, t := range d.tasks {
		if t.answer != nil || t.holder != "" && (t.until.IsZero() || now.Before(t.until)) {
			continue
		}
		t.holder, t.until = worker, time.Time{}
		if lease > 0 {
			t.until = now.Add(lease)
		}
		return t, nil
	}
	return nil, errNothing
}

// wait is take that waits until there is something to do, or the context ends.
func (d *desk) wait(ctx context.Context, worker string, lease time.Duration) (*task, error) {
	for {
		d.mu.Lock()
		changed := d.changed
		d.mu.Unlock()
		t, err := d.take(worker, lease)
		if !errors.Is(err, errNothing) {
			return t, err
		}
		select {
		case <-ctx.Done():
			return nil, errNothing
		case <-changed:
		case <-time.After(lookAgain):
		}
	}
}

// renew keeps a point with its worker; it reports whether it still is.
func (d *desk) renew(worker, key string, lease time.Duration) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	t := d.byKey[key]
	if t == nil || t.answer != nil || t.holder != worker || d.closed {
		return false
	}
	t.until = d.now().Add(lease)
	return true
}

// giveBack frees a point that its worker will not answer.
func (d *desk) giveBack(worker, key string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if t := d.byKey[key]; t != nil && t.holder == worker {
		t.holder = ""
		d.stir()
	}
}

// put takes in an answer that was held to its form. A second one changes nothing.
func (d *desk) put(o *Outcome) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	t := d.byKey[o.Key]
	if t == nil || t.answer != nil {
		return nil
	}
	if err := d.keep(o); err != nil {
		return err
	}
	t.answer, t.holder = o, ""
	d.left--
	d.tell(len(d.tasks)-d.left, len(d.tasks))
	d.stir()
	return nil
}

// receive takes in the bytes that a worker on another machine sends as the
// answer for a point. A wrong one frees the point and is counted against it.
func (d *desk) receive(worker, key string, data []byte) error {
	o, err := readOutcome(data, key, d.stage)
	d.mu.Lock()
	known := d.byKey[key] != nil
	if err != nil || !known {
		d.strikes[worker]++
	}
	d.mu.Unlock()
	switch {
	case err != nil:
		d.giveBack(worker, key)
		return &wrongAnswer{err}
	case !known:
		return &wrongAnswer{errors.New("answers a point that was not asked")}
	}
	if err := d.put(o); err != nil {
		d.fail(err)
		return err
	}
	return nil
}

// wrongAnswer is an answer that does not hold.
type wrongAnswer struct{ error }

// fail ends the study by an error of this machine, such as a full disk.
func (d *desk) fail(err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.err = errors.Join(d.err, err)
	d.closed = true
	d.stir()
}

// close hands out no more; what is being computed may still be answered.
func (d *desk) close() {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.closed = true
	d.stir()
}

// stir wakes those who wait; the lock is held.
func (d *desk) stir() {
	close(d.changed)
	d.changed = make(chan struct{})
}

// over waits until nothing is left to do, or the context ends.
func (d *desk) over(ctx context.Context) {
	for {
		d.mu.Lock()
		changed, over := d.changed, d.left == 0 || d.closed
		d.mu.Unlock()
		if over {
			return
		}
		select {
		case <-ctx.Done():
			return
		case <-changed:
		}
	}
}

// failure is what ended the study by force; nil: nothing.
func (d *desk) failure() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.err
}
