package study

import (
	"fmt"
	"path/filepath"
	"slices"

	"sinew/job"
)

// FileName is the study file in a job's folder.
const FileName = "study.toml"

// Limits of a study: they bound memory, not use.
const (
	maxVariables = 20
	maxPoints    = 5000
	maxColumns   = 20 // aims and limits together
)

// File is study.toml as the user writes it.
type File struct {
	Schema   string       `toml:"schema" json:"schema" jsonschema:"enum=sinew-study/1" jsonschema_description:"Always \"sinew-study/1\": which rules this file follows."`
	Name     string       `toml:"name" json:"name,omitempty" jsonschema_description:"What the study is called. Default: as the job."`
	Stage    string       `toml:"stage" json:"stage,omitempty" jsonschema:"enum=lay,enum=prove,enum=post" jsonschema_description:"How far each point is carried: lay (strands), prove (margins, the default), post (machine program: time and cost)."`
	MustPass *bool        `toml:"must_pass" json:"must_pass,omitempty" jsonschema_description:"Points that fail the job's own verdict (a finding that stops, a reserve below what [require] says) are off the front. Default true."`
	Sample   SampleTable  `toml:"sample" json:"sample,omitempty" jsonschema_description:"Which combinations of values are tried."`
	Set      []SetTable   `toml:"set" json:"set,omitempty" jsonschema_description:"Keys of the job that have another value in every point."`
	Vary     []VaryTable  `toml:"vary" json:"vary" jsonschema_description:"Variables: keys of the job that differ from point to point."`
	Aims     []AimTable   `toml:"aim" json:"aim" jsonschema_description:"What is wanted: figures that are to be greatest or least."`
	Limits   []LimitTable `toml:"limit" json:"limit,omitempty" jsonschema_description:"Bounds that a point has to keep to be on the front."`
}

// SampleTable is [sample].
type SampleTable struct {
	How    string `toml:"how" json:"how,omitempty" jsonschema:"enum=every,enum=spread" jsonschema_description:"every: each combination (default); spread: a given number of points, spread evenly by a low-discrepancy sequence."`
	Points int    `toml:"points" json:"points,omitempty" jsonschema_description:"Spread: how many points."`
	Seed   int    `toml:"seed" json:"seed,omitempty" jsonschema_description:"Spread: which of many equally good sets of points. Default 0."`
}

// SetTable is one [[set]].
type SetTable struct {
	Key   string `toml:"key" json:"key" jsonschema_description:"Key of the job file, such as layup.refine.steps."`
	Value any    `toml:"value" json:"value" jsonschema_description:"Its value, written as in the job file."`
}

// VaryTable is one [[vary]].
type VaryTable struct {
	Name   string   `toml:"name" json:"name,omitempty" jsonschema_description:"What the variable is called. Default: its key."`
	Key    string   `toml:"key" json:"key,omitempty" jsonschema_description:"Key of the job file, such as layup.family[0].spacing; list elements count from 0. Or"`
	Keys   []string `toml:"keys" json:"keys,omitempty" jsonschema_description:"several keys that change together, such as layers and thickness."`
	Values []any    `toml:"values" json:"values,omitempty" jsonschema_description:"The values, written as in the job file; with keys, each a list with one value a key. Or"`
	From   any      `toml:"from" json:"from,omitempty" jsonschema_description:"the first value: a number, or text with a unit;"`
	To     any      `toml:"to" json:"to,omitempty" jsonschema_description:"the last one, in the same unit;"`
	Count  int      `toml:"count" json:"count,omitempty" jsonschema_description:"how many values, the first and last among them. Left out: every whole number between two whole numbers; with spread any value between the two."`
}

// Figure names one figure of a point.
type Figure struct {
	Figure string `toml:"figure" json:"figure" jsonschema:"enum=reserve,enum=buckling,enum=stiffness,enum=displacement,enum=mass,enum=tow,enum=thickness,enum=strands,enum=cuts,enum=warnings,enum=time,enum=cost" jsonschema_description:"Which figure of the part as printed."`
	Case   string `toml:"case" json:"case,omitempty" jsonschema_description:"Reserve, buckling, stiffness, displacement: in this load case alone. Default: the worst of all cases; of stiffness the first case."`
	Mode   string `toml:"mode" json:"mode,omitempty" jsonschema:"enum=fibre,enum=matrix,enum=fibre tension,enum=fibre compression,enum=bearing at the pin,enum=plastic strength" jsonschema_description:"Reserve: by this mode alone; fibre is any failure of fibre, bearing included. Default: the least of all modes."`
	Probe  string `toml:"probe" json:"probe,omitempty" jsonschema_description:"Displacement: name of the job's probe."`
}

// AimTable is one [[aim]].
type AimTable struct {
	Figure
	Want string `toml:"want" json:"want" jsonschema:"enum=greatest,enum=least" jsonschema_description:"Whether it is to be greatest or least."`
}

