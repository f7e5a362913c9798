package field

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"sinew/geom"
	"sinew/mesh"
	"sinew/part"
)

// stretch is a connected run of the composite region's boundary: a whole loop,
// or what lies between two loaded or held pieces of it.
type stretch struct {
	loop  int
	nodes []int32
	edges []int32 // into Mesh.Boundary
	// open: load enters or a support holds there, so that strands may end.
	open bool
	// feature that the stretch belongs to, -1 none.
	feature int
}

// isPin reports whether the stretch is a loaded or held hole.
func (s *stretch) isPin() bool { return s.open && s.loop > 0 }

// stretches cuts the boundary into runs that are alike, in the order of loops
// and edges. A boundary edge belongs to the feature of the part's edge nearest
// to it, since walls lie between the two outlines.
func stretches(m *mesh.Mesh, p *part.Part) []stretch {
	owner := activeEdges(p)
	near := geom.NewBoundary(p.Region)
	feature := make([]int, len(m.Boundary))
	for i, e := range m.Boundary {
		n := near.Nearest(m.Nodes[e.Mid])
		feature[i] = -1
		if f, ok := owner[geom.EdgeRef{Loop: n.Loop, Edge: n.Edge}]; ok {
			feature[i] = f
		}
	}
	var out []stretch
	for _, chain := range chains(m) {
		out = append(out, cutChain(m, chain, feature)...)
	}
	return out
}

// activeEdges lists the part's edges at which load enters or a support holds,
// with their feature.
func activeEdges(p *part.Part) map[geom.EdgeRef]int {
	owner := map[geom.EdgeRef]int{}
	mark := func(f int) {
		ft := p.Features[f]
		if ft.Kind == part.Hole || len(ft.Edges) == 0 {
			for e := range p.Region.Loops()[ft.Loop] {
				owner[geom.EdgeRef{Loop: ft.Loop, Edge: e}] = f
			}
			return
		}
		for _, e := range ft.Edges {
			owner[geom.EdgeRef{Loop: ft.Loop, Edge: e}] = f
		}
	}
	for _, s := range p.Supports {
		mark(s.Feature)
	}
	for _, c := range p.Cases {
		for _, l := range c.Loads {
			mark(l.Feature)
		}
	}
	return owner
}

// chains returns the boundary edges of each loop in order of travel, by rising
// loop.
func chains(m *mesh.Mesh) [][]int32 {
	from := make([]int32, len(m.Nodes))
	for i := range from {
		from[i] = -1
	}
	loops := int32(0)
	for i, e := range m.Boundary {
		from[e.A] = int32(i)
		loops = max(loops, e.Loop+1)
	}
	out := make([][]int32, loops)
	for i, e := range m.Boundary {
		if out[e.Loop] != nil {
			continue
		}
		for k := int32(i); ; {
			out[e.Loop] = append(out[e.Loop], k)
			if k = from[m.Boundary[k].B]; k == int32(i) || k < 0 {
				break
			}
		}
	}
	return out
}

// cutChain cuts one loop where the feature changes. Free holes and pins stay
// whole: only the outline has sides of its own.
func cutChain(m *mesh.Mesh, chain []int32, feature []int) []stretch {
	start := 0
	for i := range chain {
		prev := chain[(i+len(chain)-1)%len(chain)]
		if feature[prev] != feature[chain[i]] {
			start = i
			break
		}
	}
	var out []stretch
	for i := range chain {
		k := chain[(start+i)%len(chain)]
		e := m.Boundary[k]
		if i == 0 || feature[k] != out[len(out)-1].feature {
			out = append(out, stretch{loop: int(e.Loop), open: feature[k] >= 0, feature: feature[k], nodes: []int32{e.A}})
		}
		s := &out[len(out)-1]
		s.edges = append(s.edges, k)
		s.nodes = append(s.nodes, e.Mid, e.B)
	}
	if len(out) == 1 {
		out[0].nodes = out[0].nodes[:len(out[0].nodes)-1] // closed: the last repeats the first
	}
	return out
}

// guess is a topology: which stretches are tied, and the harmonic phase that
// gives the sign of the gradient and the reference direction.
type guess struct {
	name   string
	groups [][]int32 // nodes of each tied stretch
	loops  []int     // loop of each, -1 for a part of the outline
	edges  [][]int32
	fixed  []float64 // phase of each in the reference, NaN floating
	offset bool      // the reference is the distance from the tied edges, not harmonic
	ref    []float64 // nodal, filled by solving

	// what all attempts from this guess share
	necks *necks
	fit   *problem     // on tied unknowns; each lane solves a twin
	pull  []float64    // of tied edges, at the system's points
	at    []geom.Point // gradient of the reference at the system's points
	slope []geom.Point // the same at the mesh's own integration points
}

func (g *guess) tie(s *stretch, whole bool, value float64) {
	loop := s.loop
	if !whole {
		loop = -1
	}
	g.groups = append(g.groups, s.nodes)
	g.edges = append(g.edges, s.edges)
	g.loops = append(g.loops, loop)
	g.fixed = append(g.fixed, value)
}

