package job

import (
	"math"
	"strings"
	"testing"

	"sinew/internal/near"
	"sinew/proof"
)

func leastOf(t *testing.T, r *Results, id, mode string) MarginRecord {
	t.Helper()
	for _, d := range r.Record.Designs {
		if d.ID != id {
			continue
		}
		for _, m := range d.Cases[0].Margins {
			if m.Mode == mode {
				return m
			}
		}
	}
	t.Fatalf("design %s has no margin of %s", id, mode)
	return MarginRecord{}
}

// TestKnockDownsInEveryMargin: the factors of a card multiply the margins of the
// printed designs, stand beside each of them, and leave metals alone.
func TestKnockDownsInEveryMargin(t *testing.T) {
	plain := plainRun(t).Results
	down := proveJob(t, keptJob(t, `printer = "twin-nozzle"`, "printer = \"twin-nozzle\"\nknockdowns = [\"impact-damage\"]"))
	k := down.Record.Strength.KnockDowns
	if len(k) != 1 || k[0].ID != "impact-damage" || k[0].Source == "" || len(plain.Record.Strength.KnockDowns) != 0 {
		t.Fatalf("knock-downs %+v", k)
	}
	// The strands are the same, whatever multiplies their strength.
	for _, row := range []struct {
		id, mode string
		factor   float64
	}{
		{PrintedID, "fibre tension", k[0].Tension}, {PrintedID, "matrix", k[0].Matrix},
		{"quasi-isotropic", "fibre tension", k[0].Tension}, {"polyamide", "plastic strength", k[0].Matrix}, {"aluminium-6061-t6", "yield", 1},
	} {
		a, b := leastOf(t, plain, row.id, row.mode), leastOf(t, down, row.id, row.mode)
		if a.KnockDown != 1 || b.KnockDown != row.factor {
			t.Errorf("%s, %s: knock-down %g, want %g", row.id, row.mode, b.KnockDown, row.factor)
		}
		// The lay-up may answer weaker beads by other strands: only the designs
		// of even fibre keep theirs.
		if row.id != PrintedID && !near.Equal(b.Reserve, row.factor*a.Reserve, 0, 0.02) {
			t.Errorf("%s, %s: reserve %g, before the knock-down %g, factor %g", row.id, row.mode, b.Reserve, a.Reserve, row.factor)
		}
	}
}

// TestHeatIsFound: a job that works above its plastic's limit, a case that warms
// the part over it, and a card with less to tell than asked are findings of the
// check, before anything is proved.
func TestHeatIsFound(t *testing.T) {
	for _, row := range []struct{ name, id, severity, what, old, new string }{
		{"works too hot", "plastic-too-warm", "warn", "80 °C is above the heat-deflection limit of Polyamide 6, unfilled, 65 °C", `printer = "twin-nozzle"`, "printer = \"twin-nozzle\"\ntemperature = \"80 °C\""},
		{"a case warms it", "plastic-too-warm", "warn", "warmed by 60 K from 23 °C the part comes to 83 °C", "[material]", "[[case]]\nname = \"sun\"\ntemperature_change = \"60 K\"\n[material]"},
		{"in a freezer", "plastic-data", "note", "begins at -40 °C", `printer = "twin-nozzle"`, "printer = \"twin-nozzle\"\ntemperature = \"-60 °C\""},
		{"no such curves", "plastic-data", "note", "no conditioned figures", `plastic = "polyamide"`, "plastic = \"petg\"\nconditioned = true"},
	} {
		if !strings.Contains(smallText, row.old) {
			t.Fatalf("%s: the small job holds no %q", row.name, row.old)
		}
		text := strings.Replace(smallText, row.old, row.new, 1)
		dir := writeFiles(t, map[string]string{FileName: text, sampleName: string(sampleDrawing)})
		j, err := Open(dir, Options{})
		if err != nil {
			t.Fatal(err)
		}
		r, err := j.Run(t.Context(), Check, "check")
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, f := range r.Record.Findings {
			found = found || f.ID == row.id && f.Severity == row.severity && strings.Contains(f.What, row.what)
		}
		if !found {
			t.Errorf("%s: no finding %s with %q: %+v", row.name, row.id, row.what, r.Record.Findings)
		}
	}
	for _, f := range plainRun(t).Record.Findings {
		if strings.HasPrefix(f.ID, "plastic-") {
			t.Errorf("in a room: %+v", f)
		}
	}
}

