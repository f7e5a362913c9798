package sinew_test

import (
	"context"
	"math"
	"testing"

	"sinew/field"
	"sinew/material"
	"sinew/mesh"
	"sinew/proof"
	"sinew/strand"
	"sinew/stress"
)

// TestPrintedConverges proves one print on finer and finer meshes: what is
// mapped back is the strands, not the mesh they were planned on.
func TestPrintedConverges(t *testing.T) {
	w, s := newWorkshop(t), openHole()
	ctx := context.Background()
	system := func(size, arc float64) *stress.System {
		m, err := mesh.Generate(s.part.Region, mesh.Settings{Size: size, ArcSize: arc})
		if err != nil {
			t.Fatal(err)
		}
		sys, err := stress.NewSystem(m, s.part, stress.Settings{})
		if err != nil {
			t.Fatal(err)
		}
		return sys
	}
	in := field.Input{Part: s.part, System: system(3, 0.2), Stack: field.Stack{Law: w.law, Plastic: w.plastic.Reduced(), PlasticDensity: 1.15e-3}}
	l, err := field.Plan(ctx, in, field.Settings{Families: s.families, Mask: s.mask})
	if err != nil {
		t.Fatal(err)
	}
	pr, err := strand.Lay(ctx, l, w.card, strand.Settings{Region: s.part.Region, Thickness: s.part.Thickness, Bare: true})
	if err != nil {
		t.Fatal(err)
	}
	var designs []design
	var lengths []float64
	for _, size := range []float64{4, 2, 1} {
		sys := system(size, size/16)
		res, err := proof.Prove(ctx, proof.Input{
			Part: s.part, System: sys, Law: w.law, Print: pr,
			Plastic:  proof.Plain{Title: "plastic", State: material.PlasticState{Phase: material.IsotropicPhase(2200, 0.33), Tension: 50, Compression: 60, Shear: 30}, Density: 1.15e-3},
			Settings: proof.Settings{Mask: s.mask},
		})
		if err != nil {
			t.Fatal(err)
		}
		d := designOf(res.Designs[0], s.part)
		mapped := 0.0
		for i := range res.Printed.Layers {
			mapped += res.Printed.Layers[i].Length(sys.Weights()) * float64(len(res.Printed.Layers[i].Layers))
		}
		designs, lengths = append(designs, d), append(lengths, mapped/pr.Stats().Length)
		t.Logf("size %g mm: %d elements, fibre tension %.2f kN, matrix %.2f kN, stiffness %.3f kN/mm, fibre mapped %.4f of that laid", size, len(sys.Mesh().Tris), d.ft/1e3, d.m/1e3, d.k/1e3, lengths[len(lengths)-1])
	}
	fine, mid := designs[2], designs[1]
	for _, c := range []struct {
		what      string
		got, want float64
		within    float64
	}{
		{"stiffness", mid.k, fine.k, 0.005},
		{"fibre tension", mid.ft, fine.ft, 0.03},
		{"matrix", mid.m, fine.m, 0.05},
	} {
		if off := math.Abs(c.got/c.want - 1); off > c.within {
			t.Errorf("%s changes by %.1f %% from 2 to 1 mm, at most %.1f %% wanted", c.what, 100*off, 100*c.within)
		}
	}
	// Beads narrower than the least spacing count as that wide, which loses a
	// little of the fibre on any mesh.
	if lengths[2] < 0.97 || lengths[2] > 1.01 {
		t.Errorf("%.4f of the fibre laid is found on the finest mesh", lengths[2])
	}
}
