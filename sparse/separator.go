package sparse

import (
	"cmp"
	"math"
	"slices"
)

// view is one part of a dissection: neighbours of v are adj[ptr[v]:end[v]],
// its place is (x[v], y[v]).
type view struct {
	ptr, end, adj []int32
	x, y          []float64
}

func (p view) len() int { return len(p.ptr) }

func (p view) neighbours(v int32) []int32 { return p.adj[p.ptr[v]:p.end[v]] }

const (
	// cutBins is how many places along a direction are compared for a cut.
	cutBins = 128
	// cutVertices is about how many vertices of a part tell how many edges a cut
	// crosses.
	cutVertices = 4096
	// cutSample is how many vertices tell where the middle third lies.
	cutSample = 61
	// windowLow is the share of vertices below the first place considered.
	windowLow = 0.36
	// leastSide is the share of vertices that either side keeps when the
	// separator moves to a smaller one.
	leastSide = 0.36
	// bandLayers is how far from the first cut, in edges of the graph, the
	// smallest separator is sought.
	bandLayers = 2
	// leastCut is the least part of the vertices, 1/leastCut, on either side of a
	// cut along a direction.
	leastCut = 12
	// skew weighs imbalance against the size of the cut.
	skew = 2.0
)

// directions along which a part may be cut: the axes and the diagonals.
var directions = [4][2]float64{{1, 0}, {0, 1}, {math.Sqrt2 / 2, math.Sqrt2 / 2}, {math.Sqrt2 / 2, -math.Sqrt2 / 2}}

// separator finds small separators; it keeps its work space between calls.
type separator struct {
	number []int32 // scratch of dissection.divide
	key    []float64
	best   []float64
	bin    []uint8
	sample []float64
	flow   flow
	reach  reach
	leaf   minimumDegree
}

func newSeparator() *separator { return &separator{} }

// find sets the side of each vertex of the part so that no edge joins left and
// right.
func (s *separator) find(p view, side []int8, placed bool) {
	if !placed {
		s.reach.place(p)
	}
	n := p.len()
	s.key, s.best = resize(s.key, n), resize(s.best, n)
	bestScore, at := math.Inf(1), 0.0
	for _, d := range directions {
		for v := range n {
			s.key[v] = d[0]*p.x[v] + d[1]*p.y[v]
		}
		if score, where := s.cutAlong(p); score < bestScore {
			bestScore, at = score, where
			s.key, s.best = s.best, s.key
		}
	}
	right := 0
	for v := range n {
		side[v] = onLeft
		if s.best[v] > at {
			side[v] = onRight
			right++
		}
	}
	if min(right, n-right) < n/leastCut {
		s.halve(side)
	}
	s.flow.improve(p, side)
}

// halve cuts in the middle of the list of vertices by key, equal keys in their
// order: for graphs without extent (stars, loose vertices), whose keys tell
// little.
func (s *separator) halve(side []int8) {
	s.number = resize(s.number, len(side))
	for v := range s.number {
		s.number[v] = int32(v)
	}
	slices.SortFunc(s.number, func(a, b int32) int {
		return cmp.Or(cmp.Compare(s.best[a], s.best[b]), cmp.Compare(a, b))
	})
	for k, v := range s.number {
		side[v] = onLeft
		if k >= len(side)/2 {
			side[v] = onRight
		}
	}
}

// cutAlong finds the best place to cut across the direction of s.key, and its
// score: edges cut, made worse by imbalance.
func (s *separator) cutAlong(p view) (score, where float64) {
	lo, hi := s.window()
	if !(hi > lo) {
		return s.tied(p, lo)
	}
	s.place(lo, cutBins/(hi-lo))
	var count, change [cutBins + 1]int
	seen := 0
	for v := 0; v < len(s.bin); v += s.stride(v) {
		b := s.bin[v]
		count[b]++
		seen++
		for _, u := range p.neighbours(int32(v)) {
			if bu := s.bin[u]; bu > b {
				change[b]++
				change[bu]--
			}
		}
	}
	n, below, cut := float64(seen), 0, 0
	score = math.Inf(1)
	for b := range cutBins {
		below += count[b]
		cut += change[b]
		if below == 0 || below == seen {
			continue
		}
		tilt := 2*float64(below)/n - 1
		if sc := float64(cut+1) * (1 + skew*tilt*tilt); sc < score {
			score, where = sc, lo+float64(b)*(hi-lo)/cutBins
		}
	}
	return score, where
}

// place sets the bin of each vertex: 0 up to lo, then scale bins to a unit of
// the key, the last open to the right.
func (s *separator) place(lo, scale float64) {
	s.bin = resize(s.bin, len(s.key))
	for v, k := range s.key {
		x := math.Ceil(min(max((k-lo)*scale, 0), cutBins))
		s.bin[v] = uint8(x)
	}
}

// stride is how far the next vertex to look at lies from v: 1 in a small part,
// irregular in a large one, so that no numbering of a mesh hides a direction.
func (s *separator) stride(v int) int {
	most := len(s.key) / cutVertices
	if most < 1 {
		return 1
	}
	return 1 + int(scramble(uint64(v))%uint64(2*most+1))
}

// window returns about where the middle share of the keys begins and ends.
func (s *separator) window() (lo, hi float64) {
	s.sample = s.sample[:0]
	step := max(1, len(s.key)/cutSample)
	for v := 0; v < len(s.key); v += step {
		s.sample = append(s.sample, s.key[v])
	}
	slices.Sort(s.sample)
	last := float64(len(s.sample) - 1)
	return s.sample[int(windowLow*last)], s.sample[int(math.Ceil((1-windowLow)*last))]
}

// tied is cutAlong when the middle of the keys are all the same value.
func (s *separator) tied(p view, value float64) (score, where float64) {
	score = math.Inf(1)
	for _, t := range []float64{value, math.Nextafter(value, math.Inf(-1))} {
		below, cut := 0, 0
		for v, k := range s.key {
			if k > t {
				continue
			}
			below++
			for _, u := range p.neighbours(int32(v)) {
				if s.key[u] > t {
					cut++
				}
			}
		}
		if below == 0 || below == len(s.key) {
			continue
		}
		tilt := 2*float64(below)/float64(len(s.key)) - 1
		if sc := float64(cut+1) * (1 + skew*tilt*tilt); sc < score {
			score, where = sc, t
		}
	}
	return score, where
}
