package job

import (
	"context"
	"fmt"
	"math"
	"slices"

	"sinew/field"
	"sinew/geom"
	"sinew/mesh"
	"sinew/part"
	"sinew/strand"
	"sinew/stress"
)

// Defaults of the lay-up.
const (
	defaultWalls   = 1
	defaultSpacing = 1.0 // mm
	defaultTurns   = 3
	defaultSteps   = 20
	leastStagger   = 5.0 // mm
)

// laid is the kept result of the lay stage.
type laid struct {
	Layup    *field.Layup
	Print    *strand.Print
	Terraces []Terrace // of a part whose outline changes with height
	Notes    []string
	Mix      *MixRecord // of the search, nil where none was asked for
	// Thickness of the part that the search came to, mm; 0: as given.
	Thickness float64
}

func (j *Job) walls() int {
	if w := j.file.Layup.Walls; w != nil {
		return *w
	}
	return defaultWalls
}

// layKey covers what shapes the field and its strands.
func (j *Job) layKey(meshKey key) key {
	t := j.file.Layup
	in := []any{meshKey, j.walls(), t.Border, t.Ring, t.Supports, t.Overhang, t.LinkLoops, t.TurnAt, t.TurnReach, t.Stagger, t.Order, t.Covers, t.Families, j.in.paths, j.file.Judge.Radius, j.file.Judge.Mask, j.in.state, j.file.Material.TowMethod, j.file.Material.BeadMethod}
	in = append(in, t.Refine, t.Search, j.file.Judge.Transfer)
	if t.Search != nil {
		in = append(in, j.file.Require, j.file.Analysis)
	}
	for _, role := range []string{"material.printer", "material.plastic", "material.tow", "material.bead"} {
		in = append(in, j.in.cardKeys[role])
	}
	for i := range j.in.knockdowns {
		in = append(in, j.in.cardKeys[fmt.Sprintf("material.knockdowns[%d]", i)])
	}
	return keyOf(stageLay, in...)
}

func (j *Job) layStage(ctx context.Context, m meshed, meshKey key) (laid, key, error) {
	l, k, err := j.layUnlessKept(ctx, m, j.layKey(meshKey))
	if l.Thickness > 0 {
		j.in.part.SetThickness(l.Thickness)
	}
	return l, k, err
}

// makeLayup plans the field and draws its strands; state is where an earlier
// run was stopped. It returns such a state when it was stopped itself.
func (j *Job) makeLayup(ctx context.Context, m meshed, state resumed) (laid, *resumed, error) {
	sys, err := j.systemOn(m.Mesh)
	if err != nil {
		return laid{}, nil, j.numbersOrInput(ctx, err)
	}
	in, err := j.fieldInput(ctx, sys)
	if err != nil {
		return laid{}, nil, err
	}
	set, err := j.fieldSettings(sys)
	if err != nil {
		return laid{}, nil, err
	}
	var out laid
	next := resumed{Mixed: true}
	if err := j.findMix(ctx, in, &set, sys, m, &out, state, &next); err != nil {
		return laid{}, nil, j.numbersOrInput(ctx, err)
	}
	if state.Mixed {
		set.Resume = state.Refined
	}
	if out.Layup = state.Whole; out.Layup == nil {
		if out.Layup, err = field.Plan(ctx, in, set); err != nil {
			return laid{}, nil, j.numbersOrInput(ctx, err)
		}
	}
	if next.Mixed {
		next.Refined = out.Layup.Stopped
	}
	out.Layup.Stopped = nil
	strands := j.strandSettings()
	strands.Quiet = stressAt(m.Reference)
	if err := j.terraces(ctx, in, set, &out, state, &next); err != nil {
		return laid{}, nil, j.numbersOrInput(ctx, err)
	}
	if out.Print, err = j.layStrands(ctx, out.Layup, out.Terraces, strands); err != nil {
		return laid{}, nil, j.numbersOrInput(ctx, err)
	}
	changed, err := j.findOrder(ctx, m, sys, &out, &next)
	if err != nil {
		return laid{}, nil, j.numbersOrInput(ctx, err)
	}
	if changed {
		if out.Print, err = j.layStrands(ctx, out.Layup, out.Terraces, strands); err != nil {
			return laid{}, nil, j.numbersOrInput(ctx, err)
		}
	}
	j.planned = &in
	if next.ended() {
		return out, nil, nil
	}
	return out, &next, nil
}

// plannedInput is what the lay-up was planned on: that of this run, or made
// again where the lay-up was kept.
func (j *Job) plannedInput(ctx context.Context, m meshed) (*field.Input, error) {
	if j.planned != nil {
		return j.planned, nil
	}
	sys, err := j.systemOn(m.Mesh)
	if err != nil {
		return nil, j.numbersOrInput(ctx, err)
	}
	in, err := j.fieldInput(ctx, sys)
	return &in, err
}

