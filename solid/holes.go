package solid

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"sinew/geom"
)

// closeOpen closes open edges in three steps, each tried on what the one before
// left: loose corners that nearly meet are joined, edges are split at corners
// that lie on them, holes with a flat rim or of three sides are filled.
func (d *mender) closeOpen() error {
	if len(d.open) == 0 {
		return nil
	}
	if len(d.open) > maxOpen {
		return d.openFault(len(d.open), d.open[0])
	}
	d.joinCorners()
	if len(d.open) > 0 {
		d.splitEdges()
	}
	if len(d.open) > 0 {
		return d.fillHoles()
	}
	return nil
}

func (d *mender) openFault(n int, h int32) error {
	return &Fault{"open edges", fmt.Sprintf("no plain answer closes them (corners to %g mm apart are joined, holes with a flat rim filled): close the surface, or export it as a solid", d.set.gap()), n, d.mesh.Points[d.mesh.from(h)]}
}

// rimCorners lists the corners at open edges, left to right.
func (d *mender) rimCorners() []int32 {
	var list []int32
	for _, h := range d.open {
		list = append(list, d.mesh.from(h), d.mesh.to(h))
	}
	slices.Sort(list)
	list = slices.Compact(list)
	slices.SortStableFunc(list, func(a, b int32) int { return cmp.Compare(d.mesh.Points[a].X, d.mesh.Points[b].X) })
	return list
}

// joinCorners joins loose corners up to the gap apart, nearest pairs first,
// each at most once.
func (d *mender) joinCorners() {
	type pair struct {
		dist float64
		a, b int32
	}
	gap := d.set.gap()
	rim := d.rimCorners()
	var pairs []pair
	for i, a := range rim {
		p := d.mesh.Points[a]
		for _, b := range rim[i+1:] {
			q := d.mesh.Points[b]
			if q.X-p.X > gap || len(pairs) > 4*maxOpen {
				break
			}
			if dist := p.Sub(q).Norm(); dist <= gap {
				pairs = append(pairs, pair{dist, min(a, b), max(a, b)})
			}
		}
	}
	slices.SortFunc(pairs, func(p, q pair) int {
		return cmp.Or(cmp.Compare(p.dist, q.dist), cmp.Compare(p.a, q.a), cmp.Compare(p.b, q.b))
	})
	move := map[int32]int32{}
	used := map[int32]bool{}
	for _, p := range pairs {
		if !used[p.a] && !used[p.b] {
			used[p.a], used[p.b] = true, true
			move[p.b] = p.a
		}
	}
	if len(move) == 0 {
		return
	}
	for i := range d.mesh.Tris {
		for k, v := range d.mesh.Tris[i] {
			if to, ok := move[v]; ok {
				d.mesh.Tris[i][k] = to
			}
		}
	}
	d.note("pairs of loose corners joined", len(move), d.mesh.Points[pairs[0].a])
	d.dropCollapsed()
	d.pair()
}

// splitEdges splits triangles at loose corners that lie on their open edges.
func (d *mender) splitEdges() {
	rim := d.rimCorners()
	split := map[int32]bool{}
	count, at := 0, Point{}
	for _, h := range slices.Clone(d.open) {
		t := h / 3
		if split[t] {
			continue // one edge of a triangle at a time; the rest is tried as a hole
		}
		on := d.cornersOn(h, rim)
		if len(on) == 0 {
			continue
		}
		split[t] = true
		if count == 0 {
			at = d.mesh.Points[on[0]]
		}
		count += len(on)
		apex, last := d.mesh.to(next(h)), d.mesh.to(h)
		d.mesh.Tris[t] = [3]int32{d.mesh.from(h), on[0], apex}
		for i, v := range on {
			end := last
			if i+1 < len(on) {
				end = on[i+1]
			}
			d.mesh.Tris = append(d.mesh.Tris, [3]int32{v, end, apex})
		}
	}
	if count == 0 {
		return
	}
	d.note("edges split at corners that lie on them", count, at)
	d.dropCollapsed()
	d.pair()
}

// cornersOn returns the loose corners within the gap of an edge, in its order.
func (d *mender) cornersOn(h int32, rim []int32) []int32 {
	type hit struct {
		at float64
		v  int32
	}
	a, b := d.mesh.Points[d.mesh.from(h)], d.mesh.Points[d.mesh.to(h)]
	dir := b.Sub(a)
	gap, length := d.set.gap(), dir.Norm()
	if length <= 2*gap {
		return nil
	}
	lo, hi := min(a.X, b.X)-gap, max(a.X, b.X)+gap
	i, _ := slices.BinarySearchFunc(rim, lo, func(v int32, x float64) int { return cmp.Compare(d.mesh.Points[v].X, x) })
	var hits []hit
	for ; i < len(rim) && d.mesh.Points[rim[i]].X <= hi; i++ {
		p := d.mesh.Points[rim[i]].Sub(a)
		s := p.Dot(dir) / length
		if s > gap && s < length-gap && p.Sub(dir.Scale(s/length)).Norm() <= gap {
			hits = append(hits, hit{s, rim[i]})
		}
	}
	slices.SortStableFunc(hits, func(p, q hit) int { return cmp.Compare(p.at, q.at) })
	out := make([]int32, len(hits))
	for i, x := range hits {
		out[i] = x.v
	}
	return out
}

