package work

import (
	"sync/atomic"
	"testing"
)

func TestEachOnceForAnyWorkers(t *testing.T) {
	for _, workers := range []int{-1, 0, 1, 2, 7, 100} {
		const n = 50
		var calls [n]atomic.Int32
		var busy [n]atomic.Bool // by worker
		EachIn(n, workers, func(w, i int) {
			if busy[w].Swap(true) {
				t.Errorf("%d workers: worker %d does two things at a time", workers, w)
			}
			calls[i].Add(1)
			busy[w].Store(false)
		})
		for i := range calls {
			if c := calls[i].Load(); c != 1 {
				t.Errorf("%d workers: piece %d done %d times", workers, i, c)
			}
		}
	}
	Each(0, 4, func(int) { t.Error("a piece of nothing") })
}
