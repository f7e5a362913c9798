package job

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"sinew/geom"
	"sinew/mesh"
	"sinew/proof"
	"sinew/strand"
)

// Views answers questions about a job's results point by point: what a board
// draws and a section plots. It holds what a run has found so far, or what one
// left behind; what is asked of a design is analysed when first asked, and the
// last few analyses are kept. Any number of goroutines may ask.
type Views struct {
	job   *Job
	mesh  meshed
	lay   *laid   // nil before the strands are laid
	proof *proven // nil before the proof

	mu    sync.Mutex
	exams []*examined // most recent first
	// before is the last examination of the print, from which a quick re-analysis
	// takes what has not changed.
	before  *proof.Examination
	locator *mesh.Locator
	strands *strandLines
}

// examined is the analysis of one design.
type examined struct {
	name string
	once sync.Once
	x    *proof.Examination
	err  error
}

// maxExams bounds the memory of kept analyses.
const maxExams = 3

// ErrNoResults says that there is nothing to look at yet.
var ErrNoResults = errors.New("there are no results yet; run the job")

// KeptViews opens the results that the last run left in the job's folder. When
// the job file has been changed since, they are those of the text that was run,
// as long as the journal still has it.
func KeptViews(dir string, o Options) (*Views, error) {
	rec, err := readRecordOf(dir, o)
	if err != nil {
		return nil, err
	}
	j, err := jobOfRecord(dir, o, rec)
	if err != nil {
		return nil, err
	}
	v := &Views{job: j}
	stage := func(name string) string { return filepath.Join(j.out, stagesFolder, name+".gob") }
	meshKey := j.meshKey()
	m, ok := load[meshed](stage(stageMesh), meshKey)
	if !ok {
		return nil, ErrNoResults
	}
	v.mesh = m
	layKey := j.layKey(meshKey)
	if l, ok := load[laid](stage(stageLay), layKey); ok {
		v.lay = &l
	}
	if p, ok := load[proven](stage(stageProve), j.proveKey(layKey)); ok && v.lay != nil {
		v.proof = &p
	}
	return v, nil
}

// readRecordOf reads the kept record.
func readRecordOf(dir string, o Options) (*Record, error) {
	data, err := os.ReadFile(filepath.Join(jobIn(dir, o).out, resultName))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrNoResults
	}
	rec := new(Record)
	if err == nil {
		err = json.Unmarshal(data, rec)
	}
	if err != nil {
		return nil, fmt.Errorf("the kept record cannot be read: %w; run the job again", err)
	}
	return rec, nil
}

// jobOfRecord prepares the job that a record is of: its present text, or an
// earlier one from the journal.
func jobOfRecord(dir string, o Options, rec *Record) (*Job, error) {
	now, err := readInput(filepath.Join(dir, FileName), FileName, maxJobBytes)
	if err != nil {
		return nil, err
	}
	texts := [][]byte{now}
	for _, in := range rec.Inputs {
		if in.Kind == "job" {
			if old, ok := NewJournal(dir).text(in.SHA256); ok {
				texts = append(texts, old)
			}
		}
	}
	for _, text := range texts {
		if j, err := prepare(dir, text, o); err == nil && j.InputHash() == rec.InputHash {
			return j, nil
		}
	}
	return nil, fmt.Errorf("the results are of another drawing, card or job file than those kept: %w", ErrNoResults)
}

// ViewsSummary says what can be asked.
type ViewsSummary struct {
	InputHash string       `json:"input_hash" doc:"of what the results belong to"`
	Has       []string     `json:"has" doc:"mesh, strands, proof: as far as there are results"`
	Cases     []string     `json:"cases"`
	Designs   []string     `json:"designs" doc:"the part as printed first; empty before the proof"`
	Layers    []LayerPlace `json:"layers" doc:"bottom to top"`
	Groups    []GroupPlace `json:"groups" doc:"composite layers that hold the same strands"`
	Fields    []FieldKind  `json:"fields" doc:"what field, section and at can show"`
	Shapes    []ShapeKind  `json:"shapes" doc:"what shape can show: the part as printed as a plate, as far as the job asks for it"`
	Triangles int          `json:"triangles"`
	Nodes     int          `json:"nodes"`
	Highest   float64      `json:"height_mm"`
}

// LayerPlace is one printed layer.
type LayerPlace struct {
	LayerRecord
	Composite int `json:"composite" doc:"index among the composite layers, -1 for plastic"`
	Group     int `json:"group" doc:"into groups, -1 for plastic"`
}

// GroupPlace is a group of equal layers.
type GroupPlace struct {
	Family string `json:"family"`
	Layers []int  `json:"layers" doc:"into layers"`
}

