package study

import (
	"encoding/json"
	"fmt"
	"strings"

	"github.com/invopop/jsonschema"

	"sinew/job"
)

// Record is what a study found: out/study.json and the answer to --json. It holds
// no clock reading and nothing of who computed what: the same input gives the
// same bytes.
type Record struct {
	Study     string           `json:"study" jsonschema_description:"name of the study"`
	Job       string           `json:"job" jsonschema_description:"name of the job"`
	InputHash string           `json:"input_hash" jsonschema_description:"of the job as it stands, before any key is set"`
	StudyHash string           `json:"study_hash" jsonschema_description:"SHA-256 of the study file"`
	Version   string           `json:"version" jsonschema_description:"version of the program"`
	Stage     string           `json:"stage" jsonschema:"enum=lay,enum=prove,enum=post"`
	Sample    string           `json:"sample" jsonschema_description:"how the points were chosen"`
	MustPass  bool             `json:"must_pass" jsonschema_description:"points that fail the job's own verdict are off the front"`
	Files     []packed         `json:"files" jsonschema_description:"what the points were computed with beside the job file"`
	Set       []SetRecord      `json:"set"`
	Variables []VariableRecord `json:"variables"`
	Columns   []ColumnRecord   `json:"columns" jsonschema_description:"aims, then what is only limited; the figures of a point stand in this order"`
	Counts    CountsRecord     `json:"counts"`
	Complete  bool             `json:"complete" jsonschema_description:"no point is open"`
	Front     []int            `json:"front" jsonschema_description:"numbers of the points that meet the limits and that none betters in every aim"`
	Ties      [][]int          `json:"ties" jsonschema_description:"points of the front that are equal in all aims"`
	Effects   []EffectRecord   `json:"effects" jsonschema_description:"means over all points with a figure, value by value"`
	Points    []PointRecord    `json:"points"`
}

// Figures holds one figure a column; nil where there is none.
type Figures []*float64

// JSONSchema tells the schema of numbers and nulls.
func (Figures) JSONSchema() *jsonschema.Schema {
	return &jsonschema.Schema{Type: "array", Items: &jsonschema.Schema{OneOf: []*jsonschema.Schema{{Type: "number"}, {Type: "null"}}}}
}

// SetRecord is a key with the same value in every point.
type SetRecord struct {
	Key   string `json:"key"`
	Value string `json:"value"`
}

// VariableRecord is one variable.
type VariableRecord struct {
	Name   string   `json:"name"`
	Keys   []string `json:"keys"`
	Values []string `json:"values" jsonschema_description:"its values; of one that is drawn from a span the two ends"`
	Drawn  bool     `json:"drawn" jsonschema_description:"any value between the two ends"`
}

// ColumnRecord is one figure that was asked for.
type ColumnRecord struct {
	Name  string   `json:"name"`
	Unit  string   `json:"unit,omitempty"`
	Want  string   `json:"want,omitempty" jsonschema:"enum=greatest,enum=least" jsonschema_description:"empty: no aim"`
	Least *float64 `json:"least,omitempty"`
	Most  *float64 `json:"most,omitempty"`
}

// Title is the head of the column with its unit.
func (c ColumnRecord) Title() string {
	if c.Unit == "" {
		return c.Name
	}
	return c.Name + " " + c.Unit
}

// CountsRecord counts points by their state, and the distinct ones.
type CountsRecord struct {
	Points   int `json:"points"`
	Distinct int `json:"distinct" jsonschema_description:"points whose job file differs; the others are computed with them"`
	Meets    int `json:"meets"`
	Misses   int `json:"misses"`
	Refused  int `json:"refused"`
	Open     int `json:"open"`
}

// The states of a point.
const (
	Meets   = "meets"   // every limit and, where asked, the job's own verdict
	Misses  = "misses"  // one of them; the reasons say which
	Refused = "refused" // the job cannot be carried out with these values
	Open    = "open"    // not computed yet
)

