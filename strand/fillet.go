package strand

import (
	"math"
	"slices"

	"sinew/geom"
)

// Rounding of bends that the tow cannot follow.
const (
	// discRounds bounds how many bends of one strand are rounded.
	discRounds = 40
	// discReach is how far to either side of a bend, in turns of the disc's rim,
	// the strand is looked at: a tip of 20° takes one.
	discReach = 2.0
)

// fillet rounds the bends of all strands that are tighter than the tow allows,
// by discs rolled along their inner side. Strands side by side are rounded
// alike and do not come to cross, unless one of them had no room for the disc.
func (m *layer) fillet(strands []Strand) []Strand {
	out := slices.Clone(strands)
	for i := range out {
		if s := &out[i]; !m.given(s) && tightest(s.Radii()) < m.limits.radius {
			*s = m.filleted(*s)
		}
	}
	return out
}

// uncross opens strands where they cross: of the two the shorter one, as far as
// it lies too near to the other.
func (m *layer) uncross(strands []Strand, dropped *Layer) ([]Strand, int) {
	cuts := 0
	for range crossRounds {
		var chosen []stretch
		taken := map[int]bool{}
		for _, c := range Crossings(strands) {
			k, other := c.A, c.B
			if m.given(&strands[k]) || !m.given(&strands[other]) && strands[other].Length() < strands[k].Length() {
				k, other = other, k
			}
			if taken[k] || m.given(&strands[k]) {
				continue
			}
			taken[k] = true
			chosen = append(chosen, crossed(strands, k, other, c.At, m.limits.least))
		}
		if len(chosen) == 0 {
			break
		}
		cuts += len(chosen)
		strands = m.open(strands, chosen, dropped)
	}
	return strands, cuts
}

// crossRounds bounds the rounds of uncross: each takes one crossing out of every
// strand that has one.
const crossRounds = 20

// crossed returns the stretch of strand k around the crossing at which it lies
// nearer to the other strand than clear.
func crossed(strands []Strand, k, other int, at geom.Point, clear float64) stretch {
	p := strands[k].Points
	i := 0
	for j := range p {
		if p[j].Dist(at) < p[i].Dist(at) {
			i = j
		}
	}
	grid := geom.NewGrid(strands[other].Points)
	near := func(i int) bool {
		_, d := grid.Nearest(p[i])
		return d < clear
	}
	s := stretch{strand: k, from: max(0, i-1), to: min(len(p)-1, i+1)}
	for k != other && s.from > 0 && near(s.from) {
		s.from--
	}
	for k != other && s.to < len(p)-1 && near(s.to) {
		s.to++
	}
	return s
}

func tightest(radii []float64) float64 {
	least := math.Inf(1)
	for _, r := range radii {
		least = math.Min(least, r)
	}
	return least
}

// filleted rounds the strand's bends one after the other, the tightest first.
// One that has no room for the disc is left as it is.
func (m *layer) filleted(s Strand) Strand {
	var stuck []geom.Point
	for range discRounds {
		step := polyLength(s.Points) / float64(max(1, len(s.Points)-1))
		k := bends(s.Points, s.Closed, step)
		at := m.nextBend(s.Points, k, stuck)
		if at < 0 {
			break
		}
		var pts []geom.Point
		ok := false
		// The spare is for sampling to take from; beside an arc of the same disc
		// only a larger one finds two sides to touch.
		for _, spare := range [...]float64{0.04, 0.1, 0.2} {
			if pts, ok = m.roll(s.Points, s.Closed, at, k, step, m.limits.radius*(1+spare)); ok {
				break
			}
		}
		if !ok {
			stuck = append(stuck, s.Points[at])
			continue
		}
		s.Points, _ = even(pts, s.Closed, m.set.Step)
	}
	return s
}

// nextBend returns the tightest bend that is too tight and not near one that
// could not be rounded, -1 when there is none.
func (m *layer) nextBend(p []geom.Point, k []float64, stuck []geom.Point) int {
	worst, at := 1/m.limits.radius, -1
	for i, v := range k {
		near := func(q geom.Point) bool { return q.Dist(p[i]) < m.limits.radius }
		if math.Abs(v) > worst && !slices.ContainsFunc(stuck, near) {
			worst, at = math.Abs(v), i
		}
	}
	return at
}

