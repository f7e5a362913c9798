package geom

import (
	"cmp"
	"math"
	"slices"
)

// Union returns the area that belongs to either.
func (ps Polygons) Union(qs Polygons) Polygons {
	return combine(ps, qs, func(a, b int32) bool { return a != 0 || b != 0 })
}

// Intersect returns the area that belongs to both.
func (ps Polygons) Intersect(qs Polygons) Polygons {
	return combine(ps, qs, func(a, b int32) bool { return a != 0 && b != 0 })
}

// Subtract returns the area of ps that does not belong to qs.
func (ps Polygons) Subtract(qs Polygons) Polygons {
	return combine(ps, qs, func(a, b int32) bool { return a != 0 && b == 0 })
}

// Wound returns the area around which the polygons wind at least once
// counter-clockwise: unlike Union it leaves out what they wind around the other
// way.
func (ps Polygons) Wound() Polygons { return ps.WoundTimes(1) }

// WoundTimes is Wound with at least n turns: where n or more of polygons that
// each wind once lie on one another.
func (ps Polygons) WoundTimes(n int) Polygons {
	return combine(ps, nil, func(a, _ int32) bool { return int(a) >= n })
}

// Offset grows the area by d (shrinks it for negative d) with round corners.
// The sides of the result stay within tol of the true offset of polygons that
// have been simplified by tol/4 first: without that the cost of dense outlines
// is quadratic. It is Region.InsetLoops with its arcs cut into chords; where
// that finds no closed result, the winding numbers of the raw offset decide.
func (ps Polygons) Offset(d, tol float64) Polygons {
	var loops []chained
	for _, p := range ps.Union(nil) {
		if s := Polygon(Path{p, true}.Simplify(tol / 4).Points); len(s) > 2 {
			loops = append(loops, chained{s.Loop(), nil, s.Area()})
		}
	}
	var out Polygons
	for _, o := range nest(loops) {
		parts, err := o.Region.Inset(-d)
		if err != nil {
			return offsetByWinding(loops, d, tol)
		}
		for _, r := range parts {
			out = append(out, r.Flatten(tol/2)...)
		}
	}
	return out.Union(nil)
}

// offsetByWinding offsets by the raw curves' winding numbers alone.
func offsetByWinding(loops []chained, d, tol float64) Polygons {
	var raw Polygons
	for _, c := range loops {
		raw = append(raw, rawOffset(c.loop.Flatten(tol), d, tol))
	}
	return combine(raw, nil, func(a, _ int32) bool { return a > 0 })
}

// rawOffset returns the closed curve at distance d to the right of p's sides:
// arcs where the offsets part, a detour over the corner where they cross. It
// winds around the true offset once, and around all else no more than zero
// times.
func rawOffset(p Polygon, d, tol float64) Polygon {
	var out Polygon
	n := len(p)
	for i, b := range p {
		a, c := p[(i+n-1)%n], p[(i+1)%n]
		u, v := b.Sub(a), c.Sub(b)
		u, v = u.Scale(1/u.Norm()), v.Scale(1/v.Norm())
		turn := math.Atan2(u.Cross(v), u.Dot(v))
		from, to := b.Sub(u.Left().Scale(d)), b.Sub(v.Left().Scale(d))
		if turn*d <= 0 {
			out = append(out, from, b, to)
			continue
		}
		out = append(out, Edge{A: from, B: to, Bulge: math.Tan(turn / 4)}.Flatten(tol)...)
	}
	return out
}

// The operations work on whole numbers, so that every sign is exact: the points
// are rounded to a grid, the sides cut where they meet, the cuts rounded to the
// grid again until no side meets another but at an end (snap rounding, after
// J. D. Hobby, Practical segment intersection with finite precision output,
// Computational Geometry 13 (1999) 199–214, done by repetition). Then each side
// has one winding number on its left and one on its right for each operand, and
// those remain that part inside from outside.
const (
	// gridBits: coordinates stay under 2^28 steps, so that products of
	// differences fit 63 bits.
	gridBits = 28
	// finestBits: a step is no finer than 2^-20 mm, about a nanometre.
	finestBits = 20
	// snapReach, steps: a side that passes a vertex this close is led through it.
	snapReach = 0.75
	// mostRounds ends the rounds of cutting; a few suffice.
	mostRounds = 40
)

type gridPoint struct{ x, y int64 }

func (p gridPoint) cmp(q gridPoint) int {
	if c := cmp.Compare(p.x, q.x); c != 0 {
		return c
	}
	return cmp.Compare(p.y, q.y)
}

// gridSide runs from a to b, a before b; w is how many times more each operand
// winds around what lies to its left than around what lies to its right.
type gridSide struct {
	a, b gridPoint
	w    [2]int32
}

func cross(a, b, c gridPoint) int64 {
	return (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x)
}

