package card

import (
	"errors"
	"io/fs"
	"math"
	"path"
	"strings"
	"testing"

	"sinew/cards"
	"sinew/unit"
)

const head = `schema = "sinew-card/1"
kind = "plastic"
id = "some-plastic"
title = "Some plastic"
version = "1"
`

// Every built-in card has the form of a card and stands at its kind and id.
func TestBuiltInCards(t *testing.T) {
	n := 0
	err := fs.WalkDir(cards.Files, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(cards.Files, p)
		if err != nil {
			return err
		}
		c, err := Parse(data, p)
		if err != nil {
			t.Error(err)
			return nil
		}
		n++
		if want := path.Join(c.Kind, c.ID+".toml"); p != want {
			t.Errorf("%s: kind and id ask for %s", p, want)
		}
		return nil
	})
	if err != nil || n < 5 {
		t.Fatalf("%d cards read: %v", n, err)
	}
}

func TestParse(t *testing.T) {
	c, err := Parse([]byte(head+`note = "Dry."
[value]
density = { is = "1.14 g/cm³", source = "common practice", date = "2026-11" }
modulus = { points = [["23 °C", "2.3 GPa"], ["60 °C", "1.0 GPa"]], source = "invented" }
`), "some.toml")
	if err != nil {
		t.Fatal(err)
	}
	if c.Kind != "plastic" || c.ID != "some-plastic" || c.Note != "Dry." || len(c.Hash) != 64 {
		t.Errorf("read %+v", c)
	}
	v := c.Values["density"]
	if v.Text != "1.14 g/cm³" || v.Source != "common practice" || v.Date != "2026-11" || v.Line != 8 {
		t.Errorf("density is %+v", v)
	}
	r := c.Reader()
	if d := r.Number("density", unit.Density, 0, 1); d != 1.14e-3 {
		t.Errorf("density %v", d)
	}
	m := r.Curve("modulus", unit.Temperature, unit.Stress)
	if len(m) != 2 || m[1] != [2]float64{60, 1000} {
		t.Errorf("modulus %v", m)
	}
	if v := r.Optional("swelling", unit.Share, 0, 1, 0.25); v != 0.25 {
		t.Errorf("left-out value reads %v", v)
	}
	if err := r.Done(); err != nil {
		t.Error(err)
	}
}

func TestParseRefuses(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"rubbish":          {"\x00\x01\x02", "x.toml:1:"},
		"not a table":      {"kind", "x.toml:1:"},
		"empty":            {"", `x.toml: schema: is ""; write schema = "sinew-card/1"`},
		"other schema":     {strings.Replace(head, "card/1", "card/9", 1), `x.toml:1:1: schema: is "sinew-card/9"`},
		"unknown kind":     {strings.Replace(head, "plastic", "wood", 1), `x.toml:2:1: kind: is "wood"; write one of tow, plastic`},
		"id with blanks":   {strings.Replace(head, "some-plastic", "Some Plastic", 1), "x.toml:3:1: id: "},
		"id that climbs":   {strings.Replace(head, "some-plastic", "../plastic", 1), "x.toml:3:1: id: "},
		"no title":         {strings.Replace(head, `title = "Some plastic"`, "", 1), "title: is missing"},
		"unknown key":      {head + "colour = \"red\"\n", "x.toml:6:1: colour: unknown key"},
		"key twice":        {head + "id = \"other\"\n", "x.toml:6:1"},
		"number as value":  {head + "[value]\ndensity = { is = 1.14, source = \"invented\" }\n", "x.toml:7:"},
		"no source":        {head + "[value]\ndensity = { is = \"1.14 g/cm³\" }\n", "x.toml:7:1: value.density: has no source"},
		"blank source":     {head + "[value]\ndensity = { is = \"1.14 g/cm³\", source = \" \" }\n", "has no source"},
		"neither":          {head + "[value]\ndensity = { source = \"invented\" }\n", "needs one value"},
		"both":             {head + "[value]\ndensity = { is = \"1\", points = [[\"1\",\"2\"]], source = \"invented\" }\n", "needs one value"},
		"no points":        {head + "[value]\ndensity = { points = [], source = \"invented\" }\n", "has 0 points"},
		"three in a point": {head + "[value]\ndensity = { points = [[\"1\",\"2\",\"3\"]], source = \"invented\" }\n", "point 1 has 3 values"},
		"bad date":         {head + "[value]\ndensity = { is = \"1\", source = \"invented\", date = \"11/26\" }\n", "x.toml:7:44: value.density.date"},
		"stray template":   {head + "[template]\nstart = \"\"\n", "only printer cards have templates"},
		"truncated":        {head + "[value]\ndensity = { is = \"1.14 g", "x.toml:7:"},
		"too long":         {head + strings.Repeat("#", maxBytes), "larger than 1 MiB"},
	} {
		_, err := Parse([]byte(c.text), "x.toml")
		var e *Error
		if !errors.As(err, &e) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; want %q", name, err, c.want)
		}
	}
}

