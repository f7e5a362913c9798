package strand

// skeleton is a mask that was thinned to lines one square wide. The raster's
// outermost squares are never in it.
type skeleton struct {
	set    []bool // by square
	list   []int32
	around [8]int // sides before corners
}

// thinned returns what is left of the gaps' squares that are in the core when
// they are thinned to lines one square wide, connected as they were (T. Y. Zhang,
// C. Y. Suen, A fast parallel algorithm for thinning digital patterns,
// Communications of the ACM 27 (1984) 236–239). It holds until the next call.
func (g *gaps) thinned(core func(c int32) bool) *skeleton {
	clear(g.thin)
	nx, out := g.NX, g.thin
	var live []int32
	for _, c := range g.open {
		if core(c) {
			out[c] = true
			live = append(live, c)
		}
	}
	around := [8]int{nx, nx + 1, 1, 1 - nx, -nx, -nx - 1, -1, nx - 1} // north first, clockwise
	var drop []int32
	for changed := true; changed; {
		changed = false
		for step := range 2 {
			drop = drop[:0]
			for _, c := range live {
				if out[c] && removable(out, int(c), &around, step) {
					drop = append(drop, c)
				}
			}
			for _, c := range drop {
				out[c] = false
			}
			changed = changed || len(drop) > 0
		}
		keep := live[:0]
		for _, c := range live {
			if out[c] {
				keep = append(keep, c)
			}
		}
		live = keep
	}
	return &skeleton{out, live, [8]int{nx, 1, -nx, -1, nx + 1, 1 - nx, -nx - 1, nx - 1}}
}

// degree is the number of neighbours of a square.
func (s *skeleton) degree(c int32) int {
	n := 0
	for _, d := range s.around {
		if s.set[int(c)+d] {
			n++
		}
	}
	return n
}

// removable is the paper's test: two to six neighbours, one passage from unset
// to set going round, and two of the four sides open, by step.
func removable(m []bool, c int, around *[8]int, step int) bool {
	var p [8]bool
	n, turns := 0, 0
	for k, d := range around {
		if p[k] = m[c+d]; p[k] {
			n++
		}
	}
	for k := range p {
		if !p[k] && p[(k+1)%8] {
			turns++
		}
	}
	if n < 2 || n > 6 || turns != 1 {
		return false
	}
	north, east, south, west := p[0], p[2], p[4], p[6]
	if step == 0 {
		return !(north && east && south) && !(east && south && west)
	}
	return !(north && east && west) && !(north && south && west)
}

// branches returns the lines of a skeleton, each a run of squares from one end or
// fork to the next; closed ones come back to their start.
func (s *skeleton) branches() [][]int32 {
	t := tracer{s, map[[2]int32]bool{}}
	var out [][]int32
	for pass := range 2 {
		for _, c := range s.list {
			// First from ends and forks, then round what has neither.
			if pass == 1 || s.degree(c) != 2 {
				out = append(out, t.from(c)...)
			}
		}
	}
	return out
}

// forks numbers the forks of a skeleton: squares with more than two neighbours,
// those that touch as one, by its first square.
func (s *skeleton) forks() map[int32]int32 {
	out := map[int32]int32{}
	for _, c := range s.list {
		if s.degree(c) <= 2 {
			continue
		}
		if _, seen := out[c]; seen {
			continue
		}
		out[c] = c
		for todo := []int32{c}; len(todo) > 0; todo = todo[1:] {
			for _, d := range s.around {
				n := todo[0] + int32(d)
				if _, seen := out[n]; s.set[n] && !seen && s.degree(n) > 2 {
					out[n] = c
					todo = append(todo, n)
				}
			}
		}
	}
	return out
}

// tracer walks thin lines; each step between two squares is walked once.
type tracer struct {
	*skeleton
	walked map[[2]int32]bool
}

func step(a, b int32) [2]int32 {
	if a > b {
		a, b = b, a
	}
	return [2]int32{a, b}
}

func (t *tracer) from(c int32) [][]int32 {
	var out [][]int32
	for _, d := range t.around {
		n := c + int32(d)
		if !t.set[n] || t.walked[step(c, n)] {
			continue
		}
		run := []int32{c, n}
		t.walked[step(c, n)] = true
		for at := n; t.degree(at) == 2 && at != c; {
			next := t.next(at, run[len(run)-2])
			if next < 0 {
				break
			}
			t.walked[step(at, next)] = true
			run = append(run, next)
			at = next
		}
		out = append(out, run)
	}
	return out
}

// next returns the square after at, not the one before, -1 where there is none.
func (t *tracer) next(at, before int32) int32 {
	for _, d := range t.around {
		if n := at + int32(d); n != before && t.set[n] && !t.walked[step(at, n)] {
			return n
		}
	}
	return -1
}
