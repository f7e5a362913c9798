package material

import (
	"math"
	"testing"

	"sinew/internal/near"

	"gonum.org/v1/gonum/mat"
)

// stiffness6 is the 6 by 6 stiffness in the order 11, 22, 33, 23, 13, 12 with
// engineering shear.
func (p Phase) stiffness6() *mat.Dense {
	s := mat.NewDense(6, 6, nil)
	nu23 := p.Nu23()
	for i, row := range [][3]float64{
		{1 / p.E1, -p.Nu12 / p.E1, -p.Nu12 / p.E1},
		{-p.Nu12 / p.E1, 1 / p.E2, -nu23 / p.E2},
		{-p.Nu12 / p.E1, -nu23 / p.E2, 1 / p.E2},
	} {
		for j, v := range row {
			s.Set(i, j, v)
		}
	}
	s.Set(3, 3, 1/p.G23)
	s.Set(4, 4, 1/p.G12)
	s.Set(5, 5, 1/p.G12)
	var c mat.Dense
	if err := c.Inverse(s); err != nil {
		panic(err)
	}
	return &c
}

// eshelbyCylinder is Eshelby's tensor of an endless circular cylinder along 1
// in an isotropic matrix, engineering shear: Mura, Micromechanics of Defects
// in Solids, 2nd ed. (1987), eq. 11.22.
func eshelbyCylinder(nu float64) *mat.Dense {
	d := 8 * (1 - nu)
	s := mat.NewDense(6, 6, nil)
	s.Set(1, 0, 4*nu/d)
	s.Set(2, 0, 4*nu/d)
	s.Set(1, 1, (5-4*nu)/d)
	s.Set(2, 2, (5-4*nu)/d)
	s.Set(1, 2, (4*nu-1)/d)
	s.Set(2, 1, (4*nu-1)/d)
	s.Set(3, 3, 2*(3-4*nu)/d)
	s.Set(4, 4, 0.5)
	s.Set(5, 5, 0.5)
	return s
}

// moriTanaka6 is the mean-field estimate with full tensors:
//
//	T = [1 + S·Cm⁻¹·(Cf-Cm)]⁻¹,  C = Cm + c·(Cf-Cm)·T·[(1-c)·1 + c·T]⁻¹
func moriTanaka6(f, m Phase, c float64) *mat.Dense {
	cf, cm := f.stiffness6(), m.stiffness6()
	var diff, inv, t, mean, r mat.Dense
	diff.Sub(cf, cm)
	if err := inv.Inverse(cm); err != nil {
		panic(err)
	}
	t.Mul(eshelbyCylinder(m.Nu12), &inv)
	t.Mul(&t, &diff)
	for i := range 6 {
		t.Set(i, i, t.At(i, i)+1)
	}
	var ti mat.Dense
	if err := ti.Inverse(&t); err != nil {
		panic(err)
	}
	mean.Scale(c, &ti)
	for i := range 6 {
		mean.Set(i, i, mean.At(i, i)+1-c)
	}
	var mi mat.Dense
	if err := mi.Inverse(&mean); err != nil {
		panic(err)
	}
	r.Mul(&diff, &ti)
	r.Mul(&r, &mi)
	r.Scale(c, &r)
	r.Add(cm, &r)
	return &r
}

// TestMoriTanakaAgainstTensors compares the closed forms with the mean field
// of Eshelby's tensor.
func TestMoriTanakaAgainstTensors(t *testing.T) {
	r := newRand(6)
	for i := range 2000 {
		f, m, c := randomFibre(r), randomPlastic(r), between(r, 0, 0.95)
		got := MoriTanaka.Combine(f, m, c).stiffness6()
		want := moriTanaka6(f, m, c)
		for a := range 6 {
			for b := range 6 {
				if !near.Equal(got.At(a, b), want.At(a, b), 1e-7*m.E1, 1e-7) {
					t.Fatalf("case %d, share %g: C%d%d = %.10g, tensors %.10g\nfibre %+v\nmatrix %+v", i, c, a+1, b+1, got.At(a, b), want.At(a, b), f, m)
				}
			}
		}
	}
}

