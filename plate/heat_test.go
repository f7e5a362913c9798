package plate

import (
	"math"
	"testing"

	"sinew/geom"
	"sinew/part"
)

// A face warmer than the other: a free plate bends to a sphere of curvature
// α·ΔT/h without stress, one clamped all around stays flat under moments
// D·(1+ν)·α·ΔT/h. Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells
// (1959), art. 14.
func TestWarmerFace(t *testing.T) {
	const e, nu, alpha, h, rise = 70e3, 0.3, 2.3e-5, 2.0, 40.0
	l := isotropic(e, nu)
	l.Alpha1, l.Alpha2 = alpha, alpha
	section := Homogeneous(l, h)
	m := rectangle(4, 3, 40, 25)
	shake(m, 2, 5)
	warm := part.Case{Name: "warm", Factor: 1.5, Heat: part.Heat{Across: rise / h / 1.5}}
	free := newSystem(t, m, &part.Part{Thickness: h, Features: sides(), Cases: []part.Case{warm}}, Settings{Free: true})
	c := &solve(t, free, section).Cases[0]
	kappa := alpha * rise / h
	for p, s := range c.Strain {
		if math.Abs(s[3]-kappa) > 1e-9*kappa || math.Abs(s[4]-kappa) > 1e-9*kappa || math.Abs(s[5]) > 1e-9*kappa {
			t.Fatalf("curvature at point %d: %g, want %g", p, s[3:6], kappa)
		}
	}
	d := e * h * h * h / 12 / (1 - nu*nu)
	moment := d * (1 + nu) * kappa
	for _, r := range free.Resultants(c, &section) {
		for _, v := range r {
			if math.Abs(v) > 1e-8*moment {
				t.Fatalf("free plate under %g", r)
			}
		}
	}
	if c.Energy > 1e-12*moment*kappa*40*25 {
		t.Errorf("free plate holds an energy of %g", c.Energy)
	}
	held := &part.Part{Thickness: h, Features: sides(), Cases: []part.Case{warm}, Supports: []part.Support{{Feature: all}}}
	s := newSystem(t, m, held, Settings{})
	c = &solve(t, s, section).Cases[0]
	for _, r := range s.Resultants(c, &section) {
		if math.Abs(r[3]+moment) > 1e-9*moment || math.Abs(r[4]+moment) > 1e-9*moment || math.Abs(r[5]) > 1e-9*moment {
			t.Fatalf("moments of the clamped plate %g, want %g", r[3:6], -moment)
		}
	}
	if w, _ := s.Greatest(c); math.Abs(w) > 1e-12*kappa*40*40 {
		t.Errorf("the clamped plate deflects by %g", w)
	}
	if want := moment * kappa * 40 * 25; math.Abs(c.Energy-want) > 1e-9*want {
		t.Errorf("energy %g, want %g", c.Energy, want)
	}
	// Layer by layer the same: stress ∓E·α·ΔT/2/(1-ν) at the faces.
	stack := StackOfOne(l, h)
	sum, err := stack.Section(len(s.Points()))
	if err != nil {
		t.Fatal(err)
	}
	c = &solve(t, s, sum).Cases[0]
	for at, want := range map[Height]float64{AtBottom: 1, AtMiddle: 0, AtTop: -1} {
		want *= e * alpha * rise / 2 / (1 - nu)
		for _, got := range s.LayerStress(c, &stack.Layers[0], at) {
			if math.Abs(got[0]-want) > 1e-8*e*alpha*rise || math.Abs(got[1]-want) > 1e-8*e*alpha*rise {
				t.Fatalf("stress at the %s: %g, want %g", at, got, want)
			}
		}
	}
}

// A change that is linear over the plan grows a free plate without stress:
// u = α·(s·x²/2 - s·y²/2), v = α·s·x·y for a change of s·x.
func TestSlopeOfTemperature(t *testing.T) {
	const alpha, slope = 2e-5, 1.5
	l := isotropic(70e3, 0.3)
	l.Alpha1, l.Alpha2 = alpha, alpha
	section := Homogeneous(l, 2)
	m := rectangle(4, 3, 40, 25)
	shake(m, 2, 6)
	p := &part.Part{Thickness: 2, Features: sides(), Cases: []part.Case{{Name: "warm", Factor: 1, Heat: part.Heat{Change: -20, Slope: geom.Point{X: slope}}}}}
	s := newSystem(t, m, p, Settings{Free: true})
	c := &solve(t, s, section).Cases[0]
	for _, r := range s.Resultants(c, &section) {
		for _, v := range r {
			if math.Abs(v) > 1e-7*70e3*2*alpha*slope*40 {
				t.Fatalf("free plate under %g", r)
			}
		}
	}
	for i, at := range s.Points() {
		if want := alpha * (slope*at.X - 20); math.Abs(c.Strain[i][0]-want) > 1e-12 {
			t.Fatalf("strain at %v: %g, want %g", at, c.Strain[i][0], want)
		}
	}
}
