package job

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"sinew/check"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
	"sinew/proof"
	"sinew/strand"
	"sinew/unit"
)

// Results is what a run found: the record, and what figures are drawn from.
type Results struct {
	Record      *Record
	Part        *part.Part
	Mesh        *mesh.Mesh
	Reference   []Principal // per case, in one even material
	Print       *strand.Print
	LayerGroups []LayerGroup
	BuildUp     []float64 // per element: mm that the print stands over its layers' heights, NaN where none; nil before post
	FibreUse    []float64 // per element: worst over layers and cases, NaN where none; nil before prove
	job         *Job
}

// LayerGroup lists printed layers that hold the same strands.
type LayerGroup struct {
	Family string
	Layers []int // into Print.Layers
}

// Run carries the job's stages out up to the given one. Nothing is written
// before Save.
func (j *Job) Run(ctx context.Context, upTo Stage, command string) (*Results, error) {
	j.begin(command)
	j.tell("mesh", 0)
	m, meshKey, err := j.meshStage(ctx)
	if err != nil {
		return nil, err
	}
	r := &Results{Record: j.newRecord(), Part: j.in.part, Mesh: m.Mesh, Reference: m.Reference, job: j}
	r.addMesh(m)
	j.arrived("mesh", &Views{job: j, mesh: m})
	j.tell("fibre field", 0.1)
	l, layKey, err := j.layStage(ctx, m, meshKey)
	if err != nil {
		return nil, err
	}
	r.addLayup(l)
	j.arrived("strands", &Views{job: j, mesh: m, lay: &l})
	if upTo == Lay {
		return r, nil
	}
	p, _, err := j.proveStage(ctx, m, l, layKey)
	if err != nil {
		return nil, err
	}
	r.addFindings(p)
	j.arrived("proof", &Views{job: j, mesh: m, lay: &l, proof: &p})
	if upTo >= Prove {
		r.addDesigns(p)
	}
	if upTo >= Post {
		if err := j.addFit(ctx, r, m, l, layKey); err != nil {
			return nil, err
		}
		if err := j.post(ctx, r, l, p.Straight, layKey); err != nil {
			return nil, err
		}
	}
	if upTo >= Post {
		if err := j.comparePrinters(ctx, r, m, meshKey); err != nil {
			return nil, err
		}
	}
	r.judge(upTo)
	j.tell("done", 1)
	return r, ctx.Err()
}

// newRecord starts a record with what is known of the inputs.
func (j *Job) newRecord() *Record {
	r := &Record{
		Job: j.file.Name, InputHash: j.in.hash.String(), Version: Version, Inputs: j.in.records,
		Cases: []CaseRecord{}, Designs: []DesignRecord{}, Ratios: []RatioRecord{}, Findings: []FindingRecord{}, Probes: []ProbeRecord{}, Warnings: []string{},
	}
	p := j.in.part
	b := p.Region.Outer.Bounds()
	r.Part = PartRecord{ThicknessMM: p.Thickness, AreaMM2: p.Region.Area(), Box: [4]float64{b.Min.X, b.Min.Y, b.Max.X, b.Max.Y}, Notes: j.in.notes}
	for _, f := range p.Features {
		r.Part.Features = append(r.Part.Features, featureRecord(p, f))
	}
	r.Bead = j.beadRecord()
	return r
}

func featureRecord(p *part.Part, f part.Feature) FeatureRecord {
	kind := "side"
	if f.Kind == part.Hole {
		kind = "hole"
	}
	length := 0.0
	for _, e := range f.Edges {
		length += p.Region.Loops()[f.Loop][e].Length()
	}
	return FeatureRecord{f.Name, kind, f.Center.X, f.Center.Y, f.Diameter, length}
}

// beadRecord describes the bead at the first family's mean spacing.
func (j *Job) beadRecord() *BeadRecord {
	spacing := defaultSpacing
	if s := float64(j.file.Layup.Families[0].Spacing); s > 0 {
		spacing = s
	}
	return j.beadAt(spacing)
}