// fieldSettings are those of the plan, before a search.
func (j *Job) fieldSettings(sys *stress.System) (field.Settings, error) {
	set := field.Settings{
		Workers: j.opt.Workers, Stop: j.opt.Stop,
		Radius: float64(j.file.Judge.Radius), Mask: float64(j.file.Judge.Mask),
		Progress: func(what string, share float64) { j.tell("fibre field: "+what, 0.1+0.5*share) },
	}
	var err error
	if set.Families, err = j.requests(); err != nil {
		return set, err
	}
	for _, name := range j.file.Layup.Order {
		set.Order = append(set.Order, slices.IndexFunc(set.Families, func(r field.Request) bool { return r.Name == name }))
	}
	set.Refine = j.refinement()
	if set.Refine.Steps > 0 {
		set.Draw = j.drawer(sys, j.in.part)
	}
	return set, nil
}

func (j *Job) refinement() field.Refine {
	t := j.file.Layup.Refine
	r := field.Refine{Steps: defaultSteps, Goal: map[string]field.Goal{"": field.Balanced, "balance": field.Balanced, "reserve": field.Weakest, "stiffness": field.Stiffest}[t.Goal]}
	if t.Steps != nil {
		r.Steps = *t.Steps
	}
	return r
}

// fieldInput prepares what the field is planned on: the composite region is
// the part less its plastic walls and the gap beside them.
func (j *Job) fieldInput(ctx context.Context, sys *stress.System) (field.Input, error) {
	plastic, err := j.in.plastic.In(j.in.state)
	if err != nil {
		return field.Input{}, asInput(FileName, "material.temperature", err)
	}
	in := field.Input{
		Part: j.in.part, System: sys, Region: j.in.part.Region,
		Stack: field.Stack{Law: j.in.law, Plastic: plastic.Phase.Lamina().Reduced(), PlasticDensity: j.in.plastic.Density, Covers: j.coverWorth(),
			PlasticIndex: plastic.Index, PlasticExpansion: plastic.Phase.Alpha1},
	}
	in.Stack.Warm = j.in.part.Warms()
	in.Stack.Share, in.Stack.CoverShare = j.presence(sys.Points())
	inset := j.wallInset()
	if inset == 0 {
		return in, nil
	}
	regions, err := in.Region.Inset(inset)
	if err != nil || len(regions) != 1 {
		j.faults.add("layup.walls", fmt.Sprintf("%d walls leave %d separate areas for composite", j.walls(), len(regions)), "take fewer walls, or widen the part's necks")
		return in, j.faults.err()
	}
	in.Region = regions[0]
	set := j.meshSettings()
	set.Cancel = func() bool { return ctx.Err() != nil }
	if in.Mesh, err = mesh.Generate(in.Region, set); err != nil {
		return in, j.numbersOrInput(ctx, err)
	}
	return in, nil
}

func (j *Job) strandSettings() strand.Settings {
	c := j.file.Layup.Covers
	return strand.Settings{
		Workers: j.opt.Workers, Stagger: j.stagger(), TurnAt: j.turnAt(), TurnReach: float64(j.file.Layup.TurnReach),
		Region: j.in.part.Region, Thickness: j.in.part.Thickness, Walls: j.walls(), Bottom: c.Bottom, Top: c.Top, Fill: j.in.fill, Link: j.file.Layup.LinkLoops,
		Supports: j.file.Layup.Supports, Overhang: float64(j.file.Layup.Overhang),
		Grip: strand.Grip{Border: j.file.Layup.Border, Ring: float64(j.file.Layup.Ring)},
	}
}

// stagger is that of strand ends; below 0 where none is wanted.
func (j *Job) stagger() float64 {
	switch s := j.file.Layup.Stagger; {
	case s == nil:
		return math.Max(leastStagger, float64(j.file.Judge.Transfer))
	case *s == 0:
		return -1
	default:
		return float64(*s)
	}
}

// turnAt tells whether the part's edge nearest to a place belongs to a feature
// at which strands may turn; nil where there is none.
func (j *Job) turnAt() func(geom.Point) bool {
	p := j.in.part
	allowed := map[geom.EdgeRef]bool{}
	for _, f := range p.Features {
		if !slices.Contains(j.file.Layup.TurnAt, f.Name) {
			continue
		}
		edges := f.Edges
		if f.Kind == part.Hole {
			edges = nil
			for e := range p.Region.Loops()[f.Loop] {
				edges = append(edges, e)
			}
		}
		for _, e := range edges {
			allowed[geom.EdgeRef{Loop: f.Loop, Edge: e}] = true
		}
	}
	if len(allowed) == 0 {
		return nil
	}
	near := geom.NewBoundary(p.Region)
	return func(at geom.Point) bool {
		n := near.Nearest(at)
		return allowed[geom.EdgeRef{Loop: n.Loop, Edge: n.Edge}]
	}
}

