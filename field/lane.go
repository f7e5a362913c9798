package field

import (
	"sync"

	"sinew/internal/work"
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
	for len(f.sides) < workers && workers > 1 {
		f.sides = append(f.sides, newLane(f.in.System.Twin(1), 1))
	}
	errs := make([]error, len(list))
	done := 0
	var mutex sync.Mutex
	work.EachIn(len(list), workers, func(w, i int) {
		if workers > 1 {
			list[i].move(f.sides[w])
			defer list[i].move(f.lane)
		}
		errs[i] = do(list[i])
		mutex.Lock()
		defer mutex.Unlock()
		done++
		told(done)
	})
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// move puts an attempt into a lane.
func (a *attempt) move(l *lane) {
	a.lane, a.fit = l, a.fit.twin(l.workers)
}