func TestReaderReportsAllFaults(t *testing.T) {
	c, err := Parse([]byte(head+`[value]
density = { is = "1140", source = "invented" }
poisson = { is = "0.7", source = "invented" }
modulus = { points = [["60 °C", "1 GPa"], ["23 °C", "2 GPa"]], source = "invented" }
strength = { points = [["60 °C", "-1 MPa"]], source = "invented" }
nozzle = { points = [["1", "2"]], source = "invented" }
state = { is = "moist", source = "invented" }
weight = { is = "3 kg", source = "invented" }
densty = { is = "3 kg", source = "invented" }
`), "x.toml")
	if err != nil {
		t.Fatal(err)
	}
	r := c.Reader()
	inf := math.Inf(1)
	r.Number("density", unit.Density, 0, inf)
	r.Number("poisson", unit.Share, -1, 0.5)
	r.Number("expansion", unit.Expansion, -inf, inf)
	r.Curve("modulus", unit.Temperature, unit.Stress)
	r.CurveWithin("strength", unit.Temperature, unit.Stress, 0, inf)
	r.Number("nozzle", unit.Length, 0, inf)
	r.Choice("state", "dry", "conditioned")
	r.Number("weight", unit.Force, -inf, 5)
	got := r.Done().Error()
	want := []string{
		`x.toml:7:1: value.density: "1140" has no unit; write for example "1140 g/cm³"`,
		`x.toml:8:1: value.poisson: is 0.7; give a value from -1 to 0.5`,
		`x.toml:6:2: value.expansion: is missing; add it below [value], such as 12e-6 /K`,
		`x.toml:9:1: value.modulus: point 2, "23 °C", does not come after "60 °C"; order the points by rising temperature`,
		`x.toml:10:1: value.strength: is -1 MPa; give at least 0 MPa`,
		`x.toml:11:1: value.nozzle: is a curve where one value is wanted`,
		`x.toml:12:1: value.state: is "moist"; write one of dry, conditioned`,
		`x.toml:13:1: value.weight: "3 kg" is a mass where a force is wanted`,
		`x.toml:14:1: value.densty: unknown key for a plastic card`,
	}
	for _, w := range want {
		if !strings.Contains(got, w) {
			t.Errorf("no fault %q in\n%s", w, got)
		}
	}
	if n := strings.Count(got, "\n") + 1; n != len(want) {
		t.Errorf("%d faults instead of %d:\n%s", n, len(want), got)
	}
	for range 20 {
		if again := r.Done().Error(); again != got {
			t.Fatalf("the order of faults changes:\n%s\n%s", got, again)
		}
	}
}

func TestSingleValueIsACurve(t *testing.T) {
	c, err := Parse([]byte(head+"[value]\nmodulus = { is = \"2 GPa\", source = \"invented\" }\n"), "x.toml")
	if err != nil {
		t.Fatal(err)
	}
	r := c.Reader()
	if m := r.Curve("modulus", unit.Temperature, unit.Stress); len(m) != 1 || m[0][1] != 2000 {
		t.Errorf("modulus %v", m)
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(head + "[value]\ndensity = { is = \"1.14 g/cm³\", source = \"x\", date = \"2026-11\" }\n"))
	f.Add([]byte(head + "[value]\nm = { points = [[\"23 °C\", \"2.3 GPa\"]], source = \"x\" }\n[value.n]\nis = \"1\"\n"))
	f.Add([]byte("[[value]]\n[a.\"b\".c]\nx=[{y={z=1}}]"))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := Parse(data, "x.toml")
		if err != nil {
			return
		}
		r := c.Reader()
		for key, v := range c.Values {
			if v.Source == "" || v.Line < 1 {
				t.Fatalf("%s: %+v", key, v)
			}
			r.Curve(key, unit.Temperature, unit.Stress)
			r.Number(key, unit.Length, 0, 1)
		}
		r.Done()
	})
}
