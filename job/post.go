package job

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"sinew/printer"
	"sinew/program"
	"sinew/proof"
	"sinew/strand"
)

// programName is the machine program's file; the extension is the one that
// ISO 6983 programs commonly have.
const programName = "program.nc"

// maxProgramBytes bounds a program that is read.
const maxProgramBytes = 1 << 30

// posted is the kept result of the program stage.
type posted struct {
	Text     []byte
	Record   ProgramRecord
	Findings []FindingRecord // of the program as read back
	// StraightTime and StraightCost are those of the straight print it is
	// compared with; 0 where there is none.
	StraightTime, StraightCost float64
}

// post writes the machine program, reads it back, and adds both to the
// results; nothing is written while a finding stops the print or where the
// read-back finds a fault.
func (j *Job) post(ctx context.Context, r *Results, l laid, straight *strand.Print, layKey key) error {
	if ids := r.stops(); len(ids) > 0 {
		r.Record.Warnings = append(r.Record.Warnings, fmt.Sprintf("no machine program was written: findings stop it (%s)", strings.Join(ids, ", ")))
		j.stale = append(j.stale, programName)
		return nil
	}
	j.tell("machine program", 0.9)
	k := keyOf(stageProgram, layKey, j.opt.Alone, j.in.cardKeys["material.plastic"], j.in.hash, j.batch())
	p, err := once(j, stageProgram, k, func() (posted, error) { return j.makeProgram(ctx, l, straight) })
	if err != nil {
		return err
	}
	r.Record.Findings = append(r.Record.Findings, p.Findings...)
	for i := range r.Record.Findings {
		f := &r.Record.Findings[i]
		f.Allowed = f.Severity == program.Stop.String() && slices.Contains(j.allowed, f.ID)
	}
	if ids := r.stops(); len(ids) > 0 {
		r.Record.Warnings = append(r.Record.Warnings, fmt.Sprintf("the machine program was not kept: reading it back finds what stops it (%s)", strings.Join(ids, ", ")))
		j.stale = append(j.stale, programName)
		return nil
	}
	r.Record.Program = &p.Record
	r.AddFile(programName, p.Text)
	r.Record.Warnings = append(r.Record.Warnings, p.Record.spoolWarnings(j.in.printer.Templates["pause"] != nil)...)
	for i := range r.Record.Designs {
		switch d := &r.Record.Designs[i]; d.ID {
		case proof.Printed:
			d.TimeS, d.Cost = p.Record.TimeEachS, p.Record.CostEach
		case proof.StraightPrinted:
			d.TimeS, d.Cost = p.StraightTime, p.StraightCost
		}
	}
	return nil
}

func (j *Job) programSettings() program.Settings {
	return program.Settings{
		TowArea: j.in.law.TowArea(), PlasticTemperature: j.in.plastic.PrintTemperature, BedTemperature: j.in.plastic.BedTemperature,
		PlasticDensity: j.in.plastic.Density, TowLinearDensity: j.in.law.Tow().LinearDensity(),
		PlasticPerKilo: j.in.plastic.PricePerKilo, TowPerMetre: j.in.law.Tow().PerMetre(),
		Name: j.file.Name, Hash: j.in.hash.String(), Advice: Caution,
		Spools: j.spools(),
		TooHot: true, // a finding, which only the user lets pass
	}
}

