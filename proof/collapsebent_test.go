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

// evenStrip is the plain strip, its left and bottom sides lines of symmetry,
// under a force and a moment along its right side, N/mm and N: strains are the
// same all over. A soft bed alone stops it from drifting off.
func evenStrip(t *testing.T, force, moment float64, w PlateWish) *prover {
	t.Helper()
	p, law := plainStrip(), statedLaw(t)
	for i := range p.Supports {
		p.Supports[i].Across = part.Mirrored
	}
	p.Cases[0].Loads[0].Force, p.Cases[0].Loads[0].Moment = geom.Point{X: 36 * force}, geom.Point{Y: 36 * moment}
	m, err := mesh.Generate(p.Region, mesh.Settings{Size: 12})
	if err != nil {
		t.Fatal(err)
	}
	w.Foundation = 1e-6
	v, _, err := newProver(context.Background(), &Input{Part: p, Mesh: m, Law: law, Plastic: plainOf(t, law), Print: straightStrands(p, 1), Plate: w})
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// A strip that is bent evenly cracks, breaks and collapses layer by layer as
// its stack does by laminate theory: tension and compression apart, the stack
// unsymmetric once one side has failed. Curve: turn of the end under the moment.
func TestCollapseOfEvenBending(t *testing.T) {
	const rho = 1.0
	law := statedLaw(t)
	ply, err := material.NewPly(law.Lamina(rho), law.Strength(rho), material.Judge{})
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		name   string
		angles []float64 // of the lower half, outside first
	}{
		{"0 outside", []float64{0, 90}},
		{"90 outside", []float64{90, 0}},
		{"0 alone", []float64{0}},
	} {
		v := evenStrip(t, 0, 50, PlateWish{})
		var own []float64
		var layers []material.Layer
		h := v.in.Part.Thickness / 2 / float64(len(row.angles))
		for _, a := range row.angles {
			own = append(own, a*math.Pi/180)
			layers = append(layers, material.Layer{Ply: ply, Theta: a * math.Pi / 180, Thickness: h})
		}
		for k := len(row.angles) - 1; k >= 0; k-- {
			layers = append(layers, layers[k])
		}
		l, err := material.NewLaminate(layers, 0)
		if err != nil {
			t.Fatal(err)
		}
		want, err := l.Collapse(material.Degrade{Criterion: material.Hashin, MatrixLeft: crackedLeft, FibreLeft: brokenLeft}, material.Load{Moment: [3]float64{50, 0, 0}})
		if err != nil {
			t.Fatal(err)
		}
		got, err := v.collapse(v.stack(rho, own...), 0)
		if err != nil {
			t.Fatal(err)
		}
		crack, fibre := 0.0, 0.0
		for _, s := range want.Steps {
			if !s.Mode.IsFibre() && crack == 0 {
				crack = s.Load
			}
			if s.Mode.IsFibre() && fibre == 0 {
				fibre = s.Load
			}
		}
		t.Logf("%s: %+v; stack: crack %g, fibre %g", row.name, got, crack, fibre)
		if crack == fibre { // cracks that come of the fibres' breaking
			crack = 0
		}
		// The stack counts fibre by stress, the plate by strain. What the stack still
		// carries when the fibres along the strip are broken it does at strains that
		// linear theory knows nothing of.
		if !near.Equal(got.FirstMatrix, crack, 0, 1e-4) || !near.Equal(got.FirstFibre, fibre, 0, 1e-2) || got.Load != got.FirstFibre {
			t.Errorf("%s: crack %g, fibre %g, collapse %g; by laminate theory %g, %g", row.name, got.FirstMatrix, got.FirstFibre, got.Load, crack, fibre)
		}
		_, kappa := l.Respond(material.Load{Moment: [3]float64{50, 0, 0}})
		if turn := kappa[0] * 60; !near.Equal(got.Curve[1][0]/got.Curve[1][1], turn, 0, 1e-3) {
			t.Errorf("%s: the curve starts with a turn of %g, want %g", row.name, got.Curve[1][0]/got.Curve[1][1], turn)
		}
	}
}

// Pulled evenly, the plate's way to collapse is that of the plane.
func TestCollapseOfPlateInPlane(t *testing.T) {
	angles := []float64{0, math.Pi / 2, math.Pi / 4, -math.Pi / 4}
	flat := evenStrip(t, 30, 0, PlateWish{})
	bent := evenStrip(t, 30, 0, PlateWish{Bending: true})
	want, err := flat.collapse(flat.stack(1, angles...), 0)
	if err != nil {
		t.Fatal(err)
	}
	got, err := bent.collapse(bent.stack(1, angles...), 0)
	if err != nil {
		t.Fatal(err)
	}
	if !near.Equal(got.FirstMatrix, want.FirstMatrix, 0, 1e-6) || !near.Equal(got.FirstFibre, want.FirstFibre, 0, 1e-6) || !near.Equal(got.Load, want.Load, 0, 1e-6) ||
		!near.Equal(got.Curve[1][0], want.Curve[1][0], 0, 1e-6) || !near.Equal(got.Cracked, want.Cracked, 0, 1e-6) {
		t.Errorf("as a plate %+v, in the plane %+v", got, want)
	}
}

// A cantilever under a force at its end collapses after its first failure, at
// the clamped end; the curve starts with its stiffness.
func TestCollapseOfCantilever(t *testing.T) {
	law := statedLaw(t)
	p := bare(part.Case{Name: "press", Factor: 1, Loads: []part.Load{{Feature: 1, Kind: part.Even, Out: 10}}})
	r, err := Prove(context.Background(), Input{
		Part: p, Mesh: coarse(t, p), Law: law, Plastic: plainOf(t, law), Print: straightPrint(p, "xyxyxxyxyx"), Settings: Settings{Collapse: true, Mask: 3},
	})
	if err != nil {
		t.Fatal(err)
	}
	cs := &find(t, r, "as printed").Cases[0]
	c := cs.Collapse
	t.Logf("first crack %.2f, first fibre %.2f, collapse %.2f after %d steps: %s", c.FirstMatrix, c.FirstFibre, c.Load, len(c.Curve), c.Ended)
	first := math.Min(cs.Of(FibreTension).Reserve, cs.Of(FibreCompression).Reserve)
	if !near.Equal(c.FirstFibre, first, 0, 1e-6) || !(cs.Of(Matrix).Reserve > first) {
		t.Errorf("first fibre at %g, margins of the fibre %g, of the matrix %g", c.FirstFibre, first, cs.Of(Matrix).Reserve)
	}
	if !(c.Load >= c.FirstFibre && c.Broken >= 0) || len(c.Curve) < 3 {
		t.Errorf("first fibre %g, collapse %g, curve %v", c.FirstFibre, c.Load, c.Curve)
	}
	if k := 10 * c.Curve[1][1] / c.Curve[1][0]; !near.Equal(k, cs.Stiffness, 0, 1e-9) {
		t.Errorf("slope of the curve %g N/mm, stiffness %g", k, cs.Stiffness)
	}
}
