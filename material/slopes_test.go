package material_test

import (
	"math"
	"testing"

	"sinew/material"
)

// TestIndexSlopes compares the slopes with central differences and the values
// with Indices, for strains of both signs and densities up to the cap.
func TestIndexSlopes(t *testing.T) {
	for name, law := range slopeLaws(t) {
		for _, rho := range []float64{0.3, 0.7, 1.1, 0.99 * law.RhoMax(), 1.2 * law.RhoMax()} {
			for _, e := range [][3]float64{{4e-3, -1e-3, 2e-3}, {-3e-3, 2e-3, -1e-3}, {1e-3, 3e-3, 0}, {-2e-3, -4e-3, 5e-3}} {
				checkSlopes(t, name, law, rho, e)
			}
		}
	}
}

func checkSlopes(t *testing.T, name string, law *material.Law, rho float64, e [3]float64) {
	t.Helper()
	at := func(x [4]float64) [3]float64 {
		ft, fc, m := law.Indices(x[3], [3]float64{x[0], x[1], x[2]})
		return [3]float64{ft, fc, m}
	}
	x := [4]float64{e[0], e[1], e[2], rho}
	v, slope := law.IndexSlopes(rho, e)
	if w := at(x); w != v {
		t.Fatalf("%s, rho %g, strain %v: values %v, want %v", name, rho, e, v, w)
	}
	for k := range x {
		h := 1e-6 * math.Max(1e-3, math.Abs(x[k]))
		up, down := x, x
		up[k] += h
		down[k] -= h
		a, b := at(up), at(down)
		for i := range v {
			want := (a[i] - b[i]) / (2 * h)
			// Differences of values near 1 lose 1e-16/h of their slope.
			if math.Abs(slope[i][k]-want) > 1e-6*math.Abs(want)+1e-13/h {
				t.Errorf("%s, rho %g, strain %v: slope of index %d by %d is %.9g, want %.9g", name, rho, e, i, k, slope[i][k], want)
			}
		}
	}
}

// slopeLaws returns a stated law and an estimated one.
func slopeLaws(t *testing.T) map[string]*material.Law {
	t.Helper()
	fibre := material.Phase{E1: 230e3, E2: 15e3, G12: 15e3, G23: 7e3, Nu12: 0.2, Density: 1.8e-3}
	resin := material.IsotropicPhase(3000, 0.35)
	resin.Density = 1.2e-3
	s := material.LawSettings{
		Tow:     material.Tow{ID: "tow", Fibre: fibre, Resin: resin, FibreArea: 0.057, Area: 0.103, FailureStrain: 0.0178},
		Plastic: material.Plastic{ID: "plastic", Density: 1.15e-3, Nu: 0.33, Dry: material.Curves{Modulus: [][2]float64{{23, 2200}}, Tension: [][2]float64{{23, 50}}}},
		Height:  0.32, SpacingMin: 0.65, SpacingMax: 2,
	}
	out := map[string]*material.Law{}
	var err error
	if out["estimated"], err = material.NewLaw(s); err != nil {
		t.Fatal(err)
	}
	s.Explicit = &material.Explicit{
		FibreModulus: 230e3, Efficiency: 0.95, MatrixModulus: 2200, MatrixShear: 850, InclusionModulus: 15e3,
		Nu12: 0.33, FibreTension: 0.0132, FibreCompression: 0.0066, Yt: 25, Yc: 80, S: 35,
	}
	if out["stated"], err = material.NewLaw(s); err != nil {
		t.Fatal(err)
	}
	return out
}

// TestPlasticIndexSlopes holds the index of plain plastic to its reserve, and
// its slopes to central differences, on both sides of the mean stress's sign.
func TestPlasticIndexSlopes(t *testing.T) {
	s := material.PlasticState{Tension: 50, Compression: 70, Shear: 30}
	for _, at := range [][3]float64{{30, 5, 10}, {-20, -15, 4}, {12, -40, 0}, {40, -3, -25}} {
		v, slope := s.Index(at)
		if want := 1 / s.Reserve(at); v != want {
			t.Errorf("index at %v is %g, one over the reserve %g", at, v, want)
		}
		for k := range at {
			const h = 1e-4 // of some 10 MPa: the difference is off by its square
			up, down := at, at
			up[k] += h
			down[k] -= h
			a, _ := s.Index(up)
			b, _ := s.Index(down)
			if want := (a - b) / (2 * h); math.Abs(slope[k]-want) > 1e-9 {
				t.Errorf("slope at %v by %d is %.10g, by differences %.10g", at, k, slope[k], want)
			}
		}
	}
	if v, slope := s.Index([3]float64{}); v != 0 || slope != [3]float64{} {
		t.Errorf("without stress the index is %g, its slopes %v", v, slope)
	}
}