func (j *Job) makeProgram(ctx context.Context, l laid, straight *strand.Print) (posted, error) {
	var text bytes.Buffer
	set := j.programSettings()
	pr, err := j.placed(l.Print, &set)
	if err != nil {
		return posted{}, err
	}
	sum, err := program.Write(&text, pr, j.in.printer, set)
	if err != nil {
		return posted{}, j.numbersOrInput(ctx, err)
	}
	back, err := program.Read(bytes.NewReader(text.Bytes()), j.in.printer)
	if err != nil {
		return posted{}, fmt.Errorf("the program just written cannot be read back: %w", err)
	}
	cmp := program.Compare(pr, back, j.in.printer, set)
	if err := ownFaults(cmp); err != nil {
		return posted{}, err
	}
	hash := sha256.Sum256(text.Bytes())
	rec := ProgramRecord{
		File: programName, Bytes: text.Len(), SHA256: hex.EncodeToString(hash[:]), TimeS: sum.Time, LengthM: sum.Tow / 1000,
		PlasticG: sum.PlasticMass, TowG: sum.TowMass, Cuts: sum.Cuts, Swaps: sum.Swaps, Cost: sum.Cost,
		ReadBack: ReadBack{Strands: cmp.Strands, Cuts: cmp.Cuts, WorstLengthMM: cmp.WorstLength, VolumeDifference: cmp.VolumeDifference, Agrees: cmp.Agrees()},
	}
	for _, c := range sum.CostParts {
		rec.CostParts = append(rec.CostParts, CostRecord(c))
	}
	rec.addPlan(sum, j.batch(), set.PlasticDensity)
	out := posted{Text: text.Bytes(), Record: rec, Findings: readFindings(back)}
	if straight != nil {
		alone := j.programSettings()
		alone.Spools = program.Spools{} // a design on paper, not a print to be watched
		sum, err := program.Write(io.Discard, straight, j.in.printer, alone)
		if err != nil {
			return posted{}, j.numbersOrInput(ctx, err)
		}
		out.StraightTime, out.StraightCost = sum.Time, sum.Cost
	}
	return out, ctx.Err()
}

// ownFaults refuses a program of ours that prints something else than the plan.
func ownFaults(cmp *program.Comparison) error {
	list := cmp.Differences
	if len(list) == 0 {
		return nil
	}
	const most = 10
	return fmt.Errorf("the program was not kept: reading it back finds\n%s", strings.Join(list[:min(len(list), most)], "\n"))
}

// readFindings turns what reading back finds into findings of the job: one for
// each id, at its first line.
func readFindings(back *program.Readback) []FindingRecord {
	var out []FindingRecord
	at := map[string]int{}
	for _, f := range back.Findings {
		if i, ok := at[f.ID]; ok {
			out[i].Count++
			continue
		}
		at[f.ID] = len(out)
		out = append(out, FindingRecord{ID: f.ID, Severity: f.Severity.String(), Layer: -1, Count: 1, What: fmt.Sprintf("machine program, line %d: %s", f.Line, f.What), Remedy: f.Remedy})
	}
	return out
}

// ReadRecord is what a machine program prints and what forbids it.
type ReadRecord struct {
	File        string        `json:"file"`
	SHA256      string        `json:"sha256"`
	Printer     string        `json:"printer"`
	Layers      int           `json:"layers"`
	Strands     int           `json:"strands"`
	Beads       int           `json:"plastic_beads"`
	Cuts        int           `json:"cuts"`
	LengthMM    float64       `json:"tow_length_mm"`
	PlasticMM3  float64       `json:"plastic_mm3"`
	TimeS       float64       `json:"time_s"`
	OverAirMM   float64       `json:"longest_over_air_mm" jsonschema_description:"longest way of a strand or bead with nothing under it, within 2 mm; 0 where the printer's card knows no bridges"`
	Findings    []ReadFinding `json:"findings"`
	Differences []string      `json:"differences" jsonschema_description:"from the job's plan, where a job is given, in words"`
	Changes     []ReadChange  `json:"changes" jsonschema_description:"the same, with their places"`
	Paths       []ReadStrand  `json:"paths" jsonschema_description:"each strand as rebuilt from the text"`
	Good        bool          `json:"good" jsonschema_description:"nothing forbids it, and it agrees with the plan where one is given"`
}

// ReadFinding is a finding with its line.
type ReadFinding struct {
	ID       string `json:"id"`
	Severity string `json:"severity"`
	Line     int    `json:"line"`
	What     string `json:"what"`
	Remedy   string `json:"remedy"`
}

// ReadChange is one thing that a program prints otherwise than planned.
type ReadChange struct {
	Layer  int    `json:"layer" jsonschema_description:"from 0, bottom to top, as in strands.csv; -1: of the whole program"`
	Strand int    `json:"strand,omitempty" jsonschema_description:"in its layer, from 1, as in strands.csv"`
	Bead   int    `json:"bead,omitempty" jsonschema_description:"plain plastic, in its layer, from 1"`
	Line   int    `json:"line" jsonschema_description:"of the program; of what is missing, the line after which it was to come"`
	What   string `json:"what"`
}

