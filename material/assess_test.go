package material

import (
	"testing"

	"sinew/internal/near"
)

// TestAssessorAgainstPlies: the assessor gives what a ply made for that very
// spacing gives, and the matrix effort by Hashin is the
// index of the law.
func TestAssessorAgainstPlies(t *testing.T) {
	l := newLaw(t, carbonSettings())
	a, err := l.Assessor(Judge{})
	if err != nil {
		t.Fatal(err)
	}
	r := newRand(21)
	for i := range 5000 {
		rho := between(r, l.RhoMin(), l.RhoMax())
		strain := [3]float64{between(r, -0.01, 0.01), between(r, -0.01, 0.01), between(r, -0.02, 0.02)}
		p, err := NewPly(l.Lamina(rho), l.Strength(rho), Judge{})
		if err != nil {
			t.Fatal(err)
		}
		q, _ := l.Reduced(rho)
		all := a.Assess(rho, strain)
		for c, got := range all {
			c := Criterion(c)
			want := p.Reserve(c, q.Mul(strain))
			if !near.Equal(got.Reserve, want.Reserve, 0, 1e-12) || got.Mode != want.Mode || !near.Equal(got.Angle, want.Angle, 1e-12, 0) {
				t.Fatalf("case %d %v: %+v, by its own ply %+v", i, c, got, want)
			}
			part := a.Between(c, rho, strain)
			if part > 1/got.Reserve*(1+1e-12) {
				t.Fatalf("case %d %v: effort between the fibres %g above the whole %g", i, c, part, 1/got.Reserve)
			}
			if !got.Mode.IsFibre() && !near.Equal(part*got.Reserve, 1, 0, 1e-12) {
				t.Fatalf("case %d %v %v: effort between the fibres %g, the whole %g", i, c, got.Mode, part, 1/got.Reserve)
			}
		}
		if _, _, m := l.Indices(rho, strain); !near.Equal(a.Between(Hashin, rho, strain), m, 0, 1e-12) {
			t.Fatalf("case %d: Hashin between the fibres %g, index of the law %g", i, a.Between(Hashin, rho, strain), m)
		}
	}
}

// TestExpansionTable: the tabulated expansion is that of the lamina.
func TestExpansionTable(t *testing.T) {
	l := newLaw(t, carbonSettings())
	for i := range 200 {
		rho := l.RhoMax() * float64(i) / 180
		e := l.Lamina(rho)
		a1, a2 := l.Expansion(rho)
		if !near.Equal(a1, e.Alpha1, 1e-9, 1e-3) || !near.Equal(a2, e.Alpha2, 0, 1e-4) {
			t.Errorf("%g strands per mm: expansion %g, %g; lamina %g, %g", rho, a1, a2, e.Alpha1, e.Alpha2)
		}
	}
}
