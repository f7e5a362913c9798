package field_test

import (
	"context"
	"fmt"
	"math"

	"sinew/field"
	"sinew/geom"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
	"sinew/stress"
)

// A strip pulled at its ends gets straight strands, a whole number of them.
func ExamplePlan() {
	fibre := material.Phase{E1: 230e3, E2: 15e3, G12: 15e3, G23: 7e3, Nu12: 0.2, Density: 1.8e-3}
	resin := material.IsotropicPhase(3000, 0.35)
	resin.Density = 1.2e-3
	law, err := material.NewLaw(material.LawSettings{
		Tow:     material.Tow{ID: "tow", Fibre: fibre, Resin: resin, FibreArea: 0.057, Area: 0.103, FailureStrain: 0.0178},
		Plastic: material.Plastic{ID: "plastic", Density: 1.15e-3, Nu: 0.33, Dry: material.Curves{Modulus: [][2]float64{{23, 2200}}, Tension: [][2]float64{{23, 50}}}},
		Height:  0.32, SpacingMin: 0.65, SpacingMax: 2,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	p := &part.Part{
		Name: "strip", Thickness: 1.28,
		Region: geom.Region{Outer: geom.Polyline(geom.Point{}, geom.Point{X: 80}, geom.Point{X: 80, Y: 20}, geom.Point{Y: 20})},
		Features: []part.Feature{
			{Name: "left", Kind: part.Side, Edges: []int{3}},
			{Name: "right", Kind: part.Side, Edges: []int{1}},
		},
		Supports: []part.Support{{Feature: 0, Kind: part.Fixed}},
		Cases:    []part.Case{{Name: "pull", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Grip, Force: geom.Point{X: 1000}}}}},
	}
	m, err := mesh.Generate(p.Region, mesh.Settings{Size: 4})
	if err != nil {
		fmt.Println(err)
		return
	}
	sys, err := stress.NewSystem(m, p, stress.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	layup, err := field.Plan(context.Background(), field.Input{
		Part: p, System: sys,
		Stack: field.Stack{Law: law, Plastic: material.Isotropic(2200, 0.33, 0, 1.15e-3).Reduced(), PlasticDensity: 1.15e-3},
	}, field.Settings{Families: []field.Request{{Name: "along", Layers: 4, Spacing: 1}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	f := layup.Families[0]
	fmt.Printf("%d layers of %q, %.0f strands between the sides\n", len(layup.Layers), f.Name, math.Abs(f.TiedPhases[1]-f.TiedPhases[0]))
	// Output: 4 layers of "along", 20 strands between the sides
}
