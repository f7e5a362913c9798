// Package work shares independent pieces of work out among goroutines.
package work

import (
	"sync"
	"sync/atomic"
)

// Each calls do for 0..n-1, as many at a time as there are workers, and returns
// when all are done. Each call must write to places of its own: then the answer
// does not depend on the number of workers.
func Each(n, workers int, do func(i int)) {
	EachIn(n, workers, func(_, i int) { do(i) })
}

// EachIn is Each that also tells do which worker calls it, 0..workers-1; no two
// calls of one worker run at the same time.
func EachIn(n, workers int, do func(worker, i int)) {
	workers = min(workers, n)
	if workers <= 1 {
		for i := range n {
			do(0, i)
		}
		return
	}
	var next atomic.Int64
	var wait sync.WaitGroup
	for w := range workers {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(w, i)
			}
		})
	}
	wait.Wait()
}

// Share cuts 0..n into one piece for each worker and waits for all. As with Each,
// do must write to places of its own.
func Share(n, workers int, do func(lo, hi int)) {
	if workers <= 1 || n < workers {
		do(0, n)
		return
	}
	Each(workers, workers, func(w int) { do(n*w/workers, n*(w+1)/workers) })
}
