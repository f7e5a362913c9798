package strand

import (
	"cmp"
	"math"
	"slices"

	"sinew/geom"
)

// Limits of filling with beads of varying width, in widths of a plain bead,
// which is half as wide again as the nozzle (common practice).
const (
	// narrowest is three quarters of the nozzle's bore: with less plastic it
	// draws threads.
	narrowest = 0.5
	// widest is twice the bore: more does not press out to the sides.
	widest = 4.0 / 3
	// shortest is the least length of a bead: a shorter one is a blob.
	shortest = 2.0
	// fillRounds bounds the rounds; each fills what the one before left, and the
	// third finds little.
	fillRounds = 4
	// fillCell, mm, is the side of the squares on which gaps are measured: a
	// third of the narrowest bead.
	fillCell = 0.1
	// fillBend, mm, is how far a bead's chords may lie off the line it follows.
	fillBend = 0.02
	// smoothReach is over how many squares to either side lines and widths are
	// averaged: the staircase of squares goes, bends of a bead's width stay.
	smoothReach = 4
	// middleShare, in squares, is what twice the depth of the deepest square
	// falls short of a gap's width on average: the border lies up to half a
	// square beyond the outermost centre on either side, the middle line beside
	// the deepest.
	middleShare = 0.8
)

// beads returns beads that fill the squares inside the raster that no bead
// covers: loops around wide pockets from the outside inwards, then beads along
// the middle lines of what is narrower, as wide as the room there is (compare
// T. Kuipers et al., A framework for adaptive width control of dense
// contour-parallel toolpaths in fused deposition modeling, Computer-Aided
// Design 128 (2020) 102907). The raster counts the beads.
func (g *gaps) beads(width float64) []Bead {
	var out []Bead
	g.begin()
	for {
		loops := g.loopsInWide(width)
		if len(loops) == 0 {
			break
		}
		g.fill(loops)
		out = append(out, loops...)
	}
	for range fillRounds {
		beads := g.ridgeBeads(width)
		if len(beads) == 0 {
			break
		}
		g.fill(beads)
		out = append(out, beads...)
	}
	return out
}

// loopsInWide returns beads half a width, one and a half … inside the border of
// the gaps, where they are wide enough for as many from both sides.
func (g *gaps) loopsInWide(width float64) []Bead {
	var levels []float64
	for most := g.deepest(); float64(len(levels)+1)*width <= most; {
		levels = append(levels, (float64(len(levels))+0.5)*width)
	}
	if len(levels) == 0 {
		return nil
	}
	var out []Bead
	for k, lines := range g.levelLines(levels) {
		for _, line := range lines {
			for _, part := range wanted(line, func(p geom.Point) bool { return g.deepens(p, levels[k], width) }) {
				p := smoothed(part).Simplify(fillBend)
				if p.Length() < shortest*width {
					continue
				}
				out = append(out, Bead{Kind: Patch, Points: p.Points, Closed: p.Closed, Width: width})
			}
		}
	}
	return out
}

// deepens reports whether the gap at p, where it has the given depth, grows
// deeper by half a width: there is room for a bead whose middle is p and one
// from the other side.
func (g *gaps) deepens(p geom.Point, level, width float64) bool {
	c := g.square(p)
	if c < 1+g.NX || c+1+g.NX >= len(g.depth) {
		return false
	}
	up := unitVector(geom.Point{X: g.depth[c+1] - g.depth[c-1], Y: g.depth[c+g.NX] - g.depth[c-g.NX]})
	q := g.square(p.Add(up.Scale(width / 2)))
	return q >= 0 && g.depth[q] >= level+width/2-depthRounding*g.Cell
}

// depthRounding, in squares, bounds how far the depths at two squares a known
// way apart miss that way.
const depthRounding = 1.5

