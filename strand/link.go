package strand

import (
	"cmp"
	"math"
	"slices"

	"sinew/geom"
)

// Stepping over from loop to loop.
const (
	// stepBend is the greatest second derivative of the step 10u³ - 15u⁴ + 6u⁵,
	// 10/√3: over the length l a step by s bends to a radius of l²/(stepBend·s).
	stepBend = 5.7735
	// stepSpare is the share by which a step is longer than its bend asks for,
	// since it adds to the loops' own.
	stepSpare = 1.6
	// stepReach is how far apart, in greatest spacings, loops may lie and still
	// be linked.
	stepReach = 1.5
	// nextLevel is the greatest difference of level, in strands, of loops that
	// lie side by side.
	nextLevel = 1.7
)

// link makes one strand of closed strands that lie inside one another: from
// loop to loop it steps over, at the place where the innermost would have
// started. Where a step finds no room or would bend too tightly the chain ends.
// At the steps one strand less passes than elsewhere.
func (m *layer) link(strands []Strand) []Strand {
	var rings []int
	for i := range strands {
		if strands[i].Closed && !m.given(&strands[i]) {
			rings = append(rings, i)
		}
	}
	if len(rings) < 2 {
		return strands
	}
	slices.SortStableFunc(rings, func(a, b int) int { return cmp.Compare(strands[a].Level, strands[b].Level) })
	halves := HalfBeads(strands, m.layup.Region, m.limits.most)
	gone := map[int]bool{}
	made := map[int]Strand{}
	for k, first := range rings {
		if gone[first] {
			continue
		}
		c := m.newChain(strands[first], halves[first].widths())
		for _, i := range rings[k+1:] {
			if !gone[i] && strands[i].Level-c.level < nextLevel && c.add(m, strands[i]) {
				gone[i] = true
			}
		}
		if c.turns > 1 {
			made[first] = c.strand(m, strands[first])
		}
	}
	var out []Strand
	for i := range strands {
		if s, ok := made[i]; ok {
			out = append(out, s)
		} else if !gone[i] {
			out = append(out, strands[i])
		}
	}
	return out
}

// chain is a strand of several turns in the making.
type chain struct {
	laid  []geom.Point // up to the turn that may still step over
	turn  []geom.Point // that turn, closed, from its start
	level float64
	turns int
	steps int // points of the last step
}

func (m *layer) newChain(s Strand, width []float64) *chain {
	once := s.Once()
	return &chain{turn: rotate(once, m.starts.choose(once, width)), level: s.Level, turns: 1}
}

// add steps over from the chain's last turn to the ring, if that can be laid.
func (c *chain) add(m *layer, ring Strand) bool {
	next := ring.Once()
	n := len(c.turn) - 1
	at := 0
	for i, q := range next {
		if q.Dist(c.turn[n]) < next[at].Dist(c.turn[n]) {
			at = i
		}
	}
	far := next[at].Dist(c.turn[n])
	if far > stepReach*m.limits.most || far < m.limits.least/2 {
		return false
	}
	next = rotate(next, at%(len(next)-1))
	step := polyLength(c.turn) / float64(n)
	k := int(math.Ceil(stepSpare * math.Sqrt(stepBend*far*m.limits.radius) / step))
	if 2*k >= n || 2*k >= len(next)-1 {
		return false
	}
	over := stepOver(c.turn, next, k)
	if !m.canLay(over, c.turn[n-2*k:n-k], next[1:k], step) {
		return false
	}
	c.laid = append(append(c.laid, c.turn[:n-k]...), over...)
	c.turn, c.level, c.steps = next, ring.Level, k
	c.turns++
	return true
}

// stepOver leads from the last k pieces of one ring to the start of another
// that lies beside it.
func stepOver(from, to []geom.Point, k int) []geom.Point {
	n, l := len(from)-1, len(to)-1
	out := make([]geom.Point, k)
	for i := range out {
		u := float64(i) / float64(k)
		w := u * u * u * (10 + u*(6*u-15))
		out[i] = from[n-k+i].Lerp(to[l-k+i], w)
	}
	return out
}

// canLay reports whether a step bends no tighter than the tow allows, its
// approach and its way out included, and keeps clear of the edge.
func (m *layer) canLay(over, before, after []geom.Point, step float64) bool {
	all := slices.Concat(before, over, after)
	for _, k := range bends(all, false, step) {
		if math.Abs(k)*m.limits.radius > 1 {
			return false
		}
	}
	for _, p := range over {
		if d, _ := m.fringe.place(p); d < m.fringe.clear-edgeTolerance {
			return false
		}
	}
	return true
}

// strand ends the chain: the last turn stops where the step onto it began.
func (c *chain) strand(m *layer, first Strand) Strand {
	pts := append(c.laid, c.turn[:len(c.turn)-c.steps]...)
	pts, _ = even(pts, false, m.set.Step)
	first.Points, first.Closed, first.Overlap = pts, false, 0
	first.Start, first.End, first.StartLoop, first.EndLoop = AtStep, AtStep, -1, -1
	return first
}
