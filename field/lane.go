package field

import (
	"sync"

	"sinew/stress"
)

// lane is what one attempt at a time works with: a system of equations to solve
// again and again, and the smoothing of targets. Attempts in different lanes
// run at the same time, and each comes out the same in any.
type lane struct {
	sys     *stress.System
	workers int
	smooth  map[float64]*problem // by length
}

func newLane(sys *stress.System, workers int) *lane {
	return &lane{sys, workers, map[float64]*problem{}}
}

// smoother is the matrix M + r²K, factorised.
func (l *lane) smoother(f *fitter, r float64) (*problem, error) {
	if p := l.smooth[r]; p != nil {
		return p, nil
	}
	p := f.free.twin(l.workers)
	p.assemble(func(int) tensor { return tensor{r * r, 0, r * r} }, 1, nil)
	if err := p.factorize(); err != nil {
		return nil, err
	}
	l.smooth[r] = p
	return p, nil
}

// each runs do on the attempts, as many at a time as there are workers, and
// returns the first error in their order. told, where given, is called after
// each with the number done, never twice at a time.
func (f *fitter) each(list []*attempt, told func(done int), do func(a *attempt) error) error {
	workers := min(f.set.Workers, len(list))
	errs := make([]error, len(list))
	done := 0
	var mutex sync.Mutex
	run := func(i int) {
		errs[i] = do(list[i])
		mutex.Lock()
		defer mutex.Unlock()
		done++
		told(done)
	}
	if workers < 2 {
		for i := range list {
			if run(i); errs[i] != nil {
				return errs[i]
			}
		}
		return nil
	}
	next := make(chan int)
	var wait sync.WaitGroup
	for w := range workers {
		own := f.side(w)
		wait.Go(func() {
			for i := range next {
				list[i].move(own)
				run(i)
				list[i].move(f.lane)
			}
		})
	}
	for i := range list {
		next <- i
	}
	close(next)
	wait.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// side is lane w of those that run side by side, each with one worker.
func (f *fitter) side(w int) *lane {
	for len(f.sides) <= w {
		f.sides = append(f.sides, newLane(f.in.System.Twin(1), 1))
	}
	return f.sides[w]
}

// move puts an attempt into a lane.
func (a *attempt) move(l *lane) {
	a.lane, a.fit = l, a.fit.twin(l.workers)
}
