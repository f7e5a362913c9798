package job

import (
	"fmt"
	"math"
	"strings"

	"sinew/material"
	"sinew/unit"
)

// StackQuestion asks what a stack of layers is worth by classical laminate
// theory. Quantities are text with units; "" asks nothing.
type StackQuestion struct {
	CardQuestion
	// Layers in the trade's notation, bottom first: see parseStack.
	Layers string
	// Spacing of strands where a layer states none; "" means 1 mm.
	Spacing string
	// Offset is the height of the stack's middle above the plane that moments and
	// curvatures refer to.
	Offset string
	// Force (N/mm) and Moment (N) per width: 11, 22, 12, parted by commas.
	Force, Moment string
	// Cooling and Moisture act besides: by how much the stack is cooled, and what
	// share of its mass it takes up in water.
	Cooling, Moisture string
	// Shear is a force across the stack, per width along y.
	Shear string
	// Hole is the diameter of a hole in a stack pulled along x, Width that of the
	// strip, "" for a wide one. Pin is a force along x through a pin in it, Edge
	// the distance from its centre to the end.
	Hole, Width, Pin, Edge string
	// Criterion by which layers fail on the way to collapse; "" means hashin.
	Criterion string
}

// StackAnswer describes a stack and what it does under the load asked about.
type StackAnswer struct {
	Laminate  LaminateRecord    `json:"laminate"`
	Strengths StackStrengths    `json:"strengths"`
	Load      *StackLoadRecord  `json:"load,omitempty"`
	Warp      *StackWarpRecord  `json:"warp,omitempty"`
	Shear     *StackShearRecord `json:"shear,omitempty"`
	Hole      *StackHoleRecord  `json:"hole,omitempty"`
}

// StackStrengths are the mean stresses at which the stack, kept flat, fails as a
// whole, ply by ply.
type StackStrengths struct {
	Criterion    string  `json:"criterion"`
	TensionX     float64 `json:"tension_x_MPa"`
	CompressionX float64 `json:"compression_x_MPa"`
	TensionY     float64 `json:"tension_y_MPa"`
	CompressionY float64 `json:"compression_y_MPa"`
	Shear        float64 `json:"shear_MPa"`
}

// StackLoadRecord is the stack under force, moment, cooling and moisture.
type StackLoadRecord struct {
	Strain    [3]float64          `json:"strain"`
	Curvature [3]float64          `json:"curvature_per_mm"`
	Stresses  []StackStressRecord `json:"stresses" jsonschema_description:"at bottom, middle and top of each layer"`
	First     []StackFirstRecord  `json:"first_failure" jsonschema_description:"by each criterion; force and moment grow, cooling and moisture stand"`
	// Collapse by the criterion chosen; nil without force and moment.
	Collapse *StackCollapseRecord `json:"collapse,omitempty"`
}

// StackStressRecord is the stress at one height of a layer.
type StackStressRecord struct {
	Layer int        `json:"layer" jsonschema_description:"from 1, bottom first"`
	Z     float64    `json:"z_mm"`
	Part  [3]float64 `json:"stress_xy_MPa"`
	Own   [3]float64 `json:"stress_12_MPa"`
}

// StackFirstRecord is the first failure by one criterion.
type StackFirstRecord struct {
	Criterion   string     `json:"criterion"`
	Reserve     float64    `json:"reserve_factor"`
	Fails       string     `json:"fails"`
	Layer       int        `json:"layer"`
	Z           float64    `json:"z_mm"`
	Stress      [3]float64 `json:"stress_12_MPa" jsonschema_description:"judged, with what stands"`
	FractureDeg float64    `json:"fracture_angle_deg"`
}

// StackCollapseRecord is the way of the stack to its greatest load.
type StackCollapseRecord struct {
	FirstFibre  float64           `json:"first_fibre,omitempty"`
	FirstMatrix float64           `json:"first_matrix,omitempty"`
	Load        float64           `json:"collapse" jsonschema_description:"factor on force and moment"`
	Steps       []StackStepRecord `json:"steps"`
	Curve       [][2]float64      `json:"curve" jsonschema_description:"movement of the load, load factor"`
}

