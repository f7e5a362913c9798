package drawing

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"sinew/geom"
)

// JoinSettings says how pieces are joined to loops.
type JoinSettings struct {
	Tolerance float64  // loose ends up to this far apart are joined, mm
	Layers    []string // read only these; all when empty
}

// sameEnd is the distance within which two ends are one and the same: the
// rounding of drawing files that write six decimals.
const sameEnd = 2e-6 // mm

// maxLoops bounds the loops of a drawing: nesting compares them in pairs.
const maxLoops = 20_000

// Regions joins the pieces to closed loops and nests the loops: a loop in
// another is a hole, a loop in a hole a region of its own. Outlines run
// counter-clockwise, holes clockwise; regions and holes are ordered by the
// middle of their boxes, left to right, then bottom to top. Repairs are added
// to the drawing's notes.
func (d *Drawing) Regions(s JoinSettings) ([]geom.Region, error) {
	pieces, err := d.onLayers(s.Layers)
	if err != nil {
		return nil, err
	}
	j := newJoiner(pieces)
	j.dropDoubles(d)
	j.closeGaps(d, s.Tolerance)
	if err := j.complain(s.Tolerance); err != nil {
		return nil, err
	}
	loops, err := j.loops()
	if err != nil {
		return nil, err
	}
	regions := nest(loops)
	for _, r := range regions {
		if err := r.Validate(); err != nil {
			return nil, fmt.Errorf("the outline cannot be used: %w", err)
		}
	}
	return regions, nil
}

// onLayers returns the pieces on the wanted layers.
func (d *Drawing) onLayers(layers []string) ([]Piece, error) {
	if len(layers) == 0 {
		return slices.Clone(d.Pieces), nil
	}
	var kept []Piece
	var known []string
	for _, p := range d.Pieces {
		if slices.Contains(layers, p.Label) {
			kept = append(kept, p)
		}
		if !slices.Contains(known, p.Label) {
			known = append(known, p.Label)
		}
	}
	slices.Sort(known)
	for _, l := range layers {
		if !slices.Contains(known, l) {
			return nil, &Error{What: fmt.Sprintf("nothing is drawn on layer %q", l), Remedy: "name one of " + strings.Join(known, ", ")}
		}
	}
	return kept, nil
}

// joiner holds pieces and the nodes they end at.
type joiner struct {
	pieces []Piece
	ends   [][2]int // node of A and of B
	at     []geom.Point
	touch  [][]int // pieces at a node; a piece that starts and ends there twice
	gone   []bool
}

func newJoiner(pieces []Piece) *joiner {
	j := &joiner{gone: make([]bool, 0, len(pieces))}
	cells := map[[2]int64][]int{}
	for _, p := range pieces {
		a, b := j.node(cells, p.A), j.node(cells, p.B)
		if a == b && p.Length() <= 4*sameEnd {
			continue // a point, not an edge
		}
		j.pieces = append(j.pieces, p)
		j.ends = append(j.ends, [2]int{a, b})
		j.gone = append(j.gone, false)
	}
	j.connect()
	return j
}

// node returns the node at p, a new one if there is none within sameEnd.
func (j *joiner) node(cells map[[2]int64][]int, p geom.Point) int {
	cx, cy := int64(math.Floor(p.X/sameEnd)), int64(math.Floor(p.Y/sameEnd))
	for dx := int64(-1); dx <= 1; dx++ {
		for dy := int64(-1); dy <= 1; dy++ {
			for _, n := range cells[[2]int64{cx + dx, cy + dy}] {
				if j.at[n].Dist(p) <= sameEnd {
					return n
				}
			}
		}
	}
	n := len(j.at)
	j.at = append(j.at, p)
	cells[[2]int64{cx, cy}] = append(cells[[2]int64{cx, cy}], n)
	return n
}

func (j *joiner) connect() {
	j.touch = make([][]int, len(j.at))
	for i, e := range j.ends {
		if !j.gone[i] {
			j.touch[e[0]] = append(j.touch[e[0]], i)
			j.touch[e[1]] = append(j.touch[e[1]], i)
		}
	}
}

// maxAlike bounds how many pieces between the same two points are compared; an
// outline has two.
const maxAlike = 64

