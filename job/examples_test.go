package job

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	check "github.com/santhosh-tekuri/jsonschema/v6"
)

// What a run of an example must hold to, whatever its figures are.
const (
	mostImbalance  = 1e-6 // of the applied load: a linear solution balances to rounding
	mostLengthGap  = 0.01 // mm a strand, program against plan
	mostVolumeGap  = 1e-3 // of the plastic, program against plan
	leastInLimits  = 0.9  // of strand length with bead widths within the printer's limits
	designsAtLeast = 6
)

// TestExamplesRunToTheEnd runs the jobs that ship, from drawing to program.
func TestExamplesRunToTheEnd(t *testing.T) {
	data, err := ResultSchema()
	schema := compileSchema(t, data, err)
	for _, name := range []string{"hanger", "open-hole"} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), name)
			if err := os.CopyFS(dir, os.DirFS(filepath.Join("..", "examples", name))); err != nil {
				t.Fatal(err)
			}
			r := runJob(t, dir, Options{}).Record
			holdRecord(t, r)
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

func holdRecord(t *testing.T, r *Record) {
	t.Helper()
	if !r.Verdict.Passes {
		t.Errorf("the example fails: %v", r.Verdict.Reasons)
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