// StackStepRecord is one failure on the way.
type StackStepRecord struct {
	Load  float64 `json:"load"`
	Layer int     `json:"layer"`
	Fails string  `json:"fails"`
}

// StackWarpRecord is the shape of the free stack after cooling and moisture.
type StackWarpRecord struct {
	Curvature    [3]float64 `json:"curvature_per_mm"`
	Greatest     float64    `json:"greatest_per_mm"`
	DirectionDeg float64    `json:"direction_deg"`
}

// StackShearRecord is the greatest shear between or within layers.
type StackShearRecord struct {
	Stress   float64 `json:"stress_MPa"`
	Z        float64 `json:"z_mm"`
	Strength float64 `json:"strength_MPa" jsonschema_description:"least of all layers"`
	Reserve  float64 `json:"reserve_factor"`
}

// StackHoleRecord is the stack with a hole, pulled along x.
type StackHoleRecord struct {
	Kt        float64       `json:"peak" jsonschema_description:"at the hole's flank over the gross stress"`
	Front     float64       `json:"front" jsonschema_description:"on the load axis, of a wide plate"`
	PointMM   float64       `json:"point_distance_mm"`
	AverageMM float64       `json:"average_distance_mm"`
	Point     float64       `json:"point_stress_MPa" jsonschema_description:"gross stress at failure, Whitney and Nuismer"`
	Average   float64       `json:"average_stress_MPa"`
	Lug       []JointReport `json:"lug,omitempty"`
}

// AskStack answers a question about a stack from cards alone; dir holds cards of
// the user's own, "" for none.
func AskStack(dir string, q StackQuestion) (*StackAnswer, error) {
	var asked faultList
	a := &stackAsked{
		spacing:   asked.quantity("--spacing", q.Spacing, unit.Length, defaultSpacing),
		offset:    asked.quantity("--offset", q.Offset, unit.Length, 0),
		shear:     asked.quantity("--shear", q.Shear, unit.LineLoad, 0),
		hole:      asked.size("--hole", q.Hole, unit.Length),
		width:     asked.size("--width", q.Width, unit.Length),
		edge:      asked.size("--edge", q.Edge, unit.Length),
		pin:       asked.size("--pin", q.Pin, unit.Force),
		criterion: material.Hashin,
	}
	a.load.Force, a.load.Moment = asked.three("--force", q.Force, unit.LineLoad), asked.three("--moment", q.Moment, unit.Force)
	a.load.DeltaT = -asked.quantity("--cooling", q.Cooling, unit.TemperatureDifference, 0)
	a.load.Moisture = asked.quantity("--moisture", q.Moisture, unit.Share, 0)
	var err error
	if q.Criterion != "" {
		if a.criterion, err = material.ParseCriterion(q.Criterion); err != nil {
			asked.add("--criterion", err.Error(), "choose one of them")
		}
	}
	if a.hole == 0 && (a.width != 0 || a.pin != 0 || a.edge != 0) {
		asked.add("--hole", "is missing", "width, pin and edge are of a hole: give its diameter")
	}
	items, err := parseStack(q.Layers)
	if err != nil {
		asked.add("--layers", err.Error(), stackNotation)
	}
	j, err := q.open(dir, &asked)
	if err != nil {
		return nil, err
	}
	return a.answer(j, items)
}

// stackAsked is a question with its quantities read.
type stackAsked struct {
	spacing, offset, shear, hole, width, edge, pin float64
	load                                           material.Load
	criterion                                      material.Criterion
}

func (a *stackAsked) answer(j *Job, items []stackItem) (*StackAnswer, error) {
	layers, holds, err := j.stackLayers(items, a.spacing)
	if err != nil {
		return nil, err
	}
	l, err := material.NewLaminate(layers, a.offset)
	if err != nil {
		return nil, fmt.Errorf("stack: %w", err)
	}
	out := &StackAnswer{Laminate: laminateRecord(l, func(i int) (string, float64) { return holds[i].what, holds[i].fibre })}
	flat, err := l.Flat()
	if err != nil {
		return nil, fmt.Errorf("stack: %w", err)
	}
	if out.Strengths, err = a.strengths(flat); err != nil {
		return nil, err
	}
	if a.load != (material.Load{}) {
		if out.Load, err = a.underLoad(l); err != nil {
			return nil, err
		}
	}
	if a.load.DeltaT != 0 || a.load.Moisture != 0 {
		w := l.Warp(a.load.DeltaT, a.load.Moisture)
		out.Warp = &StackWarpRecord{Curvature: w.Curvature, Greatest: w.Greatest, DirectionDeg: w.Direction * 180 / math.Pi}
	}
	if a.shear != 0 {
		out.Shear = a.sheared(l, holds)
	}
	if a.hole > 0 {
		out.Hole, err = a.holed(j, flat, out.Strengths)
	}
	return out, err
}

