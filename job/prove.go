package job

import (
	"context"
	"fmt"
	"math"

	"sinew/check"
	"sinew/geom"
	"sinew/material"
	"sinew/proof"
	"sinew/strand"
	"sinew/stress"
)

// IDs of the design that is printed, and of the field before strands are drawn.
const (
	PrintedID = proof.Printed
	PlannedID = proof.Planned
)

// proven is the kept result of the prove stage.
type proven struct {
	Straight  *strand.Print // the same tow length, straight, for comparison
	Designs   []proof.Design
	Notes     []string
	Cases     []CaseRecord
	Equations *EquationsRecord // of the print; nil where it was not looked into
	Probes    []ProbeRecord
	FibreUse  []float64 // per element of the mesh: worst fibre index of all layers and cases; NaN: none
	Use       []check.Utilisation
	Findings  []check.Finding
	Strength  *StrengthRecord
	Plate     *PlateRecord
	VTU       string // SHA-256 of the print as a plate; empty: not asked
	vtu       []byte // that file, where it was made in this run
}

func (j *Job) proveStage(ctx context.Context, m meshed, l laid, layKey key) (proven, key, error) {
	k := j.proveKey(layKey)
	p, err := onceWhile(j, stageProve, k, j.vtuStands, func() (proven, error) { return j.makeProof(ctx, m, l) })
	return p, k, err
}

// proveKey covers what shapes the proof.
func (j *Job) proveKey(layKey key) key {
	in := []any{layKey, j.opt.Alone, j.file.Judge, j.file.Part.Thickness, j.file.Analysis}
	for i := range j.in.metals {
		in = append(in, j.in.cardKeys[fmt.Sprintf("compare.metals[%d]", i)])
	}
	in = append(in, j.in.cardKeys["compare.short_fibre"])
	return keyOf(stageProve, in...)
}

func (j *Job) makeProof(ctx context.Context, m meshed, l laid) (proven, error) {
	j.tell("proof", 0.65)
	var out proven
	in, err := j.proofInput(m, l, &out)
	if err != nil {
		return out, err
	}
	if !j.opt.Alone {
		if out.Straight, err = j.straightPrint(ctx, m, l); err != nil {
			return out, err
		}
	}
	in.StraightPrint = out.Straight
	res, err := proof.Prove(ctx, in)
	if err != nil {
		return out, j.numbersOrInput(ctx, err)
	}
	out.Designs, out.Notes = res.Designs, res.Notes
	if err := j.keepPlate(&out, res.Plate); err != nil {
		return out, err
	}
	if d := res.Printed; d != nil {
		if err := j.readDetail(d, &out); err != nil {
			return out, err
		}
	}
	j.tell("findings", 0.85)
	out.Findings = check.Run(check.Input{
		Workers: j.opt.Workers,
		Print:   l.Print, Card: j.in.printer, Part: j.in.part, Bending: j.file.Analysis.Bending, TowArea: j.in.law.TowArea(),
		PlasticName: j.in.plastic.Title, PlasticTemperature: j.in.plastic.PrintTemperature, BedTemperature: j.in.plastic.BedTemperature,
		Utilisation: out.Use,
	})
	return out, nil
}

// proofInput gathers what is proved and what it is compared with; plastics
// above their limit are noted in out.
func (j *Job) proofInput(m meshed, l laid, out *proven) (proof.Input, error) {
	plastic, err := j.plain(j.in.plastic)
	if err != nil {
		return proof.Input{}, err
	}
	in := proof.Input{
		Part: j.in.part, Mesh: m.Mesh, Law: j.in.law, Plastic: plastic, CoverHeight: j.coverHeight(), CoverFill: j.coverFillAt(),
		Print: l.Print, Layup: l.Layup, Metals: j.in.metals, Plastics: []proof.Plain{plastic},
		Progress: func(what string) { j.tell("proof: "+what, 0.7) },
		Settings: j.judge(),
	}
	if in.Plate, err = j.plateWish(); err != nil {
		return in, err
	}
	angle := mainDirection(m.Reference)
	in.StraightAngle = &angle
	if p := j.in.shortFibre; p != nil {
		short, err := j.plain(*p)
		if err != nil {
			return in, err
		}
		in.Plastics = append(in.Plastics, short)
	}
	return in, nil
}