// PointRecord is one point.
type PointRecord struct {
	Number    int        `json:"number"`
	Values    []string   `json:"values" jsonschema_description:"one a variable"`
	State     string     `json:"state" jsonschema:"enum=meets,enum=misses,enum=refused,enum=open"`
	Rank      int        `json:"rank,omitempty" jsonschema_description:"among the points that meet the limits: 1 is the front, 2 the front without it, and so on"`
	SameAs    int        `json:"same_as,omitempty" jsonschema_description:"an earlier point with the same job file"`
	InputHash string     `json:"input_hash,omitempty" jsonschema_description:"of the job at this point"`
	Figures   Figures    `json:"figures" jsonschema_description:"one a column; null where there is none"`
	Governing *Governing `json:"governing,omitempty" jsonschema_description:"least reserve factor of all cases"`
	Reasons   []string   `json:"reasons" jsonschema_description:"why it misses or is refused"`
}

// Governing is what a point fails by first.
type Governing struct {
	Reserve float64 `json:"reserve_factor"`
	Mode    string  `json:"mode"`
	Case    string  `json:"case"`
	X       float64 `json:"x_mm"`
	Y       float64 `json:"y_mm"`
	Layer   int     `json:"composite_layer" jsonschema_description:"-1: the whole thickness"`
	Feature string  `json:"feature,omitempty"`
}

// EffectRecord is the main effect of a variable: how the mean of each figure goes
// with its values.
type EffectRecord struct {
	Variable string        `json:"variable"`
	Levels   []LevelRecord `json:"levels"`
}

// LevelRecord is one value of it.
type LevelRecord struct {
	Value  string  `json:"value"`
	Points int     `json:"points" jsonschema_description:"with a record, whether they meet the limits or not"`
	Means  Figures `json:"means" jsonschema_description:"one a column, over the points that have the figure"`
}

// ResultSchema returns the JSON Schema of out/study.json.
func ResultSchema() ([]byte, error) {
	return job.SchemaOf(new(Record), "Result of a study of sinew", "out/study.json: what was tried, what came of it, and which points none betters.")
}

// newRecord judges the answers, one a point.
func (p *plan) newRecord(answers []*task) *Record {
	f := p.file
	r := &Record{
		Version: job.Version, Stage: f.Stage, Sample: p.sampleText(), MustPass: f.MustPass == nil || *f.MustPass,
		Files: []packed{}, Set: []SetRecord{}, Front: []int{}, Ties: [][]int{}, Effects: []EffectRecord{},
	}
	if r.Stage == "" {
		r.Stage = "prove"
	}
	for _, s := range f.Set {
		r.Set = append(r.Set, SetRecord{s.Key, fmt.Sprint(s.Value)})
	}
	for i := range p.vars {
		r.Variables = append(r.Variables, p.vars[i].record())
	}
	for _, c := range p.columns {
		m, _ := measureOf(c.Figure.Figure)
		r.Columns = append(r.Columns, ColumnRecord{c.label(), m.unit, c.want, c.least, c.most})
	}
	first := map[*task]int{}
	for i, t := range answers {
		pt := p.pointRecord(i, t, r.MustPass)
		if n, ok := first[t]; ok {
			pt.SameAs = n
		} else {
			first[t] = pt.Number
		}
		r.Points = append(r.Points, pt)
		r.Counts.add(pt.State)
	}
	r.Counts.Distinct = len(first)
	r.Complete = r.Counts.Open == 0
	p.rank(r)
	for k := range p.vars {
		if p.vars[k].levels != nil {
			r.Effects = append(r.Effects, p.effect(k, r))
		}
	}
	return r
}

func (p *plan) sampleText() string {
	if s := p.file.Sample; s.How == "spread" {
		return fmt.Sprintf("%d points spread evenly, seed %d", s.Points, s.Seed)
	}
	return "every combination of the values"
}

func (v *variable) record() VariableRecord {
	out := VariableRecord{Name: v.name, Keys: v.keys, Drawn: v.levels == nil}
	for i, l := range v.levels {
		out.Values = append(out.Values, value{l, i}.String())
	}
	if out.Drawn {
		for _, share := range []float64{0, 1} {
			out.Values = append(out.Values, fmt.Sprint(v.span.at(share)))
		}
	}
	return out
}

func (c *CountsRecord) add(state string) {
	c.Points++
	switch state {
	case Meets:
		c.Meets++
	case Misses:
		c.Misses++
	case Refused:
		c.Refused++
	case Open:
		c.Open++
	}
}

