package geom

import (
	"fmt"
	"math"
	"slices"
)

// Offset is a region made by Region.InsetLoops, with where its edges came from.
type Offset struct {
	Region Region
	// Source names, for each loop (as in Region.Loops()) and each of its edges,
	// the edge of the first region that it runs along. An arc around a corner
	// is counted to the edge before the corner.
	Source [][]EdgeRef
}

// Inset returns the points of the region at least d from its boundary, as
// regions: none where the region is too narrow, several where it falls apart.
// Segments and arcs stay what they are (an arc's radius shrinks or grows by d),
// inward corners get arcs of radius d, and edges keep their labels. A negative d
// grows the region, filling holes of radius under -d.
//
// The region must be valid. Cost: about n·log n for n edges, as long as few
// of their offsets cross.
func (r Region) Inset(d float64) ([]Region, error) {
	offsets, err := r.InsetLoops(d)
	if err != nil {
		return nil, err
	}
	var out []Region
	for _, o := range offsets {
		out = append(out, o.Region)
	}
	return out, nil
}

// InsetLoops is Inset with the source of each edge.
//
// Method: the offsets of all edges and the arcs around inward corners are cut
// where they meet; of the pieces those remain that are nowhere nearer than d to
// the boundary; they are joined end to end. Where rounding leaves a gap (an
// offset that runs through a cusp of another) d is changed by insetNudge and
// all is done again.
func (r Region) InsetLoops(d float64) ([]Offset, error) {
	if math.IsNaN(d) || math.IsInf(d, 0) {
		return nil, fmt.Errorf("inset distance is %g: give a number", d)
	}
	near := NewBoundary(r)
	for _, nudge := range insetNudges {
		in := inset{region: r, near: near, d: d + nudge*math.Copysign(1, d)}
		if out, ok := in.run(); ok {
			return out, nil
		}
	}
	return nil, fmt.Errorf("the inset by %g mm does not close: change the distance a little, or simplify the outline", d)
}

// insetNudges, mm: tried in turn. Even the last is a tenth of what a printer
// could show.
var insetNudges = [...]float64{0, 1e-5, 3.1e-5, 1e-4, 3.3e-4, 1e-3}

const (
	// meetTolerance finds offsets that touch; above rounding at metres (1e-12)
	// by enough for tangents.
	meetTolerance = 1e-8
	// depthTolerance: a piece is dropped when it comes nearer than d by more.
	depthTolerance = 1e-7
	// lostLength, mm: more than this of dangling pieces means a gap.
	lostLength = 1e-2
)

type inset struct {
	region Region
	near   *Boundary
	d      float64
	raw    []rawEdge
	pieces []piece
	nodes  []Point
	lookup map[[2]int64][]int32
}

// rawEdge is an offset edge or corner arc before it is cut.
type rawEdge struct {
	Edge
	source EdgeRef
}

// piece is a part of a raw edge between two nodes.
type piece struct {
	raw      int32
	t0, t1   float64
	from, to int32
	gone     bool
}

func (in *inset) run() ([]Offset, bool) {
	for i, l := range in.region.Loops() {
		in.offsetLoop(i, l)
	}
	in.cut()
	in.drop()
	if in.prune() > lostLength {
		return nil, false
	}
	loops, ok := in.chain()
	if !ok {
		return nil, false
	}
	return nest(loops), true
}

// offsetLoop appends the raw offset of a loop.
func (in *inset) offsetLoop(index int, l Loop) {
	for i, e := range l {
		ref := EdgeRef{index, i}
		t1 := e.Tangent(1)
		end := e.B.Add(t1.Left().Scale(in.d))
		shrunk := e.Radius() - in.d*math.Copysign(1, e.Bulge)
		if !e.IsArc() || shrunk > Tolerance {
			start := e.A.Add(e.Tangent(0).Left().Scale(in.d))
			in.raw = append(in.raw, rawEdge{Edge{start, end, e.Bulge, e.Label}, ref})
		}
		next := l[(i+1)%len(l)]
		t2 := next.Tangent(0)
		turn := math.Atan2(t1.Cross(t2), t1.Dot(t2))
		if to := next.A.Add(t2.Left().Scale(in.d)); turn*in.d < 0 && end.Dist(to) > Tolerance {
			in.raw = append(in.raw, rawEdge{Edge{end, to, math.Tan(turn / 4), e.Label}, ref})
		}
	}
}