// stressAt tells how highly a place is stressed in one even material: the
// largest principal stress of all cases, so that closed strands start and end
// where little pulls.
func stressAt(cases []Principal) func(geom.Point) float64 {
	if len(cases) == 0 {
		return nil
	}
	grid := geom.NewGrid(cases[0].Points)
	return func(p geom.Point) float64 {
		i, _ := grid.Nearest(p)
		worst := 0.0
		for _, c := range cases {
			worst = math.Max(worst, math.Abs(c.PerTri[i]))
		}
		return worst
	}
}

// requests turns the job's families into the field's.
func (j *Job) requests() ([]field.Request, error) {
	kinds := map[string]field.Kind{"steered": field.Steered, "straight": field.Straight, "loop": field.Loop, "rim": field.Rim, "drawn": field.Drawn, "ribs": field.Rib, "plain": field.Plain}
	var out []field.Request
	for i, t := range j.file.Layup.Families {
		r := field.Request{Name: t.Name, Kind: kinds[t.Kind], Layers: t.Layers, Spacing: float64(t.Spacing), Angle: float64(t.Angle), Turns: t.Turns,
			Eight: t.FigureEight, Pitch: float64(t.Pitch), Bundle: t.Bundle, ByLoad: t.ByLoad, Paths: j.in.paths[i], Smooth: t.Smooth, Into: t.Into}
		if r.Name == "" {
			r.Name = t.Kind
		}
		if r.Spacing == 0 {
			r.Spacing = j.in.spacing()
		}
		if r.Turns == 0 {
			r.Turns = defaultTurns
		}
		for k, name := range t.Around {
			r.Around = append(r.Around, j.feature(j.in.part, fmt.Sprintf("layup.family[%d].around[%d]", i, k), name))
		}
		out = append(out, r)
	}
	for k, name := range j.file.Layup.TurnAt {
		j.feature(j.in.part, fmt.Sprintf("layup.turn_at[%d]", k), name)
	}
	return out, j.faults.err()
}

// spacing of families that state none: a millimetre, or what printer and bead
// allow at least. Beads of fixed width lie side by side.
func (in *inputs) spacing() float64 {
	least := in.printer.SpacingMin
	if in.law != nil {
		least = math.Max(least, 1/in.law.RhoMax())
	}
	if in.printer.BeadWidth() > 0 {
		return least
	}
	return math.Max(defaultSpacing, least)
}

// straightPrint lays the same tow length in straight strands along the
// direction that takes most of the force: the sharper comparison.
func (j *Job) straightPrint(ctx context.Context, m meshed, l laid) (*strand.Print, error) {
	layers, length := len(l.Layup.Layers), l.Print.Stats().Length
	if length == 0 {
		return nil, nil
	}
	in, err := j.plannedInput(ctx, m)
	if err != nil {
		return nil, err
	}
	spacing := in.Region.Area() * float64(layers) / length
	spacing = min(max(spacing, 1/j.in.law.RhoMax()), 1/j.in.law.RhoMin())
	layup, err := field.Plan(ctx, *in, field.Settings{
		Workers:  j.opt.Workers,
		Families: []field.Request{{Name: "straight", Kind: field.Straight, Layers: layers, Spacing: spacing, Angle: mainDirection(m.Reference)}},
	})
	if err != nil {
		return nil, j.numbersOrInput(ctx, err)
	}
	s := j.strandSettings()
	s.TurnAt = nil
	straight, err := j.layStrands(ctx, layup, nil, s)
	if err != nil {
		return nil, j.numbersOrInput(ctx, err)
	}
	return straight, nil
}

// mainDirection is the angle of the principal axis that carries most force
// over all cases: the mean of directions weighted by the difference of the
// principal stresses' sizes, taken at double angle.
func mainDirection(cases []Principal) float64 {
	var v geom.Point
	for _, c := range cases {
		for i := range c.Points {
			w := math.Abs(c.S1[i]) - math.Abs(c.S2[i])
			v = v.Add(geom.Point{X: w * math.Cos(2*c.Angle[i]), Y: w * math.Sin(2*c.Angle[i])})
		}
	}
	angle := 0.5 * math.Atan2(v.Y, v.X)
	if degrees := math.Round(angle * 180 / math.Pi); math.Abs(angle*180/math.Pi-degrees) < straightRounding {
		return degrees * math.Pi / 180
	}
	return angle
}

// straightRounding: nearer than this to a whole degree, the main direction is
// taken as that degree, for a symmetric part's mesh is not quite symmetric.
const straightRounding = 0.5
