package job

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	check "github.com/santhosh-tekuri/jsonschema/v6"

	"sinew/proof"
	"sinew/strand"
)

// What a run of an example must hold to, whatever its figures are.
const (
	mostImbalance  = 1e-6 // of the applied load: a linear solution balances to rounding
	mostLengthGap  = 0.01 // mm a strand, program against plan
	mostVolumeGap  = 1e-3 // of the plastic, program against plan
	leastInLimits  = 0.9  // of strand length with bead widths within the printer's limits
	designsAtLeast = 6
	mostMisfit     = 0.01 // of a layer's area: gaps between plastic and composite, and overlaps
)

// TestExamplesRunToTheEnd runs the jobs that ship, from drawing to program.
func TestExamplesRunToTheEnd(t *testing.T) {
	data, err := ResultSchema()
	schema := compileSchema(t, data, err)
	for _, name := range []string{"hanger", "open-hole", "pocketed-link"} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), name)
			if err := os.CopyFS(dir, os.DirFS(filepath.Join("..", "examples", name))); err != nil {
				t.Fatal(err)
			}
			res := runJob(t, dir, Options{})
			r := res.Record
			holdRecord(t, r)
			holdAgainstEven(t, r)
			holdFit(t, res.Print)
			text, err := os.ReadFile(filepath.Join(dir, "out", resultName))
			if err != nil {
				t.Fatal(err)
			}
			v, err := check.UnmarshalJSON(bytes.NewReader(text))
			if err != nil {
				t.Fatal(err)
			}
			if err := schema.Validate(v); err != nil {
				t.Error(err)
			}
			if info, err := os.Stat(filepath.Join(dir, "out", programName)); err != nil || info.Size() != int64(r.Program.Bytes) {
				t.Errorf("program: %v (%v), the record says %d bytes", info, err, r.Program.Bytes)
			}
		})
	}
}

// holdAgainstEven: what is shown first is no part that quasi-isotropic fibre of
// the same length would stand better.
func holdAgainstEven(t *testing.T, r *Record) {
	t.Helper()
	least := map[string]float64{}
	for _, d := range r.Designs {
		least[d.ID] = d.Governing.Reserve
	}
	if !(least[proof.Printed] >= least[proof.Drilled]) {
		t.Errorf("least reserve %.3g as printed, %.3g quasi-isotropic", least[proof.Printed], least[proof.Drilled])
	}
}

// holdFit measures, on squares of 0.05 mm, how well plastic and composite fit:
// what neither covers between the two, and what both cover, a layer.
func holdFit(t *testing.T, pr *strand.Print) {
	t.Helper()
	const cell, beside = 0.05, 4 // mm; squares within which a gap has both beside it
	seen := map[string]bool{}
	for i := range pr.Layers {
		l := &pr.Layers[i]
		key := fmt.Sprint(l.Kind, l.Family, l.Shift)
		if l.Kind != strand.Composite || seen[key] {
			continue
		}
		seen[key] = true
		tow, plastic, all := strand.NewRaster(pr.Region, cell), strand.NewRaster(pr.Region, cell), strand.NewRaster(pr.Region, cell)
		for _, r := range []*strand.Raster{tow, all} {
			r.AddStrands(l.Strands, pr.Halves(l), pr.SpacingMin, false)
		}
		plastic.AddBeads(l.Beads)
		all.AddBeads(l.Beads)
		whole := all.Area(func(c int) bool { return all.Inside[c] })
		gap := all.Area(func(c int) bool { return all.Gap(c) && coveredBy(tow, c, beside) && coveredBy(plastic, c, beside) })
		overlap := all.Area(all.Overlapped) - tow.Area(tow.Overlapped) - plastic.Area(plastic.Overlapped)
		t.Logf("layer %d: gaps between plastic and composite %.2f %%, overlaps %.2f %%; empty in all %.2f %%", i, 100*gap/whole, 100*overlap/whole, 100*all.Area(all.Gap)/whole)
		if gap+overlap > mostMisfit*whole {
			t.Errorf("layer %d: %.2f mm² of gaps between plastic and composite, %.2f mm² of overlaps, of %.1f mm²", i, gap, overlap, whole)
		}
	}
}

// coveredBy reports whether a bead covers a square within n squares of c.
func coveredBy(r *strand.Raster, c, n int) bool {
	for y := max(0, c/r.NX-n); y <= min(r.NY-1, c/r.NX+n); y++ {
		for x := max(0, c%r.NX-n); x <= min(r.NX-1, c%r.NX+n); x++ {
			if r.Beads[y*r.NX+x] > 0 {
				return true
			}
		}
	}
	return false
}

func holdRecord(t *testing.T, r *Record) {
	t.Helper()
	if !r.Verdict.Passes {
		t.Errorf("the example fails: %v", r.Verdict.Reasons)
	}
	if m := r.Mesh; !m.Reached || m.LeastAngle < 25 || len(m.Rounds) == 0 || len(m.Rounds[0].Peaks) != len(r.Cases) {
		t.Errorf("mesh %+v: not resolved, or without its history", m)
	}
	for _, c := range r.Cases {
		if c.Imbalance > mostImbalance || c.Residual > mostImbalance {
			t.Errorf("case %s: imbalance %g, residual %g", c.Name, c.Imbalance, c.Residual)
		}
	}
	if len(r.Designs) < designsAtLeast || r.Designs[0].ID != PrintedID {
		t.Errorf("designs: %+v", r.Designs)
	}
	if s := r.Strands; s.WithinShare < leastInLimits || s.Count == 0 {
		t.Errorf("strands: %+v", s)
	}
	p := r.Program
	if p == nil {
		t.Fatal("no program")
	}
	b := p.ReadBack
	if !b.Agrees || b.WorstLengthMM > mostLengthGap || b.VolumeDifference > mostVolumeGap || b.Strands != r.Strands.Count || b.Cuts != r.Strands.Cuts || p.Cuts != r.Strands.Cuts {
		t.Errorf("read back %+v of a program with %d cuts; the plan has %d strands and %d cuts", b, p.Cuts, r.Strands.Count, r.Strands.Cuts)
	}
}
