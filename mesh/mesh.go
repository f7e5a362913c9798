// Package mesh cuts a region into six-node triangles: a constrained Delaunay
// triangulation, refined to a bound on the least angle and to graded sizes,
// whose boundary sides follow the arcs of the outline.
//
// Method: Bowyer–Watson insertion in the order of Hilbert's curve, boundary
// sides enforced after Anglada (1997), refinement by circumcentres and
// off-centres (Üngör 2009) with Chew's lens (1993) as the test of encroachment
// and shells around sharp corners; sources stand at the functions and in
// docs/method/mesh.md. Lengths are mm, angles degrees in Settings and Quality.
//
// Guaranteed: the mesh conforms, covers the region, keeps each boundary side's
// loop and edge, has its boundary nodes on the outline and no folded element;
// the same input gives the same bytes. The least angle holds except beside
// corners of the outline under 60°, where Quality and Under report what is
// left. An outline that cannot be meshed is refused with its place, a mesh
// past MaxNodes with what to change.
//
// Not guaranteed: fineness that Settings.SizeAt asks for on spots smaller than
// the triangles around them; let it fall off gradually.
//
// Cost: about a microsecond for each triangle.
package mesh

import "sinew/geom"

// Mesh is a mesh of six-node triangles.
//
//	    2
//	   / \
//	  5   4      corners 0 1 2 counter-clockwise,
//	 /     \     3 between 0 and 1, 4 between 1 and 2, 5 between 2 and 0
//	0---3---1
//
// Nodes on arcs lie on the arc, mid-side nodes too.
type Mesh struct {
	Nodes    []geom.Point
	Tris     [][6]int32
	Boundary []BoundaryEdge
}

// BoundaryEdge is one element side on the region's boundary, in the direction
// of its loop (the region lies to the left).
type BoundaryEdge struct {
	A, B, Mid  int32 // nodes
	Tri        int32
	Loop, Edge int32 // index into Region.Loops() and into that loop
}

// Settings steers Generate. The zero value of a field means its default.
type Settings struct {
	Size     float64 // largest element side, mm; default 1/20 of the region's larger extent
	ArcSize  float64 // side on arcs as a share of their radius; default 0.1
	MinSize  float64 // no side is asked to be smaller than this, mm; default Size/50
	Growth   float64 // growth of the side per mm of distance from a fine place; default 0.25
	MinAngle float64 // degrees; default 28
	// SizeAt, where not nil, is a further upper bound on the side at a point
	// (adaptive refinement).
	SizeAt func(geom.Point) float64
	// MaxNodes bounds the number of nodes; default 4 million. A mesh that would
	// need more is refused.
	MaxNodes int
	// Cancel, where not nil, is asked now and then whether to stop.
	Cancel func() bool
}