// beadAt describes the bead at a spacing, held to what tow and printer allow.
func (j *Job) beadAt(spacing float64) *BeadRecord {
	law := j.in.law
	rho := min(max(1/spacing, law.RhoMin()), law.RhoMax())
	c, l, x := law.Composition(rho), law.Lamina(rho), law.Strength(rho)
	b := &BeadRecord{
		G23: l.G23, Nu23: l.Nu23, Beta1: l.Beta1, Beta2: l.Beta2, K1: l.K1, K2: l.K2, Compression: []MechanismRecord{},
		Surroundings: j.surroundings(rho), Sis: x.Sis, Zt: x.Zt, Alpha1: l.Alpha1, Alpha2: l.Alpha2,
		SpacingMM: 1 / rho, HeightMM: law.Height(), TowShare: c.Tow, DryFibreShare: c.Fibre, ThermosetShare: c.Resin, PlasticShare: c.Plastic, VoidShare: c.Void,
		DensityGCM3: 1000 * c.Density, FibreMassShare: c.FibreMass, ResinMassShare: c.ResinMass, PlasticMassShare: c.PlasticMass, PlasticFeed: c.PlasticArea, MassPerMetre: 1000 * c.MassPerLength, E1: l.E1, E2: l.E2, G12: l.G12, Nu12: l.Nu12, Xt: x.Xt, Xc: x.Xc, Yt: x.Yt, Yc: x.Yc, S: x.S,
	}
	for _, p := range law.ProvenanceAt(rho) {
		b.Figures = append(b.Figures, FigureOfRecord{p.Property, p.Value, p.Unit, string(p.How), p.Source, p.Date})
	}
	b.addMethods(law, rho)
	return b
}

// addLayup puts layers and strands into the results.
func (r *Results) addLayup(l laid) {
	r.Print = l.Print
	rec := &LayupRecord{Mix: l.Mix, Refinement: refinementRecord(l.Layup), FirstGuesses: firstGuesses(l.Layup), Notes: slices.Concat(l.Notes, l.Layup.Notes, l.Print.Notes)}
	r.Record.Part.ThicknessMM = r.Part.Thickness
	groups := map[string]int{}
	for i := range l.Print.Layers {
		y := &l.Print.Layers[i]
		out := LayerRecord{Index: y.Index, Kind: "plastic", TopMM: y.Z, HeightMM: y.Height}
		if y.Kind == strand.Composite {
			out.Kind, out.Family = "composite", l.Layup.Families[y.Family].Name
			s := y.Stats(l.Print)
			out.Strands, out.LengthMM = s.Count, s.Length
			name := fmt.Sprintf("%s, shifted by %g of a spacing", out.Family, l.Layup.Layers[y.Composite].Shift) + r.job.outlineName(i)
			if _, ok := groups[name]; !ok {
				groups[name] = len(r.LayerGroups)
				r.LayerGroups = append(r.LayerGroups, LayerGroup{Family: name})
			}
			g := &r.LayerGroups[groups[name]]
			g.Layers = append(g.Layers, i)
		}
		rec.Layers = append(rec.Layers, out)
	}
	r.Record.Layup = rec
	r.AddFile(strandsName, r.job.strandList(l))
	if text, err := r.strandDrawing(l); err == nil { // writes to memory, which does not fail
		r.AddFile(drawnName, text)
	}
	s := l.Print.Stats()
	r.Record.Strands = &StrandRecord{
		Count: s.Count, Cuts: s.Cuts, HalfTurns: s.Turned, CornerPull: s.Pull, LengthM: s.Length / 1000, ShortestMM: s.Shortest, MinRadiusMM: finiteOr(s.MinRadius, maxRadius),
		SpacingLo: s.Width[0], SpacingHi: s.Width[len(s.Width)-1], WithinShare: s.WithinLimits,
	}
}

// maxRadius stands for a straight strand's endless radius, mm: JSON has no
// infinity.
const maxRadius = 1e6

// maxReserve stands for a margin that nothing uses up.
const maxReserve = 1e6

