package plate

import (
	"math"
	"math/rand"

	"sinew/internal/grids"
	"sinew/mesh"
)

// The meshes of these tests.
var (
	gridMesh    = grids.Mesh
	rectangle   = grids.Rectangle
	sides       = grids.Sides
	nearestNode = grids.NearestNode
)

// Sides of a grid, by feature.
const (
	bottom = grids.Bottom
	right  = grids.Right
	top    = grids.Top
	left   = grids.Left
	all    = grids.All
)

// shake moves the inner nodes of a mesh by a fixed random sequence.
func shake(m *mesh.Mesh, by float64, seed int64) {
	grids.Shake(m, by, rand.New(rand.NewSource(seed)).Float64)
}

func sq(x float64) float64 { return x * x }

func maxAbs(v []float64) float64 {
	m := 0.0
	for _, x := range v {
		m = math.Max(m, math.Abs(x))
	}
	return m
}
