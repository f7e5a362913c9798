package material

import (
	"math"
	"strings"
	"testing"

	"sinew/internal/near"
	"sinew/internal/stock"
)

// TestTableFollowsRecipe: between the samples of the table the law is what the
// recipe says, for every method.
func TestTableFollowsRecipe(t *testing.T) {
	for i := range methodNames {
		s := cardSettings(t, "carbon-tow", "polyamide")
		s.Estimate = Estimate{TowMethod: Method(i), BeadMethod: Method(i), VoidShare: 0.03}
		l := newLaw(t, s)
		for rho := 0.0011; rho < 0.95*l.RhoMax(); rho += 0.0173 {
			e, x := l.make.at(rho)
			got, strength := l.Lamina(rho), l.Strength(rho)
			for _, c := range []struct {
				name      string
				got, want float64
				share     float64
			}{
				{"E1", got.E1, e.E1, 1e-9}, {"E2", got.E2, e.E2, 1e-5}, {"G12", got.G12, e.G12, 1e-6}, {"nu12", got.Nu12, e.Nu12, 1e-6},
				// the bond's fade-in and the root of the tow share bend sharply near no tow
				{"Yt", strength.Yt, x.Yt, 2e-3}, {"S", strength.S, x.S, 2e-3}, {"Xc", strength.Xc, x.Xc, 1e-5},
				{"Xt", strength.Xt, x.Xt, 1e-9},
			} {
				if rho > 0.05 || c.share < 1e-4 && Method(i) != Chamis {
					if !near.Equal(c.got, c.want, 0, c.share) {
						t.Errorf("%v rho %g: %s = %g, recipe %g", Method(i), rho, c.name, c.got, c.want)
					}
				}
			}
		}
	}
}

// TestLawRisesWithFibre: more strands never make a layer softer or weaker
// along the fibres, and the fibre stops to grow at the printer's limit.
func TestLawRisesWithFibre(t *testing.T) {
	l := newLaw(t, cardSettings(t, "basalt-tow", "petg"))
	last := 0.0
	for rho := 0.0; rho < 2*l.RhoMax(); rho += 0.01 {
		e := l.Lamina(rho).E1
		if e < last {
			t.Fatalf("E1 falls to %g at %g", e, rho)
		}
		last = e
		if v := l.FibreShare(rho); v > l.FibreArea()*l.RhoMax()/l.Height()+1e-15 {
			t.Fatalf("fibre share %g beyond the limit", v)
		}
	}
	q, dq := l.Reduced(1.2 * l.RhoMax())
	if top, _ := l.Reduced(10 * l.RhoMax()); q != top || dq != (Reduced{}) {
		t.Errorf("beyond the limit the stiffness still changes: %+v", dq)
	}
	plain, _ := l.Reduced(0)
	if negative, _ := l.Reduced(-1); negative != plain {
		t.Error("a negative density is not none")
	}
}

// TestIndices: at a failure strain the index is 1, without strands there is no
// fibre index, and the matrix index is Hashin's for the same stress.
func TestIndices(t *testing.T) {
	for name, l := range map[string]*Law{"stated": newLaw(t, stripSettings()), "estimated": newLaw(t, carbonSettings())} {
		et, ec := l.FibreStrain()
		for _, rho := range []float64{0.6, 1, 1.4} {
			x := l.Strength(rho)
			if ft, fc, _ := l.Indices(rho, [3]float64{et, 0, 0}); !near.Equal(ft, 1, 1e-12, 0) || fc != 0 {
				t.Errorf("%s: tension %g %g", name, ft, fc)
			}
			strain := x.Xc / l.Lamina(rho).E1
			if ft, fc, _ := l.Indices(rho, [3]float64{-strain, 0, 0}); !near.Equal(fc, 1, 1e-9, 0) || ft != 0 || strain < ec*(1-1e-6) {
				t.Errorf("%s: compression %g %g at %g, least strain %g", name, fc, ft, strain, ec)
			}
			p, err := NewPly(l.Lamina(rho), x, Judge{})
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range [][3]float64{{1e-3, 4e-3, 2e-3}, {0, -8e-3, 3e-3}, {0, 0, 1e-2}, {-1e-4, 2e-3, -5e-3}} {
				s := p.Q.Mul(e)
				_, _, m := l.Indices(rho, e)
				if want := 1 / p.Reserve(Hashin, [3]float64{0, s[1], s[2]}).Reserve; !near.Equal(m, want, 0, 1e-9) {
					t.Errorf("%s rho %g strain %v: matrix index %g, criterion %g", name, rho, e, m, want)
				}
			}
		}
		if ft, fc, m := l.Indices(0.01*l.RhoMin(), [3]float64{0.5, 0.01, 0}); ft != 0 || fc != 0 || m == 0 {
			t.Errorf("%s: pocket of plastic %g %g %g", name, ft, fc, m)
		}
	}
}