// LimitTable is one [[limit]].
type LimitTable struct {
	Figure
	Least any `toml:"least" json:"least,omitempty" jsonschema_description:"It may not be less than this: a number, or text with a unit where the figure has one, such as \"40 g\". Or, and"`
	Most  any `toml:"most" json:"most,omitempty" jsonschema_description:"it may not be more."`
}

// Schema returns the JSON Schema of a study file.
func Schema() ([]byte, error) {
	return job.SchemaOf(new(File), "Study file of sinew", "study.toml: which keys of a job vary, what is wanted, and within which limits.")
}

// plan is a study as read and checked: what is left to do is to compute.
type plan struct {
	file    *File
	stage   job.Stage
	vars    []variable
	columns []column
	points  []point
}

// readPlan reads a study file for a job, given the job file's text.
func readPlan(data, jobText []byte) (*plan, error) {
	p := &plan{file: new(File)}
	b := job.ReadBeside(data, FileName, "docs/format/study.md", p.file)
	if err := b.Err(); err != nil {
		return nil, err
	}
	p.checkTop(b)
	if p.checkKeys(b); b.Err() == nil {
		p.readVariables(b)
	}
	base, err := job.Decode(jobText, job.FileName)
	if err != nil {
		return nil, err
	}
	p.readColumns(b, base)
	if err := b.Err(); err != nil {
		return nil, err
	}
	if err := p.draw(b, jobText); err != nil {
		return nil, err
	}
	return p, nil
}

// stageOf are the stages that a study may go to.
var stageOf = map[string]job.Stage{"lay": job.Lay, "": job.Prove, "prove": job.Prove, "post": job.Post}

func (p *plan) checkTop(b *job.Beside) {
	f, ok := p.file, false
	if f.Schema != "sinew-study/1" {
		b.Fault("schema", fmt.Sprintf("is %q", f.Schema), `write schema = "sinew-study/1"`)
	}
	if p.stage, ok = stageOf[f.Stage]; !ok {
		b.Fault("stage", fmt.Sprintf("is %q", f.Stage), "write lay, prove or post")
	}
	switch s := f.Sample; {
	case s.How != "" && s.How != "every" && s.How != "spread":
		b.Fault("sample.how", fmt.Sprintf("is %q", s.How), "write every or spread")
	case s.How != "spread" && s.Points != 0:
		b.Fault("sample.points", "goes with spread only", `delete it, or write how = "spread"`)
	case s.How != "spread" && s.Seed != 0:
		b.Fault("sample.seed", "goes with spread only", `delete it, or write how = "spread"`)
	case s.How == "spread" && (s.Points < 1 || s.Points > maxPoints):
		b.Fault("sample.points", fmt.Sprintf("is %d", s.Points), fmt.Sprintf("give 1 to %d points", maxPoints))
	}
	if n := len(f.Vary); n == 0 || n > maxVariables {
		b.Fault("vary", fmt.Sprintf("there are %d variables", n), fmt.Sprintf("give 1 to %d, each with [[vary]]", maxVariables))
	}
	if n := len(f.Aims) + len(f.Limits); len(f.Aims) == 0 || n > maxColumns {
		b.Fault("aim", fmt.Sprintf("there are %d aims and %d limits", len(f.Aims), len(f.Limits)), fmt.Sprintf("give at least one [[aim]], and no more than %d of both", maxColumns))
	}
}

// checkKeys insists on keys that the job file has, each given once.
func (p *plan) checkKeys(b *job.Beside) {
	var seen []string
	check := func(at, key string) {
		if err := job.CheckKey(key); err != nil {
			b.Fault(at, err.Error(), "name a key of the job file, list elements counted from 0")
		} else if slices.Contains(seen, key) {
			b.Fault(at, key+" is given twice", "keep one of the two")
		}
		seen = append(seen, key)
	}
	for i, s := range p.file.Set {
		check(fmt.Sprintf("set[%d].key", i), s.Key)
		if s.Value == nil {
			b.Fault(fmt.Sprintf("set[%d].value", i), "is missing", "give the value as in the job file")
		}
	}
	for i, v := range p.file.Vary {
		at := fmt.Sprintf("vary[%d].", i)
		if (v.Key == "") == (len(v.Keys) == 0) {
			b.Fault(at+"key", "a variable has a key, or a list of keys", `write key = "…" or keys = ["…", "…"]`)
			continue
		}
		if v.Key != "" {
			check(at+"key", v.Key)
		}
		for _, k := range v.Keys {
			check(at+"keys", k)
		}
	}
}

// readInput reads a file of the job's folder that a study needs.
func readInput(dir, name string, limit int64) ([]byte, error) {
	data, err := readLimited(filepath.Join(dir, name), limit)
	if err != nil {
		return nil, &job.InputError{Faults: []job.Fault{{File: filepath.Join(dir, name), What: "cannot be read: " + plainError(err), Remedy: "write it as docs/format/study.md says"}}}
	}
	return data, nil
}
