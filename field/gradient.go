package field

import (
	"math"

	"sinew/geom"
	"sinew/mesh"
)

// Gradient turns a phase into its gradient at given points. It depends on the
// mesh and the points alone, so that families on one mesh share it.
type Gradient struct {
	tri  []int32 // per point, -1 outside the mesh
	n    [][6]float64
	dN   [][6]geom.Point
	mesh *mesh.Mesh
	// drawn is the fibre at each point of a family of given paths, which its
	// phase does not know.
	drawn []Fibre
}

// sameSpot is how far, in mm, a point may lie from an integration point of the
// mesh and still be taken for it: rounding of coordinates.
const sameSpot = 1e-9

// NewGradient places the points in the mesh; it is quick for a list that starts
// with the mesh's own integration points.
func NewGradient(m *mesh.Mesh, points []geom.Point) *Gradient {
	g := &Gradient{tri: make([]int32, len(points)), n: make([][6]float64, len(points)), dN: make([][6]geom.Point, len(points)), mesh: m}
	var l *mesh.Locator
	for i, p := range points {
		t, b := i/perTri, gauss[i%perTri]
		if t >= len(m.Tris) || m.At(t, b).Dist(p) > sameSpot {
			if l == nil {
				l = mesh.NewLocator(m)
			}
			var ok bool
			if t, b, ok = l.Find(p); !ok {
				g.tri[i] = -1
				continue
			}
		}
		g.tri[i], g.n[i] = int32(t), mesh.Shape(b)
		g.dN[i], _ = m.Gradient(t, b)
	}
	return g
}

// Operator places points in the family's mesh.
func (f *Family) Operator(points []geom.Point) *Gradient {
	if f.Paths != nil {
		return &Gradient{drawn: f.pathFibre(points), mesh: f.Mesh}
	}
	return NewGradient(f.Mesh, points)
}

// Covers reports whether point i lies in the mesh, in an element that carries
// strands (active nil: all do).
func (g *Gradient) Covers(i int, active []bool) bool {
	return g.tri[i] >= 0 && (active == nil || active[g.tri[i]])
}

// At returns the gradient of a phase at point i; zero outside.
func (g *Gradient) At(i int, phase []float64) geom.Point {
	var v geom.Point
	if g.tri[i] < 0 {
		return v
	}
	for k, n := range g.mesh.Tris[g.tri[i]] {
		v.X += g.dN[i][k].X * phase[n]
		v.Y += g.dN[i][k].Y * phase[n]
	}
	return v
}

// Fibre is what a layer's fibre is at a point.
type Fibre struct {
	Rho     float64 // strands per mm
	Theta   float64 // direction, rad
	Covered bool    // false: no strand, plain plastic
}

// FibreAt returns the fibre that the family's phase, or its paths, ask for at
// point i of its operator.
func (f *Family) FibreAt(g *Gradient, i int) Fibre {
	if g.drawn != nil {
		return g.drawn[i]
	}
	if !g.Covers(i, f.Active) || f.Levels != nil && !f.nearLevel(g.value(i, f.Phase)) {
		return Fibre{}
	}
	v := g.At(i, f.Phase)
	return Fibre{Rho: v.Norm(), Theta: math.Atan2(v.X, -v.Y), Covered: true}
}

// Length returns the integral of |∇φ| over the active elements, as far as a
// loop's or rim's turns reach, or the length of the paths: the fibre length of
// one layer of the family, mm.
func (f *Family) Length() float64 {
	if f.Paths != nil {
		return f.pathLength()
	}
	s := newSpace(f.Mesh)
	sum := 0.0
	for p, v := range s.gradients(f.Phase) {
		if (f.Active == nil || f.Active[p/perTri]) && (f.Levels == nil || f.nearLevel(s.valueAt(p, f.Phase))) {
			sum += s.weight[p] * v.Norm() * f.withinTurns(p/perTri)
		}
	}
	return sum
}

// turnPieces of a side: how finely an element is looked at that the last turn
// passes through.
const turnPieces = 6

// withinTurns is the share of an element within a loop's or rim's turns.
func (f *Family) withinTurns(tri int) float64 {
	if f.Turns == 0 {
		return 1
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, n := range f.Mesh.Tris[tri] {
		lo, hi = math.Min(lo, f.Phase[n]), math.Max(hi, f.Phase[n])
	}
	most := float64(f.Turns)
	if hi <= most {
		return 1
	}
	if lo >= most {
		return 0
	}
	in := 0
	for i := range turnPieces {
		for j := range turnPieces - i {
			for _, third := range [2]float64{1, 2} { // middles of the pieces either way up
				a, b := (float64(i)+third/3)/turnPieces, (float64(j)+third/3)/turnPieces
				v := 0.0
				for k, n := range mesh.Shape([3]float64{a, b, 1 - a - b}) {
					v += n * f.Phase[f.Mesh.Tris[tri][k]]
				}
				if a+b < 1 && v < most {
					in++
				}
			}
		}
	}
	return float64(in) / (turnPieces * turnPieces)
}
