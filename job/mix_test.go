package job

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
)

// searched runs the small job with four layers and a search.
func searched(t *testing.T, search string, edit ...string) *Results {
	t.Helper()
	text := strings.NewReplacer(append(edit, `"1.04 mm"`, `"1.68 mm"`, "layers = 2", "layers = 4", "steps = 2", "steps = 0")...).Replace(smallText)
	dir := writeFiles(t, map[string]string{FileName: text + "\n" + search, sampleName: string(sampleDrawing)})
	j, err := Open(dir, Options{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	r, err := j.Run(context.Background(), Lay, "lay")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func layersOf(r *Results, family string) int {
	n := 0
	for _, y := range r.Record.Layup.Layers {
		if y.Kind == "composite" && (family == "" || y.Family == family) {
			n++
		}
	}
	return n
}

// TestSearchKeepsWhatItIsTold: the layers stay as many, a locked family its
// own, and what is laid is what the record names.
func TestSearchKeepsWhatItIsTold(t *testing.T) {
	r := searched(t, "[layup.search]\ncandidates = [\"rim\", \"straight\"]\nangles = [\"0 °\"]\n",
		"spacing = \"1.2 mm\"\n", "spacing = \"1.2 mm\"\n\n[[layup.family]]\nname = \"mine\"\nkind = \"straight\"\nangle = \"10 °\"\nlayers = 2\nlock = true\n", `"1.04 mm"`, `"2.32 mm"`)
	m := r.Record.Layup.Mix
	if m == nil || m.Goal != "reserve" || m.Tried < 3 || m.Governing == "" {
		t.Fatalf("mix %+v", m)
	}
	if layersOf(r, "") != 6 || layersOf(r, "mine") != 2 {
		t.Errorf("%d composite layers, %d locked ones, want 6 and 2: %+v", layersOf(r, ""), layersOf(r, "mine"), m)
	}
	for _, f := range m.Families {
		if layersOf(r, f.Family) != f.Layers {
			t.Errorf("%s: %d layers laid, %d in the record", f.Family, layersOf(r, f.Family), f.Layers)
		}
	}
	for i, s := range m.Steps {
		if i > 0 && s.Objective >= m.Steps[i-1].Objective {
			t.Errorf("step %d does not lower the objective: %+v", i, m.Steps)
		}
	}
}

// TestFewestLayersMakesThePartThinner: under so small a load two layers
// suffice, and the part's thickness follows.
func TestFewestLayersMakesThePartThinner(t *testing.T) {
	r := searched(t, "[layup.search]\ngoal = \"layers\"\ncandidates = [\"rim\"]\n")
	if n := layersOf(r, ""); n != 2 {
		t.Fatalf("%d layers left, want 2: %+v", n, r.Record.Layup.Mix)
	}
	if got := r.Record.Part.ThicknessMM; got < 1.03 || got > 1.05 {
		t.Errorf("thickness %g mm, want 1.04", got)
	}
	if !slices.ContainsFunc(r.Record.Layup.Notes, func(s string) bool { return strings.Contains(s, "instead of 1.68 mm") }) {
		t.Errorf("no note of the thickness in %q", r.Record.Layup.Notes)
	}
}

// TestLeastTowLaysPlainLayers: under so small a load plain plastic takes the
// place of strands, the part stays as thick, and its plain layers are filled
// from wall to wall.
func TestLeastTowLaysPlainLayers(t *testing.T) {
	r := searched(t, "[layup.search]\ngoal = \"tow\"\ncandidates = [\"plain\"]\n")
	if layersOf(r, "") != 4 || layersOf(r, "plain plastic") < 2 {
		t.Fatalf("%d layers, %d of them plain: %+v", layersOf(r, ""), layersOf(r, "plain plastic"), r.Record.Layup.Mix)
	}
	area := r.Record.Part.AreaMM2
	for i := range r.Print.Layers {
		y := r.Record.Layup.Layers[i]
		if y.Family != "plain plastic" {
			continue
		}
		under := 0.0
		for _, b := range r.Print.Layers[i].Beads {
			under += b.Length() * b.WidthOn(1)
		}
		if y.Strands != 0 || under < 0.93*area || under > 1.07*area {
			t.Errorf("layer %d: %d strands, beads of %.0f mm² on %.0f mm²", i, y.Strands, under, area)
		}
	}
}

// TestOrderIsSoughtWhereThePartBends: fibre along a strip that bends goes to
// its faces, and the print then stands more than in the usual order; a part
// that is stretched alone keeps that.
func TestOrderIsSoughtWhereThePartBends(t *testing.T) {
	families := "[[layup.family]]\nname = \"along\"\nkind = \"straight\"\nlayers = 4\nlock = true\n\n[[layup.family]]\nname = \"bare\"\nkind = \"plain\"\nlayers = 4\nlock = true\n"
	strip := []string{"[[layup.family]]\nkind = \"steered\"\nlayers = 4\nspacing = \"1.2 mm\"\n", families, `"1.04 mm"`, `"2.96 mm"`, "layers = 2", "layers = 4", "steps = 2", "steps = 0"}
	run := func(more string, edit ...string) *Results {
		text := strings.NewReplacer(append(edit, strip...)...).Replace(strings.Replace(smallText, "layers = 2", "layers = 4", 1))
		if more == "" {
			text = strings.ReplaceAll(text, "lock = true\n", "")
		}
		return proveJob(t, writeFiles(t, map[string]string{FileName: text + "\n" + more, sampleName: string(sampleDrawing)}))
	}
	bent := []string{"factor = 1.5", "factor = 1.5\npressure = \"0.004 MPa\""}
	usual, sought := run("", bent...), run("[layup.search]\n", bent...)
	o := sought.Record.Layup.Mix.Order
	if o == nil || len(o.Objective) < 2 || o.Objective[1] >= o.Objective[0] {
		t.Fatalf("order %+v", o)
	}
	if o.Order[0] != "along" || o.Order[7] != "along" || o.Order[1] != "along" {
		t.Errorf("order %v, want the fibre along the strip outside", o.Order)
	}
	least := func(r *Results) float64 { return r.Record.Designs[0].Governing.Reserve }
	if least(sought) <= least(usual) {
		t.Errorf("reserve %.4g, in the usual order %.4g", least(sought), least(usual))
	}
	if flat := run("[layup.search]\n"); flat.Record.Layup.Mix.Order != nil {
		t.Errorf("order %+v of a part that is stretched alone", flat.Record.Layup.Mix.Order)
	}
}

// TestTowIsHeldToItsLimit: with half the tow the families are spread, and less
// than that is laid.
func TestTowIsHeldToItsLimit(t *testing.T) {
	free := searched(t, "[layup.search]\ncandidates = [\"rim\"]\n").Record
	limit := 0.75 * free.Strands.LengthM
	held := searched(t, "[layup.search]\ncandidates = [\"rim\"]\ntow = \""+fmt.Sprintf("%.3f", limit)+" m\"\n").Record
	if got := held.Strands.LengthM; got > 1.02*limit {
		t.Errorf("%g m of tow laid, %g m allowed (%g m without a limit)", got, limit, free.Strands.LengthM)
	}
}
