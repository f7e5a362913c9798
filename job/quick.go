package job

import (
	"context"
	"errors"
	"fmt"
	"time"

	"sinew/proof"
)

// ErrOtherStrands says that kept strands were laid for another part, lay-up or
// material than the job has now.
var ErrOtherStrands = errors.New("part, lay-up or materials have been changed since the strands were laid; run the job to lay them anew")

// QuickRecord is the answer of a quick re-analysis: the strands as they were
// laid in an earlier run, under the loads, supports and probes as they are
// now. A full run would steer the fibre along the new loads.
type QuickRecord struct {
	InputHash string         `json:"input_hash" doc:"of the job as it is now"`
	StrandsOf string         `json:"strands_of" doc:"input hash of the run that laid the strands"`
	Designs   []DesignRecord `json:"designs" doc:"the part as printed, with those strands"`
	Cases     []CaseRecord   `json:"cases"`
	Probes    []ProbeRecord  `json:"probes"`
	Shortfall []string       `json:"shortfalls" doc:"margins below what the job requires"`
	Seconds   float64        `json:"seconds"`
	Note      string         `json:"note"`
}

// quickNote stands beside every such answer.
const quickNote = "kept strands under the present loads: not a new design, and not written to the results"

// shapeKey covers what strands are laid for, but for supports and loads. Names
// of features do not matter, the holes that loops run around do.
func (j *Job) shapeKey() key {
	in := []any{j.in.drawn, j.file.Part, j.walls(), j.file.Layup.Covers, j.in.paths, j.in.state}
	for _, f := range j.file.Layup.Families {
		for _, name := range f.Around {
			for _, at := range j.in.part.Features {
				if at.Name == name {
					in = append(in, at.Loop)
				}
			}
		}
		f.Around = nil
		in = append(in, f)
	}
	for _, role := range []string{"material.printer", "material.plastic", "material.tow", "material.bead"} {
		in = append(in, j.in.cardKeys[role])
	}
	for i := range j.in.knockdowns {
		in = append(in, j.in.cardKeys[fmt.Sprintf("material.knockdowns[%d]", i)])
	}
	return keyOf("shape", in...)
}

// Quick analyses the strands of these results again under the job as it is in
// its folder now. It writes nothing. The views it returns are of that
// analysis.
func (v *Views) Quick(ctx context.Context, dir string, o Options) (*QuickRecord, *Views, error) {
	start := time.Now()
	if v.lay == nil || v.proof == nil || len(v.proof.Designs) == 0 {
		return nil, nil, fmt.Errorf("nothing is proved that could be analysed again: %w", ErrNoResults)
	}
	j, err := Look(dir, o)
	if err != nil {
		return nil, nil, err
	}
	if j.shapeKey() != v.job.shapeKey() {
		return nil, nil, ErrOtherStrands
	}
	out := &proven{}
	in, err := j.proofInput(v.mesh, *v.lay, out)
	if err != nil {
		return nil, nil, err
	}
	in.Progress = nil
	v.mu.Lock()
	in.Before = v.before
	v.mu.Unlock()
	x, err := proof.Examine(ctx, in, v.proof.Designs[0].Name)
	if err != nil {
		return nil, nil, j.numbersOrInput(ctx, err)
	}
	v.mu.Lock()
	v.before = x
	v.mu.Unlock()
	out.Designs = []proof.Design{x.Design}
	if err := j.readAnswers(x.System, x.Sheet, x.Solution, out); err != nil {
		return nil, nil, err
	}
	quick := &Views{job: j, mesh: v.mesh, lay: v.lay, proof: out}
	quick.exams = []*examined{{name: x.Design.Name, x: x}}
	quick.exams[0].once.Do(func() {}) // it is there already
	r := &Results{Record: &Record{}, Part: j.in.part, job: j}
	rec := &QuickRecord{
		InputHash: j.InputHash(), StrandsOf: v.job.InputHash(), Designs: []DesignRecord{r.designRecord(&out.Designs[0])},
		Cases: out.Cases, Probes: append([]ProbeRecord{}, out.Probes...), Note: quickNote,
	}
	r.Record.Designs = rec.Designs
	rec.Shortfall = append([]string{}, r.shortfalls()...)
	rec.Seconds = time.Since(start).Seconds()
	return rec, quick, nil
}
