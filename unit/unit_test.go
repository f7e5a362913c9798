package unit

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text string
		kind Kind
		want float64
	}{
		{"4.8 mm", Length, 4.8},
		{"4.8mm", Length, 4.8},
		{" +4.8  mm ", Length, 4.8},
		{"0.7 cm", Length, 7},
		{"1 in", Length, 25.4},
		{"250 um", Length, 0.25},
		{"250 µm", Length, 0.25},
		{"250 μm", Length, 0.25},
		{"4.8\u00a0mm", Length, 4.8},
		{"−4.8 mm", Length, -4.8},
		{".5 mm", Length, 0.5},
		{"5. mm", Length, 5},
		{"5e-1 mm", Length, 0.5},
		{"5E+1 mm", Length, 50},
		{"12 mm2", Area, 12},
		{"12 mm^2", Area, 12},
		{"12 cm²", Area, 1200},
		{"2.4 kN", Force, 2400},
		{"1 lbf", Force, 4.4482216152605},
		{"230 GPa", Stress, 230000},
		{"12 N/mm²", Stress, 12},
		{"12 N / mm^2", Stress, 12},
		{"3 bar", Stress, 0.3},
		{"1 ksi", Stress, 6.894757293168},
		{"180 °", Angle, math.Pi},
		{"180 deg", Angle, math.Pi},
		{"1 rad", Angle, 1},
		{"40 °C", Temperature, 40},
		{"40°C", Temperature, 40},
		{"293.15 K", Temperature, 20},
		{"-40 °F", Temperature, -40},
		{"212 °F", Temperature, 100},
		{"-20 K", TemperatureDifference, -20},
		{"1.14 g/cm³", Density, 1.14e-3},
		{"7850 kg/m3", Density, 7.85e-3},
		{"102 tex", LinearDensity, 102e-6},
		{"60 mm/min", Speed, 1},
		{"0.5 m/s", Speed, 500},
		{"9.81 m/s²", Acceleration, 9810},
		{"1 g", Acceleration, 9806.65},
		{"1 g", Mass, 1},
		{"2 h", Time, 7200},
		{"12e-6 /K", Expansion, 12e-6},
		{"12 µm/(m K)", Expansion, 12e-6},
		{"12e-6 1/K", Expansion, 12e-6},
		{"0.25 W/(m K)", Conductivity, 0.25},
		{"0.25 W/(m·K)", Conductivity, 0.25},
		{"0.25 W / (m*K)", Conductivity, 0.25},
		{"1.7 J/(g K)", SpecificHeat, 1.7},
		{"1700 J/(kg K)", SpecificHeat, 1.7},
		{"5 %", Share, 0.05},
		{"0.38", Share, 0.38},
		{"3", Count, 3},
		{"30 N m", Moment, 30000},
		{"30 Nm", Moment, 30000},
		{"1 kWh", Energy, 3.6e6},
		{"45 /kg", PricePerKilo, 45},
		{"0.06 /min", PricePerHour, 3.6},
		{"1e-400 mm", Length, 0},
		{"0e99999 mm", Length, 0},
	} {
		got, err := Parse(c.text, c.kind)
		if err != nil || math.Abs(got-c.want) > 1e-15*math.Abs(c.want) {
			t.Errorf("Parse(%q, %s) = %v, %v; want %v", c.text, c.kind, got, err, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		kind Kind
		want string // part of the message
	}{
		"no unit":          {"4.8", Length, `has no unit; write for example "4.8 mm"`},
		"no number":        {"mm", Length, "is not a length"},
		"empty":            {"", Length, "is not a length"},
		"only a sign":      {"-", Force, "is not a force"},
		"not a number":     {"NaN mm", Length, "is not a length"},
		"infinite":         {"Inf N", Force, "is not a force"},
		"hexadecimal":      {"0x10 mm", Length, "unknown unit"},
		"decimal comma":    {"4,8 mm", Length, "decimal point"},
		"separator":        {"1_000 mm", Length, "unknown unit"},
		"two points":       {"1.2.3 mm", Length, "unknown unit"},
		"too large":        {"1e400 mm", Length, "too large"},
		"huge exponent":    {"1e999999999999999999 mm", Length, "exponent"},
		"other kind":       {"40 kg", Force, "is a mass where a force is wanted; use N"},
		"difference in °C": {"-20 °C", TemperatureDifference, "is a temperature where a temperature difference is wanted"},
		"unknown unit":     {"4.8 furlong", Length, `unknown unit "furlong"; use mm, µm`},
		"unit on a share":  {"5 mm", Share, "a plain number or %"},
		"unit on a count":  {"5 mm", Count, "use a plain number"},
		"half a count":     {"2.5", Count, "not a whole number"},
		"very long":        {strings.Repeat("9", 300) + " mm", Length, "303 characters"},
		"case matters":     {"5 MM", Length, "unknown unit"},
		"rubbish":          {"\xff\xfe mm", Length, "is not a length"},
	} {
		v, err := Parse(c.text, c.kind)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: Parse(%.40q, %s) = %v, %v; want an error with %q", name, c.text, c.kind, v, err, c.want)
		}
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		v    float64
		kind Kind
		want string
	}{
		{4.8, Length, "4.8 mm"},
		{0.25, Length, "250 µm"},
		{1234.5, Length, "1.2345 m"},
		{0, Length, "0 mm"},
		{2400, Force, "2.4 kN"},
		{-2400, Force, "-2.4 kN"},
		{230000, Stress, "230 GPa"},
		{math.Pi / 4, Angle, "45 °"},
		{0.00114, Density, "1.14 g/cm³"},
		{102e-6, LinearDensity, "102 tex"},
		{0.05, Share, "0.05"},
		{12e-6, Expansion, "0.000012 /K"},
		{9810, Acceleration, "9.81 m/s²"},
		{1e30, Mass, "1e27 kg"},
		{40, Temperature, "40 °C"},
		{math.Inf(1), Length, "+Inf"},
	} {
		if got := Format(c.v, c.kind); got != c.want {
			t.Errorf("Format(%v, %s) = %q, want %q", c.v, c.kind, got, c.want)
		}
	}
	if got := FormatDigits(1234.5678, Length, 3); got != "1.23 m" {
		t.Errorf("three digits of 1234.5678 mm: %q", got)
	}
	if got := FormatDigits(math.Pi/7, Angle, 4); got != "25.71 °" {
		t.Errorf("four digits of π/7: %q", got)
	}
}

