package job

import (
	"math"
	"strings"
	"testing"

	"sinew/strand"
)

// A stated order of layers reaches the print; what stretches the part alone does
// not depend on it.
func TestOrderOfLayersInTheJob(t *testing.T) {
	run := func(order string) *Results {
		text := strings.Replace(smallText, "layers = 2", "layers = 2\nname = \"along\"", 1)
		text = strings.Replace(text, `"steered"`, `"straight"`, 1)
		text = strings.Replace(text, `"1.04 mm"`, `"1.68 mm"`, 1)
		text = strings.Replace(text, "[mesh]", "[[layup.family]]\nname = \"slanted\"\nkind = \"straight\"\nangle = \"20 °\"\nlayers = 2\n[mesh]", 1)
		text = strings.Replace(text, "[layup]", "[layup]\n"+order, 1)
		return runJob(t, writeFiles(t, map[string]string{FileName: text, sampleName: plate()}), Options{Workers: 1})
	}
	names := func(r *Results) string {
		var out []string
		for i := range r.Print.Layers {
			if r.Print.Layers[i].Kind == strand.Composite {
				out = append(out, r.Record.Layup.Layers[i].Family)
			}
		}
		return strings.Join(out, " ")
	}
	usual, stated := run(""), run(`order = ["slanted", "slanted", "along", "along"]`+"\n")
	if a, b := names(usual), names(stated); a != "along slanted slanted along" || b != "slanted slanted along along" {
		t.Errorf("layers %s, and as stated %s", a, b)
	}
	a, b := usual.Record.Designs[0], stated.Record.Designs[0]
	if math.Abs(a.FibreLengthM/b.FibreLengthM-1) > 0.01 {
		t.Errorf("%g m of tow, in the stated order %g m", a.FibreLengthM, b.FibreLengthM)
	}
	found := false
	for _, n := range stated.Record.Layup.Notes {
		found = found || strings.Contains(n, "not symmetric")
	}
	if !found {
		t.Errorf("notes %q", stated.Record.Layup.Notes)
	}
}
