package plate

import (
	"math"
	"testing"

	"sinew/geom"
	"sinew/material"
	"sinew/part"
)

// A cantilever without transverse contraction, loaded across at its tip, by
// beam theory with shear: w = P·x²(3L-x)/(6EI) + P·x/(5/6·G·A); a gauge along it
// reads ±P(L-x)·t/2/(EI) on the faces, one across it nothing.
func TestProbes(t *testing.T) {
	const length, width, thick, e, load = 60.0, 10.0, 2.0, 1000.0, 0.5
	ei, ga := e*width*thick*thick*thick/12, 5.0/6*e/2*width*thick
	w := func(x float64) float64 { return load*x*x*(3*length-x)/(6*ei) + load*x/ga }
	p := &part.Part{
		Thickness: thick, Features: sides(), Supports: []part.Support{{Feature: left}},
		Cases: []part.Case{{Name: "tip", Factor: 1, Loads: []part.Load{{Feature: right, Kind: part.Even, Out: load}}}},
		Probes: []part.Probe{
			{Name: "tip", Feature: right},
			{Name: "along", Feature: -1, At: geom.Point{X: 20, Y: 4}},
			{Name: "across", Feature: -1, At: geom.Point{X: 20, Y: 4}, Angle: math.Pi / 2},
			{Name: "outside", Feature: -1, At: geom.Point{X: 99, Y: 4}},
		},
	}
	s := newSystem(t, rectangle(30, 5, length, width), p, Settings{})
	q := isotropic(e, 0).Reduced().TurnBy(1, 0)
	g := [3]float64{e / 2, 0, e / 2}
	stack := &Stack{Layers: []Layer{
		{Bottom: []float64{-thick / 2}, Top: []float64{0}, Stiff: []material.Stiffness{q}, Shear: [][3]float64{g}},
		{Bottom: []float64{0}, Top: []float64{thick / 2}, Stiff: []material.Stiffness{q}, Shear: [][3]float64{g}},
		{Bottom: []float64{5}, Top: []float64{5}, Stiff: []material.Stiffness{q}, Shear: [][3]float64{g}}, // not there
	}}
	section, err := stack.Section(len(s.Points()))
	if err != nil {
		t.Fatal(err)
	}
	sol := solve(t, s, section)
	if _, err := s.Probes(sol, stack); err == nil {
		t.Fatal("a probe outside was read")
	}
	p.Probes = p.Probes[:3]
	all, err := s.Probes(sol, stack)
	if err != nil {
		t.Fatal(err)
	}
	got := all[0]
	strain := load * (length - 20) * thick / 2 / ei
	near := func(what string, got, want, scale float64) {
		if math.Abs(got-want) > 5e-3*scale {
			t.Errorf("%s: %g, want %g", what, got, want)
		}
	}
	near("tip", got[0].Across, w(length), w(length))
	near("w at 20 mm", got[1].Across, w(20), w(20))
	near("strain below", math.Abs(got[1].Faces[0]), strain, strain)
	near("strain above", got[1].Faces[1], -got[1].Faces[0], strain)
	near("across", got[2].Faces[1], 0, strain)
	if got[0].Faces != [2]float64{} {
		t.Errorf("a feature has no gauge: %v", got[0].Faces)
	}
}