// wanted returns the stretches of a path whose points are wanted.
func wanted(p geom.Path, want func(geom.Point) bool) []geom.Path {
	pts := p.Points
	first := slices.IndexFunc(pts, func(q geom.Point) bool { return !want(q) })
	if first < 0 {
		return []geom.Path{p}
	}
	if p.Closed {
		pts = append(slices.Clone(pts[first:]), pts[:first+1]...)
	}
	var out []geom.Path
	start := -1
	for i, q := range pts {
		in := want(q)
		if in && start < 0 {
			start = i
		}
		if start >= 0 && (!in || i == len(pts)-1) {
			end := i
			if in {
				end++
			}
			if end-start > 1 {
				out = append(out, geom.Path{Points: slices.Clone(pts[start:end])})
			}
			start = -1
		}
	}
	return out
}

// ridgeBeads returns beads along the middle lines of the gaps, as wide as they
// are, two side by side where one would be too wide.
func (g *gaps) ridgeBeads(width float64) []Bead {
	lines := g.ridgeLines(width)
	var out []Bead
	clear(g.taken)
	for _, line := range lines {
		for _, b := range g.beadsOn(line, width) {
			if g.claim(b) {
				out = append(out, b)
			}
		}
	}
	return out
}

// claim marks the squares along a bead's centre line and reports whether most
// of them were free.
func (g *gaps) claim(b Bead) bool {
	path := geom.Path{Points: b.Points}.Resample(g.Cell)
	met := 0
	for _, p := range path.Points {
		if c := g.square(p); c >= 0 && g.taken[c] {
			met++
		}
	}
	if 2*met > len(path.Points) {
		return false
	}
	reach := int(b.Width / 2 / g.Cell)
	for _, p := range path.Points {
		c := g.square(p)
		if c < 0 {
			continue
		}
		for y := max(0, c/g.NX-reach); y <= min(g.NY-1, c/g.NX+reach); y++ {
			for x := max(0, c%g.NX-reach); x <= min(g.NX-1, c%g.NX+reach); x++ {
				g.taken[y*g.NX+x] = true
			}
		}
	}
	return true
}

// ridgeLines returns the core of the gaps, all that the narrowest bead may
// cover with its middle, thinned to smooth lines, longest first, joined through
// forks where one goes straight on.
func (g *gaps) ridgeLines(width float64) []geom.Path {
	var out []geom.Path
	thin := g.thinned(func(c int32) bool { return g.depth[c]+g.Cell/4 >= narrowest*width/2 })
	for _, run := range joined(thin.branches(), thin.forks(), g.NX) {
		line := geom.Path{Points: make([]geom.Point, len(run))}
		for i, c := range run {
			line.Points[i] = g.Center(int(c)%g.NX, int(c)/g.NX)
		}
		if line.Length() < (shortest-1)*width {
			continue // a spur no longer than the gap is wide
		}
		line.Points = averaged(line.Points)
		out = append(out, line)
	}
	slices.SortStableFunc(out, func(a, b geom.Path) int { return cmp.Compare(b.Length(), a.Length()) })
	return out
}

// smoothed is averaged for paths; a closed one has no ends.
func smoothed(p geom.Path) geom.Path {
	n := len(p.Points)
	if !p.Closed || n <= 2*smoothReach {
		return geom.Path{Points: averaged(p.Points), Closed: p.Closed}
	}
	wide := slices.Concat(p.Points[n-smoothReach:], p.Points, p.Points[:smoothReach])
	return geom.Path{Points: averaged(wide)[smoothReach : smoothReach+n], Closed: true}
}

// averaged returns the line with each point at the mean of its neighbours; ends
// stay.
func averaged(p []geom.Point) []geom.Point {
	out := make([]geom.Point, len(p))
	for i := range p {
		k := min(smoothReach, i, len(p)-1-i)
		var sum geom.Point
		for j := i - k; j <= i+k; j++ {
			sum = sum.Add(p[j])
		}
		out[i] = sum.Scale(1 / float64(2*k+1))
	}
	return out
}

// straightOn is the least cosine of the angle between two branches that are
// laid in one: 60 degrees.
const straightOn = 0.5