// judge says how failure is judged, alike for every design.
func (j *Job) judge() proof.Settings {
	t := j.file.Judge
	return proof.Settings{
		Radius: float64(t.Radius), Rule: proof.Rule(t.Notch), Notch: j.in.law.Notch(), Criterion: j.criterion(),
		Mask: float64(t.Mask), Bearing: float64(t.Bearing), Transfer: float64(t.Transfer),
		CoolDown: j.coolDown(), Collapse: t.Collapse, Alone: j.opt.Alone, Memory: j.file.Analysis.memory(), Workers: j.opt.Workers,
	}
}

// plain puts a plastic into the job's state.
func (j *Job) plain(p material.Plastic) (proof.Plain, error) {
	s, err := p.In(j.in.state)
	if err != nil {
		return proof.Plain{}, asInput(FileName, "material.temperature", err)
	}
	_, k := j.in.law.KnockDowns()
	return proof.Plain{ID: p.ID, Title: p.Title, State: s.Weakened(k.Matrix), KnockDown: k.Matrix, AcrossLines: p.AcrossLines, AcrossLayers: p.AcrossLayers, Density: p.Density, PricePerKilo: p.PricePerKilo}, nil
}

// readDetail keeps of the analysis as printed what figures, probes and
// findings need.
func (j *Job) readDetail(d *proof.Detail, out *proven) error {
	points, weights := d.System.Points(), d.System.Weights()
	out.FibreUse = make([]float64, len(points)/stress.PointsPerTri)
	for t := range out.FibreUse {
		out.FibreUse[t] = math.NaN()
	}
	for i, p := range points {
		use := math.NaN()
		for l := range d.Layers {
			if d.Layers[l].Covered(i) && !(use >= d.Fibre[l][i]) {
				use = d.Fibre[l][i]
			}
		}
		if math.IsNaN(use) {
			continue
		}
		out.Use = append(out.Use, check.Utilisation{At: p, Area: weights[i], Value: use})
		if t := i / stress.PointsPerTri; !(out.FibreUse[t] >= use) {
			out.FibreUse[t] = use
		}
	}
	out.Strength = j.strengthRecord(d)
	if e := d.Equations; e.Unknowns > 0 {
		out.Equations = &EquationsRecord{e.Unknowns, e.Bytes, e.Iterated, e.Condition}
	}
	return j.readAnswers(d.System, d.Sheet, d.Solution, out)
}

// readAnswers keeps balance and probes of an analysis.
func (j *Job) readAnswers(sys *stress.System, sheet stress.Sheet, sol *stress.Solution, out *proven) error {
	for i := range sol.Cases {
		c := &sol.Cases[i]
		out.Cases = append(out.Cases, CaseRecord{Name: j.in.part.Cases[i].Name, Factor: j.in.part.Cases[i].Factor, Imbalance: c.Imbalance, Residual: c.Residual, Reactions: c.Reactions})
	}
	readings, err := sys.Probes(sol, sheet)
	if err != nil {
		return asInput(FileName, "probe", err)
	}
	for _, r := range readings {
		out.Probes = append(out.Probes, j.probeRecord(r))
	}
	return nil
}

func (j *Job) probeRecord(r stress.Reading) ProbeRecord {
	p := j.in.part.Probes[r.Probe]
	xy := func(v geom.Point) [2]float64 { return [2]float64{v.X, v.Y} }
	return ProbeRecord{
		Name: p.Name, Case: j.in.part.Cases[r.Case].Name, OnFeature: p.Feature >= 0,
		U: xy(r.Displacement), Strain: r.Strain, Stress: r.Stress, Reaction: [2]float64{r.Reaction[0], r.Reaction[1]},
	}
}