func finiteOr(v, limit float64) float64 {
	if math.IsNaN(v) || v > limit {
		return limit
	}
	return v
}

// addFindings puts findings and what the materials warn of into the record.
func (r *Results) addFindings(p proven) {
	for _, f := range p.Findings {
		r.Record.Findings = append(r.Record.Findings, FindingRecord{
			ID: f.ID, Severity: f.Severity.String(), Layer: f.Layer, X: f.X, Y: f.Y, Count: f.Count, What: f.What, Remedy: f.Remedy,
			Allowed: f.Severity == check.Stop && slices.Contains(r.job.allowed, f.ID),
		})
	}
	r.Record.Findings = append(r.Record.Findings, r.job.shapeFindings()...)
	r.Record.Findings = append(r.Record.Findings, r.job.plasticFindings()...)
}

// addDesigns puts margins and probes into the record.
func (r *Results) addDesigns(p proven) {
	for i := range p.Designs {
		r.Record.Designs = append(r.Record.Designs, r.designRecord(&p.Designs[i]))
	}
	r.addRatios(p.Designs)
	r.addPlate(p)
	r.Record.Warnings = append(r.Record.Warnings, p.Notes...)
	r.Record.Strength = p.Strength.filled()
	r.Record.Warnings = append(r.Record.Warnings, r.besideMargins()...)
	r.Record.Cases, r.Record.Probes, r.FibreUse = p.Cases, p.Probes, p.FibreUse
	r.Record.Equations = p.Equations
	if r.Record.Probes == nil {
		r.Record.Probes = []ProbeRecord{}
	}
}

// addRatios sets the first design, the part as printed, against every other
// that holds strands.
func (r *Results) addRatios(designs []proof.Design) {
	r.Record.Ratios = []RatioRecord{}
	if len(designs) == 0 || designs[0].ID != proof.Printed {
		return
	}
	ours := &designs[0]
	for i := range designs[1:] {
		d := &designs[1+i]
		if d.FibreLength == 0 {
			continue
		}
		for c := range d.Cases {
			a, b := &ours.Cases[c], &d.Cases[c]
			fibre := ratio(fibreReserve(a), fibreReserve(b))
			r.Record.Ratios = append(r.Record.Ratios, RatioRecord{
				Against: d.Name, Case: b.Case, Fibre: fibre, Matrix: ratio(reserveOf(a, proof.Matrix), reserveOf(b, proof.Matrix)),
				Stiffness: ratio(a.Stiffness, b.Stiffness), PerMass: fibre * ratio(d.Mass, ours.Mass),
			})
		}
	}
}

// fibreReserve is the reserve against first fibre failure, whichever sign,
// bearing at a pin included.
func fibreReserve(c *proof.CaseMargins) float64 {
	if m := c.Fibre(); m != nil {
		return finiteOr(m.Reserve, maxReserve)
	}
	return 0
}

// reserveOf is the reserve of a mode, 0 where nothing of the kind can fail.
func reserveOf(c *proof.CaseMargins, m proof.Mode) float64 {
	if g := c.Of(m); g != nil {
		return finiteOr(g.Reserve, maxReserve)
	}
	return 0
}

func ratio(a, b float64) float64 {
	if b == 0 {
		return 0
	}
	return a / b
}

func (r *Results) designRecord(d *proof.Design) DesignRecord {
	out := DesignRecord{ID: d.ID, Name: d.Name, MassG: d.Mass, FibreLengthM: d.FibreLength, TimeS: d.Time, Cost: d.Cost, Note: d.Note, Cases: []DesignCaseRecord{}}
	for _, c := range d.Cases {
		rec := DesignCaseRecord{
			Case: c.Case, Stiffness: c.Stiffness, Margins: []MarginRecord{},
			Rules: ruleRecords(&c), Joints: r.job.jointRecords(&c), Collapse: collapseRecord(c.Collapse),
		}
		for _, m := range c.Margins {
			rec.Margins = append(rec.Margins, r.job.marginRecord(m, ""))
		}
		out.Cases = append(out.Cases, rec)
	}
	if len(d.Cases) > 0 {
		out.Stiffness = d.Cases[0].Stiffness
	}
	if m, in := d.Governing(); m != nil {
		g := r.job.marginRecord(*m, in)
		out.Governing = &g
	}
	return out
}

