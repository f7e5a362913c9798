package sparse

import (
	"runtime"
	"sync/atomic"
)

// team is a few goroutines that take the items of one loop after another. The
// leader takes items too, so that a helper the system does not run delays
// nothing but its own item.
type team struct {
	size int
	body func(worker, item int)

	round atomic.Uint64 // number of the loop in the upper half, next item in the lower
	last  atomic.Int64  // items of the loop
	done  atomic.Int64
	quit  atomic.Bool
	left  atomic.Int64 // helpers still running
}

const itemBits = 32

// start makes the helpers wait for loops; stop must follow.
func (t *team) start(body func(worker, item int)) {
	t.body = body
	t.quit.Store(false)
	t.left.Store(int64(t.size - 1))
	for w := 1; w < t.size; w++ {
		go t.help(w)
	}
}

// stop ends the helpers.
func (t *team) stop() {
	t.quit.Store(true)
	for turn := 0; t.left.Load() > 0; turn++ {
		pause(turn)
	}
}

// loop runs body on the items 0..n-1, each once, and returns when all are done.
func (t *team) loop(n int) {
	if t.size == 1 || n < 2 {
		for i := range n {
			t.body(0, i)
		}
		return
	}
	number := t.round.Load()>>itemBits + 1
	t.done.Store(0)
	t.last.Store(int64(n))
	t.round.Store(number << itemBits)
	t.work(0, number)
	for turn := 0; t.done.Load() < int64(n); turn++ {
		pause(turn)
	}
	// no helper may take an item of this loop any more
	t.round.Store(number<<itemBits | 1<<(itemBits-1))
}

// work takes items of the loop with the number given until none is left, and
// reports whether it took any.
func (t *team) work(worker int, number uint64) (any bool) {
	for {
		r := t.round.Load()
		item := int64(r & (1<<itemBits - 1))
		if r>>itemBits != number || item >= t.last.Load() {
			return any
		}
		if t.round.CompareAndSwap(r, r+1) {
			any = true
			t.body(worker, int(item))
			t.done.Add(1)
		}
	}
}

func (t *team) help(worker int) {
	for turn := 0; !t.quit.Load(); turn++ {
		if t.work(worker, t.round.Load()>>itemBits) {
			turn = 0
		}
		pause(turn)
	}
	t.left.Add(-1)
}

// idleTurns is how often one who waits looks again before it offers its
// processor to other threads: some microseconds, which is what most waits take.
const idleTurns = 64

// pause is one turn of waiting.
func pause(turn int) {
	if turn < idleTurns {
		runtime.Gosched()
		return
	}
	yield()
}