// dropDoubles drops pieces drawn twice: same ends, same middle.
func (j *joiner) dropDoubles(d *Drawing) {
	seen := map[[2]int][]int{}
	dropped := 0
	for i, e := range j.ends {
		key := [2]int{min(e[0], e[1]), max(e[0], e[1])}
		for _, k := range seen[key][:min(len(seen[key]), maxAlike)] {
			if j.pieces[i].At(0.5).Dist(j.pieces[k].At(0.5)) <= 2*sameEnd {
				j.gone[i] = true
			}
		}
		if j.gone[i] {
			dropped++
			continue
		}
		seen[key] = append(seen[key], i)
	}
	if dropped > 0 {
		d.note(fmt.Sprintf("%d pieces drawn twice were dropped", dropped))
		j.connect()
	}
}

// note adds a note unless it is there.
func (d *Drawing) note(text string) {
	if !slices.Contains(d.Notes, text) {
		d.Notes = append(d.Notes, text)
	}
}

// closeGaps joins loose ends, nearest pairs first.
func (j *joiner) closeGaps(d *Drawing, tol float64) {
	loose := j.loose()
	type gap struct {
		dist float64
		a, b int
	}
	var gaps []gap
	for i, a := range loose {
		for _, b := range loose[i+1:] {
			if j.at[b].X-j.at[a].X > tol {
				break
			}
			if dist := j.at[a].Dist(j.at[b]); dist <= tol {
				gaps = append(gaps, gap{dist, a, b})
			}
		}
	}
	slices.SortFunc(gaps, func(p, q gap) int {
		return cmp.Or(cmp.Compare(p.dist, q.dist), cmp.Compare(p.a, q.a), cmp.Compare(p.b, q.b))
	})
	joined, widest := 0, 0.0
	done := make([]bool, len(j.at))
	for _, g := range gaps {
		if done[g.a] || done[g.b] {
			continue
		}
		done[g.a], done[g.b] = true, true
		j.merge(g.a, g.b)
		joined, widest = joined+1, math.Max(widest, g.dist)
	}
	if joined > 0 {
		d.note(fmt.Sprintf("%d gaps were closed, the widest %.3g mm", joined, widest))
		j.connect()
	}
}

// loose returns the nodes at which one piece ends, left to right.
func (j *joiner) loose() []int {
	var list []int
	for n, t := range j.touch {
		if len(t) == 1 {
			list = append(list, n)
		}
	}
	slices.SortFunc(list, func(a, b int) int {
		return cmp.Or(cmp.Compare(j.at[a].X, j.at[b].X), cmp.Compare(j.at[a].Y, j.at[b].Y), a-b)
	})
	return list
}

// merge moves node b to node a.
func (j *joiner) merge(a, b int) {
	for _, i := range j.touch[b] {
		for k := range 2 {
			if j.ends[i][k] == b {
				j.ends[i][k] = a
			}
		}
	}
}

// maxListed bounds the places that one error lists.
const maxListed = 6

// complain returns an error where ends stay loose or pieces branch.
func (j *joiner) complain(tol float64) error {
	if len(j.pieces) == 0 {
		return &Error{What: "no line or arc is left", Remedy: "check the layers"}
	}
	var open, branch []string
	for n, t := range j.touch {
		if len(t) == 1 || len(t) > 2 {
			p := j.pieces[t[0]]
			text := fmt.Sprintf("(%.4g, %.4g) of the %s at %s", j.at[n].X, j.at[n].Y, p.Entity, p.Place)
			if len(t) == 1 {
				if len(open) < maxListed { // each asks all nodes
					text += j.nearestLoose(n)
				}
				open = append(open, text)
			} else {
				branch = append(branch, fmt.Sprintf("%s, where %d pieces meet", text, len(t)))
			}
		}
	}
	if len(branch) > 0 {
		return &Error{What: "the outline branches at " + list(branch), Remedy: "leave exactly two pieces at each corner, or choose layers"}
	}
	if len(open) > 0 {
		return &Error{What: "the outline is open at " + list(open), Remedy: fmt.Sprintf("close it, or join ends further apart than %.3g mm by a larger join distance", tol)}
	}
	return nil
}

func list(places []string) string {
	if n := len(places) - maxListed; n > 0 {
		return strings.Join(places[:maxListed], "; ") + fmt.Sprintf("; and %d more", n)
	}
	return strings.Join(places, "; ")
}