// held is what a layer of an asked stack is.
type held struct {
	what    string
	fibre   float64 // share of dry fibre
	between float64 // interlaminar shear strength, MPa
}

// stackLayers makes the layers that were written, of the job's materials.
func (j *Job) stackLayers(items []stackItem, spacing float64) ([]material.Layer, []held, error) {
	law := j.in.law
	_, k := law.KnockDowns()
	layers, holds := make([]material.Layer, len(items)), make([]held, len(items))
	for i, y := range items {
		var e material.Lamina
		var x material.Strength
		h := held{what: "plastic"}
		layers[i].Thickness = j.in.printer.PlasticHeight
		if y.plastic {
			state := law.PlasticState().Weakened(k.Matrix)
			if y.infill < 1 {
				state = state.Infill(y.infill, y.walls)
				h.what = fmt.Sprintf("plastic, infill %.3g %%, walls %.3g %%", 100*y.infill, 100*y.walls)
			}
			e, x = state.Lamina(), state.Strength()
			if h.between = state.Shear; j.in.plastic.AcrossLayers > 0 {
				h.between *= j.in.plastic.AcrossLayers
			}
		} else {
			s := y.spacing
			if s == 0 {
				s = spacing
			}
			if s*(1+spacingSlack) < 1/law.RhoMax() || s > (1+spacingSlack)/law.RhoMin() {
				return nil, nil, &InputError{[]Fault{{Key: "--layers", What: fmt.Sprintf("layer %d has strands %g mm apart", i+1, s), Remedy: fmt.Sprintf("give %.4g mm to %.4g mm, what tow and printer allow", 1/law.RhoMax(), 1/law.RhoMin())}}}
			}
			rho := min(max(1/s, law.RhoMin()), law.RhoMax())
			e, x = law.Lamina(rho), law.Strength(rho)
			h = held{what: fmt.Sprintf("beads %.4g mm apart", s), fibre: law.Composition(rho).Fibre, between: x.Sis}
			layers[i].Theta, layers[i].Thickness = y.angle, law.Height()
		}
		if y.thickness > 0 {
			layers[i].Thickness = y.thickness
		}
		var err error
		if layers[i].Ply, err = material.NewPly(e, x, material.Judge{}); err != nil {
			return nil, nil, fmt.Errorf("layer %d: %w", i+1, err)
		}
		holds[i] = h
	}
	return layers, holds, nil
}

func (a *stackAsked) strengths(flat *material.Laminate) (StackStrengths, error) {
	out := StackStrengths{Criterion: a.criterion.String()}
	for _, s := range []struct {
		to    *float64
		force [3]float64
	}{
		{&out.TensionX, [3]float64{1, 0, 0}}, {&out.CompressionX, [3]float64{-1, 0, 0}},
		{&out.TensionY, [3]float64{0, 1, 0}}, {&out.CompressionY, [3]float64{0, -1, 0}}, {&out.Shear, [3]float64{0, 0, 1}},
	} {
		var err error
		if *s.to, err = flat.Ultimate(material.Degrade{Criterion: a.criterion}, s.force); err != nil {
			return out, fmt.Errorf("strength of the stack: %w", err)
		}
	}
	return out, nil
}