// ReadStrand sums up one strand of a program.
type ReadStrand struct {
	Layer    int     `json:"layer" jsonschema_description:"from 1, bottom to top"`
	Line     int     `json:"line"`
	LengthMM float64 `json:"length_mm"`
}

// ReadProgram reads a machine program for a printer. With a job's folder it
// also compares it with that job's plan.
func ReadProgram(ctx context.Context, path, printerID, cardsDir, jobDir string) (*ReadRecord, error) {
	text, err := readInput(path, path, maxProgramBytes)
	if err != nil {
		return nil, err
	}
	j := cardFolder(cardsDir)
	if jobDir != "" {
		if j, err = Open(jobDir, Options{Cards: cardsDir}); err != nil {
			return nil, err
		}
		defer j.Close()
	}
	card, err := j.printerFor(printerID)
	if err != nil {
		return nil, err
	}
	back, err := program.Read(bytes.NewReader(text), card)
	if err != nil {
		return nil, programFault(path, err)
	}
	hash := sha256.Sum256(text)
	out := readRecord(filepath.Base(path), back)
	out.SHA256, out.Printer = hex.EncodeToString(hash[:]), card.ID
	if jobDir != "" {
		l, err := j.plan(ctx)
		if err != nil {
			return nil, err
		}
		set := j.programSettings()
		pr, err := j.placed(l.Print, &set)
		if err != nil {
			return nil, err
		}
		changes, err := j.changes(ctx, pr, back, card, set)
		if err != nil {
			return nil, err
		}
		for _, c := range changes {
			out.Changes = append(out.Changes, ReadChange{c.Layer, c.Strand, c.Bead, c.Line, c.What})
			out.Differences = append(out.Differences, c.String())
		}
	}
	out.Good = back.Good() && len(out.Differences) == 0
	return out, nil
}

// changes compares a program with the one that the plan gives.
func (j *Job) changes(ctx context.Context, pr *strand.Print, back *program.Readback, c *printer.Card, set program.Settings) ([]program.Change, error) {
	var text bytes.Buffer
	if _, err := program.Write(&text, pr, c, set); err != nil {
		return nil, j.numbersOrInput(ctx, err)
	}
	planned, err := program.Read(&text, c)
	if err != nil {
		return nil, fmt.Errorf("the plan's own program cannot be read back: %w", err)
	}
	return program.Changes(planned, back), nil
}

// programFault turns a syntax error into a fault of the input with its place.
func programFault(path string, err error) error {
	var bad *program.SyntaxError
	if errors.As(err, &bad) {
		return &InputError{[]Fault{{File: path, Line: bad.Line, Column: bad.Column, What: bad.What, Remedy: bad.Remedy}}}
	}
	return asInput(path, "", err)
}

// printerFor reads a printer card outside the job's own choice.
func (j *Job) printerFor(id string) (*printer.Card, error) {
	return readAs(j, &inputs{cardKeys: map[string]key{}}, "printer", id, "--printer", printer.FromCard)
}

// plan returns the strands of the job, made again where they are not kept.
func (j *Job) plan(ctx context.Context) (laid, error) {
	j.begin("read")
	m, meshKey, err := j.meshStage(ctx)
	if err != nil {
		return laid{}, err
	}
	l, _, err := j.layStage(ctx, m, meshKey)
	return l, err
}

func readRecord(name string, back *program.Readback) *ReadRecord {
	out := &ReadRecord{
		File: name, Layers: len(back.Layers), Strands: back.Strands, Beads: back.Beads, Cuts: back.Cuts,
		LengthMM: back.Tow, PlasticMM3: back.Plastic[0] + back.Plastic[1], TimeS: back.Time, OverAirMM: back.LongestOverAir,
		Findings: []ReadFinding{}, Differences: []string{}, Changes: []ReadChange{}, Paths: []ReadStrand{},
	}
	for _, f := range back.Findings {
		out.Findings = append(out.Findings, ReadFinding{f.ID, f.Severity.String(), f.Line, f.What, f.Remedy})
	}
	for i := range back.AllStrands {
		k := &back.AllStrands[i]
		out.Paths = append(out.Paths, ReadStrand{k.Layer + 1, k.Line, k.Length})
	}
	return out
}
