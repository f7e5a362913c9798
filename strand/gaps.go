package strand

import (
	"slices"

	"sinew/geom"
)

// gaps follows the squares of a raster that no bead covers, while beads fill
// them. It owns the room that every round of filling writes over, and that the
// next layer on the same squares does.
type gaps struct {
	*Raster
	open  []int32   // the squares, rising
	depth []float64 // of the gaps at each square, see Raster.depthTo
	taken []bool    // squares under beads of this round
	thin  []bool    // squares of the thinned core

	// of level lines
	deep, cells []int32 // squares, rising
	number      []int32 // of the node at the centre of each square, plus one
	nodes       []geom.Point
	values      []float64
	tris        [][3]int32
}

func newGaps(r *Raster) *gaps {
	n := len(r.Beads)
	return &gaps{Raster: r, depth: make([]float64, n), taken: make([]bool, n), thin: make([]bool, n), number: make([]int32, n)}
}

// begin finds the gaps that the beads counted so far leave.
func (g *gaps) begin() {
	for _, c := range g.open {
		g.depth[c] = 0
	}
	g.open = g.open[:0]
	for c := range g.Beads {
		if g.Gap(c) {
			g.open = append(g.open, int32(c))
		}
	}
	g.depthTo(g.depth, g.open)
}

// fill counts beads, and measures what they leave.
func (g *gaps) fill(beads []Bead) {
	g.AddBeads(beads)
	left := g.open[:0]
	for _, c := range g.open {
		if g.Gap(int(c)) {
			left = append(left, c)
		} else {
			g.depth[c] = 0
		}
	}
	g.open = left
	g.depthTo(g.depth, g.open)
}

// deepest is the greatest depth of a gap, mm.
func (g *gaps) deepest() float64 {
	most := 0.0
	for _, c := range g.open {
		most = max(most, g.depth[c])
	}
	return most
}

// levelLines returns the lines on which the depth has each of the rising values,
// from the triangles between square centres.
func (g *gaps) levelLines(levels []float64) [][]geom.Path {
	clear(g.number)
	cells := g.corners(levels[0])
	n := len(cells) + len(cells)/4 // of nodes, about: those along the border are more than the squares
	g.nodes, g.values, g.tris = slices.Grow(g.nodes[:0], n), slices.Grow(g.values[:0], n), slices.Grow(g.tris[:0], 2*len(cells))
	right, up := int32(1), int32(g.NX)
	for _, c := range cells {
		p, q, s, t := g.depth[c], g.depth[c+right], g.depth[c+right+up], g.depth[c+up]
		lo, hi := min(p, q, s, t), max(p, q, s, t)
		if !slices.ContainsFunc(levels, func(v float64) bool { return lo <= v && v <= hi }) {
			continue
		}
		a, b, d, e := g.node(c), g.node(c+right), g.node(c+right+up), g.node(c+up)
		g.tris = append(g.tris, [3]int32{a, b, d}, [3]int32{a, d, e})
	}
	if len(g.tris) == 0 {
		return nil
	}
	return geom.LevelLines(g.nodes, g.tris, g.values, levels)
}

// node is the number of the node at the centre of a square.
func (g *gaps) node(c int32) int32 {
	if g.number[c] == 0 {
		g.nodes, g.values = append(g.nodes, g.Center(int(c)%g.NX, int(c)/g.NX)), append(g.values, g.depth[c])
		g.number[c] = int32(len(g.nodes))
	}
	return g.number[c] - 1
}

// corners lists, rising, the lower left one of each four squares around a corner
// of which one is at least so deep. No gap reaches the raster's outermost squares.
func (g *gaps) corners(least float64) []int32 {
	g.deep, g.cells = slices.Grow(g.deep[:0], len(g.open)), g.cells[:0]
	for _, c := range g.open {
		if g.depth[c] >= least {
			g.deep = append(g.deep, c)
		}
	}
	g.cells = slices.Grow(g.cells, len(g.deep)+len(g.deep)/4)
	back := [4]int32{int32(g.NX) + 1, int32(g.NX), 1, 0} // from each of the four to the lower left one
	var next [4]int
	for next[3] < len(g.deep) {
		first := g.deep[next[3]]
		for k, n := range next {
			if n < len(g.deep) {
				first = min(first, g.deep[n]-back[k])
			}
		}
		for k, n := range next {
			if n < len(g.deep) && g.deep[n]-back[k] == first {
				next[k]++
			}
		}
		g.cells = append(g.cells, first)
	}
	return g.cells
}
