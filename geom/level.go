package geom

import "slices"

// LevelLines returns, for each level, the lines along which the field equals
// it: the field has a value at each node and is linear in each triangle (corner
// indices counter-clockwise). Higher values lie to the left of a line.
//
// A node counts as above a level when its value is equal or greater. Each
// triangle is then crossed either not at all or through exactly two sides, so
// that lines end only on the rim of the triangulation and never at a node, a
// saddle or a plateau. Where a node lies exactly on the level, the points that
// fall together are merged. Lines that begin on the rim come first, by the
// triangle they start in, closed ones after them.
//
// Cost: in proportion to the triangles, of which all are looked at once, and to
// the triangles crossed.
func LevelLines(nodes []Point, tris [][3]int32, values []float64, levels []float64) [][]Path {
	m := march{nodes: nodes, tris: tris, values: values, next: sideTwins(tris)}
	out := make([][]Path, len(levels))
	active := m.activeTriangles(levels)
	m.seen = make([]int32, len(tris))
	for i, level := range levels {
		out[i] = m.lines(level, int32(i+1), active[i])
	}
	return out
}

type march struct {
	nodes  []Point
	tris   [][3]int32
	values []float64
	next   [][3]int32 // triangle across side i (corners i, i+1), -1 on the rim
	seen   []int32    // number of the last level that went through a triangle
}

// sideTwins returns the neighbour across each side. A side shared by more than
// two triangles, or twice in the same sense, has none.
func sideTwins(tris [][3]int32) [][3]int32 {
	sides, first := sidesByNode(tris)
	next := make([][3]int32, len(tris))
	for i := range next {
		next[i] = [3]int32{-1, -1, -1}
	}
	for n := 1; n < len(first); n++ {
		twinsOf(sides[first[n-1]:first[n]], tris, next)
	}
	return next
}

// side is one side of a triangle: its higher corner and 3·triangle + number.
type side struct{ hi, at int32 }

// sidesByNode returns all sides sorted by their lower corner (a counting sort),
// those of one corner in the order of the triangles, and where each corner's
// begin.
func sidesByNode(tris [][3]int32) ([]side, []int32) {
	most := int32(-1)
	for _, tri := range tris {
		most = max(most, tri[0], tri[1], tri[2])
	}
	first := make([]int32, most+2)
	for _, tri := range tris {
		for i := range 3 {
			first[min(tri[i], tri[(i+1)%3])+1]++
		}
	}
	for n := range most + 1 {
		first[n+1] += first[n]
	}
	sides := make([]side, 3*len(tris))
	fill := slices.Clone(first)
	for t, tri := range tris {
		for i := range 3 {
			a, b := tri[i], tri[(i+1)%3]
			n := min(a, b)
			sides[fill[n]] = side{max(a, b), int32(3*t + i)}
			fill[n]++
		}
	}
	return sides, first
}

// twinsOf pairs the sides of one lower corner, about six of them, by their
// higher one.
func twinsOf(sides []side, tris, next [][3]int32) {
	slices.SortFunc(sides, func(p, q side) int {
		if p.hi != q.hi {
			return int(p.hi - q.hi)
		}
		return int(p.at - q.at)
	})
	for i := 0; i < len(sides); {
		j := i + 1
		for j < len(sides) && sides[j].hi == sides[i].hi {
			j++
		}
		p := sides[i].at
		if j == i+2 {
			if q := sides[i+1].at; tris[p/3][p%3] != tris[q/3][q%3] {
				next[p/3][p%3], next[q/3][q%3] = q/3, p/3
			}
		}
		i = j
	}
}

// activeTriangles lists for each level the triangles it crosses, rising.
func (m *march) activeTriangles(levels []float64) [][]int32 {
	order := make([]int, len(levels))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		if levels[i] < levels[j] {
			return -1
		}
		if levels[i] > levels[j] {
			return 1
		}
		return 0
	})
	active := make([][]int32, len(levels))
	for t, tri := range m.tris {
		a, b, c := m.values[tri[0]], m.values[tri[1]], m.values[tri[2]]
		lo, hi := min(a, b, c), max(a, b, c)
		// Crossed when lo < level <= hi: some node below, some node not.
		k, _ := slices.BinarySearchFunc(order, lo, func(i int, lo float64) int {
			if levels[i] <= lo {
				return -1
			}
			return 1
		})
		for ; k < len(order) && levels[order[k]] <= hi; k++ {
			active[order[k]] = append(active[order[k]], int32(t))
		}
	}
	return active
}

func (m *march) above(node int32, level float64) bool { return m.values[node] >= level }

// entry returns the side through which a line comes into the triangle, high
// values on its left: the side that falls below the level along the triangle's
// sense. out is the other crossed side, which rises.
func (m *march) entry(t int32, level float64) (in, out int) {
	tri := m.tris[t]
	for i := range 3 {
		a, b := m.above(tri[i], level), m.above(tri[(i+1)%3], level)
		if a && !b {
			in = i
		}
		if b && !a {
			out = i
		}
	}
	return in, out
}

// crossing returns the point of the level on side i of triangle t, worked out
// from the lower-numbered node so that both triangles get the same bytes.
func (m *march) crossing(t int32, i int, level float64) Point {
	a, b := m.tris[t][i], m.tris[t][(i+1)%3]
	if a > b {
		a, b = b, a
	}
	va, vb := m.values[a], m.values[b]
	switch level {
	case va:
		return m.nodes[a]
	case vb:
		return m.nodes[b]
	}
	return m.nodes[a].Lerp(m.nodes[b], (level-va)/(vb-va))
}

func (m *march) lines(level float64, mark int32, active []int32) []Path {
	var out []Path
	for _, t := range active {
		if in, _ := m.entry(t, level); m.next[t][in] < 0 {
			out = appendLine(out, m.follow(t, level, mark))
		}
	}
	for _, t := range active {
		if m.seen[t] != mark {
			out = appendLine(out, m.follow(t, level, mark))
		}
	}
	return out
}

// follow walks the line that enters triangle t until the rim or its start.
func (m *march) follow(t int32, level float64, mark int32) Path {
	in, _ := m.entry(t, level)
	start := t
	p := Path{Points: []Point{m.crossing(t, in, level)}}
	for {
		m.seen[t] = mark
		_, side := m.entry(t, level)
		q := m.crossing(t, side, level)
		if q != p.Points[len(p.Points)-1] {
			p.Points = append(p.Points, q)
		}
		t = m.next[t][side]
		if t < 0 {
			return p
		}
		if t == start {
			p.Closed = true
			if n := len(p.Points); n > 1 && p.Points[0] == p.Points[n-1] {
				p.Points = p.Points[:n-1]
			}
			return p
		}
	}
}

// appendLine leaves out lines that have shrunk to a point.
func appendLine(lines []Path, p Path) []Path {
	if len(p.Points) < 2 || p.Closed && len(p.Points) < 3 {
		return lines
	}
	return append(lines, p)
}