// guesses lists the topologies worth trying, the likeliest first.
//
//   - strip: the outline is gripped at two places or more; its free sides have
//     constants -c … +c, holes float between.
//   - loops: pins are 0, the outline 1, other holes float or are 0: strands
//     run around the pins, and end at gripped sides if there are any.
//   - closed: the outline is 1 all around, holes are 0: rings.
//   - across: no boundary is tied but free holes; the phase of the strip's
//     other harmonic. It is left to families at an angle.
func guesses(list []stretch) []guess {
	var free, pins, holes []int
	ends := 0
	whole := true
	for i := range list {
		s := &list[i]
		switch {
		case s.isPin():
			pins = append(pins, i)
		case s.loop > 0 && !s.open:
			holes = append(holes, i)
		case s.open:
			ends++
			whole = false
		default:
			free = append(free, i)
		}
	}
	var out []guess
	if len(free) >= 2 {
		out = append(out, strip(list, free, holes, pins))
	}
	if len(pins) > 0 && len(free) > 0 {
		out = append(out, aroundPins("loops", list, free, pins, holes, whole, math.NaN()))
		if len(holes) > 0 {
			out = append(out, aroundPins("loops about the holes", list, free, pins, holes, whole, 0))
		}
	}
	if len(holes) > 0 && (len(pins) == 0 || len(free) == 0) {
		out = append(out, closed(list, holes, pins))
	}
	if len(out) == 0 {
		out = append(out, untied(list))
	}
	return out
}

// mostPairs bounds the pairs of pins that are tried: those of four pins.
const mostPairs = 6

// furtherGuesses lists topologies that only drawn strands can be trusted to
// judge:
//
//   - pair: two pins of three or more are 0, the outline 1, the others float:
//     strands run around these two.
//   - offsets: the longest free side alone is tied, and the reference is the
//     distance from it.
//   - lengthwise: nothing is tied; the fit to the principal stress is free to
//     cut strands at every edge.
func furtherGuesses(list []stretch, nodes []geom.Point) []guess {
	var out []guess
	var free, pins, others []int
	whole := true
	for i := range list {
		s := &list[i]
		switch {
		case s.isPin():
			pins = append(pins, i)
		case s.loop > 0:
			others = append(others, i)
		case s.open:
			whole = false
		default:
			free = append(free, i)
		}
	}
	if len(free) == 0 {
		return []guess{untied(list)}
	}
	for a := range pins {
		for b := range a {
			if len(pins) < 3 || len(out) == mostPairs {
				continue
			}
			pair := []int{pins[b], pins[a]}
			rest := slices.Clone(others)
			for _, k := range pins {
				if !slices.Contains(pair, k) {
					rest = append(rest, k)
				}
			}
			out = append(out, aroundPins(fmt.Sprintf("loops around pins %d and %d", b+1, a+1), list, free, pair, rest, whole, math.NaN()))
		}
	}
	longest := slices.MaxFunc(free, func(a, b int) int { return cmp.Compare(list[a].length(nodes), list[b].length(nodes)) })
	side := guess{name: "offsets of an edge", offset: true}
	side.tie(&list[longest], whole && len(free) == 1, 0)
	return append(out, side, untied(list))
}

// length of a stretch, mm.
func (s *stretch) length(nodes []geom.Point) float64 {
	sum := 0.0
	for i := 1; i < len(s.nodes); i++ {
		sum += nodes[s.nodes[i]].Dist(nodes[s.nodes[i-1]])
	}
	return sum
}

// strip spreads the free sides' constants evenly from -1 to 1 in the order of
// the outline.
func strip(list []stretch, free, holes, pins []int) guess {
	g := guess{name: "strip"}
	for k, i := range free {
		g.tie(&list[i], false, 2*float64(k)/float64(len(free)-1)-1)
	}
	for _, i := range append(slices.Clone(holes), pins...) {
		g.tie(&list[i], true, math.NaN())
	}
	return g
}

func aroundPins(name string, list []stretch, free, pins, holes []int, whole bool, hole float64) guess {
	g := guess{name: name}
	for _, i := range pins {
		g.tie(&list[i], true, 0)
	}
	for _, i := range free {
		g.tie(&list[i], whole, 1)
	}
	for _, i := range holes {
		g.tie(&list[i], true, hole)
	}
	return g
}

// closed ties the whole outline, gripped sides too.
func closed(list []stretch, holes, pins []int) guess {
	g := guess{name: "closed"}
	var outer stretch
	for i := range list {
		if list[i].loop == 0 {
			outer.nodes = append(outer.nodes, list[i].nodes...)
			outer.edges = append(outer.edges, list[i].edges...)
		}
	}
	g.tie(&outer, true, 1)
	for _, i := range append(slices.Clone(holes), pins...) {
		g.tie(&list[i], true, 0)
	}
	return g
}

// untied has nothing to run around: the phase rises across the longer extent
// of the part, so that strands run along it.
func untied(list []stretch) guess {
	g := guess{name: "lengthwise"}
	for i := range list {
		if !list[i].open {
			g.tie(&list[i], list[i].loop > 0, math.NaN())
		}
	}
	g.groups, g.loops, g.edges, g.fixed = nil, nil, nil, nil
	return g
}
