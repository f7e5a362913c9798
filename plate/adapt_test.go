package plate

import (
	"context"
	"math"
	"testing"

	"sinew/geom"
	"sinew/mesh"
	"sinew/part"
	"sinew/stress"
)

// bessel is the modified Bessel function K2(x) and its derivative, by the
// integral of exp(-x·cosh t)·cosh 2t.
func bessel(x float64) (k, slope float64) {
	const dt = 1e-3
	for t := 0.0; t < 12; t += dt {
		w := dt
		if t == 0 {
			w /= 2
		}
		e := w * math.Exp(-x*math.Cosh(t)) * math.Cosh(2*t)
		k += e
		slope -= e * math.Cosh(t)
	}
	return k, slope
}

// holeInBending is the moment at the edge of a hole of radius 1, square to a
// moment of one far away, in a plate of thickness h: Reissner, J. Appl. Mech. 12
// (1945) A69. With -grad Φ + rot ψ for the tilts, Φ is biharmonic and
//
//	Φ = (c·r² + A/r² + B)·cos 2θ,  ψ = C·K2(k·r)·sin 2θ,  k² = 10/h²
//
// over the part with sin and cos; M_r, M_rθ and Q_r vanish at the hole.
func holeInBending(h, nu float64) float64 {
	k := math.Sqrt(10) / h
	f, d := bessel(k)
	// C·K2 and C·K2' with K2(k) = 1, as K2 is tiny for thin plates.
	k0, k1 := 1.0, k*d/f
	k2 := k*k*k0 - k1 + 4*k0
	c0 := -1 / (4 * (1 - nu))
	b := k * k * (1 - nu) / 8 // times C
	// -6A + (4νb/(1-ν) + 2(k1 - k0))·C = 2·c0, -6·A... from M_r = 0 and M_rθ = 0
	a11, a12, r1 := -6.0, 4*nu*b/(1-nu)+2*(k1-k0), 2*c0
	a21, a22, r2 := -6.0, -2*b+(-4*k0-k2+k1)/2, -2*c0
	det := a11*a22 - a12*a21
	a, c := (r1*a22-r2*a12)/det, (a11*r2-a21*r1)/det
	hoop := 2*c0*(1-nu) + 6*a*(1-nu) + 4*b*c - c*(1-nu)*2*(k1-k0)
	return 1 - hoop
}

// A hole in a plate that is bent one way: the moment at its edge over the one
// far away is (5+3ν)/(3+ν) where the plate is thin and 3 where it is thick
// against the hole (Peterson's Stress Concentration Factors; Reissner 1945 in
// between). The edge's stress is met by refinement to a set error and peak, and
// the history tells its way.
func TestHoleInBending(t *testing.T) {
	const nu, wide, size = 0.3, 25.0, 1e6
	if thin, want := holeInBending(0.02, nu), (5+3*nu)/(3+nu); math.Abs(thin-want) > 0.01*want {
		t.Errorf("thin plate %g, want %g", thin, want)
	}
	if thick := holeInBending(60, nu); math.Abs(thick-3) > 0.02 {
		t.Errorf("thick plate %g, want 3", thick)
	}
	outer := geom.Loop{
		{A: geom.Point{X: 1}, B: geom.Point{X: wide}}, {A: geom.Point{X: wide}, B: geom.Point{X: wide, Y: wide}},
		{A: geom.Point{X: wide, Y: wide}, B: geom.Point{Y: wide}}, {A: geom.Point{Y: wide}, B: geom.Point{Y: 1}},
		{A: geom.Point{Y: 1}, B: geom.Point{X: 1}, Bulge: -math.Tan(math.Pi / 8)},
	}
	for _, h := range []float64{0.5, 2, 5} {
		p := &part.Part{
			Region: geom.Region{Outer: outer}, Thickness: h, Features: sides(),
			Supports: []part.Support{{Feature: left, Kind: part.Sliding, Across: part.Mirrored}, {Feature: bottom, Kind: part.Sliding, Angle: math.Pi / 2, Across: part.Mirrored}},
			Cases:    []part.Case{{Name: "bend", Factor: 1, Loads: []part.Load{{Feature: right, Kind: part.Even, Moment: geom.Point{Y: wide * h * h / 6}}}}},
		}
		a, err := Adapt(context.Background(), p, StackOfOne(isotropic(size, nu), h), AdaptSettings{
			RefineSettings: stress.RefineSettings{Error: 0.02, Peak: 0.01, Rounds: 6, Mesh: mesh.Settings{Size: 5, ArcSize: 0.5}},
			System:         Settings{Bedded: true}, Foundation: 1e-7 * h * h * h, // so soft that the plate is free but does not drift
		})
		if err != nil {
			t.Fatal(err)
		}
		want := holeInBending(h, nu)
		last := a.History[len(a.History)-1]
		for _, r := range a.History {
			t.Logf("h/a %g: %d nodes, error %.4f, peak %.4f (want %.4f)", h, r.Nodes, r.Error, r.Peaks[0], want)
		}
		if !a.Reached || a.Error > 0.02 || len(a.History) < 2 || a.History[0].Error < a.Error {
			t.Errorf("h/a %g: reached %v, %+v", h, a.Reached, a.History)
		}
		if math.Abs(last.Peaks[0]-want) > 0.015*want { // 25 radii are not endless
			t.Errorf("h/a %g: peak %g, want %g", h, last.Peaks[0], want)
		}
	}
}

// The same meshes and figures for any number of workers.
func TestAdaptIsDeterministic(t *testing.T) {
	_, p := lug(t, 6)
	p.Cases[0].Bending.Pressure = 0.1
	var first *Adapted
	for _, workers := range []int{1, 3} {
		a, err := Adapt(context.Background(), p, StackOfOne(isotropic(70e3, 0.3), 2), AdaptSettings{
			RefineSettings: stress.RefineSettings{Error: 0.012, Mesh: mesh.Settings{Size: 12, ArcSize: 0.8}}, System: Settings{Workers: workers}})
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = a
			if !a.Reached || len(a.History) < 2 {
				t.Errorf("%+v", a.History)
			}
			continue
		}
		if a.Error != first.Error || len(a.Mesh.Nodes) != len(first.Mesh.Nodes) || a.History[0].Peaks[0] != first.History[0].Peaks[0] {
			t.Errorf("%d workers: error %g on %d nodes, one: %g on %d", workers, a.Error, len(a.Mesh.Nodes), first.Error, len(first.Mesh.Nodes))
		}
	}
}