// joined puts branches together that go on through a fork, the straightest
// first. Squares of forks that touch are one fork, whose number fork gives.
func joined(runs [][]int32, fork map[int32]int32, nx int) [][]int32 {
	runs = slices.DeleteFunc(runs, func(run []int32) bool {
		a, isA := fork[run[0]]
		b, isB := fork[run[len(run)-1]]
		return isA && isB && a == b && len(run) <= smoothReach // within one fork
	})
	at := func(c int32) geom.Point { return geom.Point{X: float64(c % int32(nx)), Y: float64(c / int32(nx))} }
	leaving := func(run []int32, end int) geom.Point {
		k := min(len(run)-1, 2*smoothReach)
		if end == 0 {
			return unitVector(at(run[k]).Sub(at(run[0])))
		}
		return unitVector(at(run[len(run)-1-k]).Sub(at(run[len(run)-1])))
	}
	type meet struct {
		a, b       int
		endA, endB int
		cos        float64
	}
	ends := map[int32][][2]int{}
	var order []int32
	for i, run := range runs {
		for e, c := range [2]int32{run[0], run[len(run)-1]} {
			if f, ok := fork[c]; ok {
				c = f
			}
			if len(ends[c]) == 0 {
				order = append(order, c)
			}
			ends[c] = append(ends[c], [2]int{i, e})
		}
	}
	var meets []meet
	for _, c := range order {
		for i, p := range ends[c] {
			for _, q := range ends[c][:i] {
				if p[0] == q[0] {
					continue
				}
				if cos := -leaving(runs[p[0]], p[1]).Dot(leaving(runs[q[0]], q[1])); cos > straightOn {
					meets = append(meets, meet{q[0], p[0], q[1], p[1], cos})
				}
			}
		}
	}
	slices.SortStableFunc(meets, func(a, b meet) int { return cmp.Compare(b.cos, a.cos) })
	chain := newChains(len(runs))
	for _, m := range meets {
		chain.link(m.a, m.endA, m.b, m.endB)
	}
	return chain.runs(runs)
}

// chains links branches end to end, each end once, without closing a circle.
type chains struct {
	next  [][2]int // by 2·branch+end: the branch and end it is linked to
	group []int
}

func newChains(n int) *chains {
	c := &chains{next: make([][2]int, 2*n), group: make([]int, n)}
	for i := range c.next {
		c.next[i] = [2]int{-1, 0}
	}
	for i := range c.group {
		c.group[i] = i
	}
	return c
}

func (c *chains) find(i int) int {
	for c.group[i] != i {
		c.group[i] = c.group[c.group[i]]
		i = c.group[i]
	}
	return i
}

func (c *chains) link(a, endA, b, endB int) {
	if c.next[2*a+endA][0] >= 0 || c.next[2*b+endB][0] >= 0 || c.find(a) == c.find(b) {
		return
	}
	c.next[2*a+endA], c.next[2*b+endB] = [2]int{b, endB}, [2]int{a, endA}
	c.group[c.find(b)] = c.find(a)
}

// runs returns the chains, each from an end that is linked to nothing.
func (c *chains) runs(all [][]int32) [][]int32 {
	var out [][]int32
	done := make([]bool, len(all))
	for i := range all {
		for e := range 2 {
			if done[i] || c.next[2*i+e][0] >= 0 {
				continue
			}
			var run []int32
			for at, from := i, e; at >= 0; {
				done[at] = true
				part := slices.Clone(all[at])
				if from == 1 {
					slices.Reverse(part)
				}
				if len(run) > 0 {
					part = part[1:]
				}
				run = append(run, part...)
				n := c.next[2*at+1-from]
				at, from = n[0], n[1]
			}
			out = append(out, run)
		}
	}
	return out
}

// beadsOn returns the beads along a middle line: stretches of one bead as wide
// as the gap, or of two side by side.
func (g *gaps) beadsOn(line geom.Path, width float64) []Bead {
	pts, added := g.outTo(line.Resample(2*g.Cell).Points, width)
	room := make([]float64, len(pts)) // width of the gap; where the line was lengthened, that of its old end
	for i := range pts {
		p := pts[min(max(i, added[0]), len(pts)-1-added[1])]
		if c := g.square(p); c >= 0 && g.depth[c] > 0 {
			room[i] = 2*g.depth[c] + middleShare*g.Cell + 2*seam // pressed to its neighbours
		}
	}
	room = averagedWidths(room)
	most := widest * width
	var out []Bead
	for i := 0; i < len(pts); {
		j, two := i, room[i] > most
		for j < len(pts) && room[j] > 0 && (room[j] > most) == two {
			j++
		}
		if last := min(j+1, len(pts)); last-i > 1 { // the next stretch starts where this one ends
			out = append(out, beadsAlong(pts[i:last], room[i:last], two, width)...)
		}
		i = max(j, i+1)
	}
	return out
}