func (a *stackAsked) underLoad(l *material.Laminate) (*StackLoadRecord, error) {
	out := &StackLoadRecord{}
	out.Strain, out.Curvature = l.Respond(a.load)
	for _, s := range l.Stresses(a.load) {
		out.Stresses = append(out.Stresses, StackStressRecord{Layer: s.Layer + 1, Z: s.Z, Part: s.Part, Own: s.Own})
	}
	if a.load.Force == [3]float64{} && a.load.Moment == [3]float64{} {
		return out, nil
	}
	for c := range len(material.CriterionNames()) {
		f := l.First(material.Criterion(c), a.load)
		out.First = append(out.First, StackFirstRecord{
			Criterion: material.Criterion(c).String(), Reserve: finiteOr(f.Reserve, maxReserve), Fails: f.Mode.String(), Layer: f.Layer + 1, Z: f.Z,
			Stress: f.Stress, FractureDeg: f.Angle * 180 / math.Pi,
		})
	}
	way, err := l.Collapse(material.Degrade{Criterion: a.criterion}, a.load)
	if err != nil {
		return nil, err
	}
	out.Collapse = &StackCollapseRecord{Load: way.Load, Curve: way.Curve, Steps: []StackStepRecord{}}
	for i, p := range way.Curve {
		// What holds nothing any more moves without end.
		way.Curve[i][0] = finiteOr(p[0], maxReserve)
	}
	for _, s := range way.Steps {
		out.Collapse.Steps = append(out.Collapse.Steps, StackStepRecord{Load: s.Load, Layer: s.Layer + 1, Fails: s.Mode.String()})
		first := &out.Collapse.FirstMatrix
		if s.Mode.IsFibre() {
			first = &out.Collapse.FirstFibre
		}
		if *first == 0 {
			*first = s.Load
		}
	}
	return out, nil
}

func (a *stackAsked) sheared(l *material.Laminate, holds []held) *StackShearRecord {
	out := &StackShearRecord{Strength: math.Inf(1)}
	out.Stress, out.Z = l.InterlaminarShear(a.shear)
	for _, h := range holds {
		out.Strength = math.Min(out.Strength, h.between)
	}
	out.Reserve = finiteOr(out.Strength/out.Stress, maxReserve)
	return out
}

func (a *stackAsked) holed(j *Job, flat *material.Laminate, s StackStrengths) (*StackHoleRecord, error) {
	c, n := flat.InPlane(), j.in.law.Notch()
	wide := material.OpenHole(c)
	out := &StackHoleRecord{Kt: wide, Front: material.HoleFront(c), PointMM: n.Point, AverageMM: n.Average}
	finite := 1.0
	if a.width > 0 {
		if a.width <= a.hole {
			return nil, &InputError{[]Fault{{Key: "--width", What: fmt.Sprintf("is %g mm, the hole %g mm", a.width, a.hole), Remedy: "give the width of the strip around the hole"}}}
		}
		finite = material.FiniteWidth(wide, a.hole/a.width)
		out.Kt *= finite
	}
	out.Point = s.TensionX * material.PointStress(wide, a.hole/2, n.Point) / finite
	out.Average = s.TensionX * material.AverageStress(wide, a.hole/2, n.Average) / finite
	if a.pin == 0 {
		return out, nil
	}
	lug := material.Lug{Force: a.pin, Diameter: a.hole, Width: a.width, Edge: a.edge, Thickness: flat.Thickness}
	list, err := lug.Reserves(material.LugStrength{Bearing: s.CompressionX, Tension: s.TensionX, Shear: s.Shear})
	if err != nil {
		return nil, &InputError{[]Fault{{Key: "--pin", What: err.Error(), Remedy: "give --width and --edge of the lug too"}}}
	}
	for _, r := range list {
		out.Lug = append(out.Lug, JointReport{r.Check, r.Stress, r.Strength, finiteOr(r.Reserve, maxReserve)})
	}
	return out, nil
}

// size is quantity for what must be above zero where it is given.
func (l *faultList) size(flag, text string, kind unit.Kind) (v float64) {
	if text != "" {
		if err := positive(&v, text, kind); err != nil {
			l.add(flag, err.Error(), "write a number above zero with its unit")
		}
	}
	return v
}

// three reads the three components of a force or moment.
func (l *faultList) three(flag, text string, kind unit.Kind) (v [3]float64) {
	if text == "" {
		return v
	}
	texts := strings.Split(text, ",")
	if len(texts) != len(v) {
		l.add(flag, fmt.Sprintf("%q has %d values", text, len(texts)), "give three: along x, along y, in shear, parted by commas")
		return v
	}
	for i, text := range texts {
		v[i] = l.quantity(flag, text, kind, 0)
	}
	return v
}
