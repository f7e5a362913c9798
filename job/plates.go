package job

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"os"
	"path/filepath"

	"sinew/check"
	"sinew/geom"
	"sinew/part"
	plates "sinew/plate"
	"sinew/proof"
)

// PlateRecord is the part as printed, as a plate that bends.
type PlateRecord struct {
	Cases         []PlateCaseRecord `json:"cases"`
	FrequenciesHz []float64         `json:"frequencies_Hz,omitempty"`
	Warp          *WarpRecord       `json:"warp,omitempty"`
	File          string            `json:"file,omitempty" jsonschema_description:"VTK file of all fields"`
}

// PlateCaseRecord is one case of it.
type PlateCaseRecord struct {
	Case         string    `json:"case"`
	Bends        bool      `json:"judged_as_plate" jsonschema_description:"its margins above hold the bending"`
	DeflectionMM float64   `json:"greatest_deflection_mm" jsonschema_description:"along z, its sign kept"`
	X            float64   `json:"x_mm"`
	Y            float64   `json:"y_mm"`
	ErrorShare   float64   `json:"energy_error_share"`
	Buckling     []float64 `json:"buckling_factors,omitempty" jsonschema_description:"on the required load, ascending; none where nothing is pressed"`
	// Large deflections, where asked.
	Large  *LargeRecord       `json:"large,omitempty"`
	Probes []PlateProbeRecord `json:"probes,omitempty" jsonschema_description:"in the job's order"`
}

// PlateProbeRecord is the answer at one probe.
type PlateProbeRecord struct {
	Name   string  `json:"name"`
	Across float64 `json:"across_mm" jsonschema_description:"deflection along z; mean along a feature"`
	// As strain gauges on the two faces read at the probe's angle.
	Bottom float64 `json:"strain_bottom,omitempty"`
	Top    float64 `json:"strain_top,omitempty"`
}

// LargeRecord is a case followed with large deflections.
type LargeRecord struct {
	Reached      bool    `json:"reaches_required_load"`
	Factor       float64 `json:"load_factor" jsonschema_description:"on the required load: 1, or where the part gives way or snaps"`
	DeflectionMM float64 `json:"greatest_deflection_mm"`
	X            float64 `json:"x_mm"`
	Y            float64 `json:"y_mm"`
}

// WarpRecord says how the print bends when it leaves the bed, free of all
// supports.
type WarpRecord struct {
	CoolingK  float64    `json:"cooling_K"`
	HeightMM  float64    `json:"height_mm" jsonschema_description:"distance of the two parallel planes that hold the bent face between them"`
	Curvature [3]float64 `json:"curvature_1_mm" jsonschema_description:"mean: 11, 22, 12 (engineering)"`
	LargeMM   float64    `json:"height_by_large_deflections_mm,omitempty"`
	Residual  float64    `json:"matrix_index_of_locked_stress" jsonschema_description:"1 is failure of the matrix by cooling alone"`
}

// plateName is the VTK file of the print as a plate.
const plateName = "plate.vtu"

// Most modes that a job may ask for: beyond them meshes for stress do not tell.
const maxModes = 50

// maxForce, maxPressure and maxRate bound what acts across the plane: beyond
// any part, so that the unit must be wrong.
const (
	maxForce    = 1e9 // N and N mm
	maxPressure = 1e6 // MPa
	maxRate     = 1e6 // turns a minute
)

var acrossOf = map[string]part.Across{
	"": part.ByKind, "unheld": part.Unheld, "held": part.Held, "hinged": part.Hinged, "clamped": part.Clamped, "mirrored": part.Mirrored,
}

func (s *SupportTable) checkAcross(key string, l *faultList) {
	if s.Across != "" {
		l.oneOf(key+".across", s.Across, "unheld", "held", "hinged", "clamped", "mirrored")
	}
	if s.Spoke != 0 && s.How != "pinned" {
		l.add(key+".spoke", "does not go with "+s.How, "delete it, or pin the feature")
	}
	l.within(key+".spoke", float64(s.Spoke), 0, maxPressure, "a stiffness such as \"500 MPa\"")
}

func (c *CaseTable) actsAcross() bool {
	return c.Pressure != 0 || c.AccelerationZ != 0 || len(c.Points) > 0 || c.Spin != nil
}

func (c *CaseTable) checkAcross(key string, l *faultList) {
	l.within(key+".pressure", float64(c.Pressure), -maxPressure, maxPressure, "a pressure such as \"0.01 MPa\"")
	l.within(key+".acceleration_z", float64(c.AccelerationZ), -maxForce, maxForce, "an acceleration such as \"9.81 m/s²\"")
	for i, p := range c.Points {
		if p.Force == 0 {
			l.add(fmt.Sprintf("%s.point[%d].force", key, i), "is missing or zero", "give force = \"… N\"")
		}
		l.within(fmt.Sprintf("%s.point[%d].force", key, i), float64(p.Force), -maxForce, maxForce, "a force such as \"20 N\"")
	}
	if c.Spin != nil {
		l.within(key+".spin.rpm", math.Abs(c.Spin.RPM), math.SmallestNonzeroFloat64, maxRate, "a rate above 0, such as 3000.0")
	}
}