// TestBoundsHold: the estimates that are built on mechanics lie between the
// bounds; the bounds meet at both ends; methods agree there too.
func TestBoundsHold(t *testing.T) {
	r := newRand(7)
	const slack = 1e-9 // of the value: rounding
	for i := range 20_000 {
		f, m, c := randomFibre(r), randomPlastic(r), r.Float64()
		b := HashinRosen(f, m, c)
		for _, k := range []Method{CylinderAssemblage, MoriTanaka} {
			p := k.Combine(f, m, c)
			for _, row := range []struct {
				name          string
				lo, got, high float64
			}{
				{"E1", b.Lower.E1, p.E1, b.Upper.E1}, {"E2", b.Lower.E2, p.E2, b.Upper.E2}, {"G12", b.Lower.G12, p.G12, b.Upper.G12},
				{"G23", b.Lower.G23, p.G23, b.Upper.G23}, {"nu12", b.Lower.Nu12, p.Nu12, b.Upper.Nu12},
			} {
				if row.got < row.lo-slack*math.Abs(row.lo) || row.got > row.high+slack*math.Abs(row.high) {
					t.Fatalf("case %d %v share %g: %s = %.12g outside %.12g to %.12g", i, k, c, row.name, row.got, row.lo, row.high)
				}
			}
		}
		for k := range Method(len(methodNames)) {
			ends := [2]Phase{k.Combine(f, m, 0), k.Combine(f, m, 1)}
			for j, want := range []Phase{m, f} {
				got := ends[j]
				if !near.Equal(got.E1, want.E1, 0, 1e-9) || !near.Equal(got.E2, want.E2, 0, 1e-6) || !near.Equal(got.G12, want.G12, 0, 1e-6) || !near.Equal(got.Alpha1, want.Alpha1, 1e-15, 1e-9) {
					t.Fatalf("case %d %v: at share %d %+v, want %+v", i, k, j, got, want)
				}
			}
		}
	}
}

// TestAssemblageShearIsHalpinTsai: the axial shear modulus of the assemblage
// is Halpin–Tsai's with shape factor 1 (Hashin & Rosen 1964).
func TestAssemblageShearIsHalpinTsai(t *testing.T) {
	r := newRand(8)
	for range 10_000 {
		f, m, c := decades(r, 1, 1e5), decades(r, 1, 1e5), r.Float64()
		if a, b := cylinderShear(f, m, c), halpinTsai(f, m, 1, c); !near.Equal(a, b, 0, 1e-12) {
			t.Fatalf("f %g m %g c %g: %.15g, %.15g", f, m, c, a, b)
		}
	}
}

// TestExpansionOfLikePhases: two phases that expand alike expand alike
// together, and Schapery's bead cooled as a laminate has no stress of its own.
func TestExpansionOfLikePhases(t *testing.T) {
	r := newRand(9)
	for i := range 1000 {
		f, m, c := randomFibre(r), randomPlastic(r), r.Float64()
		f.Alpha1, f.Alpha2, m.Alpha1, m.Alpha2 = 3e-5, 3e-5, 3e-5, 3e-5
		p := HalpinTsai.Combine(f, m, c)
		if !near.Equal(p.Alpha1, 3e-5, 0, 1e-12) || !near.Equal(p.Alpha2, 3e-5, 0, 1e-12) {
			t.Fatalf("case %d: %g, %g", i, p.Alpha1, p.Alpha2)
		}
	}
}

// TestSwellingConservesWater: a body of which only the plastic drinks swells
// by the plastic's strain when that is all there is, and by more per mass of
// the body's own moisture the less of it is plastic.
func TestSwellingConservesWater(t *testing.T) {
	m := IsotropicPhase(2000, 0.4)
	m.Beta1, m.Beta2, m.Density = 0.25, 0.25, 1.14e-3
	f := IsotropicPhase(80e3, 0.2)
	f.Density = 2.6e-3
	for _, c := range []float64{0, 0.3, 0.6} {
		p := HalpinTsai.Combine(f, m, c)
		// moisture w of the body sits in the plastic alone at w·rho/(rho_m·(1-c))
		concentrated := p.Density / (m.Density * (1 - c))
		want := (1 - c) * m.E1 * 0.25 / mix(f.E1, m.E1, c) * concentrated
		if !near.Equal(p.Beta1, want, 0, 1e-12) {
			t.Errorf("share %g: beta1 %g, want %g", c, p.Beta1, want)
		}
	}
}