// outTo lengthens a middle line, which thinning shortens by half the gap's
// width, to the gap's ends, and returns how many points it adds at its start and
// end.
func (g *gaps) outTo(pts []geom.Point, width float64) (_ []geom.Point, added [2]int) {
	if len(pts) < 2 {
		return pts, added
	}
	pts = slices.Clone(pts)
	for end := 1; end >= 0; end-- {
		n := len(pts)
		dir := unitVector(pts[n-1].Sub(pts[max(0, n-1-smoothReach)]))
		for at, gone := pts[n-1], 0.0; gone < widest*width/2; gone += 2 * g.Cell {
			at = at.Add(dir.Scale(2 * g.Cell))
			c := g.square(at)
			if c < 0 || g.depth[c] == 0 {
				break
			}
			pts = append(pts, at)
			added[end]++
		}
		slices.Reverse(pts)
	}
	return pts, added
}

func averagedWidths(w []float64) []float64 {
	out := make([]float64, len(w))
	for i := range w {
		k := min(smoothReach/2, i, len(w)-1-i)
		sum := 0.0
		for j := i - k; j <= i+k; j++ {
			sum += w[j]
		}
		out[i] = sum / float64(2*k+1)
	}
	return out
}

// beadsAlong returns one bead along the points as wide as the room, or two,
// each half as wide, to either side.
func beadsAlong(pts []geom.Point, room []float64, two bool, width float64) []Bead {
	if polyLength(pts) < shortest*width/2 {
		return nil
	}
	if !two {
		w := make([]float64, len(room))
		for i, v := range room {
			w[i] = math.Max(narrowest*width, math.Min(v, widest*width))
		}
		return []Bead{varying(slices.Clone(pts), w)}
	}
	var out []Bead
	dir := tangents(pts, false)
	for _, side := range [2]float64{1, -1} {
		line, w := make([]geom.Point, len(pts)), make([]float64, len(pts))
		for i, p := range pts {
			w[i] = math.Max(narrowest*width, math.Min(room[i]/2, widest*width))
			line[i] = p.Add(dir[i].Left().Scale(side * w[i] / 2))
		}
		out = append(out, varying(line, w))
	}
	return out
}

// varying returns a bead of varying width, with the points that its line and
// width can do without left out.
func varying(pts []geom.Point, w []float64) Bead {
	keep := []int{0}
	for i := 1; i < len(pts)-1; i++ {
		a := keep[len(keep)-1]
		if !straightBetween(pts, w, a, i+1) {
			keep = append(keep, i)
		}
	}
	keep = append(keep, len(pts)-1)
	b := Bead{Kind: Patch}
	for _, i := range keep {
		b.Points, b.Widths = append(b.Points, pts[i]), append(b.Widths, w[i])
	}
	sum, n := 0.0, 0.0
	for i := 1; i < len(b.Points); i++ {
		d := b.Points[i].Dist(b.Points[i-1])
		sum, n = sum+d*(b.Widths[i]+b.Widths[i-1])/2, n+d
	}
	if n > 0 {
		b.Width = sum / n
	}
	return b
}

// straightBetween reports whether the points between a and b lie on the chord,
// and their widths between those of its ends, within fillBend.
func straightBetween(pts []geom.Point, w []float64, a, b int) bool {
	s := segment{a: pts[a], b: pts[b]}
	for i := a + 1; i < b; i++ {
		u, d := s.foot(pts[i])
		if d > fillBend || math.Abs(w[i]-(w[a]+u*(w[b]-w[a]))) > fillBend {
			return false
		}
	}
	return true
}