// nearestLoose says how far the next loose end is.
func (j *joiner) nearestLoose(n int) string {
	best := math.Inf(1)
	for m, t := range j.touch {
		if m != n && len(t) == 1 {
			best = math.Min(best, j.at[m].Dist(j.at[n]))
		}
	}
	if math.IsInf(best, 1) {
		return ""
	}
	return fmt.Sprintf(" (next loose end %.3g mm away)", best)
}

// loops walks along the pieces.
func (j *joiner) loops() ([]geom.Loop, error) {
	used := slices.Clone(j.gone)
	var loops []geom.Loop
	for start := range j.pieces {
		if used[start] {
			continue
		}
		if len(loops) == maxLoops {
			return nil, &Error{What: fmt.Sprintf("the drawing has more than %d loops", maxLoops), Remedy: "choose layers"}
		}
		loops = append(loops, j.walk(start, used))
	}
	return loops, nil
}

// walk returns the loop that a piece belongs to. Every node has two pieces, so
// it comes back to where it started.
func (j *joiner) walk(start int, used []bool) geom.Loop {
	var l geom.Loop
	from := j.ends[start][0]
	for i, n := start, from; ; {
		used[i] = true
		e := j.pieces[i].Edge
		next := j.ends[i][1]
		if j.ends[i][0] != n {
			e, next = e.Reverse(), j.ends[i][0]
		}
		e.A, e.B = j.at[n], j.at[next]
		l = append(l, e)
		if next == from {
			return l
		}
		t := j.touch[next]
		if t[0] == i {
			i = t[1]
		} else {
			i = t[0]
		}
		n = next
	}
}

// nest sorts loops into outlines and holes by how many loops lie around each.
func nest(loops []geom.Loop) []geom.Region {
	slices.SortStableFunc(loops, func(a, b geom.Loop) int {
		return cmp.Compare(math.Abs(b.Area()), math.Abs(a.Area()))
	})
	boxes := make([]geom.Box, len(loops))
	for i, l := range loops {
		boxes[i] = l.Bounds()
	}
	depth := make([]int, len(loops))
	region := make([]int, len(loops)) // of an outline: its index in regions
	var regions []geom.Region
	for i, l := range loops {
		parent := -1
		for k := i - 1; k >= 0; k-- { // smaller loops last: the first hit is the nearest around
			if boxes[k].Meets(boxes[i]) && mostlyInside(l, loops[k]) {
				parent = k
				break
			}
		}
		if parent >= 0 {
			depth[i] = depth[parent] + 1
		}
		if depth[i]%2 == 0 {
			region[i] = len(regions)
			regions = append(regions, geom.Region{Outer: running(l, 1)})
			continue
		}
		r := &regions[region[parent]]
		r.Holes = append(r.Holes, running(l, -1))
	}
	for _, r := range regions {
		slices.SortStableFunc(r.Holes, byMiddle)
	}
	slices.SortStableFunc(regions, func(a, b geom.Region) int { return byMiddle(a.Outer, b.Outer) })
	return regions
}

// mostlyInside reports whether a loop lies within another, by two of three
// points spread over it. One point would do for loops that keep apart; of
// loops that touch it might be the very point they share, and Validate is to
// name that, not a second outline.
func mostlyInside(l, around geom.Loop) bool {
	inside := 0
	for k := range 3 {
		at := float64(k*len(l)) / 3
		i := int(at)
		// A seventh keeps off ends and middles, where drawn loops tend to touch.
		if around.Contains(l[i].At(at - float64(i) + 1./7)) {
			inside++
		}
	}
	return inside >= 2
}

// running returns the loop with the sign of its area as wanted.
func running(l geom.Loop, sign float64) geom.Loop {
	if l.Area()*sign < 0 {
		return l.Reverse()
	}
	return l
}

// middleStep is the grain to which middles are compared, so that rounding does
// not decide the order of holes above one another.
const middleStep = 1e-3 // mm

func byMiddle(a, b geom.Loop) int {
	p, q := a.Bounds().Middle(), b.Bounds().Middle()
	return cmp.Or(
		cmp.Compare(math.Round(p.X/middleStep), math.Round(q.X/middleStep)),
		cmp.Compare(math.Round(p.Y/middleStep), math.Round(q.Y/middleStep)))
}
