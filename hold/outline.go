package hold

import (
	"fmt"
	"slices"

	"sinew/geom"
	"sinew/mesh"
	"sinew/part"
)

// Outline knows which element sides make up each feature of the part.
type Outline struct {
	mesh  *mesh.Mesh
	part  *part.Part
	loops []geom.Loop
	sides [][]int   // per feature: indices into mesh.Boundary
	nodes [][]int32 // per feature: its nodes, ascending
}

// NewOutline finds the element sides of each feature.
func NewOutline(m *mesh.Mesh, p *part.Part) *Outline {
	o := &Outline{mesh: m, part: p, loops: p.Region.Loops(), sides: make([][]int, len(p.Features)), nodes: make([][]int32, len(p.Features))}
	for f := range p.Features {
		feature := &p.Features[f]
		for i, b := range m.Boundary {
			if owns(feature, b) {
				o.sides[f] = append(o.sides[f], i)
				o.nodes[f] = append(o.nodes[f], b.A, b.Mid, b.B)
			}
		}
		slices.Sort(o.nodes[f])
		o.nodes[f] = slices.Compact(o.nodes[f])
	}
	return o
}

// owns reports whether an element side lies on a feature; a hole owns its
// whole loop.
func owns(f *part.Feature, b mesh.BoundaryEdge) bool {
	if int(b.Loop) != f.Loop {
		return false
	}
	return f.Kind == part.Hole || slices.Contains(f.Edges, int(b.Edge))
}

// Nodes returns the nodes of a feature, ascending.
func (o *Outline) Nodes(feature int) []int32 { return o.nodes[feature] }

// Sides returns the element sides of a feature, as indices into Mesh.Boundary.
func (o *Outline) Sides(feature int) []int { return o.sides[feature] }

// Check returns an error if a feature does not exist or has no element side.
func (o *Outline) Check(feature int, who string) error {
	if feature < 0 || feature >= len(o.sides) {
		return fmt.Errorf("%s refers to feature %d, the part has %d", who, feature, len(o.sides))
	}
	if len(o.sides[feature]) == 0 {
		return fmt.Errorf("%s: feature %q has no side of the mesh on it", who, o.part.Features[feature].Name)
	}
	return nil
}

func (o *Outline) name(feature int) string { return fmt.Sprintf("%q", o.part.Features[feature].Name) }

// gauss5 is the five-point Gauss rule on (0, 1); enough for the cosine of a
// bearing on a curved side (Abramowitz & Stegun, table 25.4).
var gauss5 = [5][2]float64{
	{0.0469100770306680, 0.1184634425280945},
	{0.2307653449471585, 0.2393143352496832},
	{0.5, 0.2844444444444444},
	{0.7692346550528415, 0.2393143352496832},
	{0.9530899229693320, 0.1184634425280945},
}

// Place is a point of an element side: where it is, the unit tangent in the
// loop's direction, and the length it stands for.
type Place struct {
	At, Tangent geom.Point
	Length      float64
	Share       [3]float64 // of a force there among the nodes A, Mid, B
}

// Places returns the integration points of an element side.
func (o *Outline) Places(side int) [5]Place {
	b := o.mesh.Boundary[side]
	p, q, r := o.mesh.Nodes[b.A], o.mesh.Nodes[b.Mid], o.mesh.Nodes[b.B]
	var out [5]Place
	for i, g := range gauss5 {
		t := g[0]
		n := [3]float64{(1 - t) * (1 - 2*t), 4 * t * (1 - t), t * (2*t - 1)}
		d := p.Scale(4*t - 3).Add(q.Scale(4 - 8*t)).Add(r.Scale(4*t - 1))
		l := d.Norm()
		out[i] = Place{
			At:      p.Scale(n[0]).Add(q.Scale(n[1])).Add(r.Scale(n[2])),
			Tangent: d.Scale(1 / l),
			Length:  l * g[1],
			Share:   n,
		}
	}
	return out
}

// Center returns the centre of a round hole or the mean of a feature's nodes.
func (o *Outline) Center(feature int) geom.Point {
	f := &o.part.Features[feature]
	if f.Diameter > 0 {
		return f.Center
	}
	var sum geom.Point
	for _, n := range o.nodes[feature] {
		sum = sum.Add(o.mesh.Nodes[n])
	}
	return sum.Scale(1 / float64(len(o.nodes[feature])))
}

// Length of a feature, mm.
func (o *Outline) Length(feature int) float64 {
	sum := 0.0
	for _, s := range o.sides[feature] {
		for _, p := range o.Places(s) {
			sum += p.Length
		}
	}
	return sum
}

// spread adds to f the nodal forces of a line force (N/mm) in the plane along a
// feature.
func (o *Outline) spread(f []float64, feature int, force func(Place) geom.Point) {
	for _, s := range o.sides[feature] {
		b := o.mesh.Boundary[s]
		for _, p := range o.Places(s) {
			t := force(p).Scale(p.Length)
			for i, n := range [3]int32{b.A, b.Mid, b.B} {
				add(f, n, t.Scale(p.Share[i]))
			}
		}
	}
}
