package job

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Two printers side by side: each has its own layers, findings and program,
// and the job's own results are those without the comparison.
func TestPrintersCompared(t *testing.T) {
	dir := keptJob(t, "[mesh]", "[compare]\nprinters = [\"ironing-nozzle\"]\n\n[mesh]")
	r := runJob(t, dir, Options{})
	alone := plainRun(t)
	rec := r.Record
	if len(rec.Printers) != 2 || !rec.Printers[0].Own || rec.Printers[0].Printer != "twin-nozzle" || rec.Printers[1].Printer != "ironing-nozzle" || rec.Printers[1].Own {
		t.Fatalf("printers %+v", rec.Printers)
	}
	if rec.Program == nil || rec.Program.TimeS != alone.Record.Program.TimeS || rec.Printers[0].Program.TimeS != rec.Program.TimeS {
		t.Errorf("the job's own program changes: %+v", rec.Program)
	}
	other := rec.Printers[1]
	if d := math.Abs(other.ThicknessMM - r.Part.Thickness); other.Layers <= rec.Printers[0].Layers || d > 0.125/2 || len(other.Notes) == 0 {
		t.Errorf("%d layers, %v mm off the part's thickness, notes %q", other.Layers, d, other.Notes)
	}
	if other.Program == nil || other.Governing == nil || other.Program.SHA256 == rec.Program.SHA256 {
		t.Fatalf("on the other printer: %+v", other)
	}
	text, err := os.ReadFile(filepath.Join(dir, "out", filepath.FromSlash(other.Folder), programName))
	if err != nil || !strings.Contains(string(text), "machine program for ironing-nozzle") {
		t.Errorf("its program: %v", err)
	}
	back, err := ReadProgram(context.Background(), filepath.Join(dir, "out", filepath.FromSlash(other.Folder), programName), "ironing-nozzle", "", "")
	if err != nil || !back.Good {
		t.Errorf("its program reads %+v, %v", back, err)
	}
}

func TestUnknownRivalIsRefused(t *testing.T) {
	dir := writeFiles(t, map[string]string{FileName: smallText + "\n[compare]\nprinters = [\"loom\"]\n", sampleName: string(sampleDrawing)})
	if _, err := Open(dir, Options{}); err == nil || !strings.Contains(err.Error(), "compare.printers[0]") {
		t.Errorf("error %v", err)
	}
}

// Four copies take four times the tow, less than four times the time, and the
// figures of one part are a quarter.
func TestCopies(t *testing.T) {
	dir := keptJob(t, "[mesh]", "[batch]\ncopies = 4\nspacing = \"4 mm\"\ntow_left = \"2 m\"\n\n[mesh]")
	r := runJob(t, dir, Options{}).Record
	one := plainRun(t).Record
	p, q := r.Program, one.Program
	waits := 0.0
	for _, a := range p.Times {
		if a.What == "spool changes" {
			waits = a.TimeS
		}
	}
	if p.Copies != 4 || math.Abs(p.LengthM-4*q.LengthM) > 1e-9 || p.TimeS-waits >= 4*q.TimeS || p.TimeEachS != p.TimeS/4 || p.Cuts != 4*q.Cuts || !p.ReadBack.Agrees {
		t.Errorf("four copies: %+v\none: %+v", p, q)
	}
	total := 0.0
	for _, a := range p.Times {
		total += a.TimeS
	}
	if math.Abs(total-p.TimeS) > 1e-6*p.TimeS {
		t.Errorf("activities take %v s, the print %v s", total, p.TimeS)
	}
	if len(p.SpoolChanges) == 0 || p.SpoolChanges[0].What != "tow" || len(r.Warnings) == 0 {
		t.Errorf("2 m of tow for %v m: changes %v, warnings %q", p.LengthM, p.SpoolChanges, r.Warnings)
	}
	full := keptJob(t, "[mesh]", "[batch]\ncopies = 900\n\n[mesh]")
	j, err := Open(full, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if _, err := j.Run(context.Background(), Post, "post"); err == nil || !strings.Contains(err.Error(), "do not fit") {
		t.Errorf("900 copies: %v", err)
	}
}

func TestLayersShared(t *testing.T) {
	for _, row := range []struct {
		layers []int
		want   int
		shared []int
	}{
		{[]int{10, 2}, 33, []int{28, 5}}, // 27.5 and 5.5: the first of equal remainders
		{[]int{10, 2}, 6, []int{5, 1}},
		{[]int{1, 1, 1}, 2, []int{1, 1, 1}},
		{[]int{4, 0, 4}, 20, []int{10, 0, 10}},
	} {
		fam := make([]FamilyTable, len(row.layers))
		was := 0
		for i, n := range row.layers {
			fam[i].Layers = n
			was += n
		}
		share(fam, was, row.want)
		for i := range fam {
			if fam[i].Layers != row.shared[i] {
				t.Errorf("%v to %d layers: family %d gets %d, want %d", row.layers, row.want, i, fam[i].Layers, row.shared[i])
			}
		}
	}
}

// A tow that is thicker than the printer's own filament is spaced so that its
// bead holds it.
func TestUsualSpacingHoldsTheTow(t *testing.T) {
	for _, tow := range []string{"carbon-tow", "basalt-tow"} {
		text := strings.NewReplacer(`"twin-nozzle"`, `"ironing-nozzle"`, `"carbon-tow"`, `"`+tow+`"`, `"1.04 mm"`, `"0.5 mm"`).Replace(smallText)
		j, err := Open(writeFiles(t, map[string]string{FileName: text, sampleName: string(sampleDrawing)}), Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer j.Close()
		if s, least := j.in.spacing(), 1/j.in.law.RhoMax(); s < least || s < j.in.printer.SpacingMin || s > 1.05*least {
			t.Errorf("%s: %g mm, the bead wants %g mm, the printer %g mm", tow, s, least, j.in.printer.SpacingMin)
		}
	}
}