// combine returns the area where inside holds for the two winding numbers.
func combine(ps, qs Polygons, inside func(a, b int32) bool) Polygons {
	box := ps.Bounds().Union(qs.Bounds())
	size := math.Max(math.Max(math.Abs(box.Min.X), math.Abs(box.Max.X)), math.Max(math.Abs(box.Min.Y), math.Abs(box.Max.Y)))
	if !(size > 0) || math.IsInf(size, 0) {
		return nil
	}
	_, exp := math.Frexp(size)
	step := math.Ldexp(1, max(exp-gridBits, -finestBits))
	var sides []gridSide
	for k, set := range [2]Polygons{ps, qs} {
		for _, p := range set {
			for i, a := range p {
				sides = addSide(sides, toGrid(a, step), toGrid(p[(i+1)%len(p)], step), k)
			}
		}
	}
	sides = merge(sides)
	for range mostRounds {
		cutSides, changed := cutAll(sides)
		if !changed {
			break
		}
		sides = merge(cutSides)
	}
	return chainSides(parting(sides, inside), step)
}

func toGrid(p Point, step float64) gridPoint {
	return gridPoint{int64(math.Round(p.X / step)), int64(math.Round(p.Y / step))}
}

func addSide(sides []gridSide, a, b gridPoint, operand int) []gridSide {
	var w [2]int32
	switch c := a.cmp(b); {
	case c < 0:
		w[operand] = 1
		return append(sides, gridSide{a, b, w})
	case c > 0:
		w[operand] = -1
		return append(sides, gridSide{b, a, w})
	}
	return sides
}

// merge joins equal sides and drops those that cancel.
func merge(sides []gridSide) []gridSide {
	slices.SortFunc(sides, func(p, q gridSide) int {
		if c := p.a.cmp(q.a); c != 0 {
			return c
		}
		return p.b.cmp(q.b)
	})
	out := sides[:0]
	for _, s := range sides {
		if n := len(out); n > 0 && out[n-1].a == s.a && out[n-1].b == s.b {
			out[n-1].w[0] += s.w[0]
			out[n-1].w[1] += s.w[1]
			continue
		}
		out = append(out, s)
	}
	return slices.DeleteFunc(out, func(s gridSide) bool { return s.w == [2]int32{} })
}

// cutAll cuts the sides where they meet.
func cutAll(sides []gridSide) ([]gridSide, bool) {
	cuts := make([][]gridPoint, len(sides))
	boxes := make([]Box, len(sides))
	for i, s := range sides {
		p, q := Point{float64(s.a.x), float64(s.a.y)}, Point{float64(s.b.x), float64(s.b.y)}
		boxes[i] = Box{p, p}.With(q).Grow(1)
	}
	changed := false
	boxPairs(boxes, func(i, j int) {
		changed = cutPair(sides[i], sides[j], &cuts[i], &cuts[j]) || changed
	})
	if !changed {
		return sides, false
	}
	var out []gridSide
	for i, s := range sides {
		list := append(cuts[i], s.b)
		d := gridPoint{s.b.x - s.a.x, s.b.y - s.a.y}
		slices.SortFunc(list, func(p, q gridPoint) int {
			return cmp.Compare((p.x-s.a.x)*d.x+(p.y-s.a.y)*d.y, (q.x-s.a.x)*d.x+(q.y-s.a.y)*d.y)
		})
		from := s.a
		for _, to := range list {
			switch c := from.cmp(to); {
			case c < 0:
				out = append(out, gridSide{from, to, s.w})
			case c > 0:
				out = append(out, gridSide{to, from, [2]int32{-s.w[0], -s.w[1]}})
			}
			from = to
		}
	}
	return out, true
}

// cutPair notes where s and u cut each other.
func cutPair(s, u gridSide, sCuts, uCuts *[]gridPoint) bool {
	hit := false
	for _, v := range [2]gridPoint{u.a, u.b} {
		if s.passes(v) {
			*sCuts = append(*sCuts, v)
			hit = true
		}
	}
	for _, v := range [2]gridPoint{s.a, s.b} {
		if u.passes(v) {
			*uCuts = append(*uCuts, v)
			hit = true
		}
	}
	if hit {
		return true
	}
	oa, ob := cross(u.a, u.b, s.a), cross(u.a, u.b, s.b)
	oc, od := cross(s.a, s.b, u.a), cross(s.a, s.b, u.b)
	if (oa > 0) == (ob > 0) || (oc > 0) == (od > 0) || oa == 0 || ob == 0 || oc == 0 || od == 0 {
		return false
	}
	t := float64(oa) / float64(oa-ob)
	p := gridPoint{
		s.a.x + int64(math.Round(t*float64(s.b.x-s.a.x))),
		s.a.y + int64(math.Round(t*float64(s.b.y-s.a.y))),
	}
	if p != s.a && p != s.b {
		*sCuts = append(*sCuts, p)
		hit = true
	}
	if p != u.a && p != u.b {
		*uCuts = append(*uCuts, p)
		hit = true
	}
	return hit
}

