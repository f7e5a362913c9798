package proof

import (
	"context"
	"math"
	"testing"

	"sinew/geom"
	"sinew/internal/near"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
)

// plainStrip is a strip without hole, held at the left end so that it may
// narrow, pulled evenly at the right with 1 kN.
func plainStrip() *part.Part {
	return &part.Part{
		Region:    geom.Region{Outer: geom.Polyline(geom.Point{}, geom.Point{X: 60}, geom.Point{X: 60, Y: 36}, geom.Point{Y: 36})},
		Thickness: 3.2,
		Features: []part.Feature{
			{Name: "bottom", Kind: part.Side, Edges: []int{0}},
			{Name: "left", Kind: part.Side, Edges: []int{3}},
			{Name: "right", Kind: part.Side, Edges: []int{1}},
		},
		Supports: []part.Support{{Feature: 1, Kind: part.Sliding}, {Feature: 0, Kind: part.Sliding, Angle: math.Pi / 2}},
		Cases:    []part.Case{{Name: "tension", Factor: 1, Loads: []part.Load{{Feature: 2, Kind: part.Even, Force: geom.Point{X: 1000}}}}},
	}
}

// TestCollapseOfEvenStress: where stress is even all points of a ply fail at
// once, and the plate collapses as its stack does by classical laminate theory, when
// the fibres along the load break.
func TestCollapseOfEvenStress(t *testing.T) {
	p, law := plainStrip(), statedLaw(t)
	m, err := mesh.Generate(p.Region, mesh.Settings{Size: 6})
	if err != nil {
		t.Fatal(err)
	}
	r, err := Prove(context.Background(), Input{Part: p, Mesh: m, Law: law, Plastic: plainOf(t, law), Print: straightStrands(p, 1), Settings: Settings{Collapse: true}})
	if err != nil {
		t.Fatal(err)
	}
	d := find(t, r, "quasi-isotropic, drilled")
	c := d.Cases[0].Collapse
	rho := d.FibreLength * 1000 / (10 * 60 * 36)
	ply, err := material.NewPly(law.Lamina(rho), law.Strength(rho), material.Judge{})
	if err != nil {
		t.Fatal(err)
	}
	var layers []material.Layer
	for _, deg := range []float64{0, 90, 45, -45, -45, 45, 90, 0} {
		layers = append(layers, material.Layer{Ply: ply, Theta: deg * math.Pi / 180, Thickness: 0.4})
	}
	l, err := material.NewLaminate(layers, 0)
	if err != nil {
		t.Fatal(err)
	}
	way, err := l.Collapse(material.Degrade{Criterion: material.Hashin, MatrixLeft: crackedLeft, FibreLeft: brokenLeft}, material.Load{Force: [3]float64{1000. / 36, 0, 0}})
	if err != nil {
		t.Fatal(err)
	}
	atFibre := 0.0
	for _, s := range way.Steps {
		if s.Mode == material.FibreTension {
			atFibre = s.Load
			break
		}
	}
	t.Logf("plate: %+v; stack: fibre %g, first %g", c, atFibre, way.Steps[0].Load)
	if !near.Equal(c.FirstMatrix, way.Steps[0].Load, 0, 1e-6) {
		t.Errorf("first crack at %g, in the stack at %g", c.FirstMatrix, way.Steps[0].Load)
	}
	// The stack counts fibre by stress, the plate by strain; beyond the fibres of
	// the load's direction the stack goes on at strains of half its length.
	if !near.Equal(c.Load, atFibre, 0, 1e-3) || c.FirstFibre != c.Load {
		t.Errorf("collapse at %g, first fibre at %g, of the stack at %g", c.Load, c.FirstFibre, atFibre)
	}
	if fm := d.Cases[0].Of(Matrix).Reserve; !near.Equal(c.FirstMatrix, fm, 0, 1e-6) {
		t.Errorf("first crack at %g, margin of the matrix %g", c.FirstMatrix, fm)
	}
	// Fibre along the load alone: nothing takes over when it breaks.
	s := find(t, r, "as printed").Cases[0]
	if ft := s.Of(FibreTension).Reserve; !near.Equal(s.Collapse.FirstFibre, ft, 0, 1e-6) || s.Collapse.Load < ft*(1-1e-6) || s.Collapse.Load > ft*1.1 {
		t.Errorf("straight strands: first fibre %g, collapse %g, margin of fibre tension %g", s.Collapse.FirstFibre, s.Collapse.Load, ft)
	}
}

// TestCollapseAtHole: beside a hole damage spreads and the load rises above that
// of the first failures; the curve starts with the plate's stiffness and has
// its top at the collapse load.
func TestCollapseAtHole(t *testing.T) {
	p, law := strip(), statedLaw(t)
	m, err := mesh.Generate(p.Region, mesh.Settings{Size: 3, ArcSize: 0.12})
	if err != nil {
		t.Fatal(err)
	}
	r, err := Prove(context.Background(), Input{Part: p, Mesh: m, Law: law, Plastic: plainOf(t, law), Print: straightStrands(p, 1), Settings: Settings{Collapse: true, Mask: 10}})
	if err != nil {
		t.Fatal(err)
	}
	cs := &find(t, r, "quasi-isotropic, drilled").Cases[0]
	c := cs.Collapse
	t.Logf("first crack %.2f, first fibre %.2f, collapse %.2f after %d steps, cracked %.2f, broken %.3f: %s", c.FirstMatrix, c.FirstFibre, c.Load, len(c.Curve), c.Cracked, c.Broken, c.Ended)
	if !near.Equal(c.FirstMatrix, cs.Of(Matrix).Reserve, 0, 1e-6) {
		t.Errorf("first crack at %g, margin of the matrix %g", c.FirstMatrix, cs.Of(Matrix).Reserve)
	}
	if !(c.Load > c.FirstMatrix && c.Load >= c.FirstFibre && c.FirstFibre > c.FirstMatrix) {
		t.Errorf("first crack %g, first fibre %g, collapse %g", c.FirstMatrix, c.FirstFibre, c.Load)
	}
	top := 0.0
	for _, v := range c.Curve {
		top = math.Max(top, v[1])
	}
	if top != c.Load {
		t.Errorf("top of the curve %g, collapse %g", top, c.Load)
	}
	// Neither movement nor load goes back before the part gives way, and it gets
	// softer all the way.
	for i := 1; i < len(c.Curve)-1; i++ {
		a, b := c.Curve[i-1], c.Curve[i]
		if b[0] < a[0] || b[1] < a[1] || i > 1 && b[1]/b[0] > a[1]/a[0]*(1+1e-12) {
			t.Errorf("the curve goes from %v to %v", a, b)
		}
	}
	if last, before := c.Curve[len(c.Curve)-1], c.Curve[len(c.Curve)-2]; last != ([2]float64{before[0], 0}) || before[1] != c.Load {
		t.Errorf("the curve ends with %v, %v", before, last)
	}
	if k := c.Curve[1][1] / c.Curve[1][0]; !near.Equal(k*1000, cs.Stiffness, 0, 1e-9) {
		t.Errorf("slope of the curve %g kN/mm, stiffness %g", k, cs.Stiffness/1000)
	}
	if find(t, r, "straight fibre, drilled").Cases[0].Collapse != nil {
		t.Error("a design that nobody asked about was taken to collapse")
	}
}
