package material

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"sinew/internal/near"

	"gonum.org/v1/gonum/mat"
)

// cases is the number of random beads and stacks.
const cases = 100_000

func newRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 7)) }

func between(r *rand.Rand, low, high float64) float64 { return low + (high-low)*r.Float64() }

// decades is log-uniform.
func decades(r *rand.Rand, low, high float64) float64 {
	return low * math.Pow(high/low, r.Float64())
}

// randomPlastic is a resin or printing plastic, cold to hot.
func randomPlastic(r *rand.Rand) Phase {
	p := IsotropicPhase(decades(r, 200, 5e3), between(r, 0.3, 0.44))
	p.Density, p.Alpha1 = between(r, 0.9e-3, 1.5e-3), between(r, 20e-6, 120e-6)
	p.Alpha2 = p.Alpha1
	return p
}

// randomFibre is a filament: glass, basalt (alike in all directions), carbon
// or polymer (soft across).
func randomFibre(r *rand.Rand) Phase {
	if r.IntN(2) == 0 {
		p := IsotropicPhase(between(r, 50e3, 120e3), between(r, 0.15, 0.3))
		p.Density = between(r, 2.4e-3, 2.9e-3)
		return p
	}
	p := Phase{
		E1: between(r, 60e3, 600e3), E2: between(r, 5e3, 25e3), G12: between(r, 2e3, 35e3),
		Nu12: between(r, 0.15, 0.35), Density: between(r, 1.4e-3, 2e-3), Alpha1: -1e-6, Alpha2: 20e-6,
	}
	p.G23 = p.E2 / (2 * (1 + between(r, 0.05, 0.5)))
	return p
}

// randomBead is a bead by both steps.
func randomBead(r *rand.Rand, m Method) Phase {
	tow := m.Combine(randomFibre(r), porous(randomPlastic(r), between(r, 0, 0.1)), between(r, 0.2, 0.75))
	return m.Combine(tow, porous(randomPlastic(r), between(r, 0, 0.2)), between(r, 0, 0.9))
}

// isAdmissible checks the body's stiffness by factorising it, not by the
// inequalities that Validate uses.
func isAdmissible(p Phase) bool {
	k := p.E1 / p.E2
	s := mat.NewSymDense(3, []float64{
		1, -p.Nu12, -p.Nu12,
		-p.Nu12, k, -p.Nu23() * k,
		-p.Nu12, -p.Nu23() * k, k,
	})
	var c mat.Cholesky
	return c.Factorize(s) && p.G12 > 0 && p.G23 > 0
}

// TestBeadsAreAdmissible: every estimate of a bead stores energy, whatever the
// method, and Validate says so too.
func TestBeadsAreAdmissible(t *testing.T) {
	r := newRand(1)
	for i := range cases {
		m := Method(i % len(methodNames))
		bead := randomBead(r, m)
		if err := bead.Validate(); err != nil || !isAdmissible(bead) {
			t.Fatalf("case %d, %v: %v\n%+v", i, m, err, bead)
		}
	}
}

// TestRefusedConstants: each inequality is named when it is broken.
func TestRefusedConstants(t *testing.T) {
	good := exercise[2].lamina
	for _, row := range []struct {
		name, want string
		spoil      func(*Lamina)
	}{
		{"no modulus", "E1 > 0", func(l *Lamina) { l.E1 = 0 }},
		{"negative shear", "G12 > 0", func(l *Lamina) { l.G12 = -1 }},
		{"not a number", "E2 > 0", func(l *Lamina) { l.E2 = math.NaN() }},
		{"nu12 too great", "nu12² < E1/E2", func(l *Lamina) { l.Nu12 = 3.4 }},
		{"nu23 one", "|nu23| < 1", func(l *Lamina) { l.Nu23 = 1 }},
		{"body", "1 - nu23 - 2·nu12²·E2/E1 > 0", func(l *Lamina) { l.E2, l.Nu12, l.Nu23 = l.E1, 0.45, 0.6 }},
	} {
		l := good
		row.spoil(&l)
		if err := l.Validate(); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: error %v does not name %q", row.name, err, row.want)
		}
	}
}

// randomStack is any stack of up to 16 layers of up to 3 beads.
func randomStack(t *testing.T, r *rand.Rand) []Layer {
	t.Helper()
	layers := make([]Layer, 1+r.IntN(16))
	var p *Ply
	for i := range layers {
		if p == nil || r.IntN(3) == 0 {
			l := randomBead(r, Method(r.IntN(len(methodNames)))).Lamina()
			x := Strength{Xt: decades(r, 10, 3e3), Xc: decades(r, 10, 3e3), Yt: decades(r, 5, 100), Yc: decades(r, 20, 300), S: decades(r, 5, 150)}
			var err error
			if p, err = NewPly(l, x, Judge{}); err != nil {
				t.Fatal(err)
			}
		}
		layers[i] = Layer{Ply: p, Theta: between(r, -2*math.Pi, 2*math.Pi), Thickness: decades(r, 0.05, 5)}
	}
	return layers
}