func (j *Job) marginRecord(m proof.Margin, inCase string) MarginRecord {
	out := MarginRecord{
		Case: inCase, Mode: string(m.Mode), Reserve: finiteOr(m.Reserve, maxReserve), Peak: finiteOr(m.Raw, maxReserve),
		X: m.X, Y: m.Y, Layer: m.Layer, AngleDeg: m.Angle * 180 / math.Pi, Feature: featureName(j.in.part, m.Feature),
		KnockDown: m.KnockDown, KnockDownOf: j.knockDownOf(m), Stress: m.Stress, Allowable: []float64{},
	}
	for _, v := range m.Allowable {
		if v > 0 {
			out.Allowable = append(out.Allowable, v)
		}
	}
	return out
}

// knockDownOf names the factors of a margin's knock-down.
func (j *Job) knockDownOf(m proof.Margin) string {
	if m.KnockDown == 1 {
		return ""
	}
	group := map[proof.Mode]func(material.KnockDown) float64{
		proof.FibreTension:     func(k material.KnockDown) float64 { return k.FibreTension },
		proof.FibreCompression: func(k material.KnockDown) float64 { return k.FibreCompression },
		proof.BearingPin:       func(k material.KnockDown) float64 { return k.FibreCompression },
		proof.Matrix:           func(k material.KnockDown) float64 { return k.Matrix },
		proof.PlasticBreak:     func(k material.KnockDown) float64 { return k.Matrix },
		proof.Interlaminar:     func(k material.KnockDown) float64 { return k.Interlaminar },
	}[m.Mode]
	if group == nil {
		panic("job: a knock-down multiplies " + string(m.Mode) + ", which has no factor")
	}
	var parts []string
	for _, k := range j.in.knockdowns {
		if f := group(k); f != 0 && f != 1 { // 0: left out on the card
			parts = append(parts, fmt.Sprintf("%.4g (%s)", f, k.Title))
		}
	}
	return strings.Join(parts, " · ")
}

// judge says whether the part meets what the job requires.
func (r *Results) judge(upTo Stage) {
	v := &VerdictRecord{Reasons: []string{}}
	for _, f := range r.Record.Findings {
		if f.Severity == check.Stop.String() && !f.Allowed {
			v.Reasons = append(v.Reasons, fmt.Sprintf("finding %s: %s", f.ID, f.What))
		}
	}
	if upTo >= Prove {
		v.Reasons = append(v.Reasons, r.shortfalls()...)
	}
	v.Passes = len(v.Reasons) == 0
	r.Record.Verdict = v
}

// shortfalls lists the margins of the printed design below what is required.
func (r *Results) shortfalls() []string {
	var out []string
	for _, d := range r.Record.Designs {
		if d.ID != proof.Printed {
			continue
		}
		for _, c := range d.Cases {
			for _, m := range c.Margins {
				if need := r.job.required(m.Mode); m.Reserve < need {
					out = append(out, fmt.Sprintf("case %s: reserve factor %s by %s, %.2f required, at (%.1f, %.1f) mm", c.Case, unit.Reserve(m.Reserve), m.Mode, need, m.X, m.Y))
				}
			}
		}
	}
	return append(out, r.bucklingShortfalls()...)
}

// required is the least reserve factor of a mode.
func (j *Job) required(mode string) float64 {
	limit := j.file.Require.Fibre
	switch proof.Mode(mode) {
	case proof.Matrix, proof.PlasticBreak, proof.Interlaminar:
		limit = j.file.Require.Matrix
	}
	if limit == nil {
		return 1
	}
	return *limit
}

