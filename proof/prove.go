package proof

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"

	"sinew/geom"
	"sinew/plate"
	"sinew/strand"
	"sinew/stress"
)

// Prove analyses the print and the designs it is compared with, all on one
// mesh.
func Prove(ctx context.Context, in Input) (*Result, error) {
	p, stages, err := newProver(ctx, &in)
	if err != nil {
		return nil, err
	}
	for _, stage := range stages {
		if err := stage(); err != nil {
			return nil, err
		}
	}
	return p.result, nil
}

// newProver prepares the analysis and lists the kinds of design to judge.
func newProver(ctx context.Context, in *Input) (*prover, []func() error, error) {
	if err := in.validate(); err != nil {
		return nil, nil, err
	}
	workers := in.Settings.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	sys := in.System
	if sys == nil {
		var err error
		if sys, err = stress.NewSystem(in.Mesh, in.Part, stress.Settings{Workers: workers, Memory: in.Settings.Memory}); err != nil {
			return nil, nil, err
		}
	}
	j, err := newJudge(in, sys, workers)
	if err != nil {
		return nil, nil, err
	}
	p := &prover{judge: j, ctx: ctx, result: &Result{}}
	p.presence = newPresence(in.Part, in.Print, p.points)
	stages := []func() error{p.printed, p.planned, p.drilled, p.straight, p.metals, p.plastics}
	switch {
	case !in.hasFibre():
		stages = stages[4:]
	case in.Settings.Alone && in.Print != nil:
		stages = stages[:1]
	}
	return p, stages, nil
}

func (in *Input) validate() error {
	var errs []error
	if in.Part == nil {
		return errors.New("a proof needs a part")
	}
	if in.Mesh == nil && in.System == nil {
		errs = append(errs, errors.New("a proof needs a mesh or a prepared system"))
	}
	if !in.hasFibre() {
		if len(in.Metals)+len(in.Plastics) == 0 {
			errs = append(errs, errors.New("a proof needs a print, a lay-up, a metal or a plastic"))
		}
		return errors.Join(errs...)
	}
	if in.Law == nil {
		errs = append(errs, errors.New("a print or a lay-up needs the law of its bead"))
	}
	if !(in.Plastic.State.Tension > 0) {
		errs = append(errs, errors.New("the plastic of walls and covers has no strength"))
	}
	if !(in.Part.Thickness-in.CoverHeight > 0) {
		errs = append(errs, fmt.Errorf("covers of %g mm leave nothing of the part's %g mm for composite layers", in.CoverHeight, in.Part.Thickness))
	}
	return errors.Join(errs...)
}

func (in *Input) hasFibre() bool { return in.Print != nil || in.Layup != nil }

type prover struct {
	*judge
	ctx    context.Context
	result *Result
	presence
	bending *plate.System // nil until asked for
	// sheet and solution of the design judged last.
	sheet    stress.Sheet
	solution *stress.Solution
	only     string       // where not empty, the one design that is wanted
	found    *Examination // it
	length   float64      // of all fibre of the design that the others are held to, mm
}

// Names of designs that cost some work before they are solved.
const (
	designPrinted  = "as printed"
	designStraight = "straight fibre, as printed"
)

// skips reports whether a design is not the one that is wanted.
func (p *prover) skips(name string) bool { return p.only != "" && name != p.only }

// design solves and judges one stack; beads must come first among the plies.
func (p *prover) design(d Design, plies []ply, bearing float64, detail *Detail) error {
	if p.skips(d.Name) {
		return nil
	}
	thermal := false
	for i := range p.in.Part.Cases {
		thermal = thermal || p.in.Part.Cases[i].Heat.InPlane()
	}
	sheet := sheetOf(plies, p.in.Law, p.pocket, p.n, thermal)
	sol, err := p.sys.Solve(p.ctx, sheet)
	if err != nil {
		return fmt.Errorf("design %q: %w", d.Name, err)
	}
	return p.weigh(d, plies, sheet, sol, bearing, detail)
}