// Summary says what can be asked of these results.
func (v *Views) Summary() *ViewsSummary {
	s := &ViewsSummary{
		InputHash: v.job.InputHash(), Has: []string{"mesh"}, Designs: []string{}, Layers: []LayerPlace{}, Groups: []GroupPlace{}, Fields: []FieldKind{}, Shapes: v.shapeKinds(),
		Triangles: len(v.mesh.Mesh.Tris), Nodes: len(v.mesh.Mesh.Nodes),
	}
	for _, c := range v.job.in.part.Cases {
		s.Cases = append(s.Cases, c.Name)
	}
	if v.lay == nil {
		return s
	}
	s.Has = append(s.Has, "strands")
	groups, of := v.layerGroups()
	for i := range v.lay.Print.Layers {
		y := &v.lay.Print.Layers[i]
		s.Layers = append(s.Layers, LayerPlace{LayerRecord: layerRecord(v.lay, y), Composite: y.Composite, Group: of[i]})
		s.Highest = math.Max(s.Highest, y.Z)
	}
	for _, g := range groups {
		s.Groups = append(s.Groups, GroupPlace{v.familyOf(g[0]), g})
	}
	if v.proof == nil {
		return s
	}
	s.Has = append(s.Has, "proof")
	for _, d := range v.proof.Designs {
		s.Designs = append(s.Designs, d.Name)
	}
	s.Fields = append(s.Fields, fieldKinds()...)
	return s
}

// layerRecord describes a layer as the record does.
func layerRecord(l *laid, y *strand.Layer) LayerRecord {
	out := LayerRecord{Index: y.Index, Kind: "plastic", TopMM: y.Z, HeightMM: y.Height}
	if y.Kind == strand.Composite {
		out.Kind, out.Family = "composite", l.Layup.Families[y.Family].Name
		s := y.Stats(l.Print)
		out.Strands, out.LengthMM = s.Count, s.Length
	}
	return out
}

func (v *Views) familyOf(layer int) string {
	return v.lay.Layup.Families[v.lay.Print.Layers[layer].Family].Name
}

// layerGroups joins composite layers whose strands lie alike: of one family,
// with the same centre lines but for the way they are run.
func (v *Views) layerGroups() (groups [][]int, of []int) {
	layers := v.lay.Print.Layers
	of = make([]int, len(layers))
	known := map[string]int{}
	for i := range layers {
		of[i] = -1
		if layers[i].Kind != strand.Composite {
			continue
		}
		sign := layerSign(&layers[i])
		g, ok := known[sign]
		if !ok {
			g = len(groups)
			known[sign] = g
			groups = append(groups, nil)
		}
		of[i] = g
		groups[g] = append(groups[g], i)
	}
	return groups, of
}

// layerSign tells layers apart by their strands' ends, in either direction,
// and lengths.
func layerSign(y *strand.Layer) string {
	lines := make([]string, len(y.Strands))
	for i := range y.Strands {
		s := &y.Strands[i]
		pts := s.Once()
		a, b := pts[0], pts[len(pts)-1]
		if b.X < a.X || b.X == a.X && b.Y < a.Y {
			a, b = b, a
		}
		lines[i] = fmt.Sprintf("%v %v %d %v", a, b, len(pts), s.Level)
	}
	slices.Sort(lines)
	return fmt.Sprintf("%d %g\n", y.Family, y.Height) + strings.Join(lines, "\n")
}

// examine analyses a design, once.
func (v *Views) examine(ctx context.Context, design int) (*proof.Examination, error) {
	if v.proof == nil || design < 0 || design >= len(v.proof.Designs) {
		return nil, noView("there is no design %d to look at yet", design)
	}
	name := v.proof.Designs[design].Name
	v.mu.Lock()
	i := slices.IndexFunc(v.exams, func(e *examined) bool { return e.name == name })
	var e *examined
	if i >= 0 {
		e = v.exams[i]
		v.exams = slices.Delete(v.exams, i, i+1)
	} else {
		e = &examined{name: name}
	}
	v.exams = append([]*examined{e}, v.exams[:min(len(v.exams), maxExams-1)]...)
	v.mu.Unlock()
	e.once.Do(func() {
		in, err := v.job.proofInput(v.mesh, *v.lay, &proven{})
		in.StraightPrint = v.proof.Straight
		if err == nil {
			in.Progress = nil // the run that made these results is over
			e.x, err = proof.Examine(context.WithoutCancel(ctx), in, name)
		}
		if err == nil && design == 0 {
			v.mu.Lock()
			v.before = e.x
			v.mu.Unlock()
		}
		e.err = err
	})
	return e.x, e.err
}

// noView says that something is not there to be looked at.
func noView(format string, args ...any) error {
	return &InputError{[]Fault{{What: fmt.Sprintf(format, args...), Remedy: "see views for what there is"}}}
}

// checkCase refuses a case that is not there; -1 stands for all where that
// means something.
func (v *Views) checkCase(c, least int) error {
	if c < least || c >= len(v.job.in.part.Cases) {
		return noView("there is no case %d", c)
	}
	return nil
}

// Place is a point of the part, mm.
func Place(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }
