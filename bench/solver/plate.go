package main

import (
	"math"

	"sinew/sparse"
)

// plate returns the plane-stress stiffness of a quarter of a square plate with
// a hole: k by k quadrilaterals, graded towards the hole, each cut into two
// six-node triangles; the edges of symmetry rest on springs. Each unknown's place
// comes with it.
func plate(k int) (*sparse.Symmetric, [][2]float64) {
	const hole, half = 0.2, 1.0
	side := 2*k + 1
	at := make([][2]float64, 2*side*side)
	for i := range side { // outwards
		for j := range side { // around
			phi := math.Pi / 2 * float64(j) / float64(2*k)
			c, s := math.Cos(phi), math.Sin(phi)
			edge := half / math.Max(c, s)
			u := float64(i) / float64(2*k)
			r := hole + (edge-hole)*u*(0.4+0.6*u)
			n := i*side + j
			at[2*n], at[2*n+1] = [2]float64{r * c, r * s}, [2]float64{r * c, r * s}
		}
	}
	var groups [][]int32
	for i := 0; i < 2*k; i += 2 {
		for j := 0; j < 2*k; j += 2 {
			n := func(di, dj int) int32 { return int32((i+di)*side + j + dj) }
			groups = append(groups,
				unknowns(n(0, 0), n(2, 0), n(2, 2), n(1, 0), n(2, 1), n(1, 1)),
				unknowns(n(0, 0), n(2, 2), n(0, 2), n(1, 1), n(1, 2), n(0, 1)))
		}
	}
	a := sparse.NewPattern(len(at), groups)
	for _, g := range groups {
		add(a, g, at)
	}
	for i := range side {
		hold(a, 2*(i*side)+1)
		hold(a, 2*(i*side+2*k))
	}
	return a, at
}

func unknowns(nodes ...int32) []int32 {
	var g []int32
	for _, n := range nodes {
		g = append(g, 2*n, 2*n+1)
	}
	return g
}

// hold supports an unknown by a spring as stiff as the plate at it.
func hold(a *sparse.Symmetric, i int) { a.Val[a.Index(i, i)] *= 2 }

// add adds the stiffness of one triangle: orthotropic, three points.
func add(a *sparse.Symmetric, g []int32, at [][2]float64) {
	d := [3][3]float64{{60e3, 3e3, 0}, {3e3, 9e3, 0}, {0, 0, 3.5e3}}
	var k [12][12]float64
	for _, b := range [][3]float64{{2. / 3, 1. / 6, 1. / 6}, {1. / 6, 2. / 3, 1. / 6}, {1. / 6, 1. / 6, 2. / 3}} {
		du := [6]float64{4*b[0] - 1, 0, 1 - 4*b[2], 4 * b[1], -4 * b[1], 4 * (b[2] - b[0])}
		dv := [6]float64{0, 4*b[1] - 1, 1 - 4*b[2], 4 * b[0], 4 * (b[2] - b[1]), -4 * b[0]}
		var j [2][2]float64
		for n := range 6 {
			p := at[g[2*n]]
			j[0][0] += du[n] * p[0]
			j[0][1] += du[n] * p[1]
			j[1][0] += dv[n] * p[0]
			j[1][1] += dv[n] * p[1]
		}
		det := j[0][0]*j[1][1] - j[0][1]*j[1][0]
		var s [3][12]float64
		for n := range 6 {
			x := (j[1][1]*du[n] - j[0][1]*dv[n]) / det
			y := (j[0][0]*dv[n] - j[1][0]*du[n]) / det
			s[0][2*n], s[1][2*n+1], s[2][2*n], s[2][2*n+1] = x, y, y, x
		}
		for p := range 12 {
			for q := range 12 {
				for r := range 3 {
					for t := range 3 {
						k[p][q] += s[r][p] * d[r][t] * s[t][q] * math.Abs(det) / 6
					}
				}
			}
		}
	}
	for p, i := range g {
		for q, jj := range g {
			if i >= jj {
				a.Val[a.Index(int(i), int(jj))] += k[p][q]
			}
		}
	}
}