// weigh judges a solved stack.
func (p *prover) weigh(d Design, plies []ply, sheet stress.Sheet, sol *stress.Solution, bearing float64, detail *Detail) (err error) {
	p.sheet, p.solution = sheet, sol
	if p.only != "" {
		p.found = &Examination{System: p.sys, Sheet: sheet, Solution: sol, prover: p, plies: plies, shapes: map[shapeKey][]Shape{}}
	}
	if detail != nil {
		detail.System, detail.Sheet, detail.Solution = p.sys, sheet, sol
		if p.found != nil {
			p.found.maps = detail.Layers
		}
	}
	b, err := p.bendAs(plies, detail != nil)
	if err != nil {
		return fmt.Errorf("design %q: %w", d.Name, err)
	}
	if p.found != nil {
		p.found.bent = b
	}
	var judged []judgedCase
	d.Cases, judged = p.cases(plies, sol, b, detail)
	for i := range d.Cases {
		if b != nil && b.is(i) && plies[0].beads != nil {
			p.addInterlaminar(&d.Cases[i], plies, i, b)
		}
		p.settle(&d.Cases[i], i, bearing)
		if d.Cases[i].Joints, err = p.joints(plies, i, &sol.Cases[i], bearing); err != nil {
			return fmt.Errorf("design %q: %w", d.Name, err)
		}
		for k := range d.Cases[i].Joints {
			g := &d.Cases[i].Joints[k]
			if g.Elements = judged[i].leastAround(g.Feature); g.Elements != nil {
				p.explain(p.set.EdgeRule(), g.Elements, plies, p.statesOf(plies, g.Elements.ply, i, judged[i].state, b))
			}
		}
		if p.set.Collapse && p.only == "" && (p.bends(i) || p.in.Part.Cases[i].ActsInPlane()) && plies[0].beads != nil && collapses(d.ID) {
			if d.Cases[i].Collapse, err = p.collapse(plies, i); err != nil {
				return fmt.Errorf("design %q: %w", d.Name, err)
			}
		}
	}
	if detail != nil && p.only == "" {
		if err := p.lookInto(&d, plies, b, detail); err != nil {
			return err
		}
	}
	d.Mass = 0
	for q, w := range p.weights {
		d.Mass += w * sheet.Mass[q]
	}
	if d.Cost == 0 {
		d.Cost = p.cost(&d, plies)
	}
	p.result.Designs = append(p.result.Designs, d)
	return nil
}

// collapses reports whether a design's way to collapse is worth its time: the
// print and what it is chiefly compared with.
func collapses(id string) bool { return id == Printed || id == Drilled || id == StraightPrinted }

// lookInto adds what is told of the print alone.
func (p *prover) lookInto(d *Design, plies []ply, b *bent, detail *Detail) error {
	states := make([]*state, len(detail.Solution.Cases))
	detail.Criteria, detail.AtGoverning = make([][]CriterionMargin, len(states)), make([][]CriterionMargin, len(states))
	detail.Equations = p.sys.Equations()
	for i := range states {
		states[i] = p.state(&detail.Solution.Cases[i])
		of := func(ply int) []*state { return p.statesOf(plies, ply, i, states[i], b) }
		detail.Criteria[i] = p.criteria(plies, of)
		if m := d.Cases[i].ofBeads(); m != nil {
			detail.AtGoverning[i] = p.atPlace(p.set.EdgeRule(), m, plies, of(m.ply))
		}
	}
	detail.Ends = p.ends(p.in.Print, detail.Layers, states)
	var err error
	detail.Stacks, err = p.stacks(p.in.Print, detail.Layers, d)
	return err
}

// cost of the material: tow by length, the rest by mass.
func (p *prover) cost(d *Design, plies []ply) float64 {
	if len(plies) == 1 && plies[0].beads == nil {
		return 0 // metals and plastics know their own price
	}
	tow := p.in.Law.Tow()
	length := d.FibreLength * 1000
	plastic := math.Max(0, d.Mass-length*tow.LinearDensity())
	return length*tow.Price() + plastic*p.in.Plastic.PricePerKilo/gramsPerKilo
}

const gramsPerKilo = 1000

func (p *prover) covers() []ply {
	if p.in.CoverHeight <= 0 {
		return nil
	}
	t, below := p.in.Part.Thickness/2, p.coverBelow()
	at := [][2]float64{{-t, below - t}, {below - p.in.CoverHeight + t, t}}
	y := ply{thickness: p.in.CoverHeight, plain: p.pocket, share: p.over(p.presence.covers), at: at}
	if p.in.CoverFill != nil {
		for _, point := range p.points[:p.n] {
			volume, keeps := p.in.CoverFill(point)
			y.fill, y.keeps = append(y.fill, volume), append(y.keeps, keeps)
		}
	}
	return []ply{y}
}

// pliesOf turns layer maps into plies, covers last.
func (p *prover) pliesOf(maps []LayerMap) []ply {
	var plies []ply
	for i := range maps {
		y := ply{thickness: maps[i].Height * float64(len(maps[i].Layers)), beads: &maps[i], share: p.layers(maps[i].Layers)}
		for _, k := range maps[i].Layers {
			z := p.coverBelow() - p.in.Part.Thickness/2 + maps[i].Height*float64(k)
			y.at = append(y.at, [2]float64{z, z + maps[i].Height})
		}
		plies = append(plies, y)
	}
	return append(plies, p.covers()...)
}