func (t *LoadTable) actsAcross() bool { return t.Out != 0 || t.Moment != [2]Moment{} }

func (t *LoadTable) checkAcross(key string, l *faultList) {
	if t.How != "even" && t.How != "bolt" && t.actsAcross() {
		l.add(key, "a force or moment across the plane does not go with "+t.How, "use how = \"even\" or how = \"bolt\"")
	}
	if t.Spoke != 0 && t.How != "bolt" {
		l.add(key+".spoke", "does not go with "+t.How, "delete it, or make the load a bolt")
	}
	l.within(key+".spoke", float64(t.Spoke), 0, maxPressure, "a stiffness such as \"500 MPa\"")
	l.within(key+".out", float64(t.Out), -maxForce, maxForce, "a force such as \"50 N\"")
	for _, m := range t.Moment {
		l.within(key+".moment", float64(m), -maxForce, maxForce, "moments such as \"250 N mm\"")
	}
}

// Bounds of analysis.memory and its default, bytes. The default does not ask the
// machine, so that a job gives the same answer everywhere.
const (
	leastMemory   = 1 << 20
	mostMemory    = 1 << 50
	defaultMemory = 4 << 30
)

// memory is how much a factorisation may take, bytes.
func (a *AnalysisTable) memory() int {
	if a.Memory == 0 {
		return defaultMemory
	}
	return int(a.Memory)
}

func (a *AnalysisTable) check(l *faultList) {
	l.within("analysis.buckling", float64(a.Buckling), 0, maxModes, "0 to 50 factors")
	l.within("analysis.frequencies", float64(a.Frequencies), 0, maxModes, "0 to 50 frequencies")
	if a.Memory != 0 {
		l.within("analysis.memory", float64(a.Memory), leastMemory, mostMemory, "an amount such as \"4 GiB\", at least 1 MiB")
	}
	if a.StressFree != nil {
		l.within("analysis.stress_free", float64(*a.StressFree), -100, 500, "a temperature such as \"100 °C\"")
		if !a.Warp {
			l.add("analysis.stress_free", "is for warp, which is not asked", "write warp = true, or delete it")
		}
	}
	if f := a.Foundation; f != nil {
		l.within("analysis.foundation.pressure", float64(f.Pressure), math.SmallestNonzeroFloat64, maxPressure, "a pressure above 0 such as \"0.1 MPa\"")
		l.within("analysis.foundation.sinks", float64(f.Sinks), math.SmallestNonzeroFloat64, maxExtent, "a length above 0 such as \"1 mm\"")
	}
}

// addAcross fills what acts across the plane in a case.
func addAcross(c *part.Case, t CaseTable) {
	c.Bending.Pressure, c.Bending.Acceleration = float64(t.Pressure), float64(t.AccelerationZ)
	for _, q := range t.Points {
		at := geom.Point{X: float64(q.At[0]), Y: float64(q.At[1])}
		c.Bending.Points = append(c.Bending.Points, part.PointLoad{At: at, Out: float64(q.Force)})
	}
	if t.Spin != nil {
		c.Spin = part.Spin{Rate: t.Spin.RPM * 2 * math.Pi / secondsPerMinute, Center: geom.Point{X: float64(t.Spin.Center[0]), Y: float64(t.Spin.Center[1])}}
	}
}

const secondsPerMinute = 60

// stiffness of a foundation, N/mm³.
func (f *FoundationTable) stiffness() float64 { return float64(f.Pressure) / float64(f.Sinks) }

// plateWish says what the job asks of the print as a plate.
func (j *Job) plateWish() (proof.PlateWish, error) {
	a := j.file.Analysis
	w := proof.PlateWish{Bending: a.Bending, Buckling: a.Buckling, Frequencies: a.Frequencies, Large: a.Large, Warp: a.Warp, Fields: a.VTU}
	if f := a.Foundation; f != nil {
		w.Foundation = f.stiffness()
	}
	if !a.Warp {
		return w, nil
	}
	w.Cooling = -j.coolDown()
	if a.StressFree != nil {
		w.Cooling = float64(*a.StressFree) - j.in.state.Temperature
	}
	if !(w.Cooling > 0) {
		j.faults.add("analysis.stress_free", fmt.Sprintf("the print works at %g °C and holds no stress at %+g K from there: nothing cools", j.in.state.Temperature, w.Cooling), "give the temperature at which the plastic sets, above that at which the part works")
		return w, j.faults.err()
	}
	return w, nil
}