// fillHoles fills holes whose answer is plain and refuses the rest.
func (d *mender) fillHoles() error {
	rims := d.rims()
	filled, at := 0, Point{}
	refused, first := 0, int32(none)
	for _, rim := range rims {
		tris, ok := d.fill(rim)
		if !ok {
			if refused == 0 {
				first = rim.half
			}
			refused += len(rim.corners)
			continue
		}
		if filled == 0 {
			at = d.mesh.Points[rim.corners[0]]
		}
		filled++
		d.mesh.Tris = append(d.mesh.Tris, tris...)
	}
	if refused > 0 {
		return d.openFault(refused, first)
	}
	d.note("holes in the surface filled", filled, at)
	d.pair()
	if len(d.open) > 0 {
		return d.openFault(len(d.open), d.open[0])
	}
	return nil
}

// rim is the edge of a hole, running the way that the triangles to be put in
// will run.
type rim struct {
	corners []int32
	half    int32
	closed  bool
}

// rims chains open half edges, each run backwards; where a chain comes by a
// corner again, what lies between is a rim of its own.
func (d *mender) rims() []rim {
	ends := map[int32][]int32{} // corner: open half edges that end there, not yet used
	for _, h := range d.open {
		ends[d.mesh.to(h)] = append(ends[d.mesh.to(h)], h)
	}
	var out []rim
	for _, start := range d.open {
		var chain, halves []int32
		place := map[int32]int{}
		for at := d.mesh.to(start); len(ends[at]) > 0; {
			h := ends[at][0]
			ends[at] = ends[at][1:]
			place[at] = len(chain)
			chain, halves = append(chain, at), append(halves, h)
			at = d.mesh.from(h)
			p, seen := place[at]
			if !seen {
				continue
			}
			out = append(out, rim{slices.Clone(chain[p:]), halves[p], true})
			for _, v := range chain[p:] {
				delete(place, v)
			}
			chain, halves = chain[:p], halves[:p]
		}
		if len(chain) > 0 {
			out = append(out, rim{chain, halves[0], false})
		}
	}
	return out
}

// fill returns triangles that close the hole.
func (d *mender) fill(r rim) ([][3]int32, bool) {
	n := len(r.corners)
	if !r.closed || n < 3 || n > maxRim {
		return nil, false
	}
	if n == 3 {
		return [][3]int32{{r.corners[0], r.corners[1], r.corners[2]}}, true
	}
	flat, ok := d.flatten(r.corners)
	if !ok {
		return nil, false
	}
	ears, ok := clipEars(flat)
	if !ok {
		return nil, false
	}
	tris := make([][3]int32, len(ears))
	for i, e := range ears {
		tris[i] = [3]int32{r.corners[e[0]], r.corners[e[1]], r.corners[e[2]]}
	}
	return tris, true
}

// flatten lays a rim into the plane that fits it, the way it runs positive; a
// rim that leaves its plane by more than the gap has none.
func (d *mender) flatten(corners []int32) ([]geom.Point, bool) {
	var normal, mean Point
	o := d.mesh.Points[corners[0]]
	for i, v := range corners {
		p, q := d.mesh.Points[v].Sub(o), d.mesh.Points[corners[(i+1)%len(corners)]].Sub(o)
		normal = normal.Add(p.Cross(q))
		mean = mean.Add(p.Scale(1 / float64(len(corners))))
	}
	size := normal.Norm()
	if !(size > 0) {
		return nil, false
	}
	normal = normal.Scale(1 / size)
	u, v := normal.axes()
	out := make([]geom.Point, len(corners))
	for i, c := range corners {
		p := d.mesh.Points[c].Sub(o).Sub(mean)
		if math.Abs(p.Dot(normal)) > d.set.gap() {
			return nil, false
		}
		out[i] = geom.Point{X: p.Dot(u), Y: p.Dot(v)}
	}
	return out, true
}

// axes returns two unit vectors at right angles to the unit vector n and to
// each other, u × v = n.
func (n Point) axes() (u, v Point) {
	u = Point{1, 0, 0}
	if math.Abs(n.X) > math.Abs(n.Y) {
		u = Point{0, 1, 0}
	}
	u = u.Sub(n.Scale(u.Dot(n)))
	u = u.Scale(1 / u.Norm())
	return u, n.Cross(u)
}

// clipEars cuts a simple positive polygon into triangles by corner index
// (G. H. Meisters, Polygons have ears, American Mathematical Monthly 82 (1975)
// 648–651). It fails on polygons that cross themselves.
func clipEars(p []geom.Point) ([][3]int, bool) {
	left := make([]int, len(p))
	for i := range left {
		left[i] = i
	}
	var out [][3]int
	for len(left) > 3 {
		at := findEar(p, left)
		if at < 0 {
			return nil, false
		}
		n := len(left)
		out = append(out, [3]int{left[(at+n-1)%n], left[at], left[(at+1)%n]})
		left = slices.Delete(left, at, at+1)
	}
	return append(out, [3]int{left[0], left[1], left[2]}), true
}

// findEar returns the place of a corner that can be cut off, -1 if none.
// A straight corner is the last choice: it leaves a triangle without area.
func findEar(p []geom.Point, left []int) int {
	straight := -1
	n := len(left)
	for i := range left {
		a, b, c := p[left[(i+n-1)%n]], p[left[i]], p[left[(i+1)%n]]
		turn := geom.Orient(a, b, c)
		if turn == 0 && straight < 0 {
			straight = i
		}
		if turn > 0 && !slices.ContainsFunc(left, func(k int) bool {
			q := p[k]
			return q != a && q != b && q != c && geom.Orient(a, b, q) >= 0 && geom.Orient(b, c, q) >= 0 && geom.Orient(c, a, q) >= 0
		}) {
			return i
		}
	}
	return straight
}