// strandLength adds up what the nozzle lays, overlaps of closed strands too.
func strandLength(pr *strand.Print) float64 {
	sum := 0.0
	for i := range pr.Layers {
		for k := range pr.Layers[i].Strands {
			sum += pr.Layers[i].Strands[k].Length()
		}
	}
	return sum
}

func (p *prover) printed() error {
	if p.in.Print == nil {
		return nil
	}
	p.length = strandLength(p.in.Print)
	if p.skips(designPrinted) {
		return nil
	}
	maps := p.mapsBefore()
	if maps == nil {
		maps = AsPrinted(p.in.Print, p.in.Part, p.points, p.set.Transfer, p.workers)
	}
	if len(maps) == 0 {
		return errors.New("the print has no composite layer")
	}
	mapped := 0.0
	for i := range maps {
		mapped += maps[i].Length(p.weights) * float64(len(maps[i].Layers))
	}
	if off := mapped/p.length - 1; math.Abs(off) > lengthTolerance {
		p.result.Notes = append(p.result.Notes, fmt.Sprintf("the fibre in the analysis differs by %+.1f %% from that laid: strands closer than the least spacing, or bead edges finer than the mesh", 100*off))
	}
	p.result.Printed = &Detail{Layers: maps}
	d := Design{ID: Printed, Name: designPrinted, FibreLength: p.length / 1000, Time: p.in.PrintTime, Cost: p.in.PrintCost,
		Note: "strands as they will be laid, mapped back onto the mesh"}
	return p.design(d, p.pliesOf(maps), p.set.Bearing, p.result.Printed)
}

// lengthTolerance is how far the fibre of the analysis may be off that of the
// strands before it is noted: mapping strands to points costs some percent.
const lengthTolerance = 0.03

func (p *prover) planned() error {
	l := p.in.Layup
	if l == nil {
		return nil
	}
	maps := make([]LayerMap, 0, len(l.Families))
	total := 0.0
	for f := range l.Families {
		family := &l.Families[f]
		m := even(len(p.points), p.in.Law.Height(), 0, 0)
		for k, y := range l.Layers {
			if y.Family == f {
				m.Layers = append(m.Layers, k)
			}
		}
		if len(m.Layers) == 0 {
			continue
		}
		g := family.Operator(p.points)
		for i := range p.points {
			if b := family.FibreAt(g, i); b.Covered {
				m.Rho[i] = math.Max(b.Rho, leastRho)
				m.Sin[i], m.Cos[i] = math.Sincos(b.Theta)
			}
		}
		total += family.Length() * float64(len(m.Layers))
		maps = append(maps, *m)
	}
	if p.length == 0 {
		p.length = total
	}
	d := Design{ID: Planned, Name: "field as planned", FibreLength: total / 1000, Note: "directions and spacing as the field asks for, before strands are drawn"}
	return p.design(d, p.pliesOf(maps), p.set.Bearing, nil)
}

// leastRho stands for a place of the field where strands thin out to nothing:
// still a bead by name, of plastic in effect.
const leastRho = 1e-4

// evenRho is the strands per mm, all over the part, that use up the length of
// fibre of the print.
func (p *prover) evenRho() float64 {
	area, share := 0.0, p.over(p.composite)
	for q, w := range p.weights {
		if share != nil {
			w *= share[q]
		}
		area += w
	}
	layers := (p.in.Part.Thickness - p.in.CoverHeight) / p.in.Law.Height()
	return p.length / (layers * area)
}

// stack is a laminate of even plies at the angles, of equal thickness.
func (p *prover) stack(rho float64, angles ...float64) []ply {
	h := (p.in.Part.Thickness - p.in.CoverHeight) / float64(len(angles))
	share := p.over(p.composite)
	var plies []ply
	low := p.coverBelow() - p.in.Part.Thickness/2
	high := low + h*float64(len(angles))
	for i, a := range angles { // half of each under the middle, half mirrored above it
		z := h / 2 * float64(i)
		plies = append(plies, ply{thickness: h, beads: even(len(p.points), p.in.Law.Height(), rho, a), share: share,
			at: [][2]float64{{low + z, low + z + h/2}, {high - z - h/2, high - z}}})
	}
	return append(plies, p.covers()...)
}

const drilledNote = "holes and outline cut through the fibre; same tow length and thickness, no walls, spacing even"

func (p *prover) drilled() error {
	d := Design{ID: Drilled, Name: "quasi-isotropic, drilled", FibreLength: p.length / 1000, Note: "[0/90/±45]; " + drilledNote}
	return p.design(d, p.stack(p.evenRho(), 0, math.Pi/2, math.Pi/4, -math.Pi/4), p.set.Bearing, nil)
}

