// Package grids makes the regular meshes of tests: rectangles and other maps of
// the unit square, straight or shaken, with their sides as features.
package grids

import (
	"math"

	"sinew/geom"
	"sinew/mesh"
	"sinew/part"
)

// Mesh cuts the unit square into nx by ny cells of two triangles each and
// sends every node, mid-side ones too, through f. The loop's edges are bottom,
// right, top, left.
func Mesh(nx, ny int, f func(s, t float64) geom.Point) *mesh.Mesh {
	m := &mesh.Mesh{}
	w := 2*nx + 1
	at := func(i, j int) int32 { return int32(j*w + i) }
	for j := range 2*ny + 1 {
		for i := range w {
			m.Nodes = append(m.Nodes, f(float64(i)/float64(2*nx), float64(j)/float64(2*ny)))
		}
	}
	for j := range ny {
		for i := range nx {
			x, y := 2*i, 2*j
			if (i+j)%2 == 0 {
				m.Tris = append(m.Tris,
					[6]int32{at(x, y), at(x+2, y), at(x+2, y+2), at(x+1, y), at(x+2, y+1), at(x+1, y+1)},
					[6]int32{at(x, y), at(x+2, y+2), at(x, y+2), at(x+1, y+1), at(x+1, y+2), at(x, y+1)})
			} else {
				m.Tris = append(m.Tris,
					[6]int32{at(x, y), at(x+2, y), at(x, y+2), at(x+1, y), at(x+1, y+1), at(x, y+1)},
					[6]int32{at(x+2, y), at(x+2, y+2), at(x, y+2), at(x+2, y+1), at(x+1, y+2), at(x+1, y+1)})
			}
		}
	}
	owner := map[[2]int32]int32{}
	for t, n := range m.Tris {
		for k := range 3 {
			owner[[2]int32{n[k], n[(k+1)%3]}] = int32(t)
		}
	}
	side := func(edge int32, count int, node func(k int) int32) {
		for k := range count {
			a, mid, b := node(2*k), node(2*k+1), node(2*k+2)
			m.Boundary = append(m.Boundary, mesh.BoundaryEdge{A: a, Mid: mid, B: b, Tri: owner[[2]int32{a, b}], Edge: edge})
		}
	}
	side(0, nx, func(k int) int32 { return at(k, 0) })
	side(1, ny, func(k int) int32 { return at(2*nx, k) })
	side(2, nx, func(k int) int32 { return at(2*nx-k, 2*ny) })
	side(3, ny, func(k int) int32 { return at(0, 2*ny-k) })
	return m
}

// Rectangle is a gridMesh of length by height.
func Rectangle(nx, ny int, length, height float64) *mesh.Mesh {
	return Mesh(nx, ny, func(s, t float64) geom.Point { return geom.Point{X: s * length, Y: t * height} })
}

// Shake moves the inner corner nodes of a straight-sided mesh by random (0..1) and
// puts the mid-side nodes back in the middle.
func Shake(m *mesh.Mesh, by float64, random func() float64) {
	fixed := map[int32]bool{}
	for _, b := range m.Boundary {
		fixed[b.A], fixed[b.Mid], fixed[b.B] = true, true, true
	}
	corner := map[int32]bool{}
	for _, t := range m.Tris {
		corner[t[0]], corner[t[1]], corner[t[2]] = true, true, true
	}
	for n := range m.Nodes {
		if corner[int32(n)] && !fixed[int32(n)] {
			m.Nodes[n] = m.Nodes[n].Add(geom.Point{X: by * (random() - 0.5), Y: by * (random() - 0.5)})
		}
	}
	for _, t := range m.Tris {
		for k := range 3 {
			m.Nodes[t[3+k]] = m.Nodes[t[k]].Lerp(m.Nodes[t[(k+1)%3]], 0.5)
		}
	}
}

// Sides names the four edges of a mesh of this package; "all" is the whole loop.
func Sides() []part.Feature {
	side := func(name string, edges ...int) part.Feature {
		return part.Feature{Name: name, Kind: part.Side, Edges: edges}
	}
	return []part.Feature{side("bottom", 0), side("right", 1), side("top", 2), side("left", 3), side("all", 0, 1, 2, 3)}
}

// The sides, by index into Sides.
const (
	Bottom = iota
	Right
	Top
	Left
	All
)

// NearestNode returns the node nearest to a point.
func NearestNode(m *mesh.Mesh, p geom.Point) int {
	best, d := 0, math.Inf(1)
	for n, q := range m.Nodes {
		if e := q.Dist(p); e < d {
			best, d = n, e
		}
	}
	return best
}
