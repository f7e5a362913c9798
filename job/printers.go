package job

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"sinew/printer"
)

// printersFolder holds the results of the printers compared with, a folder for
// each.
const printersFolder = "printers"

// PrinterRecord is the part on one printer.
type PrinterRecord struct {
	Printer     string         `json:"printer"`
	Title       string         `json:"title"`
	Own         bool           `json:"own" jsonschema_description:"the job's printer"`
	Folder      string         `json:"folder,omitempty" jsonschema_description:"where its machine program lies, below the results"`
	Layers      int            `json:"layers"`
	ThicknessMM float64        `json:"thickness_mm" jsonschema_description:"that its layers come to"`
	MassG       float64        `json:"mass_g"`
	Governing   *MarginRecord  `json:"governing,omitempty"`
	Program     *ProgramRecord `json:"program,omitempty"`
	Findings    []FindingCount `json:"findings"`
	Notes       []string       `json:"notes" jsonschema_description:"what was changed to suit it, or why there is no program"`
}

// FindingCount is one kind of finding on a printer.
type FindingCount struct {
	ID       string `json:"id"`
	Severity string `json:"severity" jsonschema:"enum=note,enum=warn,enum=stop"`
	Count    int    `json:"count" jsonschema_description:"of findings; each may stand for several places"`
	What     string `json:"what" jsonschema_description:"of the first"`
}

// ComparePrinters adds printers to those that the job file compares with.
func (j *Job) ComparePrinters(ids []string) error {
	for _, id := range ids {
		if _, err := j.printerFor(id); err != nil {
			return err
		}
	}
	j.rivals = append(j.rivals, ids...)
	return nil
}

