package dossier

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"sinew/job"
)

// smallJob is a short strip with a hole and a name that tries to be script.
const smallJob = `schema = "sinew-job/1"
name = "<script>alert(1)</script>"
[part]
drawing = "strip.dxf"
thickness = "0.64 mm"
[[feature]]
name = "left"
side = { end = "left" }
[[feature]]
name = "right"
side = { end = "right" }
[[support]]
at = "left"
how = "fixed"
[[case]]
name = "pull"
[[case.load]]
at = "right"
how = "grip"
force = "1 kN"
[[probe]]
name = "gauge"
point = ["20 mm", "18 mm"]
[material]
bead = "stated-carbon-bead"
plastic = "polyamide"
printer = "twin-nozzle"
[layup]
walls = 0
[[layup.family]]
kind = "steered"
layers = 2
[judge]
mask = "5 mm"
[mesh]
size = "3 mm"
hole_size = "1.5 mm"
tolerance = "20 %"
`

func runSmall(t *testing.T) *job.Results {
	t.Helper()
	dir := t.TempDir()
	strip, err := os.ReadFile(filepath.Join("..", "examples", "open-hole", "strip.dxf"))
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{"job.toml": []byte(smallJob), "strip.dxf": strip} {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	j, err := job.Open(dir, job.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	res, err := j.Run(context.Background(), job.Post, "run")
	if err != nil {
		t.Fatal(err)
	}
	return res
}

func TestDossierIsWholeAndSafe(t *testing.T) {
	res := runSmall(t)
	page, err := HTML(res)
	if err != nil {
		t.Fatal(err)
	}
	again, err := HTML(res)
	if err != nil || !bytes.Equal(page, again) {
		t.Errorf("the same results give another page (%v)", err)
	}
	text := string(page)
	if strings.Contains(text, "<script") {
		t.Error("a name of the job became script")
	}
	if m := regexp.MustCompile(`(src|href)="[^#]`).FindString(text); m != "" {
		t.Errorf("the page refers to something outside itself: %s", m)
	}
	for _, want := range []string{
		job.Caution, "1 Part, supports and loads", "2 What the bead", "3 Lay-up", "4 Designs compared", "5 Margins as printed",
		"6 Findings", "7 Machine program", "8 Evidence", "As printed over", res.Record.InputHash, "gauge",
		"Stress judged, MPa", "Metals by temper", "governing margin lies, by the rule", "A, N/mm", "Force of the held stack",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing", want)
		}
	}
	for _, bad := range []string{"NaN", "+Inf", "<no value>", "%!"} {
		if strings.Contains(text, bad) {
			t.Errorf("the page shows %q", bad)
		}
	}
	if got, want := strings.Count(text, "<svg"), 2*len(res.Part.Cases)+len(res.LayerGroups)+1; got < want {
		t.Errorf("%d figures, want at least %d", got, want)
	}
}

func TestNumbersAsWritten(t *testing.T) {
	tests := []struct {
		name      string
		got, want string
	}{
		{"small", number(0.0012345, 3), "0.00123"},
		{"large", number(123456, 3), "123456"},
		{"zero", number(0, 3), "0"},
		{"minus is a minus", number(-1.5, 2), "−1.5"},
		{"no ratio", times(0), "–"},
		{"ratio", times(5.9), "5.90 ×"},
		{"stress of a bead", judged(job.MarginRecord{Mode: "matrix", Stress: [3]float64{100, -20, 3}}), "100, −20.0, 3.00"},
		{"shear between layers has two", judged(job.MarginRecord{Mode: "shear between layers", Stress: [3]float64{1.5, 0.2, 0}}), "1.50, 0.200"},
		{"bearing by hand has one", judged(job.MarginRecord{Mode: "bearing at the pin", Layer: -1, Stress: [3]float64{-50, 0, 0}}), "−50.0"},
		{"allowables", allowable(job.MarginRecord{Allowable: []float64{25, 35}}), "25.0, 35.0"},
		{"a term that is rounding", term(3e-9), "0"},
		{"place", place(job.MarginRecord{X: 1, Y: 2, Layer: 3, AngleDeg: 45, Feature: "pin"}), "(1.0, 2.0) mm, composite layer 4 at 45°, at pin"},
	}
	for _, tt := range tests {
		if tt.got != tt.want {
			t.Errorf("%s: got %q, want %q", tt.name, tt.got, tt.want)
		}
	}
}