// cut splits the raw edges where they meet.
func (in *inset) cut() {
	cuts := make([][]float64, len(in.raw))
	boxes := make([]Box, len(in.raw))
	for i, e := range in.raw {
		cuts[i] = []float64{0, 1}
		boxes[i] = e.Bounds().Grow(meetTolerance)
	}
	boxPairs(boxes, func(i, j int) {
		for _, m := range in.raw[i].Meet(in.raw[j].Edge, meetTolerance) {
			cuts[i] = append(cuts[i], m.T)
			cuts[j] = append(cuts[j], m.U)
		}
	})
	in.lookup = map[[2]int64][]int32{}
	for i, e := range in.raw {
		slices.Sort(cuts[i])
		last := 0.0
		from := in.node(e.A)
		for _, t := range cuts[i] {
			to := in.node(e.At(t))
			if to == from && (t-last)*e.Length() < 8*Tolerance {
				continue
			}
			in.pieces = append(in.pieces, piece{int32(i), last, t, from, to, false})
			last, from = t, to
		}
	}
}

// boxPairs calls f(i, j), i < j, for each pair of boxes that meet, in an order
// that depends on the boxes alone.
func boxPairs(boxes []Box, f func(i, j int)) {
	order := make([]int, len(boxes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		switch {
		case boxes[i].Min.X < boxes[j].Min.X:
			return -1
		case boxes[i].Min.X > boxes[j].Min.X:
			return 1
		}
		return 0
	})
	var open []int
	for _, i := range order {
		open = slices.DeleteFunc(open, func(j int) bool { return boxes[j].Max.X < boxes[i].Min.X })
		for _, j := range open {
			if boxes[i].Meets(boxes[j]) {
				f(min(i, j), max(i, j))
			}
		}
		open = append(open, i)
	}
}

// node returns the number of the node at p; points within Tolerance are one.
func (in *inset) node(p Point) int32 {
	const cell = 4 * Tolerance
	x, y := int64(math.Floor(p.X/cell)), int64(math.Floor(p.Y/cell))
	for dx := int64(-1); dx <= 1; dx++ {
		for dy := int64(-1); dy <= 1; dy++ {
			for _, n := range in.lookup[[2]int64{x + dx, y + dy}] {
				if in.nodes[n].Dist(p) <= Tolerance {
					return n
				}
			}
		}
	}
	n := int32(len(in.nodes))
	in.nodes = append(in.nodes, p)
	in.lookup[[2]int64{x, y}] = append(in.lookup[[2]int64{x, y}], n)
	return n
}

// drop marks the pieces that come nearer than d to the boundary or lie on its
// wrong side.
func (in *inset) drop() {
	least := math.Abs(in.d) - depthTolerance
	for i := range in.pieces {
		p := &in.pieces[i]
		e := in.raw[p.raw]
		for _, s := range [3]float64{0.5, 0.25, 0.75} {
			q := e.At(p.t0 + s*(p.t1-p.t0))
			n := in.near.Nearest(q)
			wrongSide := math.Abs(in.d) > depthTolerance && in.near.holds(n, q) != (in.d > 0)
			if p.gone = n.Distance < least || wrongSide; p.gone {
				break
			}
		}
	}
}

