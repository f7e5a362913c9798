package field

import (
	"sync"

	"sinew/internal/work"
	"sinew/stress"
)

// lane is what one attempt at a time works with: a system of equations to solve
// again and again. Attempts in different lanes run at the same time, and each
// comes out the same in any.
type lane struct {
	sys     *stress.System
	workers int
	fits    map[*guess]*problem // one attempt after the other uses them
}

func newLane(sys *stress.System, workers int) *lane {
	return &lane{sys, workers, map[*guess]*problem{}}
}

// fit is the problem that attempts from a guess solve.
func (l *lane) fit(g *guess) *problem {
	if l.fits[g] == nil {
		l.fits[g] = g.fit.twin(l.workers)
	}
	return l.fits[g]
}

// smoothers holds the factorised matrices M + r²K of all lanes, by length r.
type smoothers struct {
	mutex sync.Mutex
	of    map[float64]*smoother
}

// smoother is used by one lane at a time.
type smoother struct {
	sync.Mutex
	problem *problem // nil before first used
}

// smooth solves (M + r²K)·x = x for three right sides.
func (f *fitter) smooth(r float64, x []float64) error {
	f.smoothers.mutex.Lock()
	s := f.smoothers.of[r]
	if s == nil {
		s = new(smoother)
		f.smoothers.of[r] = s
	}
	f.smoothers.mutex.Unlock()
	s.Lock()
	defer s.Unlock()
	if s.problem == nil {
		p := f.free.twin(1)
		p.assemble(func(int) tensor { return tensor{r * r, 0, r * r} }, 1, nil)
		if err := p.factorize(); err != nil {
			return err
		}
		s.problem = p
	}
	s.problem.fac.Solve(x, 3)
	return nil
}

// together runs tasks side by side and returns the first error in their order;
// each is told how many workers it may take.
func (f *fitter) together(tasks ...func(workers int) error) error {
	errs := make([]error, len(tasks))
	own := max(1, f.set.Workers/len(tasks))
	work.Each(len(tasks), f.set.Workers, func(i int) { errs[i] = tasks[i](own) })
	return firstOf(errs)
}

func firstOf(errs []error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// each runs do on the attempts, round after round, as many at a time as there
// are workers, and returns the first error in the attempts' order. An attempt
// need not wait for the rounds of others. told is called after each round of one
// with the share done, never twice at a time.
func (f *fitter) each(list []*attempt, rounds int, told func(share float64), do func(a *attempt, round int) error) error {
	workers := min(f.set.Workers, len(list))
	for len(f.sides) < workers && workers > 1 {
		f.sides = append(f.sides, newLane(f.in.System.Twin(1), 1))
	}
	errs := make([]error, len(list))
	ended := make([]chan struct{}, rounds*len(list)) // by round, then attempt
	for k := range ended {
		ended[k] = make(chan struct{})
	}
	done := 0
	var mutex sync.Mutex
	work.EachIn(len(ended), workers, func(w, k int) {
		defer close(ended[k])
		round, i := k/len(list), k%len(list)
		if round > 0 {
			<-ended[k-len(list)]
		}
		if errs[i] != nil {
			return
		}
		if workers > 1 {
			list[i].lane = f.sides[w]
			defer func() { list[i].lane = f.lane }()
		}
		errs[i] = do(list[i], round)
		mutex.Lock()
		defer mutex.Unlock()
		done++
		told(float64(done) / float64(len(ended)))
	})
	for _, l := range f.sides {
		clear(l.fits) // the next attempts are others
	}
	return firstOf(errs)
}