// TestJudgeKeys: each choice of the judge changes what it is about, for every
// design.
func TestJudgeKeys(t *testing.T) {
	plain := plainRun(t).Results
	if s := plain.Record.Strength; s.Rule != "disc" || s.RadiusMM != 1 || s.Criterion != "hashin" || s.CoolDownK >= 0 || len(s.Criteria) == 0 || len(s.Stacks) == 0 {
		t.Errorf("strength %+v", plain.Record.Strength)
	}
	point := proveJob(t, keptJob(t, "[mesh]", "[judge]\nnotch = \"point-stress\"\ncriterion = \"puck\"\n[mesh]"))
	if s := point.Record.Strength; s.Rule != "point-stress" || s.Criterion != "puck" {
		t.Errorf("strength %+v", s)
	}
	for i, d := range point.Record.Designs {
		c := d.Cases[0]
		if len(c.Rules) != 3 || c.Rules[1].Rule != "point-stress" || c.Rules[1].Least != c.Margins[0].Reserve {
			t.Errorf("%s: margins by another rule: %+v", d.Name, c.Rules)
		}
		if p := plain.Record.Designs[i].Cases[0]; p.Rules[0].Least != p.Margins[0].Reserve {
			t.Errorf("%s: margins not by discs", d.Name)
		}
		if len(c.Joints) != 2 { // both pins of the plate
			t.Errorf("%s: %d joints", d.Name, len(c.Joints))
		}
	}
	if a, b := leastOf(t, plain, PrintedID, "matrix"), leastOf(t, point, PrintedID, "matrix"); a.Reserve == b.Reserve {
		t.Error("rule and criterion change nothing of the matrix")
	}
}