// prune takes off pieces that lead nowhere and returns their length.
func (in *inset) prune() float64 {
	lost := 0.0
	for again := true; again; {
		again = false
		into, out := make([]int, len(in.nodes)), make([]int, len(in.nodes))
		for _, p := range in.pieces {
			if !p.gone {
				out[p.from]++
				into[p.to]++
			}
		}
		for i := range in.pieces {
			p := &in.pieces[i]
			if !p.gone && (into[p.from] == 0 || out[p.to] == 0) {
				p.gone, again = true, true
				lost += (p.t1 - p.t0) * in.raw[p.raw].Length()
			}
		}
	}
	return lost
}

// chained is a closed loop of pieces.
type chained struct {
	loop   Loop
	source []EdgeRef
	area   float64
}

// chain joins the pieces to loops, at a node with several ways on by the one
// farthest to the left, so that loops that touch stay apart.
func (in *inset) chain() ([]chained, bool) {
	out := make([][]int32, len(in.nodes))
	for i, p := range in.pieces {
		if !p.gone {
			out[p.from] = append(out[p.from], int32(i))
		}
	}
	var loops []chained
	for i := range in.pieces {
		if in.pieces[i].gone {
			continue
		}
		var list []int32
		for at := int32(i); ; {
			p := &in.pieces[at]
			p.gone = true
			list = append(list, at)
			if p.to == in.pieces[i].from {
				break
			}
			if at = in.leftmost(out[p.to], at); at < 0 {
				return nil, false
			}
		}
		if c := in.assemble(list); c.area != 0 {
			loops = append(loops, c)
		}
	}
	return loops, true
}

// leftmost returns the way on that turns farthest to the left, -1 of none.
func (in *inset) leftmost(ways []int32, from int32) int32 {
	p := in.pieces[from]
	dir := in.raw[p.raw].Tangent(p.t1)
	best, turn := int32(-1), -4.0
	for _, w := range ways {
		q := in.pieces[w]
		if q.gone {
			continue
		}
		on := in.raw[q.raw].Tangent(q.t0)
		if a := math.Atan2(dir.Cross(on), dir.Dot(on)); a > turn {
			best, turn = w, a
		}
	}
	return best
}

// assemble makes the loop of a list of pieces; pieces that follow each other on
// one raw edge are joined again. A loop thinner than Tolerance has area 0.
func (in *inset) assemble(list []int32) chained {
	var run []piece
	for _, i := range list {
		p := in.pieces[i]
		if n := len(run); n > 0 && run[n-1].raw == p.raw && run[n-1].t1 == p.t0 {
			run[n-1].t1, run[n-1].to = p.t1, p.to
			continue
		}
		run = append(run, p)
	}
	if n := len(run); n > 2 && run[0].raw == run[n-1].raw && run[n-1].t1 == run[0].t0 {
		run[0].t0, run[0].from = run[n-1].t0, run[n-1].from
		run = run[:n-1]
	}
	var c chained
	for _, p := range run {
		e := in.raw[p.raw].Part(p.t0, p.t1)
		e.A, e.B = in.nodes[p.from], in.nodes[p.to]
		if p.from == p.to {
			continue
		}
		c.loop = append(c.loop, e)
		c.source = append(c.source, in.raw[p.raw].source)
	}
	if a := c.loop.Area(); math.Abs(a) > c.loop.Length()*Tolerance && len(c.loop) > 1 {
		c.area = a
	}
	return c
}

// nest sorts loops into regions: each hole goes to the smallest outline around
// it.
func nest(loops []chained) []Offset {
	var out []Offset
	for _, c := range loops {
		if c.area > 0 {
			out = append(out, Offset{Region{Outer: c.loop}, [][]EdgeRef{c.source}})
		}
	}
	for _, c := range loops {
		if c.area > 0 {
			continue
		}
		best := -1
		p := c.loop[0].At(0.5)
		for i, o := range out {
			if o.Region.Outer.Contains(p) && (best < 0 || o.Region.Outer.Area() < out[best].Region.Outer.Area()) {
				best = i
			}
		}
		if best >= 0 {
			out[best].Region.Holes = append(out[best].Region.Holes, c.loop)
			out[best].Source = append(out[best].Source, c.source)
		}
	}
	return out
}