// TestMeasuredReplaces: measured figures hold at their spacing, the ledger says
// so, and what was not measured stays.
func TestMeasuredReplaces(t *testing.T) {
	s := cardSettings(t, "carbon-tow", "polyamide")
	plain := newLaw(t, s)
	s.Measured = MeasuredBead{Spacing: 0.9, E1: 50e3, Yt: 18, Xt: 700}
	l := newLaw(t, s)
	rho := 1 / 0.9
	e, x, was := l.Lamina(rho), l.Strength(rho), plain.Lamina(rho)
	for _, c := range []struct {
		name      string
		got, want float64
	}{{"E1", e.E1, 50e3}, {"Yt", x.Yt, 18}, {"Xt", x.Xt, 700}, {"E2", e.E2, was.E2}, {"G12", e.G12, was.G12}} {
		if !near.Equal(c.got, c.want, 0, 1e-6) {
			t.Errorf("%s = %g, want %g", c.name, c.got, c.want)
		}
	}
	how := map[string]How{}
	for _, p := range l.Provenance() {
		how[p.Property] = p.How
	}
	if how["E1"] != Measured || how["Yt"] != Measured || how["E2"] != Estimated {
		t.Errorf("ledger: %v", how)
	}
	if p := l.ProvenanceAt(rho)[0]; p.Property != "E1" || !near.Equal(p.Value, 50e3, 0, 1e-6) {
		t.Errorf("ledger at the measured spacing: %+v", p)
	}
	if tow := l.Tow(); !near.Equal(tow.PerMetre(), 1.2, 1e-12, 0) || !near.Equal(tow.Price(), 1.2e-3, 1e-15, 0) {
		t.Errorf("price %g per m, %g per mm", tow.PerMetre(), tow.Price())
	}
	s.Measured.Spacing = 9
	if _, err := NewLaw(s); err == nil || !strings.Contains(err.Error(), "spacing") {
		t.Errorf("measured outside the limits: %v", err)
	}
}

// TestKnockDownsMultiply each allowable they name and no other.
func TestKnockDownsMultiply(t *testing.T) {
	s := cardSettings(t, "carbon-tow", "polyamide")
	plain := newLaw(t, s)
	s.KnockDowns = []KnockDown{
		{ID: "a", FibreTension: 0.5, Matrix: 0.8},
		{ID: "b", Matrix: 0.5, FibreCompression: 0.6, Interlaminar: 0.7},
	}
	l := newLaw(t, s)
	a, b := plain.Strength(1), l.Strength(1)
	for _, c := range []struct {
		name             string
		got, was, factor float64
	}{
		{"Xt", b.Xt, a.Xt, 0.5}, {"Xc", b.Xc, a.Xc, 0.6}, {"Yt", b.Yt, a.Yt, 0.4}, {"Yc", b.Yc, a.Yc, 0.4},
		{"S", b.S, a.S, 0.4}, {"Sis", b.Sis, a.Sis, 0.7}, {"Zt", b.Zt, a.Zt, 0.7},
	} {
		if !near.Equal(c.got, c.factor*c.was, 0, 1e-9) {
			t.Errorf("%s = %g, want %g of %g", c.name, c.got, c.factor, c.was)
		}
	}
	if l.Lamina(1).E1 != plain.Lamina(1).E1 {
		t.Error("stiffness changed without a factor")
	}
	s.KnockDowns = []KnockDown{{ID: "soft", Stiffness: 0.9}}
	if soft := newLaw(t, s); !near.Equal(soft.Lamina(1).E1, 0.9*plain.Lamina(1).E1, 0, 1e-9) {
		t.Error("stiffness factor does not multiply")
	}
	s.KnockDowns[0].Matrix = 1.5
	if _, err := NewLaw(s); err == nil || !strings.Contains(err.Error(), "soft") {
		t.Errorf("factor above 1: %v", err)
	}
}