// beadOf is what a changed small job says of its bead before it runs.
func beadOf(t *testing.T, pairs ...string) *BeadRecord {
	t.Helper()
	j, err := Open(changedJob(t, pairs...), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	return j.beadRecord()
}

// TestMethodKeys: the methods of micromechanics are the job's to choose, and a
// bead card that states a law leaves nothing to choose.
func TestMethodKeys(t *testing.T) {
	plain, chamis := beadOf(t), beadOf(t, `tow = "carbon-tow"`, "tow = \"carbon-tow\"\ntow_method = \"chamis\"")
	for _, m := range plain.Methods {
		if m.Method == "chamis" && !near.Equal(chamis.E2, m.E2, 0, 1e-4) {
			t.Errorf("E2 by chamis %g, announced %g", chamis.E2, m.E2)
		}
	}
	if math.Abs(chamis.E2/plain.E2-1) < 0.01 {
		t.Error("the method changes nothing")
	}
	found := false
	for _, f := range chamis.Figures {
		found = found || strings.Contains(f.Source, "chamis for the tow, chamis for the bead")
	}
	if !found {
		t.Error("no figure names its method")
	}
}

// TestCollapseKey: the way to collapse is followed where it is asked for.
func TestCollapseKey(t *testing.T) {
	r := proveJob(t, keptJob(t, "[mesh]", "[judge]\ncollapse = true\n[mesh]"))
	followed := 0
	for _, d := range r.Record.Designs {
		k := d.Cases[0].Collapse
		if k == nil {
			continue
		}
		followed++
		if k.Load < k.FirstMatrix || k.Load <= 0 || len(k.Curve) < 2 || k.Ended == "" {
			t.Errorf("%s: %+v", d.Name, k)
		}
	}
	if followed != 3 {
		t.Errorf("%d designs followed to collapse", followed)
	}
	if plainRun(t).Record.Designs[0].Cases[0].Collapse != nil {
		t.Error("collapse without being asked")
	}
}

// TestWhatLiesBehindTheMargins: the record tells the stress and the allowable of
// every margin, all criteria at the governing place, the finite elements beside
// every joint, and the piles of layers as laminates.
func TestWhatLiesBehindTheMargins(t *testing.T) {
	r := plainRun(t)
	for _, d := range r.Record.Designs {
		for _, m := range d.Cases[0].Margins {
			if m.Stress == [3]float64{} || len(m.Allowable) == 0 {
				t.Errorf("%s, %s: stress %v, allowable %v", d.Name, m.Mode, m.Stress, m.Allowable)
			}
		}
		for _, g := range d.Cases[0].Joints {
			if g.Elements == nil || g.Elements.Feature != g.Feature || g.Elements.Reserve < d.Governing.Reserve {
				t.Errorf("%s: around %s the finite elements find %+v, of the part %g", d.Name, g.Feature, g.Elements, d.Governing.Reserve)
			}
		}
	}
	s := r.Record.Strength
	if len(s.Governing) != 6 {
		t.Fatalf("%d criteria at the governing place", len(s.Governing))
	}
	for _, c := range s.Governing {
		if c.Margin.X != s.Governing[0].Margin.X || c.Margin.Stress != s.Governing[0].Margin.Stress || !(c.Margin.Reserve > 0) {
			t.Errorf("%s: %+v, beside %+v", c.Criterion, c.Margin, s.Governing[0].Margin)
		}
	}
	for _, k := range s.Stacks {
		sum := 0.0
		for i, y := range k.Layers {
			if i > 0 && !near.Equal(y.BottomMM, k.Layers[i-1].BottomMM+k.Layers[i-1].ThicknessMM, 1e-9, 0) {
				t.Errorf("layer %d of %q starts at %g", i, k.Why, y.BottomMM)
			}
			sum += y.ThicknessMM
			if fibre := y.FibreShare > 0; fibre != (y.E1 > 2*y.E2) {
				t.Errorf("layer %d of %q: %+v", i, k.Why, y)
			}
		}
		if !near.Equal(sum, k.ThicknessMM, 1e-9, 0) || !near.Equal(sum, r.Record.Part.ThicknessMM, 1e-9, 0) || !(k.A[0] > 0) || !(k.D[0] > 0) {
			t.Errorf("stack %q: layers of %g mm, A11 %g, D11 %g", k.Why, sum, k.A[0], k.D[0])
		}
	}
}

// TestRequiredOfWhatHoldsTheFibres: require.matrix is held against the plain
// plastic and the shear between layers too, require.fibre against fibres and
// bearing.
func TestRequiredOfWhatHoldsTheFibres(t *testing.T) {
	text := replaceOnce(smallText, "[mesh]", "[require]\nfibre = 1.5\nmatrix = 0.8\n[mesh]")
	j, err := Open(writeFiles(t, map[string]string{FileName: text, sampleName: string(sampleDrawing)}), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	for mode, want := range map[proof.Mode]float64{
		proof.FibreTension: 1.5, proof.FibreCompression: 1.5, proof.BearingPin: 1.5, proof.Matrix: 0.8, proof.PlasticBreak: 0.8, proof.Interlaminar: 0.8,
	} {
		if got := j.required(string(mode)); got != want {
			t.Errorf("%s: %g required, want %g", mode, got, want)
		}
	}
}

// TestWarnsOfWhatIsNoVerdict: simple formulas and ends of strands that fall
// short are told with their figures, those that do not are not, and no other
// design's are.
func TestWarnsOfWhatIsNoVerdict(t *testing.T) {
	checks := func(reserve float64) []DesignCaseRecord {
		return []DesignCaseRecord{{Case: "pull", Joints: []JointRecord{{Feature: "pin", Checks: []JointReport{{"bearing", 50, 50 * reserve, reserve}, {"shear-out", 10, 30, 3}}}}}}
	}
	for _, row := range []struct {
		name              string
		ours, theirs, end float64
		want              []string
	}{
		{"nothing falls short", 1.2, 2, 1.5, nil},
		{"bearing", 0.8, 2, 0, []string{"case pull, pin: the simple formula of bearing"}},
		{"only another design's", 1.2, 0.5, 0, nil},
		{"a strand's end", 1.2, 2, 0.5, []string{"needs 3 mm to hand over"}},
	} {
		r := &Results{Record: &Record{
			Designs:  []DesignRecord{{ID: PrintedID, Cases: checks(row.ours)}, {ID: "straight", Cases: checks(row.theirs)}},
			Strength: &StrengthRecord{Ends: &EndsRecord{NeedMM: 3, Reserve: row.end, Case: "pull"}},
		}}
		got := r.besideMargins()
		if len(got) != len(row.want) {
			t.Errorf("%s: %q", row.name, got)
			continue
		}
		for i, want := range row.want {
			if !strings.Contains(got[i], want) {
				t.Errorf("%s: %q, want %q", row.name, got[i], want)
			}
		}
	}
}
