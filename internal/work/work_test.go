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

func TestShareCutsAll(t *testing.T) {
	for _, workers := range []int{-1, 1, 2, 7, 100} {
		var seen [50]atomic.Int32
		Share(len(seen), workers, func(lo, hi int) {
			for i := lo; i < hi; i++ {
				seen[i].Add(1)
			}
		})
		for i := range seen {
			if c := seen[i].Load(); c != 1 {
				t.Errorf("%d workers: %d was met %d times", workers, i, c)
			}
		}
	}
}