// others lists the printers to compare with, each once.
func (j *Job) others() []string {
	var out []string
	for _, id := range slices.Concat(j.file.Compare.Printers, j.rivals) {
		if id != j.file.Material.Printer && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}

// comparePrinters carries the job out on each other printer and sets all side
// by side.
func (j *Job) comparePrinters(ctx context.Context, r *Results, m meshed, meshKey key) error {
	ids := j.others()
	if len(ids) == 0 || j.opt.Alone {
		return nil
	}
	own := r.onPrinter()
	own.Own = true
	r.Record.Printers = []PrinterRecord{own}
	for i, id := range ids {
		j.tell("printer "+id, 0.92+0.08*float64(i)/float64(len(ids)))
		rec, err := j.rival(ctx, id, m, meshKey)
		if err != nil {
			return err
		}
		r.Record.Printers = append(r.Record.Printers, rec)
	}
	return nil
}

// rival is the part on another printer. What the printer cannot do is its
// answer, not an error.
func (j *Job) rival(ctx context.Context, id string, m meshed, meshKey key) (PrinterRecord, error) {
	begin := time.Now()
	sub, notes, err := j.withPrinter(id)
	if err != nil {
		return PrinterRecord{}, err
	}
	r, err := sub.carryOut(ctx, m, keyOf("printer", meshKey, sub.in.part.Thickness))
	var no *InputError
	switch {
	case errors.As(err, &no):
		out := PrinterRecord{Printer: id, Title: sub.in.printer.Title, ThicknessMM: sub.in.part.Thickness, Findings: []FindingCount{}, Notes: notes}
		for _, f := range no.Faults {
			out.Notes = append(out.Notes, "cannot be printed: "+f.String())
		}
		return out, nil
	case err != nil:
		return PrinterRecord{}, err
	}
	for _, f := range sub.files {
		j.files = append(j.files, outFile{filepath.Join(printersFolder, id, f.path), f.data})
	}
	for _, name := range sub.stale {
		j.stale = append(j.stale, filepath.Join(printersFolder, id, name))
	}
	if len(sub.run.Seconds) > 0 {
		j.run.Seconds["printer "+id] = time.Since(begin).Seconds()
	}
	out := r.onPrinter()
	out.Folder = printersFolder + "/" + id
	out.Notes = append(notes, out.Notes...)
	return out, nil
}

// carryOut runs the stages from the strands to the program.
func (j *Job) carryOut(ctx context.Context, m meshed, meshKey key) (*Results, error) {
	r := &Results{Record: j.newRecord(), Part: j.in.part, Mesh: m.Mesh, Reference: m.Reference, job: j}
	r.addMesh(m)
	l, layKey, err := j.layStage(ctx, m, meshKey)
	if err != nil {
		return nil, err
	}
	r.addLayup(l)
	p, _, err := j.proveStage(ctx, m, l, layKey)
	if err != nil {
		return nil, err
	}
	r.addFindings(p)
	r.addDesigns(p)
	return r, j.post(ctx, r, l, p.Straight, layKey)
}

// onPrinter sums up results for the comparison of printers.
func (r *Results) onPrinter() PrinterRecord {
	c := r.job.in.printer
	out := PrinterRecord{
		Printer: c.ID, Title: c.Title, Layers: len(r.Print.Layers), ThicknessMM: r.Part.Thickness,
		Program: r.Record.Program, Findings: []FindingCount{}, Notes: []string{},
	}
	for _, d := range r.Record.Designs {
		if d.ID == PrintedID {
			out.MassG, out.Governing = d.MassG, d.Governing
		}
	}
	for _, f := range r.Record.Findings {
		k := slices.IndexFunc(out.Findings, func(c FindingCount) bool { return c.ID == f.ID && c.Severity == f.Severity })
		if k < 0 {
			out.Findings = append(out.Findings, FindingCount{f.ID, f.Severity, 1, f.What})
			continue
		}
		out.Findings[k].Count++
	}
	if ids := r.stops(); len(ids) > 0 {
		out.Notes = append(out.Notes, fmt.Sprintf("no machine program: findings stop it (%s)", strings.Join(ids, ", ")))
	}
	return out
}

// withPrinter is the job on another printer: its layers as many as come nearest
// to the part's thickness, its spacings within the printer's limits.
func (j *Job) withPrinter(id string) (*Job, []string, error) {
	sub, file, part := *j, *j.file, *j.in.part
	file.Material.Printer = id
	file.Layup.Families = slices.Clone(j.file.Layup.Families)
	file.Compare = CompareTable{Metals: []string{}}
	sub.file, sub.out, sub.opt.Progress = &file, filepath.Join(j.out, printersFolder, id), nil
	sub.files, sub.stale, sub.system, sub.planned = nil, nil, nil, nil
	sub.faults = &faultList{file: j.faults.file, places: j.faults.places}
	sub.run = RunRecord{Seconds: map[string]float64{}}
	in := *j.in
	in.cardKeys, in.records, in.knockdowns, in.part = maps.Clone(j.in.cardKeys), nil, nil, &part
	for _, r := range j.in.records {
		if r.Kind != "card" {
			in.records = append(in.records, r)
		}
	}
	in.metals, in.shortFibre = nil, nil
	sub.in = &in
	if err := sub.loadCards(&in); err != nil {
		return nil, nil, err
	}
	notes := sub.suit(j.in.printer)
	if err := sub.recut(&in); err != nil {
		return nil, nil, err
	}
	in.hash = keyOf("input", in.records, file.Layup.Families, part.Thickness)
	return &sub, notes, nil
}

// suit fits the lay-up to the printer and says what changed.
func (j *Job) suit(from *printer.Card) []string {
	to := j.in.printer
	notes := []string{}
	t := &j.file.Layup
	layers := 0
	for _, f := range t.Families {
		layers += f.Layers
	}
	covers := float64(t.Covers.Bottom+t.Covers.Top) * to.PlasticHeight
	want := max(1, int(math.Round((j.in.part.Thickness-covers)/to.CompositeHeight)))
	if to.CompositeHeight != from.CompositeHeight || to.PlasticHeight != from.PlasticHeight {
		share(t.Families, layers, want)
		if t.Order != nil && sumLayers(t.Families) != layers {
			t.Order = nil
			notes = append(notes, "layers in symmetric order: the one stated is for another number of them")
		}
		j.in.part.SetThickness(covers + float64(sumLayers(t.Families))*to.CompositeHeight)
		notes = append(notes, fmt.Sprintf("%d composite layers of %.3g mm instead of %d of %.3g mm: %.4g mm thick", sumLayers(t.Families), to.CompositeHeight, layers, from.CompositeHeight, j.in.part.Thickness))
	}
	lo, hi := 1/j.in.law.RhoMax(), 1/j.in.law.RhoMin()
	for i := range t.Families {
		f := &t.Families[i]
		s := float64(f.Spacing)
		if s == 0 {
			s = defaultSpacing
		}
		if fit := min(max(s, lo), hi); fit != s {
			f.Spacing = Length(fit)
			notes = append(notes, fmt.Sprintf("%s: spacing %.3g mm instead of %.3g mm", f.label(), fit, s))
		}
	}
	return notes
}

func (t *FamilyTable) label() string {
	if t.Name != "" {
		return t.Name
	}
	return t.Kind
}

func sumLayers(t []FamilyTable) int {
	n := 0
	for _, f := range t {
		n += f.Layers
	}
	return n
}

// share gives the families new numbers of layers that keep their shares: the
// whole parts, then one more each in the order of the largest remainders; a
// family that has layers keeps one.
func share(t []FamilyTable, was, want int) {
	type rest struct {
		family int
		part   float64
	}
	var rests []rest
	given := 0
	for i := range t {
		if t[i].Layers == 0 {
			continue
		}
		exact := float64(t[i].Layers) * float64(want) / float64(was)
		n := max(1, int(exact))
		rests = append(rests, rest{i, exact - float64(n)})
		t[i].Layers = n
		given += n
	}
	slices.SortStableFunc(rests, func(a, b rest) int {
		switch {
		case a.part > b.part:
			return -1
		case a.part < b.part:
			return 1
		}
		return 0
	})
	for k := 0; given < want && len(rests) > 0; k++ {
		t[rests[k%len(rests)].family].Layers++
		given++
	}
}
