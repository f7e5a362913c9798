package material

import (
	"math"
	"strings"
	"testing"

	"sinew/internal/near"
)

// TestQuasiIsotropic: two different quasi-isotropic stacks have one in-plane
// stiffness, and G = E/2(1+nu) as for a metal.
func TestQuasiIsotropic(t *testing.T) {
	p := kawCarbon().ply(t)
	four := stackOf(t, p, 0.125, 0, 45, -45, 90, 90, -45, 45, 0).InPlane()
	three := stackOf(t, p, 0.25, 0, 60, -60, -60, 60, 0).InPlane()
	for _, row := range []struct {
		name      string
		a, b, ref float64
	}{
		{"Ex", four.Ex, three.Ex, 69675.7}, {"Ey", four.Ey, three.Ey, 69675.7},
		{"Gxy", four.Gxy, three.Gxy, four.Ex / (2 * (1 + four.Nuxy))}, {"nuxy", four.Nuxy, three.Nuxy, 0.296031},
	} {
		if !near.Equal(row.a, row.b, 0, 1e-9) || !near.Equal(row.a, row.ref, 0, 1e-6) {
			t.Errorf("%s: %.9g and %.9g, want %.7g", row.name, row.a, row.b, row.ref)
		}
	}
}

// TestBalance: what each stack couples, and the words for it.
func TestBalance(t *testing.T) {
	p := kawCarbon().ply(t)
	for _, row := range []struct {
		name                string
		angles              []float64
		symmetric, balanced bool
		words               string
	}{
		{"cross-ply", []float64{0, 90, 90, 0}, true, true, "symmetric; balanced"},
		{"unsymmetric", []float64{0, 90}, false, true, "not symmetric"},
		{"angle-ply", []float64{30, -30, -30, 30}, true, true, "twists"},
		{"one way", []float64{30, 30}, true, false, "not balanced"},
		{"antisymmetric", []float64{30, -30}, false, true, "not symmetric"},
	} {
		b := stackOf(t, p, 0.3, row.angles...).Balance()
		if b.Symmetric != row.symmetric || b.Balanced != row.balanced || !strings.Contains(b.String(), row.words) {
			t.Errorf("%s: %+v %q", row.name, b, b)
		}
	}
}

// TestReferencePlane: a plate loaded at its lower face is the plate loaded in
// its middle with the moment of the offset; stresses do not know the plane.
func TestReferencePlane(t *testing.T) {
	p := kawCarbon().ply(t)
	layers := []Layer{{p, 0.3, 0.2}, {p, -0.7, 0.5}, {p, 1.2, 0.1}}
	middle, err := NewLaminate(layers, 0)
	if err != nil {
		t.Fatal(err)
	}
	const offset = 0.9
	lower, err := NewLaminate(layers, offset)
	if err != nil {
		t.Fatal(err)
	}
	n := [3]float64{10, -4, 3}
	a := middle.Stresses(Load{Force: n, Moment: [3]float64{1, 2, 3}, DeltaT: -30})
	b := lower.Stresses(Load{Force: n, Moment: [3]float64{1 + offset*10, 2 - offset*4, 3 + offset*3}, DeltaT: -30})
	for i := range a {
		for k := range 3 {
			if !near.Equal(a[i].Own[k], b[i].Own[k], 1e-8, 1e-9) {
				t.Errorf("layer %d: stress %v from the middle, %v from below", a[i].Layer, a[i].Own, b[i].Own)
			}
		}
	}
	if x, y := middle.Balance(), lower.Balance(); !near.Equal(x.BendTwist, y.BendTwist, 1e-9, 0) || !near.Equal(x.StretchBend, y.StretchBend, 1e-9, 0) {
		t.Errorf("couplings depend on the plane: %+v %+v", x, y)
	}
}

// TestStressesBalance: the stresses of the layers add up to the load, and
// those of temperature and moisture alone to nothing.
func TestStressesBalance(t *testing.T) {
	r := newRand(11)
	for i := range 500 {
		layers := randomStack(t, r)
		l, err := NewLaminate(layers, between(r, -1, 1))
		if err != nil {
			t.Fatal(err)
		}
		p := Load{Force: randomVector(r, 50), Moment: randomVector(r, 50), DeltaT: between(r, -100, 100)}
		var force, moment [3]float64
		s := l.Stresses(p)
		size := 0.0
		for j := range layers {
			h := l.Heights[j+1] - l.Heights[j]
			for k := range 3 {
				// Simpson's rule is exact for stress times height
				f := [3]float64{s[3*j].Part[k], s[3*j+1].Part[k], s[3*j+2].Part[k]}
				force[k] += h / 6 * (f[0] + 4*f[1] + f[2])
				moment[k] += h / 6 * (f[0]*s[3*j].Z + 4*f[1]*s[3*j+1].Z + f[2]*s[3*j+2].Z)
				size = math.Max(size, math.Abs(f[1])*l.Thickness*(1+l.Thickness))
			}
		}
		for k := range 3 {
			if !near.Equal(force[k], p.Force[k], 1e-8*size+1e-8, 0) || !near.Equal(moment[k], p.Moment[k], 1e-8*size+1e-8, 0) {
				t.Fatalf("case %d: stresses add up to %v, %v under %+v", i, force, moment, p)
			}
		}
	}
}

