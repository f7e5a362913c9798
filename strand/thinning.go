package strand

// thinned returns the squares of a mask that are left when it is thinned to
// lines one square wide, connected as it was (T. Y. Zhang, C. Y. Suen, A fast
// parallel algorithm for thinning digital patterns, Communications of the ACM
// 27 (1984) 236–239). The mask's outermost squares must not be set.
func thinned(mask []bool, nx int) []bool {
	out := make([]bool, len(mask))
	var live []int32
	for c, m := range mask {
		if m {
			out[c] = true
			live = append(live, int32(c))
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
	return out
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

// branches returns the lines of a thinned mask, each a run of squares from one
// end or fork to the next; closed ones come back to their start.
func branches(thin []bool, nx int) [][]int32 {
	around := [8]int{nx, 1, -nx, -1, nx + 1, 1 - nx, -nx - 1, nx - 1} // sides before corners
	degree := make(map[int32]int)
	for c, m := range thin {
		if !m {
			continue
		}
		n := 0
		for _, d := range around {
			if thin[c+d] {
				n++
			}
		}
		degree[int32(c)] = n
	}
	t := tracer{thin, around, degree, map[[2]int32]bool{}}
	var out [][]int32
	for pass := range 2 {
		for c, m := range thin {
			// First from ends and forks, then round what has neither.
			if m && (pass == 1 || degree[int32(c)] != 2) {
				out = append(out, t.from(int32(c))...)
			}
		}
	}
	return out
}

// forks numbers the forks of a thinned mask: squares with more than two
// neighbours, those that touch as one, by its first square.
func forks(thin []bool, nx int) map[int32]int32 {
	around := [8]int{nx, 1, -nx, -1, nx + 1, 1 - nx, -nx - 1, nx - 1}
	isFork := func(c int) bool {
		n := 0
		for _, d := range around {
			if thin[c+d] {
				n++
			}
		}
		return n > 2
	}
	out := map[int32]int32{}
	for c, m := range thin {
		if _, seen := out[int32(c)]; !m || seen || !isFork(c) {
			continue
		}
		out[int32(c)] = int32(c)
		for todo := []int{c}; len(todo) > 0; todo = todo[1:] {
			for _, d := range around {
				n := todo[0] + d
				if _, seen := out[int32(n)]; thin[n] && !seen && isFork(n) {
					out[int32(n)] = int32(c)
					todo = append(todo, n)
				}
			}
		}
	}
	return out
}

// tracer walks thin lines; each step between two squares is walked once.
type tracer struct {
	thin   []bool
	around [8]int
	degree map[int32]int
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
		if !t.thin[n] || t.walked[step(c, n)] {
			continue
		}
		run := []int32{c, n}
		t.walked[step(c, n)] = true
		for at := n; t.degree[at] == 2 && at != c; {
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
		if n := at + int32(d); n != before && t.thin[n] && !t.walked[step(at, n)] {
			return n
		}
	}
	return -1
}