// TestReverse: the spacing found gives what was asked for, and what is out of
// reach says what is in reach.
func TestReverse(t *testing.T) {
	l := newLaw(t, cardSettings(t, "carbon-tow", "polyamide"))
	for _, row := range []struct {
		name string
		want float64
		ask  func(float64) (float64, error)
		get  func(rho float64) float64
	}{
		{"E1", 50e3, l.SpacingForE1, func(rho float64) float64 { return l.Lamina(rho).E1 }},
		{"Xt", 600, l.SpacingForXt, func(rho float64) float64 { return l.Strength(rho).Xt }},
		{"fibre share", 0.2, l.SpacingForShare, l.FibreShare},
	} {
		spacing, err := row.ask(row.want)
		if err != nil || !near.Equal(row.get(1/spacing), row.want, 0, 1e-9) {
			t.Errorf("%s: spacing %g gives %g, want %g (%v)", row.name, spacing, row.get(1/spacing), row.want, err)
		}
		if _, err := row.ask(100 * row.want); err == nil || !strings.Contains(err.Error(), "out of reach") {
			t.Errorf("%s: %v", row.name, err)
		}
	}
	b := Bead{Tow: l.Tow()}
	if s := b.LeastSpacing(0.32, 0.2, 0.9); !near.Equal(s, b.Tow.Area/(0.9*0.32), 1e-12, 0) {
		t.Errorf("ceiling of the tow: least spacing %g", s)
	}
	if s := b.LeastSpacing(0.32, 0.8, 0); s != 0.8 {
		t.Errorf("limit of the printer: least spacing %g", s)
	}
}

// TestLawRefuses settings that cannot be, naming what is wrong.
func TestLawRefuses(t *testing.T) {
	for _, row := range []struct {
		name, want string
		spoil      func(*LawSettings)
	}{
		{"no height", "layer height", func(s *LawSettings) { s.Height = 0 }},
		{"no room between limits", "no spacing is left", func(s *LawSettings) { s.SpacingMax = 0.3 }},
		{"tow share", "tow share", func(s *LawSettings) { s.TowShareMax = 2 }},
		{"fibre packed too close", "cannot be packed", func(s *LawSettings) { s.Tow.Area = 0.058 }},
		{"nu of the filament", "nu12² < E1/E2", func(s *LawSettings) { s.Tow.Fibre.Nu12 = 5 }},
		{"plastic without modulus", "no modulus", func(s *LawSettings) { s.Plastic.Dry.Modulus = nil }},
		{"nu of the plastic", "1 - nu23", func(s *LawSettings) { s.Plastic.Nu = 0.5 }},
		{"sponge", "void share", func(s *LawSettings) { s.Estimate.VoidShare = 0.7 }},
		{"stated without strength", "Yt", func(s *LawSettings) { s.Explicit = &Explicit{} }},
	} {
		s := cardSettings(t, "carbon-tow", "polyamide")
		row.spoil(&s)
		if _, err := NewLaw(s); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: error %v does not name %q", row.name, err, row.want)
		}
	}
}

// TestVoidsWeaken: voids between the tows lower stiffness across and every
// strength of the plastic, and are counted in the composition.
func TestVoidsWeaken(t *testing.T) {
	s := cardSettings(t, "carbon-tow", "polyamide")
	dense := newLaw(t, s)
	s.Estimate.VoidShare = 0.08
	porous := newLaw(t, s)
	a, b := dense.Strength(1), porous.Strength(1)
	if !(b.Yt < a.Yt && b.S < a.S && b.Xc < a.Xc && porous.Lamina(1).E2 < dense.Lamina(1).E2) {
		t.Errorf("dense %+v, porous %+v", a, b)
	}
	if c := porous.Composition(1); !(c.Void > dense.Composition(1).Void+0.04) || !near.Equal(c.Fibre+c.Resin+c.Plastic+c.Void, 1, 1e-12, 0) {
		t.Errorf("composition %+v", c)
	}
	if c := dense.Composition(0); c.Tow != 0 || !near.Equal(c.Plastic, 1, 1e-15, 0) {
		t.Errorf("plain plastic: %+v", c)
	}
}

