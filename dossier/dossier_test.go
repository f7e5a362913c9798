package dossier

import (
	"bytes"
	"context"
	"math"
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
collapse = true
[mesh]
size = "3 mm"
hole_size = "1.5 mm"
tolerance = "20 %"
`

func runSmall(t *testing.T) *job.Results { return runText(t, smallJob) }

func runText(t *testing.T, text string) *job.Results {
	t.Helper()
	dir := t.TempDir()
	strip, err := os.ReadFile(filepath.Join("..", "examples", "open-hole", "strip.dxf"))
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{"job.toml": []byte(text), "strip.dxf": strip} {
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
		"Stress judged, MPa", "Metals by temper", "governing margin lies, by the rule", "A, N/mm", "Force of the held stack", "From first failure to collapse", "pull: the way to collapse",
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

// TestDossierShowsTheSearch: mixes and first guesses with their measures, both
// objectives falling, and what printing costs.
func TestDossierShowsTheSearch(t *testing.T) {
	res := runSmall(t)
	l := res.Record.Layup
	if len(l.FirstGuesses) != 1 || len(l.FirstGuesses[0].Tried) < 2 || len(l.FirstGuesses[0].Drawn) < 2 || l.Refinement == nil {
		t.Fatalf("record %+v", l)
	}
	kept := 0
	for i, g := range l.FirstGuesses[0].Tried {
		if g.Measure == 0 || i > 0 && g.Measure < l.FirstGuesses[0].Tried[i-1].Measure {
			t.Errorf("measures are not in order: %+v", l.FirstGuesses[0].Tried)
		}
	}
	for _, d := range l.FirstGuesses[0].Drawn {
		if d.Kept {
			kept++
			for _, o := range l.FirstGuesses[0].Drawn {
				if o.Objective < d.Objective {
					t.Errorf("%+v was kept, %+v is better", d, o)
				}
			}
		}
	}
	if kept != 1 {
		t.Errorf("%d drawn fields kept", kept)
	}
	along, bare := job.FamilyLayersRecord{Family: "along <b>", Layers: 6}, job.FamilyLayersRecord{Family: "bare", Layers: 2}
	l.Mix = &job.MixRecord{
		Goal: "tow", Tried: 17, Candidates: []string{"along <b>", "bare"}, Left: []string{"straight +90°"}, Start: 0.5,
		Steps: []job.MixStepRecord{{From: []string{"along <b>"}, To: []string{"bare"}, Objective: 0.25, Reserve: 1.5, Governing: "matrix"}},
		Best:  []job.MixTrialRecord{{Layers: []job.FamilyLayersRecord{along, bare}, Objective: 0.25, Reserve: 1.5, Governing: "matrix"}},
		Order: &job.OrderRecord{Tried: 9, Objective: []float64{-0.1, -0.2}, Order: []string{"bare", "along <b>"}},
	}
	page, err := HTML(res)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"How the lay-up was found", "17 mixes analysed", "6 along &lt;b&gt; &#43; 2 bare", "cutter&#39;s length: straight", "Order of the layers", "best of 9",
		l.FirstGuesses[0].Kept, "layer mix: the objective falls", "refinement: the objective falls", "What printing costs",
	} {
		if !strings.Contains(string(page), want) && !strings.Contains(strings.ReplaceAll(string(page), "'", "&#39;"), want) {
			t.Errorf("%q is missing", want)
		}
	}
}

// TestBeadCanBeChecked: the page shows how each figure of the bead comes about,
// what governs, all methods between their bounds, and every knock-down by name
// beside the figures and margins that hold it.
func TestBeadCanBeChecked(t *testing.T) {
	res := runText(t, strings.NewReplacer(`bead = "stated-carbon-bead"`, "tow = \"carbon-tow\"", `printer = "twin-nozzle"`, "printer = \"twin-nozzle\"\nconditioned = true\nknockdowns = [\"fatigue-1e6\"]").Replace(smallJob))
	page, err := HTML(res)
	if err != nil {
		t.Fatal(err)
	}
	text := string(page)
	for _, want := range []string{
		"kinking governs: G12/(1 &#43; φ·G12/τ) = 560.4/(1 &#43; 0.08727·560.4/21.94) = 173.6 MPa", "by kinking at 173.6 MPa, <b>which governs</b>, buckling at 482.2 MPa",
		"0.75 (realisation) · 1.76 % (failure strain of the filaments) · E1; × 0.65 (Fatigue, a million cycles: fibre tension)",
		"<td>filament</td>", "55.0 % filament", "32.4 % tow", "bounds (Hashin and Rosen)", "<td>cylinder-assemblage</td>", "of the mass",
		"38.0 MPa in tension, 45.0 MPa in compression", "0.627 % wider and thicker",
		"0.500 <small>= 0.5 (Fatigue, a million cycles)</small>", "Polyamide 6, unfilled: modulus, 23 °C, conditioned",
		"Carbon tow in epoxy, 102 tex, version 1, built-in", "lamina 4, 2026-11",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing", want)
		}
	}
	if got := strings.Count(text[strings.Index(text, "How</th><th>From"):strings.Index(text, "From filament to bead")], "<tr><td>"); got != 19 {
		t.Errorf("%d figures of the bead told, want 19", got)
	}
}

// The table of loaded holes keeps its columns where a formula does not apply.
func TestFormulasByName(t *testing.T) {
	j := job.JointRecord{Checks: []job.JointReport{{Check: "net section", Reserve: 2}}}
	if c := checkOf(j, "net section"); c == nil || c.Reserve != 2 {
		t.Errorf("net section: %+v", c)
	}
	if c := checkOf(j, "bearing"); c != nil {
		t.Errorf("bearing: %+v, which was not checked", c)
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
		{"rounded up to the next power", number(999.99, 4), "1000"},
		{"no figure", number(math.Inf(1), 3), "+Inf"},
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
