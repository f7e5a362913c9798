package material

import (
	"math"
	"testing"

	"sinew/internal/near"
)

// stripLaw is the bead of the open-hole strip: the figures of its card.
func stripSettings() LawSettings {
	fibre := Phase{E1: 230e3, E2: 15e3, G12: 15e3, G23: 7e3, Nu12: 0.2, Density: 1.8e-3}
	resin := IsotropicPhase(3000, 0.35)
	resin.Density = 1.2e-3
	return LawSettings{
		Tow:     Tow{ID: "strip tow", Fibre: fibre, Resin: resin, FibreArea: 0.057, Area: 0.1036, FailureStrain: 0.0178},
		Plastic: Plastic{ID: "strip plastic", Density: 1.15e-3, Nu: 0.35, Dry: Curves{Modulus: [][2]float64{{23, 2200}}, Tension: [][2]float64{{23, 50}}}},
		Height:  0.32, SpacingMin: 0.65, SpacingMax: 2,
		Explicit: &Explicit{
			FibreModulus: 230e3, Efficiency: 0.95, MatrixModulus: 2200, MatrixShear: 850, InclusionModulus: 15e3,
			Nu12: 0.33, FibreTension: 0.0132, FibreCompression: 0.0066, Yt: 25, Yc: 80, S: 35,
		},
	}
}

func newLaw(t testing.TB, s LawSettings) *Law {
	t.Helper()
	l, err := NewLaw(s)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// TestStatedLawFollowsItsFormulas compares the table with the formulas of the
// stated law, written out once more.
func TestStatedLawFollowsItsFormulas(t *testing.T) {
	l := newLaw(t, stripSettings())
	for _, row := range []struct {
		rho, v, e1, e2, g12 float64 // shares and GPa, rounded as tabulated
	}{
		{1.0 / 0.65, 0.271, 60.8, 3.31, 1.39},
		{1.0, 0.178, 40.7, 2.87, 1.17},
		{0.5, 0.089, 21.5, 2.51, 1.00},
	} {
		e := l.Lamina(row.rho)
		for _, c := range []struct {
			what       string
			got, want  float64
			resolution float64 // half a unit of the last tabulated digit
		}{
			{"fibre share", l.FibreShare(row.rho), row.v, 0.0005},
			{"E1", e.E1 / 1e3, row.e1, 0.05}, {"E2", e.E2 / 1e3, row.e2, 0.005}, {"G12", e.G12 / 1e3, row.g12, 0.005},
		} {
			if !near.Equal(c.got, c.want, c.resolution*1.001, 0) {
				t.Errorf("rho %g: %s = %g, want %g", row.rho, c.what, c.got, c.want)
			}
		}
	}
	for rho := 0.0; rho <= 1.46; rho += 0.0137 {
		v := 0.057 * rho / 0.32
		form := func(m float64) float64 {
			eta := (15e3/m - 1) / (15e3/m + 1)
			return m * (1 + eta*v) / (1 - eta*v)
		}
		e := l.Lamina(rho)
		for _, c := range [][2]float64{{e.E1, 0.95*v*230e3 + (1-v)*2200}, {e.E2, form(2200)}, {e.G12, form(850)}, {e.Nu12, 0.33}} {
			if !near.Equal(c[0], c[1], 0, 1e-11) {
				t.Fatalf("rho %g: %g, want %g", rho, c[0], c[1])
			}
		}
	}
}

// TestLawSlopeIsExact compares the derivative with central differences.
func TestLawSlopeIsExact(t *testing.T) {
	for name, s := range map[string]LawSettings{"stated": stripSettings(), "estimated": carbonSettings()} {
		l := newLaw(t, s)
		const h = 1e-5 // truncation h²·f''' and rounding eps/h both near 1e-10
		for rho := 0.003; rho < 1.2*l.RhoMax(); rho += 0.0071 {
			_, dq := l.Reduced(rho)
			a, _ := l.Reduced(rho - h)
			b, _ := l.Reduced(rho + h)
			for _, c := range [][3]float64{
				{dq.Q11, a.Q11, b.Q11}, {dq.Q12, a.Q12, b.Q12}, {dq.Q22, a.Q22, b.Q22}, {dq.Q66, a.Q66, b.Q66},
			} {
				want := (c[2] - c[1]) / (2 * h)
				// rounding of the difference: a few units in the last place over h
				if !near.Equal(c[0], want, 64*0x1p-52*math.Abs(c[2])/h, 1e-6) {
					t.Fatalf("%s: rho %g: slope %g, difference %g", name, rho, c[0], want)
				}
			}
		}
	}
}

func carbonSettings() LawSettings {
	s := stripSettings()
	s.Explicit = nil
	s.Tow.Crush = 0
	return s
}

func TestReducedAllocatesNothing(t *testing.T) {
	l := newLaw(t, carbonSettings())
	var sum float64
	n := testing.AllocsPerRun(100, func() {
		q, dq := l.Reduced(0.9)
		ft, fc, m := l.Indices(0.9, [3]float64{1e-3, 2e-4, 1e-3})
		k := q.Turn(0.3)
		sum += k[0] + dq.Q11 + ft + fc + m
	})
	if n != 0 || sum == 0 {
		t.Errorf("%g allocations in the inner call", n)
	}
}