// TestInfill: solid infill is the plastic, thin infill tends to share/3, walls
// add what they fill.
func TestInfill(t *testing.T) {
	s, err := stock.Read(t, stock.Text("plastic/petg"), PlasticFromCard).In(Room())
	if err != nil {
		t.Fatal(err)
	}
	if full := s.Infill(1, 0); !near.Equal(full.Phase.E1, s.Phase.E1, 0, 1e-12) || !near.Equal(full.Tension, s.Tension, 0, 1e-12) {
		t.Errorf("solid infill %+v", full)
	}
	if thin := s.Infill(0.01, 0); !near.Equal(thin.Phase.E1, s.Phase.E1*0.01/3, 0, 0.01) || !near.Equal(thin.Phase.Density, 0.01*s.Phase.Density, 0, 1e-12) {
		t.Errorf("thin infill: modulus %g", thin.Phase.E1)
	}
	if half := s.Infill(0, 0.5); !near.Equal(half.Phase.E1, s.Phase.E1/2, 0, 1e-12) {
		t.Errorf("walls alone: modulus %g", half.Phase.E1)
	}
	if k := s.Knocked(0.6); k.Tension != 0.6*s.Tension || k.Compression != s.Compression {
		t.Errorf("across layers: %+v", k)
	}
}

// TestMetal: von Mises, and the two factors.
func TestMetal(t *testing.T) {
	m := stock.Read(t, stock.Text("metal/aluminium-6061-t6"), MetalFromCard)
	for _, row := range []struct {
		stress [3]float64
		mises  float64
	}{{[3]float64{100, 0, 0}, 100}, {[3]float64{0, 0, 100}, 100 * math.Sqrt(3)}, {[3]float64{-80, -80, 0}, 80}, {[3]float64{50, -50, 0}, 50 * math.Sqrt(3)}} {
		yield, ultimate := m.Reserves(row.stress)
		if !near.Equal(yield, 241/row.mises, 0, 1e-12) || !near.Equal(ultimate, 290/row.mises, 0, 1e-12) {
			t.Errorf("%v: %g, %g", row.stress, yield, ultimate)
		}
	}
}

// TestBoundsOfLaw: an assemblage lies within the bounds of its own law, and
// the ledger tells the bounds of each estimated constant.
func TestBoundsOfLaw(t *testing.T) {
	s := cardSettings(t, "carbon-tow", "polycarbonate")
	s.Estimate = Estimate{TowMethod: CylinderAssemblage, BeadMethod: CylinderAssemblage, VoidShare: 0.04}
	l := newLaw(t, s)
	for rho := 0.1; rho < 0.95*l.RhoMax(); rho += 0.1 {
		b, e := l.Bounds(rho), l.Lamina(rho)
		const slack = 1e-5 // of the table
		if e.E2 < b.Lower.E2*(1-slack) || e.E2 > b.Upper.E2*(1+slack) || e.G12 < b.Lower.G12*(1-slack) || e.G12 > b.Upper.G12*(1+slack) {
			t.Errorf("rho %g: E2 %g, G12 %g outside %+v", rho, e.E2, e.G12, b)
		}
	}
	told := 0
	for _, p := range l.Provenance() {
		if strings.Contains(p.Source, "bounds") {
			told++
		}
	}
	if told != 5 {
		t.Errorf("%d constants with bounds in the ledger, want 5", told)
	}
}

// TestHotPlasticIsTold: the law hands on that its plastic is too hot.
func TestHotPlasticIsTold(t *testing.T) {
	s := cardSettings(t, "carbon-tow", "petg")
	if l := newLaw(t, s); l.PlasticState().Above {
		t.Errorf("room: %s", l.PlasticState().Why)
	}
	s.State.Temperature = 66
	if l := newLaw(t, s); !l.PlasticState().Above || !strings.Contains(l.PlasticState().Why, "64 °C") {
		t.Errorf("66 °C: %+v", l.PlasticState())
	}
}
