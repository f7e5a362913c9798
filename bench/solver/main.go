// Command solver times package sparse beside CHOLMOD and MUMPS on the same
// matrices, in turn within one run, and prints a table (least times of the
// rounds) as Markdown; with -svg it also draws time against size.
package main

import (
	"flag"
	"fmt"
	"math"
	"os"
	"runtime"
	"runtime/debug"
	"sync"
	"syscall"
	"time"
	"unsafe"

	"golang.org/x/sys/unix"

	"sinew/sparse"
)

// figures are the least times seen, in seconds.
type figures struct {
	name                                          string
	analyze, first, refactor, one, many, backward float64
	fill                                          float64
	// processor seconds of first, refactor, one and many
	work, again, oneWork, manyWork float64
	rounds                         int
}

func (f *figures) take(g figures) {
	least := func(p *float64, v float64) {
		if *p == 0 || v < *p {
			*p = v
		}
	}
	least(&f.analyze, g.analyze)
	least(&f.first, g.first)
	least(&f.refactor, g.refactor)
	least(&f.one, g.one)
	least(&f.many, g.many)
	least(&f.work, g.work)
	least(&f.again, g.again)
	least(&f.oneWork, g.oneWork)
	least(&f.manyWork, g.manyWork)
	f.rounds++
	f.fill, f.backward = g.fill, math.Max(f.backward, g.backward)
}

const columns = 32

func main() {
	rounds := flag.Int("rounds", 5, "most rounds, each of which times every solver once")
	minutes := flag.Float64("minutes", 5, "no round begins after its size's share of this time; each size has one")
	market := flag.String("market", "", "Matrix Market file of a positive definite matrix to time instead of the plates")
	svg := flag.String("svg", "", "file for the plot")
	flag.Parse()
	fmt.Printf("OpenBLAS kernel: %s; processors: %d\n\n", blasKernel(), runtime.NumCPU())
	if *market != "" {
		a, err := read(*market)
		check(err)
		report(a.N, measure(a, nil, *rounds, time.Now().Add(time.Duration(*minutes*float64(time.Minute)))))
		return
	}
	var drawn [][]figures
	var sizes []int
	start := time.Now()
	for _, size := range []struct {
		k     int
		until float64 // share of the time
	}{{79, 0.1}, {158, 0.3}, {250, 1}} {
		a, at := plate(size.k)
		all := measure(a, at, *rounds, start.Add(time.Duration(size.until**minutes*float64(time.Minute))))
		report(a.N, all)
		drawn, sizes = append(drawn, all), append(sizes, a.N)
	}
	if *svg != "" {
		check(os.WriteFile(*svg, plot(sizes, drawn), 0o644))
	}
}

func check(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func read(path string) (*sparse.Symmetric, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return sparse.ReadMarket(file)
}

// measure times ours (with coordinates, without, on one worker) and the
// references in turn, round after round: the least of each is what other work
// on the machine disturbed least.
func measure(a *sparse.Symmetric, at [][2]float64, rounds int, until time.Time) []figures {
	m := toC(a.ColPtr, a.Row, a.Val)
	own := []struct {
		name string
		s    sparse.Settings
	}{{"sinew, 2 workers", sparse.Settings{Coords: at, Workers: 2}},
		{"sinew, 1 worker", sparse.Settings{Coords: at, Workers: 1}},
		{"sinew, 2 workers, graph only", sparse.Settings{Workers: 2}}}
	all := make([]figures, len(own)+8)
	room := 30 * len(a.Val) * 8 // more than any of them needs
	for round := range rounds {
		if round > 0 && time.Now().After(until) {
			break
		}
		for i, o := range own {
			debug.FreeOSMemory()
			warm(room)
			all[i].name = o.name
			all[i].take(ours(a, o.s))
		}
		for i := range 8 {
			library, ordering, threads := i>>2, i>>1&1, 1+i&1
			f := &all[len(own)+i]
			f.name = fmt.Sprintf("%s, %s, %d thread(s)", []string{"CHOLMOD", "MUMPS"}[library], []string{"AMD", "METIS"}[ordering], threads)
			warm(room)
			f.take(theirs(a, m, library, ordering, threads))
		}
	}
	return all
}

// warm makes the machine ready before each timing, the same for all: memory that
// the host of a virtual machine has taken back is backed again by touching and
// freeing as much, in ordinary pages and in large ones, and both processors run.
// Each solver still takes its memory from the system anew.
func warm(bytes int) {
	p := alloc(bytes)
	touch(unsafe.Slice((*byte)(p), bytes))
	large, err := unix.Mmap(-1, 0, bytes, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_ANON|unix.MAP_PRIVATE)
	if err != nil {
		panic(err)
	}
	_ = unix.Madvise(large, unix.MADV_HUGEPAGE) // a hint
	touch(large)
	release(p)
	if err := unix.Munmap(large); err != nil {
		panic(err)
	}
	var both sync.WaitGroup
	for range runtime.NumCPU() {
		both.Go(func() {
			for t := time.Now(); time.Since(t) < 30*time.Millisecond; {
			}
		})
	}
	both.Wait()
}

func touch(p []byte) {
	for i := 0; i < len(p); i += 4096 {
		p[i] = 1
	}
}

func right(n, columns int) []float64 {
	b := make([]float64, n*columns)
	for i := range b {
		b[i] = math.Sin(float64(i))
	}
	return b
}

// burnt is the processor time of this process, which other programs on the
// machine disturb less than the clock.
func burnt() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}