// keepPlate keeps what a proof says of the print as a plate.
func (j *Job) keepPlate(out *proven, p *proof.Plate) error {
	if p == nil {
		return nil
	}
	rec := &PlateRecord{Cases: []PlateCaseRecord{}, FrequenciesHz: p.Frequencies}
	for i, c := range p.Cases {
		one := PlateCaseRecord{Case: j.in.part.Cases[i].Name, Bends: c.Bends, DeflectionMM: c.Deflection, X: c.At.X, Y: c.At.Y, ErrorShare: c.Error, Buckling: c.Buckling}
		if l := c.Large; l != nil {
			one.Large = &LargeRecord{l.Reached, l.Factor, l.Deflection, l.At.X, l.At.Y}
		}
		for k, r := range c.Probes {
			one.Probes = append(one.Probes, PlateProbeRecord{j.in.part.Probes[k].Name, r.Across, r.Faces[0], r.Faces[1]})
		}
		rec.Cases = append(rec.Cases, one)
	}
	if w := p.Warp; w != nil {
		rec.Warp = &WarpRecord{CoolingK: w.Cooling, HeightMM: w.Height, Curvature: w.Curvature, LargeMM: w.Large, Residual: w.Matrix}
	}
	out.Plate = rec
	if p.System == nil {
		return nil
	}
	rec.File = plateName
	var nodes, elements []plates.Field
	for i := range p.Solution.Cases {
		n, e := p.System.Fields(&p.Solution.Cases[i], p.Section, p.Stack, j.in.part.Cases[i].Name+": ")
		nodes, elements = append(nodes, n...), append(elements, e...)
		for _, f := range p.Indices[i] {
			f.Name = j.in.part.Cases[i].Name + ": " + f.Name
			elements = append(elements, f)
		}
	}
	var b bytes.Buffer
	if err := plates.WriteVTU(&b, p.System.Mesh(), nodes, elements); err != nil {
		return err
	}
	out.vtu, out.VTU = b.Bytes(), hashOf(b.Bytes())
	return nil
}

// addPlate puts the plate into the record and its file among the results.
func (r *Results) addPlate(p proven) {
	r.Record.Plate = p.Plate
	switch {
	case p.vtu != nil:
		r.AddFile(plateName, p.vtu)
	case p.VTU == "":
		r.job.stale = append(r.job.stale, plateName)
	}
}

// vtuStands reports whether the VTK file of a kept proof is still among the
// results: it is not kept a second time.
func (j *Job) vtuStands(p proven) bool {
	if p.VTU == "" {
		return true
	}
	data, err := os.ReadFile(filepath.Join(j.out, plateName))
	return err == nil && hashOf(data) == p.VTU
}

func hashOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// bucklingShortfalls lists buckling factors below what is required, and cases
// that large deflections cannot follow to their load.
func (r *Results) bucklingShortfalls() []string {
	if r.Record.Plate == nil {
		return nil
	}
	need := 1.0
	if v := r.job.file.Require.Buckling; v != nil {
		need = *v
	}
	var out []string
	for _, c := range r.Record.Plate.Cases {
		if l := c.Large; l != nil && !l.Reached {
			out = append(out, fmt.Sprintf("case %s: with large deflections it gives way or snaps at %.2f times the required load", c.Case, l.Factor))
		}
		if len(c.Buckling) > 0 && c.Buckling[0] < need {
			out = append(out, fmt.Sprintf("case %s: buckles at %.2f times the required load, %.2f required", c.Case, c.Buckling[0], need))
		}
	}
	return out
}

// stockyShare of its width is the thickness from which a part is no plate: at
// half of it stresses across the thickness, which no part of the analysis
// sees, are of the order of the others.
const stockyShare = 0.5

// shapeFindings warns of a part that is not plate-like: its thickness against
// its mean width, twice its area over the length of its outline, which is the
// width of a strip.
func (j *Job) shapeFindings() []FindingRecord {
	p := j.in.part
	length := 0.0
	for _, l := range p.Region.Loops() {
		for _, e := range l {
			length += e.Length()
		}
	}
	width := 2 * p.Region.Area() / length
	if p.Thickness <= stockyShare*width {
		return nil
	}
	at := p.Region.Outer.Bounds()
	return []FindingRecord{{
		ID: "not-plate-like", Severity: check.Warn.String(), Layer: -1, X: (at.Min.X + at.Max.X) / 2, Y: (at.Min.Y + at.Max.Y) / 2, Count: 1,
		What:   fmt.Sprintf("the part is %.3g mm thick and on average %.3g mm wide: stresses across its thickness, which a plate has none of, are not analysed", p.Thickness, width),
		Remedy: "test it, or make it thinner or wider",
	}}
}