// passes reports whether the open side runs within snapReach of v.
func (s gridSide) passes(v gridPoint) bool {
	dx, dy := s.b.x-s.a.x, s.b.y-s.a.y
	along := (v.x-s.a.x)*dx + (v.y-s.a.y)*dy
	length2 := dx*dx + dy*dy
	if v == s.a || v == s.b || along <= 0 || along >= length2 {
		return false
	}
	c := float64(cross(s.a, s.b, v))
	return c*c <= snapReach*snapReach*float64(length2)
}

// parting keeps the sides with inside on one face only, run so that it lies to
// the left. The winding number below the middle of a side is the sum over the
// sides beneath, found in columns along x.
func parting(sides []gridSide, inside func(a, b int32) bool) [][2]gridPoint {
	cols := newColumns(sides)
	var out [][2]gridPoint
	for _, s := range sides {
		right := cols.windingUnder(s)
		in := inside(right[0], right[1])
		left := inside(right[0]+s.w[0], right[1]+s.w[1])
		switch {
		case left && !in:
			out = append(out, [2]gridPoint{s.a, s.b})
		case in && !left:
			out = append(out, [2]gridPoint{s.b, s.a})
		}
	}
	return out
}

// columns lists the sides by strips of equal width along x.
type columns struct {
	sides []gridSide
	x0, w int64
	list  [][]int32
}

func newColumns(sides []gridSide) *columns {
	c := &columns{sides: sides, w: 1}
	if len(sides) == 0 {
		return c
	}
	lo, hi := sides[0].a.x, sides[0].b.x
	for _, s := range sides {
		lo, hi = min(lo, s.a.x), max(hi, s.b.x)
	}
	c.x0 = lo
	c.w = (hi-lo)/int64(len(sides)) + 1
	c.list = make([][]int32, (hi-lo)/c.w+1)
	for i, s := range sides {
		for k := (s.a.x - lo) / c.w; k <= (s.b.x-lo)/c.w; k++ {
			c.list[k] = append(c.list[k], int32(i))
		}
	}
	return c
}

// windingUnder returns the winding numbers just right of (below) the middle of
// side s. Coordinates are doubled so that the middle is whole.
func (c *columns) windingUnder(s gridSide) (w [2]int32) {
	mx, my := s.a.x+s.b.x, s.a.y+s.b.y
	for _, i := range c.list[(mx/2-c.x0)/c.w] {
		u := c.sides[i]
		if u == s || !(2*u.a.x <= mx && mx < 2*u.b.x) {
			continue
		}
		// Above the line of u (doubled): left of a→b.
		if (u.b.x-u.a.x)*(my-2*u.a.y)-(u.b.y-u.a.y)*(mx-2*u.a.x) > 0 {
			w[0] += u.w[0]
			w[1] += u.w[1]
		}
	}
	return w
}

// chainSides joins directed sides to polygons. Where several lead on from a
// point the one farthest to the left is taken, so that areas which touch there
// stay apart.
func chainSides(sides [][2]gridPoint, step float64) Polygons {
	slices.SortFunc(sides, func(p, q [2]gridPoint) int {
		if c := p[0].cmp(q[0]); c != 0 {
			return c
		}
		return p[1].cmp(q[1])
	})
	used := make([]bool, len(sides))
	var out Polygons
	for i := range sides {
		if used[i] {
			continue
		}
		var ring []gridPoint
		for at := i; at >= 0; {
			used[at] = true
			ring = append(ring, sides[at][0])
			if sides[at][1] == sides[i][0] {
				break
			}
			at = onward(sides, used, at)
		}
		if p := thin(ring, step); len(p) > 2 {
			out = append(out, p)
		}
	}
	return out
}

// onward returns the unused side that leads on farthest to the left.
func onward(sides [][2]gridPoint, used []bool, at int) int {
	from, p := sides[at][0], sides[at][1]
	k, _ := slices.BinarySearchFunc(sides, p, func(s [2]gridPoint, p gridPoint) int { return s[0].cmp(p) })
	best, turn := -1, -4.0
	u := Point{float64(p.x - from.x), float64(p.y - from.y)}
	for ; k < len(sides) && sides[k][0] == p; k++ {
		v := Point{float64(sides[k][1].x - p.x), float64(sides[k][1].y - p.y)}
		if a := math.Atan2(u.Cross(v), u.Dot(v)); !used[k] && a > turn {
			best, turn = k, a
		}
	}
	return best
}

// thin drops points in the middle of straight runs and goes back to mm.
func thin(ring []gridPoint, step float64) Polygon {
	var p Polygon
	n := len(ring)
	for i, b := range ring {
		if cross(ring[(i+n-1)%n], b, ring[(i+1)%n]) != 0 {
			p = append(p, Point{float64(b.x) * step, float64(b.y) * step})
		}
	}
	return p
}
