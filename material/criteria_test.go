package material

import (
	"math"
	"testing"

	"sinew/internal/near"
)

// TestOwnStrengths: at each strength alone every criterion gives a reserve of 1.
func TestOwnStrengths(t *testing.T) {
	for _, set := range append(exercise, kawCarbon()) {
		p, x := set.ply(t), set.strength
		for _, row := range []struct {
			name   string
			stress [3]float64
			mode   map[Criterion]Mode
		}{
			{"Xt", [3]float64{x.Xt, 0, 0}, map[Criterion]Mode{MaxStress: FibreTension, Hashin: FibreTension, Puck: FibreTension}},
			{"Xc", [3]float64{-x.Xc, 0, 0}, map[Criterion]Mode{MaxStress: FibreCompression, Hashin: FibreCompression, Puck: FibreCompression}},
			{"Yt", [3]float64{0, x.Yt, 0}, map[Criterion]Mode{MaxStress: TransverseTension, MaxStrain: TransverseTension, Hashin: MatrixTension, Puck: InterFibreA}},
			{"Yc", [3]float64{0, -x.Yc, 0}, map[Criterion]Mode{MaxStress: TransverseCompression, MaxStrain: TransverseCompression, Hashin: MatrixCompression, Puck: InterFibreC}},
			{"S", [3]float64{0, 0, x.S}, map[Criterion]Mode{MaxStress: InPlaneShear, MaxStrain: InPlaneShear, Hashin: MatrixTension, Puck: InterFibreA}},
		} {
			for c := range Criterion(nCriteria) {
				f := p.Reserve(c, row.stress)
				if c == MaxStrain && row.stress[0] < 0 && f.Mode == TransverseTension {
					// Poisson's strain across breaks a glass layer first.
					if want := x.Yt / (p.nu21 * x.Xc); !near.Equal(f.Reserve, want, 0, 1e-12) {
						t.Errorf("%s %s: reserve %g by Poisson's strain, want %g", set.name, row.name, f.Reserve, want)
					}
					continue
				}
				if !near.Equal(f.Reserve, 1, 1e-12, 0) {
					t.Errorf("%s %s %v: reserve %.15g", set.name, row.name, c, f.Reserve)
				}
				if want, ok := row.mode[c]; ok && f.Mode != want {
					t.Errorf("%s %s %v: mode %v, want %v", set.name, row.name, c, f.Mode, want)
				}
			}
		}
	}
}

// TestReserveProperties: the reserve goes as one over the load, a state at its
// reserve stands at 1, the sign of shear does not matter, and the reserve found
// by halving beside a standing stress is the closed form.
func TestReserveProperties(t *testing.T) {
	r := newRand(5)
	for i := range 20_000 {
		p := exercise[i%4].ply(t)
		s := [3]float64{between(r, -2000, 2000), between(r, -200, 200), between(r, -100, 100)}
		if i%7 == 0 {
			s[i%3] = 0
		}
		k := decades(r, 1e-6, 1e6)
		for c := range Criterion(nCriteria) {
			f := p.Reserve(c, s)
			scaled := p.Reserve(c, times(k, s))
			flipped := p.Reserve(c, [3]float64{s[0], s[1], -s[2]})
			one := p.Reserve(c, times(f.Reserve, s))
			if !near.Equal(scaled.Reserve*k, f.Reserve, 0, 1e-11) || flipped.Reserve != f.Reserve || !near.Equal(one.Reserve, 1, 1e-11, 0) {
				t.Fatalf("case %d %v %v: reserve %g, scaled %g, flipped %g, at itself %g", i, c, s, f.Reserve, scaled.Reserve*k, flipped.Reserve, one.Reserve)
			}
		}
		c := Criterion(i % int(nCriteria))
		beside := p.ReserveBeside(c, s, times(1e-9, s))
		if !near.Equal(beside.Reserve, p.Reserve(c, s).Reserve, 0, 1e-8) {
			t.Fatalf("case %d %v: by halving %g, closed form %g", i, c, beside.Reserve, p.Reserve(c, s).Reserve)
		}
	}
}

func times(k float64, s [3]float64) [3]float64 { return [3]float64{k * s[0], k * s[1], k * s[2]} }

// TestStandingStress: with half the strength used up by standing stress along
// the load half the load is left; when the standing stress alone breaks the
// layer nothing is.
func TestStandingStress(t *testing.T) {
	p := exercise[3].ply(t)
	x := p.Strength
	for c := range Criterion(nCriteria) {
		f := p.ReserveBeside(c, [3]float64{0, x.Yt, 0}, [3]float64{0, x.Yt / 2, 0})
		if !near.Equal(f.Reserve, 0.5, 1e-9, 0) {
			t.Errorf("%v: reserve %g beside half the strength, want 0.5", c, f.Reserve)
		}
		if f := p.ReserveBeside(c, [3]float64{1, 0, 0}, [3]float64{0, 2 * x.Yt, 0}); f.Reserve != 0 {
			t.Errorf("%v: reserve %g beside twice the strength, want 0", c, f.Reserve)
		}
		if f := p.ReserveBeside(c, [3]float64{}, [3]float64{0, x.Yt / 2, 0}); !math.IsInf(f.Reserve, 1) {
			t.Errorf("%v: reserve %g without load", c, f.Reserve)
		}
	}
}