// pointRecord reads the figures of a point and holds them to the limits.
func (p *plan) pointRecord(i int, t *task, mustPass bool) PointRecord {
	out := PointRecord{Number: i + 1, State: Open, Figures: make(Figures, len(p.columns)), Reasons: []string{}}
	for _, v := range p.points[i].values {
		out.Values = append(out.Values, v.String())
	}
	if t.answer == nil {
		return out
	}
	if r := t.answer.Refused; len(r) > 0 {
		out.State = Refused
		for _, f := range r {
			out.Reasons = append(out.Reasons, f.String())
		}
		return out
	}
	rec := t.answer.Record
	out.State, out.InputHash = Meets, rec.InputHash
	if d := printed(rec); d != nil && d.Governing != nil {
		g := d.Governing
		out.Governing = &Governing{g.Reserve, g.Mode, g.Case, g.X, g.Y, g.Layer, g.Feature}
	}
	for k := range p.columns {
		c := &p.columns[k]
		m, _ := measureOf(c.Figure.Figure)
		if v, ok := m.read(rec, &c.Figure); ok {
			out.Figures[k] = &v
		}
		out.Reasons = append(out.Reasons, c.misses(out.Figures[k], m.unit)...)
	}
	if mustPass && rec.Verdict != nil && !rec.Verdict.Passes {
		out.Reasons = append(out.Reasons, rec.Verdict.Reasons...)
	}
	if len(out.Reasons) > 0 {
		out.State = Misses
	}
	return out
}

// misses says which bounds a figure does not keep.
func (c *column) misses(v *float64, unit string) []string {
	if v == nil {
		return []string{fmt.Sprintf("there is no %s", c.label())}
	}
	var out []string
	say := func(how string, bound float64) {
		out = append(out, strings.TrimSpace(fmt.Sprintf("%s is %.5g, %s %.5g %s", c.label(), *v, how, bound, unit)))
	}
	if c.least != nil && *v < *c.least {
		say("less than", *c.least)
	}
	if c.most != nil && *v > *c.most {
		say("more than", *c.most)
	}
	return out
}

// rank finds the front among the points that meet the limits.
func (p *plan) rank(r *Record) {
	var list []int // into Points
	var aims [][]float64
	for i := range r.Points {
		if r.Points[i].State != Meets {
			continue
		}
		var row []float64
		for k, c := range p.columns {
			switch v := r.Points[i].Figures[k]; c.want {
			case "least":
				row = append(row, *v)
			case "greatest":
				row = append(row, -*v)
			}
		}
		list, aims = append(list, i), append(aims, row)
	}
	var front []int // into list
	for n, rank := range ranks(aims) {
		r.Points[list[n]].Rank = rank
		if rank == 1 {
			front = append(front, n)
			r.Front = append(r.Front, r.Points[list[n]].Number)
		}
	}
	for _, group := range ties(front, aims) {
		for i, n := range group {
			group[i] = r.Points[list[n]].Number
		}
		r.Ties = append(r.Ties, group)
	}
}

// effect takes means over the points that share a variable's value.
func (p *plan) effect(k int, r *Record) EffectRecord {
	v := &p.vars[k]
	out := EffectRecord{Variable: v.name}
	for l := range v.levels {
		level := LevelRecord{Value: value{v.levels[l], l}.String(), Means: make(Figures, len(p.columns))}
		sums, counts := make([]float64, len(p.columns)), make([]int, len(p.columns))
		for i := range r.Points {
			pt := &r.Points[i]
			if p.points[i].values[k].level != l || pt.State == Open || pt.State == Refused {
				continue
			}
			level.Points++
			for c, f := range pt.Figures {
				if f != nil {
					sums[c] += *f
					counts[c]++
				}
			}
		}
		for c, n := range counts {
			if n > 0 {
				mean := sums[c] / float64(n)
				level.Means[c] = &mean
			}
		}
		out.Levels = append(out.Levels, level)
	}
	return out
}

// Point returns the point of a number.
func (r *Record) Point(number int) *PointRecord { return &r.Points[number-1] }

// JSON writes the record as it stands in out/study.json.
func (r *Record) JSON() ([]byte, error) {
	data, err := json.MarshalIndent(r, "", "  ")
	return append(data, '\n'), err
}