// stops lists the findings that forbid a program.
func (r *Results) stops() []string {
	var ids []string
	for _, f := range r.Record.Findings {
		if f.Severity == check.Stop.String() && !f.Allowed {
			ids = append(ids, f.ID)
		}
	}
	return slices.Compact(ids)
}

// StressRecord is the answer of the stress command: the part in one given
// material.
type StressRecord struct {
	Job        string             `json:"job"`
	InputHash  string             `json:"input_hash"`
	Material   string             `json:"material"`
	Elements   int                `json:"elements"`
	ErrorShare float64            `json:"energy_error_share"`
	Mesh       MeshRecord         `json:"mesh"`
	Cases      []StressCaseRecord `json:"cases"`
	Warnings   []string           `json:"warnings" jsonschema_description:"of a plastic above its limit or without figures for its surroundings"`
}

// StressCaseRecord is one case of it.
type StressCaseRecord struct {
	Case      string         `json:"case"`
	PeakMPa   float64        `json:"peak_MPa" jsonschema_description:"greatest principal stress by size, element means"`
	Stiffness float64        `json:"stiffness_N_mm"`
	Imbalance float64        `json:"imbalance"`
	Governing MarginRecord   `json:"governing"`
	Margins   []MarginRecord `json:"margins"`
}

// Stress analyses the part in one given metal or plastic, by default the first
// metal that the job compares with. It writes nothing.
func (j *Job) Stress(ctx context.Context, id string) (*StressRecord, error) {
	j.begin("stress")
	m, _, err := j.meshStage(ctx)
	if err != nil {
		return nil, err
	}
	in := proof.Input{
		Part: j.in.part, Mesh: m.Mesh, Law: j.in.law,
		Settings: j.judge(),
	}
	if err := j.stressMaterial(id, &in); err != nil {
		return nil, err
	}
	res, err := proof.Prove(ctx, in)
	if err != nil {
		return nil, j.numbersOrInput(ctx, err)
	}
	d := &res.Designs[0]
	r := &Results{Part: j.in.part, job: j}
	full := r.designRecord(d)
	out := &StressRecord{Job: j.file.Name, InputHash: j.in.hash.String(), Material: d.Name, Elements: len(m.Mesh.Tris), ErrorShare: m.Record.Error, Mesh: m.Record, Warnings: []string{}}
	for _, p := range in.Plastics {
		if p.State.Above {
			out.Warnings = append(out.Warnings, p.State.Why)
		}
		out.Warnings = append(out.Warnings, p.State.Notes...)
	}
	for i, c := range full.Cases {
		s := StressCaseRecord{Case: c.Case, Stiffness: c.Stiffness, Margins: c.Margins}
		for _, v := range m.Reference[i].PerTri {
			s.PeakMPa = math.Max(s.PeakMPa, math.Abs(v))
		}
		if len(c.Margins) > 0 {
			s.Governing = c.Margins[0]
		}
		out.Cases = append(out.Cases, s)
	}
	return out, nil
}

// stressMaterial finds the material among the metals, then the plastics.
func (j *Job) stressMaterial(id string, in *proof.Input) error {
	if id == "" && len(j.in.metals) > 0 {
		in.Metals = j.in.metals[:1]
		return nil
	}
	scratch := &inputs{cardKeys: map[string]key{}}
	if slices.Contains(j.cardIDs("metal"), id) {
		m, err := readAs(j, scratch, "metal", id, "--material", material.MetalFromCard)
		in.Metals = []material.Metal{m}
		return err
	}
	if slices.Contains(j.cardIDs("plastic"), id) {
		p, err := readAs(j, scratch, "plastic", id, "--material", material.PlasticFromCard)
		if err != nil {
			return err
		}
		plain, err := j.plain(p)
		in.Plastics = []proof.Plain{plain}
		return err
	}
	return &InputError{[]Fault{{Key: "--material", What: fmt.Sprintf("there is no metal or plastic card %q", id), Remedy: "name one of " + strings.Join(append(j.cardIDs("metal"), j.cardIDs("plastic")...), ", ")}}}
}
