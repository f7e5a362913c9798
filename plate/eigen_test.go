package plate

import (
	"context"
	"errors"
	"math"
	"testing"

	"sinew/geom"
	"sinew/hold"
	"sinew/material"
	"sinew/part"
)

// Buckling of simply supported square cross-ply stacks pressed along x, a/h 10,
// G12 = G13 = 0.6, G23 = 0.5 E2, nu 0.25: N·a²/(E2·h³) by first-order theory
// with factor 5/6 (Reddy, Mechanics of Laminated Composite Plates and Shells,
// 2004, ch. 6; recomputed from Navier's series). The three-dimensional values of
// Noor, AIAA J. 13 (1975) lie at 5.294, 9.762, 15.019, 22.881 for the first
// four, and 21.280, 23.669, 24.964 for the last three.
func TestCrossPlyBuckling(t *testing.T) {
	four, two := []float64{0, 90, 90, 0}, []float64{0, 90}
	repeat := func(n int) (out []float64) {
		for range n {
			out = append(out, two...)
		}
		return out
	}
	for _, row := range []struct {
		angles      []float64
		ratio, want float64
	}{
		{four, 3, 5.3991}, {four, 10, 9.9653}, {four, 20, 15.351}, {four, 40, 23.453},
		{repeat(2), 40, 22.8060}, {repeat(3), 40, 24.5777}, {repeat(5), 40, 25.4500},
	} {
		const h = 0.1
		p := simply(part.Case{Name: "press", Factor: 1})
		s := newSystem(t, rectangle(6, 6, 0.5, 0.5), p, Settings{})
		section := FromLaminate(stackOf(t, layered(row.ratio, 0.6, 0.5), h, row.angles...))
		pressed := make([][3]float64, len(s.Points()))
		for i := range pressed {
			pressed[i] = [3]float64{-1, 0, 0}
		}
		modes, err := s.buckle(context.Background(), &section, 0, pressed, 1)
		if err != nil {
			t.Fatal(err)
		}
		got := modes[0].Value / (h * h * h)
		t.Logf("%d layers, E1/E2 %g: %.4f (want %.4f)", len(row.angles), row.ratio, got, row.want)
		if math.Abs(got-row.want) > 2e-3*row.want {
			t.Errorf("%d layers, E1/E2 %g: %g, want %g", len(row.angles), row.ratio, got, row.want)
		}
	}
}