func since(t time.Time) float64 { return time.Since(t).Seconds() }

func ours(a *sparse.Symmetric, s sparse.Settings) figures {
	var g figures
	b, many := right(a.N, 1), right(a.N, columns)
	x := append([]float64(nil), b...)
	start, spent := time.Now(), burnt()
	y, err := sparse.Analyze(a, s)
	if err != nil {
		panic(err)
	}
	g.analyze = since(start)
	f, err := y.Factorize(a)
	if err != nil {
		panic(err)
	}
	f.Solve(x, 1)
	g.first, g.work = since(start), burnt()-spent
	g.backward = a.BackwardError(x, b)
	start, spent = time.Now(), burnt()
	if err := f.Refactorize(a); err != nil {
		panic(err)
	}
	g.refactor, g.again = since(start), burnt()-spent
	start, spent = time.Now(), burnt()
	f.Solve(x, 1)
	g.one, g.oneWork = since(start), burnt()-spent
	start, spent = time.Now(), burnt()
	f.Solve(many, columns)
	g.many, g.manyWork = since(start), burnt()-spent
	g.fill = float64(y.Stats().Fill)
	return g
}

func theirs(a *sparse.Symmetric, m cmatrix, library, ordering, threads int) figures {
	var g figures
	b, many := right(a.N, 1), right(a.N, columns)
	x := append([]float64(nil), b...)
	start, spent := time.Now(), burnt()
	r := newReference(library, ordering, threads, m)
	defer r.free()
	r.analyze()
	g.analyze = since(start)
	r.factor()
	r.solve(x, 1)
	g.first, g.work = since(start), burnt()-spent
	g.backward = a.BackwardError(x, b)
	start, spent = time.Now(), burnt()
	r.factor()
	g.refactor, g.again = since(start), burnt()-spent
	start, spent = time.Now(), burnt()
	r.solve(x, 1)
	g.one, g.oneWork = since(start), burnt()-spent
	start, spent = time.Now(), burnt()
	r.solve(many, columns)
	g.many, g.manyWork = since(start), burnt()-spent
	g.fill = r.fill()
	return g
}

func report(n int, all []figures) {
	fmt.Printf("## %d unknowns, %d rounds\n\n", n, all[0].rounds)
	fmt.Println("| solver | analyse s | analyse + factor + solve s | refactor s | solve 1 s | solve 32 s | fill (millions) | backward error | processor s: first | refactor | solve 1 | solve 32 |")
	fmt.Println("|---|---|---|---|---|---|---|---|---|---|---|---|")
	for _, f := range all {
		fmt.Printf("| %s | %.3f | %.3f | %.3f | %.3f | %.3f | %.2f | %.1e | %.3f | %.3f | %.3f | %.3f |\n",
			f.name, f.analyze, f.first, f.refactor, f.one, f.many, f.fill/1e6, f.backward, f.work, f.again, f.oneWork, f.manyWork)
	}
	best := func(get func(figures) float64) float64 {
		least := math.Inf(1)
		for _, f := range all[3:] {
			least = math.Min(least, get(f))
		}
		return get(all[0]) / least
	}
	metis := all[3+2].fill
	fmt.Printf("\nFirst row against the least of the references: first %.2f, refactor %.2f, solve 1 %.2f, solve 32 %.2f; fill against METIS %.2f; processor time: first %.2f, refactor %.2f, solve 1 %.2f, solve 32 %.2f\n\n",
		best(func(f figures) float64 { return f.first }), best(func(f figures) float64 { return f.refactor }),
		best(func(f figures) float64 { return f.one }), best(func(f figures) float64 { return f.many }), all[0].fill/metis,
		best(func(f figures) float64 { return f.work }), best(func(f figures) float64 { return f.again }),
		best(func(f figures) float64 { return f.oneWork }), best(func(f figures) float64 { return f.manyWork }))
}