// What Format writes, Parse reads back to the same bits: for every kind, over
// magnitudes far past any part.
func TestFormatReadsBack(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, k := range Kinds() {
		for range 3000 {
			v := (rng.Float64() - 0.5) * math.Pow(10, float64(rng.IntN(40)-20))
			if k == Count {
				v = math.Trunc(v)
			}
			text := Format(v, k)
			if got, err := Parse(text, k); err != nil || got != v {
				t.Fatalf("%s: %v is written %q and read back as %v, %v", k, v, text, got, err)
			}
		}
	}
}

func TestEveryKindReadsItsExampleAndSymbols(t *testing.T) {
	for _, k := range Kinds() {
		if _, err := Parse(k.Example(), k); err != nil {
			t.Errorf("%s: %v", k, err)
		}
		for _, s := range k.Symbols() {
			if _, err := Parse("1 "+s, k); err != nil {
				t.Errorf("%s: %v", k, err)
			}
		}
		Format(1, k) // panics if a shown symbol is unknown
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"4.8 mm", "2.4e3 kN", "1e999999999 mm", "12 µm/(m K)", "-.5%", "\xff", "5 um", "293 K"} {
		for _, k := range []Kind{Length, Expansion, Share} {
			f.Add(s, int(k))
		}
	}
	f.Fuzz(func(t *testing.T, text string, kind int) {
		k := Kind(uint(kind) % uint(nKinds))
		v, err := Parse(text, k)
		if err != nil {
			return
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("Parse(%q, %s) = %v", text, k, v)
		}
		if back, err := Parse(Format(v, k), k); err != nil || back != v {
			t.Fatalf("%q: %v is written %q and read as %v, %v", text, v, Format(v, k), back, err)
		}
	})
}

func TestAReserveFactorIsNeverRoundedUp(t *testing.T) {
	for v, want := range map[float64]string{
		0.9999: "0.99", 1: "1.00", 0.29: "0.29", 1.1: "1.10", 1.239: "1.23", 9.999: "9.99", 10: "10.0",
		12.39: "12.3", 99.96: "99.9", 100: "≥ 100", math.Inf(1): "≥ 100", math.NaN(): "–", 0: "0.00",
	} {
		if got := Reserve(v); got != want {
			t.Errorf("Reserve(%v) = %q, want %q", v, got, want)
		}
	}
}