// A thin plate of T300/5208 with its fibres along x, 200 by 100 by 2, simply
// supported and pressed along x by its own supports' answer to a load: closed
// form (Lekhnitskii, Anisotropic Plates)
//
//	N = (π²/b²)·(D11·(m·b/a)² + 2(D12 + 2D66) + D22·(a/(m·b))²)
//
// 79.820 N/mm for m = 1; frequency 394.84 Hz at 1.6 g/cm³. The shear of first-
// order theory takes off a little.
func TestThinOrthotropicPlate(t *testing.T) {
	const a, b = 200.0, 100.0
	section := FromLaminate(coupled(t, 2, 0))
	p := simply(part.Case{Name: "press", Factor: 1, Loads: []part.Load{{Feature: left, Kind: part.Even, Force: geom.Point{X: b / 2}}}})
	for i := range 2 { // free to expand in the plane
		p.Supports[i].Kind = part.Resting
	}
	s := newSystem(t, rectangle(12, 8, a/2, b/2), p, Settings{})
	sol := solve(t, s, section)
	modes, err := s.Buckling(context.Background(), &section, sol, 0, 2)
	if err != nil {
		t.Fatal(err)
	}
	if got := modes[0].Value; math.Abs(got-79.820) > 0.005*79.820 {
		t.Errorf("buckling at %g N/mm, want 79.820", got)
	}
	swing, err := s.Frequencies(context.Background(), &section, 0, 2)
	if err != nil {
		t.Fatal(err)
	}
	if got := swing[0].Value; math.Abs(got-394.84) > 0.005*394.84 {
		t.Errorf("frequency %g Hz, want 394.84", got)
	}
	t.Logf("buckling %.3f N/mm, %.2f Hz", modes[0].Value, swing[0].Value)
	pulled := sol.Cases[0]
	pulled.Strain = append([][8]float64(nil), pulled.Strain...)
	for i := range pulled.Strain {
		for k := range pulled.Strain[i] {
			pulled.Strain[i][k] = -pulled.Strain[i][k]
		}
	}
	none, err := s.Buckling(context.Background(), &section, &Solution{Cases: []CaseSolution{pulled}}, 0, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range none { // pulled along x, the plate is pressed nowhere but by rounding
		if m.Value < 1e6 {
			t.Errorf("a pulled plate buckles at %g", m.Value)
		}
	}
}

// Frequencies of simply supported cross-ply squares, ω·a²/h·√(rho/E2), E1/E2
// 40, G12 = G13 0.6, G23 0.5 E2: first-order theory with factor 5/6 and rotary
// inertia (Reddy 2004, ch. 6), recomputed from Navier's series.
func TestCrossPlyFrequencies(t *testing.T) {
	for _, row := range []struct {
		slender, want float64
		angles        []float64
	}{
		{2, 5.4998, []float64{0, 90, 90, 0}}, {4, 9.3949, []float64{0, 90, 90, 0}}, {5, 10.854, []float64{0, 90, 90, 0}},
		{10, 15.1426, []float64{0, 90, 90, 0}}, {20, 17.6596, []float64{0, 90, 90, 0}}, {50, 18.6742, []float64{0, 90, 90, 0}},
		{100, 18.8362, []float64{0, 90, 90, 0}}, {5, 8.83331, []float64{0, 90}}, {5, 11.27077, []float64{0, 90, 0, 90}},
	} {
		h := 1 / row.slender
		p := simply(part.Case{Name: "swing", Factor: 1})
		s := newSystem(t, rectangle(6, 6, 0.5, 0.5), p, Settings{})
		section := FromLaminate(stackOf(t, layered(40, 0.6, 0.5), h, row.angles...))
		modes, err := s.Frequencies(context.Background(), &section, 0, 1)
		if err != nil {
			t.Fatal(err)
		}
		// layered has density 1e6 g/mm³, which makes the unit of force cancel.
		got := 2 * math.Pi * modes[0].Value / h
		t.Logf("%v a/h %g: %.5f (want %.5f)", row.angles, row.slender, got, row.want)
		if math.Abs(got-row.want) > 2e-3*row.want {
			t.Errorf("%v a/h %g: %g, want %g", row.angles, row.slender, got, row.want)
		}
	}
}

// Equations that may not take the memory of a factorisation bend the plate all
// the same; what needs the factorisation is refused, with both amounts.
func TestLittleMemory(t *testing.T) {
	p := simply(part.Case{Name: "pressed", Factor: 1, Bending: part.Bending{Pressure: 1e-3}})
	m := rectangle(6, 6, 0.5, 0.5)
	section := FromLaminate(stackOf(t, layered(40, 0.6, 0.5), 0.1, 0, 90))
	want := newSystem(t, m, p, Settings{})
	exact, err := want.Solve(context.Background(), &section)
	if err != nil {
		t.Fatal(err)
	}
	little := want.sets[0].Equations().Bytes - 1
	s := newSystem(t, m, p, Settings{Memory: little})
	got, err := s.Solve(context.Background(), &section)
	if err != nil {
		t.Fatal(err)
	}
	size := 0.0
	for _, v := range exact.Cases[0].D {
		size = math.Max(size, math.Abs(v))
	}
	for i, v := range exact.Cases[0].D {
		if math.Abs(got.Cases[0].D[i]-v) > 1e-6*size {
			t.Fatalf("displacement %d is %g, factorised %g", i, got.Cases[0].D[i], v)
		}
	}
	var short *hold.MemoryError
	if _, err := s.Frequencies(context.Background(), &section, 0, 1); !errors.As(err, &short) {
		t.Errorf("frequencies: %v", err)
	}
	if _, err := s.Buckling(context.Background(), &section, got, 0, 1); !errors.As(err, &short) {
		t.Errorf("buckling: %v", err)
	}
	if _, err := s.Follow(context.Background(), &section, 0, FollowSettings{}); !errors.As(err, &short) || short.Allowed != little {
		t.Errorf("large deflections: %v", err)
	}
}

// Isotropic squares with other edges: ω·a²·√(rho·h/D) of Leissa, J. Sound Vib.
// 31 (1973) 257, nu 0.3, for thin plates; Mindlin's plate h/a 0.1 and 0.2 with
// factor 5/6: 19.0651 and 17.4485.
func TestIsotropicFrequencies(t *testing.T) {
	const simple, clamped, free = part.Hinged, part.Clamped, part.Unheld
	for _, row := range []struct {
		edges string
		left  part.Across // left and right are simply supported; bottom and top:
		ends  [2]part.Across
		h     float64
		want  float64
	}{
		{"SSSS", simple, [2]part.Across{simple, simple}, 0.001, 19.739},
		{"SSSS 0.1", simple, [2]part.Across{simple, simple}, 0.1, 19.0651},
		{"SSSS 0.2", simple, [2]part.Across{simple, simple}, 0.2, 17.4485},
		{"SCSC", simple, [2]part.Across{clamped, clamped}, 0.001, 28.951},
		{"SCSS", simple, [2]part.Across{clamped, simple}, 0.001, 23.646},
		{"SCSF", simple, [2]part.Across{clamped, free}, 0.001, 12.687},
		{"SSSF", simple, [2]part.Across{simple, free}, 0.001, 11.685},
		{"SFSF", simple, [2]part.Across{free, free}, 0.001, 9.631},
	} {
		p := &part.Part{Thickness: 1, Features: sides(), Cases: []part.Case{{Name: "swing", Factor: 1}}, Supports: []part.Support{
			{Feature: left, Across: row.left}, {Feature: right, Across: row.left},
			{Feature: bottom, Across: row.ends[0]}, {Feature: top, Across: row.ends[1]}}}
		s := newSystem(t, rectangle(10, 10, 1, 1), p, Settings{})
		l := isotropic(12*(1-0.09), 0.3) // D = h³
		l.Density = 1e6
		section := Homogeneous(l, row.h)
		modes, err := s.Frequencies(context.Background(), &section, 0, 1)
		if err != nil {
			t.Fatal(err)
		}
		got := 2 * math.Pi * modes[0].Value / row.h
		t.Logf("%s: %.4f (want %.4f)", row.edges, got, row.want)
		if math.Abs(got-row.want) > 3e-3*row.want {
			t.Errorf("%s: %g, want %g", row.edges, got, row.want)
		}
	}
}

// A free strip of an unsymmetric stack of T300/5208 bends by the curvature of
// laminate theory when it cools: [0/90], 1 mm, -100 K: 1.70197e-3 1/mm, within
// 0.3 % of Timoshenko's bimetal strip, 1.70574e-3 (J. Opt. Soc. Am. 11 (1925)
// 233).
func TestUnsymmetricStripWarps(t *testing.T) {
	l := coupled(t, 1, 0, 90)
	m := rectangle(10, 2, 100, 10)
	shake(m, 1, 5)
	p := &part.Part{Thickness: 1, Features: sides(), Cases: []part.Case{{Name: "cool", Factor: 1, Heat: part.Heat{Change: -100}}}}
	s := newSystem(t, m, p, Settings{Free: true})
	c := &solve(t, s, FromLaminate(l)).Cases[0]
	b := s.Bow(c)
	_, want := l.Respond(material.Load{DeltaT: -100})
	for i := range want {
		if math.Abs(b.Curvature[i]-want[i]) > 1e-9*math.Abs(want[0]) {
			t.Errorf("curvature %d is %g, laminate theory %g", i, b.Curvature[i], want[i])
		}
	}
	if got := math.Abs(b.Curvature[0]); math.Abs(got-1.70197e-3) > 1e-4*1.70197e-3 {
		t.Errorf("curvature %g, want 1.70197e-3", got)
	}
	if rise := 1.70197e-3 * 100 * 100 / 8; math.Abs(b.Height-rise) > 0.02*rise {
		t.Errorf("bow %g, want about %g", b.Height, rise)
	}
}
