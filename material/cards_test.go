package material

import (
	"io/fs"
	"strings"
	"testing"

	"sinew/card"
	"sinew/cards"
	"sinew/internal/near"
	"sinew/internal/stock"
)

// TestBuiltInCards reads every card that this package is responsible for.
func TestBuiltInCards(t *testing.T) {
	count := map[string]int{}
	err := fs.WalkDir(cards.Files, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		c := stock.Card(t, stock.Text(strings.TrimSuffix(path, ".toml")))
		count[c.Kind]++
		var fault error
		var sources []Provenance
		switch c.Kind {
		case "tow":
			v, e := TowFromCard(c)
			fault, sources = e, v.Sources
		case "plastic":
			v, e := PlasticFromCard(c)
			fault, sources = e, v.Sources
		case "metal":
			v, e := MetalFromCard(c)
			fault, sources = e, v.Sources
		case "bead":
			v, e := BeadFromCard(c)
			fault, sources = e, v.Sources
		case "knockdown":
			v, e := KnockDownFromCard(c)
			fault, sources = e, v.Sources
		default:
			return nil
		}
		if fault != nil || len(sources) < 5 {
			t.Errorf("%s: %d figures with a source: %v", path, len(sources), fault)
		}
		if strings.TrimSuffix(path, ".toml") != c.Kind+"/"+c.ID {
			t.Errorf("%s holds card %s of kind %s", path, c.ID, c.Kind)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for kind, least := range map[string]int{"tow": 2, "plastic": 4, "metal": 3, "bead": 1, "knockdown": 4} {
		if count[kind] < least {
			t.Errorf("%d built-in cards of kind %s, want %d", count[kind], kind, least)
		}
	}
}

// cardSettings is a co-extruded bead of two built-in cards.
func cardSettings(tb testing.TB, tow, plastic string) LawSettings {
	return LawSettings{
		Tow:     stock.Read(tb, stock.Text("tow/"+tow), TowFromCard),
		Plastic: stock.Read(tb, stock.Text("plastic/"+plastic), PlasticFromCard),
		State:   Room(),
		Height:  0.32, SpacingMin: 0.5, SpacingMax: 2.5,
	}
}

// TestHalfTowHalfPlastic is the bead that practice knows: 27–28 % dry fibre, a
// bit over 20 % thermoset, half plastic.
func TestHalfTowHalfPlastic(t *testing.T) {
	s := cardSettings(t, "carbon-tow", "polyamide")
	b := Bead{Tow: s.Tow, PlasticDensity: s.Plastic.Density}
	width, err := b.SpacingForTow(0.5, s.Height)
	if err != nil {
		t.Fatal(err)
	}
	c, err := b.Compose(Section{Width: width, Height: s.Height})
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		what        string
		got, lo, hi float64
	}{
		{"dry fibre", c.Fibre, 0.27, 0.28}, {"thermoset", c.Resin, 0.20, 0.23}, {"plastic", c.Plastic, 0.4999, 0.5001},
		{"void", c.Void, 0, 0.01}, {"sum", c.Fibre + c.Resin + c.Plastic + c.Void, 1 - 1e-12, 1 + 1e-12},
		{"mass", c.FibreMass + c.ResinMass + c.PlasticMass, 1 - 1e-12, 1 + 1e-12},
	} {
		if !(row.got >= row.lo && row.got <= row.hi) {
			t.Errorf("%s: %g, want %g to %g", row.what, row.got, row.lo, row.hi)
		}
	}
	if feed := c.PlasticArea + s.Tow.Area; !near.Equal(feed, width*s.Height, 1e-12, 0) {
		t.Errorf("tow and plastic fill %g mm², the section is %g", feed, width*s.Height)
	}
	back, err := b.SpacingForFibre(c.Fibre, s.Height)
	if err != nil || !near.Equal(back, width, 0, 1e-12) {
		t.Errorf("spacing back from the fibre share: %g, want %g (%v)", back, width, err)
	}
	if _, err := b.SpacingForFibre(0.6, s.Height); err == nil || !strings.Contains(err.Error(), "out of reach") {
		t.Errorf("more fibre than the tow holds: %v", err)
	}
	if _, err := b.Compose(Section{Width: 0.2, Height: 0.32}); err == nil || !strings.Contains(err.Error(), "widen") {
		t.Errorf("tow larger than the bead: %v", err)
	}
}

// TestStatedCard: the card of the stated bead gives the law of the formulas.
func TestStatedCard(t *testing.T) {
	b := stock.Read(t, stock.Text("bead/stated-carbon-bead"), BeadFromCard)
	s := cardSettings(t, b.TowID, "polyamide")
	s.SpacingMin, s.SpacingMax = 0.65, 2
	b.Apply(&s)
	l := newLaw(t, s)
	same := newLaw(t, stripSettings())
	for rho := 0.0; rho < 2; rho += 0.05 {
		a, b := l.Lamina(rho), same.Lamina(rho)
		if a.E1 != b.E1 || a.E2 != b.E2 || a.G12 != b.G12 || a.Nu12 != b.Nu12 {
			t.Fatalf("rho %g: card %+v, formulas %+v", rho, a, b)
		}
	}
	if et, ec := l.FibreStrain(); et != 0.0132 || ec != 0.0066 {
		t.Errorf("failure strains %g, %g", et, ec)
	}
	how := map[How]int{}
	for _, p := range l.Provenance() {
		how[p.How]++
	}
	if how[Assumed] == 0 || how[Measured] != 0 {
		t.Errorf("provenance of a stated bead: %v", how)
	}
}

// TestCardFaults: what a card must not say, and what the message names.
func TestCardFaults(t *testing.T) {
	head := func(kind string) string {
		return "schema = \"sinew-card/1\"\nkind = \"" + kind + "\"\nid = \"x\"\ntitle = \"X\"\nversion = \"1\"\n[value]\n"
	}
	row := func(key, is string) string { return key + " = { is = \"" + is + "\", source = \"invented\" }\n" }
	metal := row("modulus", "70 GPa") + row("yield_strength", "200 MPa") + row("ultimate_strength", "250 MPa") + row("density", "2.7 g/cm³")
	plastic := row("density", "1.1 g/cm³") + row("modulus", "2 GPa") + row("tensile_strength", "50 MPa") +
		row("expansion", "80e-6 /K") + row("deflection_temperature", "60 °C") + row("print_temperature", "240 °C")
	tow := row("linear_density", "100 tex") + row("fibre_share", "55 %") + row("fibre_density", "1.8 g/cm³") + row("fibre_modulus", "230 GPa") +
		row("resin_modulus", "3 GPa") + row("resin_poisson", "0.35") + row("resin_density", "1.2 g/cm³") + row("fibre_strength", "4 GPa")
	stated := row("method", "explicit") + row("fibre_modulus", "230 GPa") + row("matrix_modulus", "2 GPa") + row("matrix_shear_modulus", "0.8 GPa") +
		row("inclusion_modulus", "15 GPa") + row("fibre_strain_tension", "1.3 %") + row("fibre_strain_compression", "0.6 %") + row("Yt", "20 MPa") + row("Yc", "60 MPa")
	stated += row("S", "30 MPa")
	for _, r := range []struct{ name, kind, values, want string }{
		{"nu of a metal", "metal", row("poisson", "0.5") + metal, "x.toml:7:1: value.poisson: nu12 = 0.5 and nu23 = 0.5 break 1 - nu23 - 2·nu12²·E2/E1 > 0"},
		{"nu of a metal far off", "metal", metal + row("poisson", "1.7"), "x.toml:11:1: value.poisson: nu12 = 1.7 breaks nu12² < E1/E2"},
		{"nu of a plastic", "plastic", plastic + row("poisson", "0.5"), "x.toml:13:1: value.poisson: poisson = 0.5 breaks -1 < nu < 1/2"},
		{"nu of a filament", "tow", tow + row("fibre_poisson", "4.2") + row("fibre_modulus_across", "15 GPa"), "x.toml:15:1: value.fibre_poisson: fibre: nu12 = 4.2 breaks nu12² < E1/E2"},
		{"body of a filament", "tow", tow + row("fibre_poisson", "0.2") + row("fibre_modulus_across", "15 GPa") + row("fibre_shear_modulus_across", "3 GPa"),
			"x.toml:17:1: value.fibre_shear_modulus_across: fibre: nu23 = 1.5 breaks |nu23| < 1"},
		{"nu of a resin", "tow", strings.Replace(tow, "0.35", "0.6", 1) + row("fibre_poisson", "0.2"), "x.toml:12:1: value.resin_poisson: resin: nu12 = 0.6 and nu23 = 0.6 break 1 - nu23 - 2·nu12²·E2/E1 > 0"},
		{"nu of a stated bead", "bead", stated + row("poisson", "0.6"), "x.toml:17:1: value.poisson: stated bead: nu12 = 0.6 breaks 1 - nu23 - 2·nu12²·E2/E1 > 0"},
		{"nu of a measured bead", "bead", row("spacing", "1 mm") + row("E1", "40 GPa") + row("E2", "4 GPa") + row("nu12", "3.3"), "x.toml:10:1: value.nu12: nu12 = 3.3 breaks nu12² < E1/E2"},
		{"conditioned by halves", "plastic", plastic + row("poisson", "0.3") + row("modulus_conditioned", "1 GPa"), "x.toml:14:1: value.modulus_conditioned"},
		{"word for moisture", "bead", row("moisture", "wet"), "conditioned"},
		{"negative nu", "plastic", plastic + row("poisson", "-1"), "-1 < nu < 1/2"},
		{"no unit", "metal", metal + row("poisson", "0.3") + row("price", "7"), "price"},
		{"ultimate below yield", "metal", strings.Replace(metal, "250", "150", 1) + row("poisson", "0.3"), "ultimate"},
		{"unknown key", "metal", metal + row("poisson", "0.3") + row("colour", "7"), "unknown key"},
		{"no strength", "plastic", strings.Replace(plastic, "tensile_strength", "shear_strength", 1) + row("poisson", "0.3"), "tensile_strength"},
		{"glass above print", "plastic", plastic + row("poisson", "0.3") + row("glass_temperature", "250 °C"), "print temperature"},
		{"both areas", "tow", row("fibre_area", "0.05 mm²") + row("linear_density", "90 tex"), "stand alone"},
		{"factor above 1", "knockdown", row("matrix", "1.2"), "matrix"},
		{"measured without spacing", "bead", row("E1", "60 GPa"), "spacing"},
		{"unknown method", "bead", row("bead_method", "magic"), "magic"},
		{"stated without strength", "bead", row("method", "explicit"), "Yt"},
	} {
		c, err := card.Parse([]byte(head(r.kind)+r.values), "x.toml")
		if err != nil {
			t.Fatalf("%s: %v", r.name, err)
		}
		switch r.kind {
		case "metal":
			_, err = MetalFromCard(c)
		case "plastic":
			_, err = PlasticFromCard(c)
		case "tow":
			_, err = TowFromCard(c)
		case "bead":
			_, err = BeadFromCard(c)
		case "knockdown":
			_, err = KnockDownFromCard(c)
		}
		if err == nil || !strings.Contains(err.Error(), r.want) {
			t.Errorf("%s: error %v does not name %q", r.name, err, r.want)
		}
		if _, err := TowFromCard(c); r.kind != "tow" && err == nil {
			t.Errorf("%s: read as a tow", r.name)
		}
	}
}

// TestPlasticOverTemperature: modulus and strength follow the card, moisture
// has curves of its own, and above the limit a state says so.
func TestPlasticOverTemperature(t *testing.T) {
	p := stock.Read(t, stock.Text("plastic/polyamide"), PlasticFromCard)
	for _, row := range []struct {
		name    string
		state   State
		modulus float64
		above   bool
	}{
		{"room, dry", Room(), 2300, false},
		{"room, moist", State{23, true}, 900, false},
		{"between two points", State{50, false}, 1450, false},
		{"limit", State{65, false}, 900, false},
		{"above the limit", State{66, false}, 880, true},
		{"colder than the card", State{-60, false}, 2900, false},
		{"beyond the card", State{150, false}, 480, true},
	} {
		s, err := p.In(row.state)
		if err != nil {
			t.Fatal(err)
		}
		if !near.Equal(s.Phase.E1, row.modulus, 1e-9, 0) || s.Above != row.above || s.Above == (s.Why == "") {
			t.Errorf("%s: modulus %g, above %v %q; want %g, %v", row.name, s.Phase.E1, s.Above, s.Why, row.modulus, row.above)
		}
	}
}

// TestHowOf: what a source's words say of a figure.
func TestHowOf(t *testing.T) {
	for text, want := range map[string]How{
		"measured, five coupons": Measured, "Estimated: mixture": Estimated, "invented": Assumed, "common practice": Assumed,
		"assumed": Assumed, "EN 1993-1-1, from memory": Assumed, "MIL-HDBK-5J (2003), Table 3": Published,
	} {
		if got := HowOf(text); got != want {
			t.Errorf("%q is %s, want %s", text, got, want)
		}
	}
}

// TestNotchOfBead: distances of the bead card, or those of the publication.
func TestNotchOfBead(t *testing.T) {
	s := cardSettings(t, "carbon-tow", "polyamide")
	if n := newLaw(t, s).Notch(); n.Point != DefaultPoint || n.Average != DefaultAverage {
		t.Errorf("defaults %+v", n)
	}
	s.Notch.Point = 0.7
	l := newLaw(t, s)
	if n := l.Notch(); n.Point != 0.7 || n.Average != DefaultAverage {
		t.Errorf("stated %+v", n)
	}
	if l.TowArea() != s.Tow.Area || l.Plastic().ID != "polyamide" || l.FibreArea() != s.Tow.FibreArea {
		t.Error("the law has lost what it was made from")
	}
	if _, err := (Bead{Tow: s.Tow}).SpacingForTow(1.2, 0.3); err == nil {
		t.Error("more tow than section was accepted")
	}
}