// TestStacksAreAdmissible: A-B-D as a 6 by 6 matrix is positive definite, the
// compliance is its inverse, a mirrored stack couples nothing.
func TestStacksAreAdmissible(t *testing.T) {
	r := newRand(2)
	for i := range cases {
		layers := randomStack(t, r)
		l, err := NewLaminate(layers, 0)
		if err != nil {
			t.Fatalf("case %d: %v", i, err)
		}
		var c mat.Cholesky
		if !c.Factorize(fullABD(l.Stiff, l.Thickness)) {
			t.Fatalf("case %d: A-B-D is not positive definite: %+v", i, l.Stiff)
		}
		mirrored := append([]Layer(nil), layers...)
		slices.Reverse(mirrored)
		s, err := NewLaminate(append(mirrored, layers...), 0)
		if err != nil || !s.Balance().Symmetric {
			t.Fatalf("case %d: mirrored stack is not symmetric: %v %+v", i, err, s.Balance())
		}
		load := Load{Force: randomVector(r, 100), Moment: randomVector(r, 100)}
		e, k := l.Respond(load)
		n, m := l.Stiff.A.Mul(e), l.Stiff.D.Mul(k)
		for j, v := range l.Stiff.B.Mul(k) {
			n[j] += v
		}
		for j, v := range l.Stiff.B.Mul(e) {
			m[j] += v
		}
		for j := range 3 {
			// the condition of a stack of very unlike layers costs digits
			if !near.Equal(n[j], load.Force[j], 1e-6, 0) || !near.Equal(m[j], load.Moment[j], 1e-6, 0) {
				t.Fatalf("case %d: A-B-D times the answer gives %v %v, want %+v", i, n, m, load)
			}
		}
	}
}

func randomVector(r *rand.Rand, size float64) [3]float64 {
	return [3]float64{between(r, -size, size), between(r, -size, size), between(r, -size, size)}
}

// fullABD scales moments by the thickness so that all entries have one unit.
func fullABD(s ABD, h float64) *mat.SymDense {
	k := mat.NewSymDense(6, nil)
	a, b, d := s.A.full(), s.B.full(), s.D.full()
	for i := range 3 {
		for j := range 3 {
			k.SetSym(i, j, a[i][j])
			k.SetSym(i, j+3, b[i][j]/h)
			k.SetSym(i+3, j+3, d[i][j]/(h*h))
		}
	}
	return k
}

// TestTurnCommutes: turning every layer and turning the finished stiffness give
// the same, as do turning the load and turning the answer.
func TestTurnCommutes(t *testing.T) {
	r := newRand(3)
	for i := range cases / 10 {
		layers := randomStack(t, r)
		angle := between(r, -math.Pi, math.Pi)
		turned := append([]Layer(nil), layers...)
		for j := range turned {
			turned[j].Theta += angle
		}
		a, errA := NewLaminate(layers, 0)
		b, errB := NewLaminate(turned, 0)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		for k, pair := range [][2]Stiffness{{a.Stiff.A, b.Stiff.A}, {a.Stiff.B, b.Stiff.B}, {a.Stiff.D, b.Stiff.D}} {
			want := turnStiffness(pair[0], angle)
			size := a.Stiff.A.greatest() * math.Pow(a.Thickness, float64(k))
			for n := range want {
				if !near.Equal(pair[1][n], want[n], commute*size, 0) {
					t.Fatalf("case %d: entry %d of block %d: %.15g, turned %.15g", i, n, k, pair[1][n], want[n])
				}
			}
		}
		heat := TurnStress(a.ThermalForce, angle*-1)
		for n := range heat {
			if !near.Equal(b.ThermalForce[n], heat[n], commute*(norm(heat)), 0) {
				t.Fatalf("case %d: thermal force %v, turned %v", i, b.ThermalForce, heat)
			}
		}
	}
}

// commute is the relative difference that turning twice may cost: a few
// hundred roundings.
const commute = 1e-12

func (k Stiffness) greatest() float64 {
	m := 0.0
	for _, v := range k {
		m = math.Max(m, math.Abs(v))
	}
	return m
}

func norm(v [3]float64) float64 { return math.Abs(v[0]) + math.Abs(v[1]) + math.Abs(v[2]) }

// turnStiffness is T·K·Tᵀ with the stress transformation written out as a
// matrix: the plain version of TurnBy.
func turnStiffness(k Stiffness, angle float64) Stiffness {
	var t [3][3]float64
	for j := range 3 {
		var unit [3]float64
		unit[j] = 1
		col := TurnStress(unit, -angle)
		for i := range 3 {
			t[i][j] = col[i]
		}
	}
	f := k.full()
	var r Stiffness
	for n, ij := range voigt {
		for a := range 3 {
			for b := range 3 {
				r[n] += t[ij[0]][a] * f[a][b] * t[ij[1]][b]
			}
		}
	}
	return r
}

// TestEvaluateAgrees: the fast way gives what the full laminate gives.
func TestEvaluateAgrees(t *testing.T) {
	r := newRand(4)
	var e Evaluation
	for i := range 3000 {
		layers := randomStack(t, r)
		load := Load{Force: randomVector(r, 100), Moment: randomVector(r, 100)}
		if !e.Evaluate(layers, load.Force, load.Moment) {
			t.Fatalf("case %d: no stiffness", i)
		}
		l, err := NewLaminate(layers, 0)
		if err != nil {
			t.Fatal(err)
		}
		for c := range Criterion(nCriteria) {
			f := l.First(c, load)
			if !near.Equal(e.Reserve[c], f.Reserve, 0, 1e-9) || e.Mode[c] != f.Mode || e.Layer[c] != f.Layer {
				t.Fatalf("case %d, %v: %g %v in layer %d, want %g %v in layer %d", i, c,
					e.Reserve[c], e.Mode[c], e.Layer[c], f.Reserve, f.Mode, f.Layer)
			}
		}
	}
}