// TestLaminationParameters of a 14-layer stack, and that they rebuild A and D
// with the invariants (Tsai & Hahn 1980, ch. 4 and 5).
func TestLaminationParameters(t *testing.T) {
	p := kawCarbon().ply(t)
	half := []float64{45, -45, 0, 90, 45, 0, 0}
	angles := append([]float64(nil), half...)
	for i := len(half) - 1; i >= 0; i-- {
		angles = append(angles, half[i])
	}
	l := stackOf(t, p, 0.2, angles...)
	a, d := l.LaminationParameters()
	for i, want := range [4]float64{2.0 / 7, 1.0 / 7, 1.0 / 7, 0} {
		if !near.Equal(a[i], want, 1e-12, 0) {
			t.Errorf("membrane %d: %g, want %g", i, a[i], want)
		}
	}
	for i, want := range [4]float64{0.0932944606, 0.1603498542, -0.3819241983, 0} {
		if !near.Equal(d[i], want, 1e-9, 0) {
			t.Errorf("bending %d: %g, want %g", i, d[i], want)
		}
	}
	u := p.Q.Invariants()
	rebuild := func(x [4]float64) Stiffness {
		return Stiffness{
			u.U1 + u.U2*x[0] + u.U3*x[2], u.U4 - u.U3*x[2], u.U2*x[1]/2 + u.U3*x[3],
			u.U1 - u.U2*x[0] + u.U3*x[2], u.U2*x[1]/2 - u.U3*x[3], u.U5 - u.U3*x[2],
		}
	}
	h := l.Thickness
	for n := range voigt {
		if w := rebuild(a)[n] * h; !near.Equal(l.Stiff.A[n], w, 1e-8*l.Stiff.A[0], 0) {
			t.Errorf("A[%d] = %g, from parameters %g", n, l.Stiff.A[n], w)
		}
		if w := rebuild(d)[n] * h * h * h / 12; !near.Equal(l.Stiff.D[n], w, 1e-8*l.Stiff.D[0], 0) {
			t.Errorf("D[%d] = %g, from parameters %g", n, l.Stiff.D[n], w)
		}
	}
}

// TestWarp: a symmetric stack stays flat, [0/90] bends to a saddle with equal
// and opposite curvatures, a turned one bends alike in turned directions.
func TestWarp(t *testing.T) {
	p := kawCarbon().ply(t)
	if w := stackOf(t, p, 0.25, 0, 90, 90, 0).Warp(-100, 0); math.Abs(w.Greatest) > 1e-15 {
		t.Errorf("symmetric stack warps by %g", w.Greatest)
	}
	w := stackOf(t, p, 0.5, 0, 90).Warp(-100, 0)
	if !near.Equal(w.Curvature[0], -w.Curvature[1], 0, 1e-9) || !near.Equal(math.Abs(w.Greatest), 1.70197e-3, 0, 1e-4) {
		t.Errorf("[0/90]: curvature %v, greatest %g", w.Curvature, w.Greatest)
	}
	turned := stackOf(t, p, 0.5, 20, 110).Warp(-100, 0)
	if !near.Equal(math.Abs(turned.Greatest), math.Abs(w.Greatest), 0, 1e-9) {
		t.Errorf("turned stack: greatest %g, want %g", turned.Greatest, w.Greatest)
	}
	if d := math.Remainder(turned.Direction-w.Direction-20*degree, math.Pi/2); math.Abs(d) > 1e-9 {
		t.Errorf("turned stack bends along %g, want 20 degrees from %g", turned.Direction/degree, w.Direction/degree)
	}
	if b := Bow(6.8079e-3, 100); !near.Equal(b, 8.43, 0.01, 0) { // R 146.89: R(1-cos(50/146.89))
		t.Errorf("bow %g", b)
	}
}