// TestOffAxis holds the off-axis strengths of the graphite/epoxy to their
// closed forms, worked apart from the code, and the angles at which the
// maximum stress changes its mode.
func TestOffAxis(t *testing.T) {
	p := kawCarbon().ply(t)
	x := p.Strength
	for _, row := range []struct {
		angle                    float64
		stress, hill, wu, hashin float64
		mode, hashinMode         Mode
	}{
		{5, 783.19, 689.95, 664.84, 695.38, InPlaneShear, FibreTension},
		{10, 397.64, 370.17, 343.48, 380.89, InPlaneShear, MatrixTension},
		{15, 272.00, 244.85, 222.22, 247.53, InPlaneShear, MatrixTension},
		{20, 211.58, 179.05, 160.97, 179.92, InPlaneShear, MatrixTension},
		{30, 157.04, 111.96, 101.23, 112.08, InPlaneShear, MatrixTension},
		{45, 80.00, 68.955, 64.537, 68.955, TransverseTension, MatrixTension},
		{60, 53.333, 50.504, 48.960, 50.500, TransverseTension, MatrixTension},
		{75, 42.872, 42.350, 42.017, 42.349, TransverseTension, MatrixTension},
		{90, 40, 40, 40, 40, TransverseTension, MatrixTension},
	} {
		s := TurnStress([3]float64{1, 0, 0}, row.angle*degree)
		for _, c := range []struct {
			criterion Criterion
			want      float64
			mode      Mode
		}{{MaxStress, row.stress, row.mode}, {TsaiHill, row.hill, Interactive}, {TsaiWu, row.wu, Interactive}, {Hashin, row.hashin, row.hashinMode}} {
			f := p.Reserve(c.criterion, s)
			if !near.Equal(f.Reserve, c.want, 0, 1e-4) || f.Mode != c.mode {
				t.Errorf("%g degrees, %v: %g %v, want %g %v", row.angle, c.criterion, f.Reserve, f.Mode, c.want, c.mode)
			}
		}
	}
	for _, row := range []struct {
		name          string
		angle         float64
		before, after Mode
	}{
		{"fibre to shear", math.Atan(x.S / x.Xt), FibreTension, InPlaneShear},
		{"shear to across", math.Atan(x.Yt / x.S), InPlaneShear, TransverseTension},
	} {
		a := p.Reserve(MaxStress, TurnStress([3]float64{1, 0, 0}, row.angle-1e-6))
		b := p.Reserve(MaxStress, TurnStress([3]float64{1, 0, 0}, row.angle+1e-6))
		if a.Mode != row.before || b.Mode != row.after {
			t.Errorf("%s at %.4f degrees: %v, then %v", row.name, row.angle/degree, a.Mode, b.Mode)
		}
	}
}

// TestPuckSurfaceIsContinuous walks across the borders of the modes.
func TestPuckSurfaceIsContinuous(t *testing.T) {
	p := exercise[2].ply(t)
	last := p.Reserve(Puck, [3]float64{0, 10, 0.001}).Reserve
	const steps = 4000
	for i := 1; i <= steps; i++ {
		a := math.Pi * float64(i) / steps
		f := p.Reserve(Puck, [3]float64{0, 10 * math.Cos(a), 10 * math.Sin(a)})
		if math.Abs(f.Reserve/last-1) > 0.01 {
			t.Fatalf("jump from %g to %g at %.2f degrees (%v)", last, f.Reserve, a/degree, f.Mode)
		}
		last = f.Reserve
	}
}

// TestJudgeRefuses settings that open a surface.
func TestJudgeRefuses(t *testing.T) {
	one, set := 1.0, exercise[0]
	for _, row := range []struct {
		name string
		j    Judge
	}{
		{"interaction", Judge{Interaction: &one}}, {"transverse shear", Judge{TransverseShear: -3}},
		{"inclination", Judge{InclinationTension: 1.5}},
	} {
		if _, err := NewPly(set.lamina, set.strength, row.j); err == nil {
			t.Errorf("%s: accepted", row.name)
		}
	}
}

func TestCriterionNames(t *testing.T) {
	for i, n := range CriterionNames() {
		if c, err := ParseCriterion(n); err != nil || int(c) != i || c.String() != n {
			t.Errorf("%q reads as %v (%v)", n, c, err)
		}
	}
	if _, err := ParseCriterion("strongest"); err == nil {
		t.Error("an unknown criterion was accepted")
	}
	for i, n := range MethodNames() {
		if m, err := ParseMethod(n); err != nil || int(m) != i || m.String() != n {
			t.Errorf("%q reads as %v (%v)", n, m, err)
		}
	}
	if _, err := ParseMethod("best"); err == nil {
		t.Error("an unknown method was accepted")
	}
}