// roll replaces the bend at point at by the arc of a disc that touches the line
// on both sides of it, where there is one and it keeps clear of the edge. The
// centre of such a disc is where the line, moved to its inner side by the disc's
// radius, crosses itself.
func (m *layer) roll(p []geom.Point, closed bool, at int, k []float64, step, radius float64) ([]geom.Point, bool) {
	r := math.Copysign(radius, k[at])
	reach := int(discReach * 2 * math.Pi * math.Abs(r) / step)
	if closed { // the bend into the middle, so that its surroundings lie in one piece
		n := len(p) - 1
		turn := ((at-n/2)%n + n) % n
		p, k, at = rotate(p, turn), append(slices.Clone(k[turn:n]), k[:turn+1]...), n/2
	}
	from, to := at, at
	for limit := 1 / math.Abs(r); from > 0 && math.Copysign(1, r)*k[from] > limit; {
		from--
	}
	for limit := 1 / math.Abs(r); to < len(p)-1 && math.Copysign(1, r)*k[to] > limit; {
		to++
	}
	dir := tangents(p, false)
	moved := make([]geom.Point, len(p))
	for i := range p {
		moved[i] = p[i].Add(dir[i].Left().Scale(r))
	}
	i, j, c, ok := selfCrossing(moved, from, to, max(0, at-reach), min(len(p)-1, at+reach))
	if !ok {
		return nil, false
	}
	arc, ok := m.arc(foot(p, i, c), foot(p, j, c), c, r)
	if !ok {
		return nil, false
	}
	out := append(slices.Clone(p[:i+1]), arc...)
	out = append(out, p[j+1:]...)
	return out, true
}

// selfCrossing returns the pieces i, before point from, and j, after point to, at
// which the line crosses itself, the nearest such pair, and where.
func selfCrossing(p []geom.Point, from, to, lo, hi int) (i, j int, at geom.Point, ok bool) {
	for span := 1; span <= hi-lo; span++ {
		for i := max(lo, to-span); i < from && i+span < hi; i++ {
			j := i + span
			if j < to {
				continue
			}
			a, b := segment{a: p[i], b: p[i+1]}, segment{a: p[j], b: p[j+1]}
			if a.crosses(&b) {
				return i, j, a.meeting(&b), true
			}
		}
	}
	return 0, 0, at, false
}

// foot returns the point of piece i nearest to c.
func foot(p []geom.Point, i int, c geom.Point) geom.Point {
	s := segment{a: p[i], b: p[i+1]}
	u, _ := s.foot(c)
	return s.a.Lerp(s.b, u)
}

// discChord, mm, bounds how far the chords of an arc lie off it.
const discChord = 0.005

// arc returns the points from a to b on the circle about c, to the left of it
// where r is positive, and whether they keep clear of the edge.
func (m *layer) arc(a, b, c geom.Point, r float64) ([]geom.Point, bool) {
	u, v := a.Sub(c), b.Sub(c)
	sweep := math.Atan2(u.Cross(v), u.Dot(v))
	if r > 0 && sweep < 0 {
		sweep += 2 * math.Pi
	}
	if r < 0 && sweep > 0 {
		sweep -= 2 * math.Pi
	}
	pts := geom.Edge{A: a, B: b, Bulge: math.Tan(sweep / 4)}.Flatten(discChord)
	for _, p := range pts {
		if d, _ := m.fringe.place(p); d < m.fringe.clear-edgeTolerance {
			return nil, false
		}
	}
	return pts, true
}

// cutSharp ends strands before bends that the tow cannot follow, and leaves out
// what is then too short. It returns the strands and how many bends were cut.
func (m *layer) cutSharp(strands []Strand, dropped *Layer) ([]Strand, int) {
	cuts := 0
	for {
		var chosen []stretch
		for i := range strands {
			if s, ok := m.sharp(&strands[i]); ok && !m.given(&strands[i]) {
				s.strand = i
				chosen = append(chosen, s)
			}
		}
		if len(chosen) == 0 {
			return strands, cuts
		}
		cuts += len(chosen)
		strands = m.open(strands, chosen, dropped)
	}
}

// sharp returns the stretch around the strand's tightest bend that lies below
// the tow's limit, and a point more on either side.
func (m *layer) sharp(s *Strand) (stretch, bool) {
	limit := m.limits.radius
	radii := s.Radii()
	at := slices.Index(radii, tightest(radii))
	if at < 0 || radii[at] >= limit {
		return stretch{}, false
	}
	out := stretch{from: at, to: at}
	for out.from > 0 && radii[out.from] < limit {
		out.from--
	}
	for out.to < len(radii)-1 && radii[out.to] < limit {
		out.to++
	}
	return out, true
}