// TestMoistureWorksLikeHeat: swelling written as expansion gives the same.
func TestMoistureWorksLikeHeat(t *testing.T) {
	set := kawCarbon()
	set.lamina.Beta1, set.lamina.Beta2 = set.lamina.Alpha1, set.lamina.Alpha2
	l := stackOf(t, set.ply(t), 0.5, 0, 90)
	a, ka := l.Respond(Load{DeltaT: 40})
	b, kb := l.Respond(Load{Moisture: 40})
	if a != b || ka != kb {
		t.Errorf("heat %v %v, moisture %v %v", a, ka, b, kb)
	}
}

// TestLaminateRefuses bad stacks with the layer named.
func TestLaminateRefuses(t *testing.T) {
	p := kawCarbon().ply(t)
	for _, row := range []struct {
		name   string
		layers []Layer
		want   string
	}{
		{"none", nil, "at least one"}, {"no material", []Layer{{p, 0, 1}, {nil, 0, 1}}, "layer 1"},
		{"no thickness", []Layer{{p, 0, 0}}, "layer 0"}, {"no angle", []Layer{{p, math.NaN(), 1}}, "angle"},
	} {
		if _, err := NewLaminate(row.layers, 0); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v", row.name, err)
		}
	}
}

// TestInterlaminarShear: a stack of one material gives the parabola's 1.5·V/h
// in its middle; any stack's shear vanishes at the upper face, which is what
// equilibrium asks.
func TestInterlaminarShear(t *testing.T) {
	p := kawCarbon().ply(t)
	l := stackOf(t, p, 1, 0, 0, 0)
	if s, z := l.InterlaminarShear(20); !near.Equal(s, 10, 1e-9, 0) || !near.Equal(z, 0, 1e-9, 0) {
		t.Errorf("one material: %g at %g, want 10 at 0", s, z)
	}
	// Sandwich of 0 around 90: by the beam formula with n = Q22/Q11 the shear
	// at the middle is V·(first moment of area)/(second moment).
	sandwich := stackOf(t, p, 1, 0, 90, 90, 0)
	n := p.Q.Q22 / p.Q.Q11
	first, second := 1.5+n*0.5, 2*(7.0/3+n*1.0/3)
	s, _ := sandwich.InterlaminarShear(20)
	if !near.Equal(s, 20*first/second, 0, 2e-3) { // Poisson's coupling of the layers is the rest
		t.Errorf("sandwich: %g, beam formula %g", s, 20*first/second)
	}
}

// TestFreeAndFlat: a symmetric stack has one set of constants, free or flat; an
// unsymmetric one is softer when it may bend. Its expansion is the closed form.
func TestFreeAndFlat(t *testing.T) {
	p := kawCarbon().ply(t)
	symmetric := stackOf(t, p, 0.125, 0, 90, 90, 0)
	free, flat := symmetric.Free(), symmetric.InPlane()
	if !near.Equal(free.Ex, flat.Ex, 0, 1e-9) || !near.Equal(free.Nuxy, flat.Nuxy, 0, 1e-9) {
		t.Errorf("symmetric: free %+v, flat %+v", free, flat)
	}
	if u := stackOf(t, p, 0.125, 0, 90); !(u.Free().Ex < 0.9*u.InPlane().Ex) {
		t.Errorf("unsymmetric: free %g, flat %g", u.Free().Ex, u.InPlane().Ex)
	}
	e, k := symmetric.Expansion()
	if !near.Equal(e[0], 1.524e-6, 0.0005e-6, 0) || !near.Equal(e[1], e[0], 1e-15, 0) || math.Abs(k[0]) > 1e-15 {
		t.Errorf("expansion %v, curvature %v", e, k)
	}
	if Bow(0, 100) != 0 {
		t.Error("a flat strip bows")
	}
}

// TestReducedBack: constants to stiffness and back.
func TestReducedBack(t *testing.T) {
	for _, set := range append(exercise, kawCarbon()) {
		l := set.lamina.Reduced().Lamina()
		for _, c := range [][2]float64{{l.E1, set.lamina.E1}, {l.E2, set.lamina.E2}, {l.G12, set.lamina.G12}, {l.Nu12, set.lamina.Nu12}} {
			if !near.Equal(c[0], c[1], 0, 1e-13) {
				t.Errorf("%s: %g, want %g", set.name, c[0], c[1])
			}
		}
	}
	if _, ok := (Stiffness{1, 2, 0, 1, 0, 1}).Inverse(); ok {
		t.Error("an indefinite stiffness was inverted")
	}
}