// straight judges straight fibre twice where a print of it is given: even and
// exact, which flatters it, and as the strands would lie, some of which graze
// the hole.
func (p *prover) straight() error {
	angle, err := p.straightAngle()
	if err != nil {
		return err
	}
	p.result.Angle = angle
	d := Design{ID: Straight, Name: "straight fibre, drilled", FibreLength: p.length / 1000,
		Note: fmt.Sprintf("all fibre at %.3g°; %s", angle*180/math.Pi, drilledNote)}
	if err := p.design(d, p.stack(p.evenRho(), angle), p.set.Bearing, nil); err != nil || p.in.StraightPrint == nil || p.skips(designStraight) {
		return err
	}
	maps := AsPrinted(p.in.StraightPrint, p.in.Part, p.points, p.set.Transfer, p.workers)
	d = Design{ID: StraightPrinted, Name: designStraight, FibreLength: strandLength(p.in.StraightPrint) / 1000,
		Note: "as printed from straight strands that end at the holes"}
	return p.design(d, p.pliesOf(maps), p.set.Bearing, nil)
}

// straightAngle is the direction that takes most of the load: the mean over
// the part and all cases of the principal directions of an isotropic plate,
// weighted by the difference of the sizes of the principal stresses.
func (p *prover) straightAngle() (float64, error) {
	if p.in.StraightAngle != nil {
		return *p.in.StraightAngle, nil
	}
	sheet := stress.Isotropic(1, 0.3, 1)
	sol, err := p.sys.Solve(p.ctx, sheet)
	if err != nil {
		return 0, err
	}
	var v geom.Point
	for i := range sol.Cases {
		for q, n := range p.sys.Resultants(&sol.Cases[i], sheet) {
			s1, s2, a := stress.Principal(n)
			s, c := math.Sincos(2 * a)
			v = v.Add(geom.Point{X: c, Y: s}.Scale(p.weights[q] * (math.Abs(s1) - math.Abs(s2))))
		}
	}
	return math.Round(math.Atan2(v.Y, v.X)/2*180/math.Pi) * math.Pi / 180, nil
}

func (p *prover) metals() error {
	for _, m := range p.in.Metals {
		d := Design{ID: m.ID, Name: m.Title, Note: "solid plate of the same outline and thickness; price of the metal alone"}
		if err := p.plain(d, metalPly(m), m.Bearing, m.PricePerKilo); err != nil {
			return err
		}
	}
	return nil
}

func (p *prover) plastics() error {
	for _, x := range p.in.Plastics {
		flat := x
		flat.State = x.State.Knocked(x.AcrossLines)
		d := Design{ID: x.ID, Name: x.Title + ", no strands", Note: "printed solid and flat; strength of the card across printed lines, which cross from layer to layer"}
		if err := p.plain(d, plasticPly(flat), x.State.Compression, x.PricePerKilo); err != nil {
			return err
		}
		if err := p.upright(d, x); err != nil {
			return err
		}
	}
	return nil
}

// upright judges the same plastic with its layers across the load, from the
// solution of the flat one: the stiffness is the same.
func (p *prover) upright(d Design, x Plain) error {
	if x.AcrossLayers == 0 || x.AcrossLayers == x.AcrossLines {
		return nil
	}
	d.ID, d.Name = x.ID+"-upright", x.Title+", no strands, upright"
	d.Note = "the same, printed standing up: the load pulls layer from layer"
	x.State = x.State.Knocked(x.AcrossLayers)
	if p.only != "" {
		return p.plain(d, plasticPly(x), x.State.Compression, x.PricePerKilo)
	}
	if err := p.weigh(d, p.plate(plasticPly(x)), p.sheet, p.solution, x.State.Compression, nil); err != nil {
		return err
	}
	p.price(d.Name, x.PricePerKilo)
	return nil
}

// plate is the whole part of one plain material.
func (p *prover) plate(y *plainPly) []ply {
	t := p.in.Part.Thickness
	return []ply{{thickness: t, plain: y, share: p.whole(), at: [][2]float64{{-t / 2, t / 2}}}}
}

// price puts a price by mass on the last design, if it has that name.
func (p *prover) price(name string, perKilo float64) {
	if n := len(p.result.Designs); n > 0 && p.result.Designs[n-1].Name == name {
		last := &p.result.Designs[n-1]
		last.Cost = last.Mass * perKilo / gramsPerKilo
	}
}

func (p *prover) plain(d Design, y *plainPly, bearing, price float64) error {
	if err := p.design(d, p.plate(y), bearing, nil); err != nil {
		return err
	}
	p.price(d.Name, price)
	return nil
}
