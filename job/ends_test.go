package job

import (
	"strings"
	"testing"
)

// straightJob is the small job with straight strands along a plate with
// square ends, more keys in its layup table, and its ends named.
func straightJob(t *testing.T, keys string) *Results {
	t.Helper()
	text := strings.Replace(smallText, `"steered"`, `"straight"`, 1)
	text = strings.Replace(text, "[layup]", `[[feature]]
name = "left end"
side = { end = "left" }

[[feature]]
name = "right end"
side = { end = "right" }

[layup]
`+keys, 1)
	dir := writeFiles(t, map[string]string{FileName: text, sampleName: plate()})
	return runJob(t, dir, Options{Workers: 1})
}

// Half-turns where the job allows them save cuts, are told, and are proved:
// strands that turn before an end reach it no longer. The program read back
// holds the joined strands.
func TestHalfTurnsInTheJob(t *testing.T) {
	plain := straightJob(t, "")
	turned := straightJob(t, `turn_at = ["left end", "right end"]`+"\n")
	a, b := plain.Record.Strands, turned.Record.Strands
	if a.HalfTurns != 0 || b.HalfTurns < 4 || b.Cuts != a.Cuts-b.HalfTurns {
		t.Errorf("%d cuts without half-turns, %d with %d of them", a.Cuts, b.Cuts, b.HalfTurns)
	}
	if b.CornerPull < 0.02 || b.CornerPull > 0.05 { // 0.2 mm² over the tow's 5 mm is 0.04 mm
		t.Errorf("half-turns are pulled in by %g mm", b.CornerPull)
	}
	if rb := turned.Record.Program.ReadBack; rb.Strands != b.Count || !rb.Agrees {
		t.Errorf("read back: %d strands of %d, agrees %v", rb.Strands, b.Count, rb.Agrees)
	}
	found := 0
	for _, n := range turned.Record.Layup.Notes {
		if strings.Contains(n, "half-turns join ends") {
			found++
		}
	}
	if found == 0 {
		t.Errorf("no note tells of half-turns: %q", turned.Record.Layup.Notes)
	}
	// How the beads fill the layers stands beside them.
	f := turned.Record.Fit
	if f == nil || len(f.Layers) == 0 || len(turned.BuildUp) != len(turned.Mesh.Tris) {
		t.Fatalf("fit %+v, build-up of %d elements", f, len(turned.BuildUp))
	}
	layers := 0
	for _, l := range f.Layers {
		layers += len(l.Layers)
		if !(l.GapShare >= 0 && l.GapShare < 0.05) || !(l.OverlapShare >= 0 && l.OverlapShare < 0.05) {
			t.Errorf("layers %v: %.4f under no bead, %.4f under two", l.Layers, l.GapShare, l.OverlapShare)
		}
	}
	if layers != 2 || !(f.BuildUp[0] >= 0 && f.BuildUp[0] < 1) || !(f.Hollow[0] <= 0 && f.Hollow[0] > -1.04) {
		t.Errorf("%d layers measured, build-up %v, hollow %v", layers, f.BuildUp, f.Hollow)
	}
	left := straightJob(t, `turn_at = ["left end"]`+"\n").Record.Strands
	if left.HalfTurns == 0 || left.HalfTurns >= b.HalfTurns {
		t.Errorf("%d half-turns at one end, %d at both", left.HalfTurns, b.HalfTurns)
	}
}
