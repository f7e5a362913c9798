package proof

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"sinew/geom"
	"sinew/material"
	"sinew/part"
	"sinew/plate"
	"sinew/strand"
	"sinew/stress"
)

// PlateWish says what is asked of the designs as plates that bend. Cases that
// act across the plane are judged as such in any case.
type PlateWish struct {
	Bending     bool    // judge every case as a plate that may bend: stacks that are not symmetric
	Buckling    int     // buckling factors wanted of each case of the print; 0: none
	Frequencies int     // natural frequencies wanted of the print as its supports hold it; 0: none
	Large       bool    // follow every case of the print, and its warp, with large deflections
	Warp        bool    // how the print bends when it leaves the bed
	Cooling     float64 // K from where the plastic locks stress in down to where the part works
	Foundation  float64 // stiffness of what the part lies on, N/mm³; 0: nothing
	Fields      bool    // keep system, solution and stack for drawings
}

// Plate is what is known of the print as a plate.
type Plate struct {
	Cases       []PlateCase
	Frequencies []float64 // Hz, ascending
	Warp        *Warp     // nil: not asked
	// System and what it answered, where the fields were wished for.
	System   *plate.System
	Solution *plate.Solution
	Section  *plate.Section
	Stack    *plate.Stack
	// Indices holds, per case, fields on the elements as failure was judged: of
	// each kind of layer the greatest index of fibre and matrix (1 is failure),
	// and the least reserve factor of all.
	Indices [][]plate.Field
}

// PlateCase is the print under one case as a plate.
type PlateCase struct {
	Bends      bool       // it was judged as a plate that bends
	Deflection float64    // the greatest |w|, mm, its sign kept
	At         geom.Point // where
	Error      float64    // estimated, relative in the energy norm
	Buckling   []float64  // factors on the required load, ascending
	Large      *Large     // nil: not asked
	Probes     []plate.Reading
}

// Large is the print under one case with large deflections, von Kármán.
type Large struct {
	Reached    bool    // the required load was; else the part gives way, or snaps, at Factor of it
	Factor     float64 // reached
	Deflection float64 // the greatest |w| there, mm, its sign kept
	At         geom.Point
}

// Warp is the print free of the bed, cooled.
type Warp struct {
	plate.Bow
	Cooling float64 // K
	// Matrix is the greatest index of matrix failure by the stress that the
	// layers lock in among themselves; 1 is failure. A mean over the disc.
	Matrix float64
	// Large is the height by large deflections, mm; 0: not asked, or not found.
	Large float64
}

// bends reports whether a case is judged as a plate that bends.
func (p *prover) bends(i int) bool {
	return p.in.Plate.Bending || p.in.Part.Cases[i].Bends()
}

// anyBends reports whether some case is.
func (p *prover) anyBends() bool {
	for i := range p.in.Part.Cases {
		if p.bends(i) {
			return true
		}
	}
	return false
}

// plates returns the part as a plate, made when first asked for.
func (p *prover) plates() (*plate.System, error) {
	if p.bending == nil {
		s, err := plate.NewSystem(p.sys.Mesh(), p.in.Part, plate.Settings{Workers: p.workers, Memory: p.set.Memory, Bedded: p.in.Plate.Foundation > 0})
		if err != nil {
			return nil, fmt.Errorf("as a plate that bends: %w", err)
		}
		p.bending = s
	}
	return p.bending, nil
}

// spread takes values from the three integration points of an element in its
// plane to the six of the plate's element: those near a corner take that of
// their corner, the others the mean of the two beside them. Integrals stay.
func spread[T any](three []T, mean func(a, b T) T) []T {
	out := make([]T, 0, 2*len(three))
	for t := 0; t+stress.PointsPerTri <= len(three); t += stress.PointsPerTri {
		v := three[t : t+stress.PointsPerTri]
		out = append(out, mean(v[1], v[2]), mean(v[2], v[0]), mean(v[0], v[1]), v[0], v[1], v[2])
	}
	return out
}

func meanStiffness(a, b material.Stiffness) material.Stiffness {
	return material.Stiffness{}.Add(a, 0.5).Add(b, 0.5)
}

func meanVector(a, b [3]float64) (m [3]float64) {
	for i := range m {
		m[i] = (a[i] + b[i]) / 2
	}
	return m
}

func meanNumber(a, b float64) float64 { return (a + b) / 2 }

// stackOf lays the plies of a design on top of each other; failed says what of
// them has, by ply and point, nil: nothing.
func (p *prover) stackOf(plies []ply, failed [][]damage) *plate.Stack {
	s, _ := p.piled(plies, failed)
	return s
}

// pileOf is the place of a layer of a stack among the plies of its design.
type pileOf struct {
	ply, layer int // layer by index into the ply's heights
}

// piled is stackOf, which also says what each layer is.
func (p *prover) piled(plies []ply, failed [][]damage) (*plate.Stack, []pileOf) {
	type placed struct {
		low   float64
		layer plate.Layer
		of    pileOf
	}
	var list []placed
	for i := range plies {
		var state []damage
		if failed != nil {
			state = failed[i]
		}
		y := p.layerOf(&plies[i], state)
		for k, at := range plies[i].at {
			pieces := p.pieces(at)
			for n, piece := range pieces {
				one := y
				if one.Name = plies[i].nameOf(i, k); len(pieces) > 1 {
					one.Name += fmt.Sprintf(", piece %d", n+1)
				}
				one.Bottom, one.Top = []float64{piece[0]}, p.topsOf(piece)
				list = append(list, placed{piece[0], one, pileOf{i, k}})
			}
		}
	}
	s := &plate.Stack{}
	var of []pileOf
	for len(list) > 0 { // bottom first; a stack has few layers
		best := 0
		for i := range list {
			if list[i].low < list[best].low {
				best = i
			}
		}
		s.Layers, of = append(s.Layers, list[best].layer), append(of, list[best].of)
		list = append(list[:best], list[best+1:]...)
	}
	return s, of
}

// pieces cuts a layer where the outline of the part changes.
func (p *prover) pieces(at [2]float64) [][2]float64 {
	var out [][2]float64
	low := at[0]
	for _, s := range p.slabs {
		if z := s.Top - p.in.Part.Thickness/2; z > low+sameHeight && z < at[1]-sameHeight {
			out = append(out, [2]float64{low, z})
			low = z
		}
	}
	return append(out, [2]float64{low, at[1]})
}

// sameHeight is what separates heights in fact, mm: rounding of sums is less.
const sameHeight = 1e-6

// isThere reports whether a piece of a layer is there at a point of the plane.
func (p *prover) isThere(piece [2]float64, point int) bool {
	return p.presence.at((piece[0]+piece[1])/2+p.in.Part.Thickness/2, point)
}

// topsOf returns the heights of a piece's upper face at the plate's integration
// points: where it is not there, those of the lower one.
func (p *prover) topsOf(piece [2]float64) []float64 {
	if len(p.slabs) == 0 {
		return []float64{piece[1]}
	}
	tops := make([]float64, p.n)
	for i := range tops {
		if tops[i] = piece[0]; p.isThere(piece, i) {
			tops[i] = piece[1]
		}
	}
	return spread(tops, meanNumber)
}

// nameOf a layer of a ply in exports.
func (y *ply) nameOf(ply, k int) string {
	switch {
	case y.beads != nil && k < len(y.beads.Layers):
		return fmt.Sprintf("composite layer %d", y.beads.Layers[k]+1)
	case y.beads == nil:
		return fmt.Sprintf("plain layer %d", k+1)
	}
	return fmt.Sprintf("ply %d.%d", ply+1, k+1)
}

// layerOf returns a ply's material at the plate's integration points, failed
// where the state says so.
func (p *prover) layerOf(y *ply, state []damage) plate.Layer {
	if y.beads == nil && state == nil && y.fill == nil {
		l := &y.plain.lamina
		return plate.Layer{Stiff: []material.Stiffness{y.plain.q}, Shear: [][3]float64{{l.G23, 0, l.G13}}, Heat: [][3]float64{y.plain.thermal}, Density: []float64{y.plain.density}}
	}
	n := p.n
	q, shear := make([]material.Stiffness, n), make([][3]float64, n)
	heat, density := make([][3]float64, n), make([]float64, n)
	share(n, p.workers, func(i int) {
		d := whole
		if state != nil {
			d = state[i]
		}
		var plain *plainPly
		q[i], shear[i], plain = y.left(i, p.in.Law, p.pocket, d)
		heat[i] = y.heatOf(i, p.in.Law, plain, q[i])
		if plain != nil {
			density[i] = plain.density * y.filled(i)
		} else {
			density[i] = p.in.Law.Composition(y.beads.Rho[i]).Density
		}
	})
	return plate.Layer{Stiff: spread(q, meanStiffness), Shear: spread(shear, meanVector), Heat: spread(heat, meanVector), Density: spread(density, meanNumber)}
}

// bent is a design's answer as a plate.
type bent struct {
	system   *plate.System
	solution *plate.Solution
	section  *plate.Section
	stack    *plate.Stack
	of       []pileOf // what its layers are
	is       func(i int) bool
	spots    []stress.Spot  // the points at which the plane is judged
	strain   [][][6]float64 // per case, at them
}

// bend analyses a design as a plate.
func (p *prover) bend(plies []ply) (*bent, error) {
	sys, err := p.plates()
	if err != nil {
		return nil, err
	}
	b := &bent{system: sys, spots: p.judged(), is: p.bends}
	b.stack, b.of = p.piled(plies, nil)
	section, err := b.stack.Section(len(sys.Points()))
	if err != nil {
		return nil, err
	}
	if k := p.in.Plate.Foundation; k > 0 {
		section.Foundation = []float64{k}
	}
	b.section = &section
	if b.solution, err = sys.Solve(p.ctx, b.section); err != nil {
		return nil, err
	}
	for i := range b.solution.Cases {
		b.strain = append(b.strain, sys.StrainAt(&b.solution.Cases[i], b.spots))
	}
	return b, nil
}

// judged returns the points at which failure is judged, as spots of the mesh.
func (p *prover) judged() []stress.Spot {
	out := make([]stress.Spot, 0, len(p.points))
	for t := range p.n / stress.PointsPerTri {
		for _, b := range stress.Places() {
			out = append(out, stress.Spot{Tri: t, B: b})
		}
	}
	return append(out, p.spots.places...)
}

// faces returns a bent case at the lowest and highest face of a ply: where
// strains are linear between them, indices of failure are greatest at one of
// them.
func (p *prover) faces(b *bent, i int, y *ply) [2]*state {
	var out [2]*state
	for k := range out {
		out[k] = p.bentState(b, i, func(q int) float64 { return p.reach(y, q)[k] })
	}
	return out
}

// bentState is a bent case at a height over the middle of the part that may
// differ from point to point.
func (p *prover) bentState(b *bent, i int, height func(q int) float64) *state {
	c := &b.solution.Cases[i]
	out := &state{strain: make([][3]float64, len(b.strain[i]))}
	if c.Heat.Acts() {
		out.warm = make([]float64, len(b.strain[i]))
	}
	for q, e := range b.strain[i] {
		z := height(q)
		for d := range 3 {
			out.strain[q][d] = e[d] + z*e[3+d]
		}
		if out.warm != nil {
			out.warm[q] = c.Heat.At(p.points[q]) + z*c.Heat.Across
		}
	}
	return out
}

// reach returns the lowest and highest face of a ply's layers at a point.
func (p *prover) reach(y *ply, point int) [2]float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, at := range y.at {
		for _, piece := range p.pieces(at) {
			if p.isThere(piece, point) {
				low, high = math.Min(low, piece[0]), math.Max(high, piece[1])
			}
		}
	}
	if low > high { // nothing is there, and nothing is judged
		return [2]float64{}
	}
	return [2]float64{low, high}
}

// caseFields returns the indices of a ply under a case: of a bent one the
// greater of its two faces point by point.
func (p *prover) caseFields(plies []ply, i, which int, c *state, b *bent) []indexField {
	states := p.statesOf(plies, i, which, c, b)
	out := p.fields(plies, i, states[0])
	for _, face := range states[1:] {
		for k, f := range p.fields(plies, i, face) {
			for q, v := range f.index {
				out[k].index[q] = math.Max(out[k].index[q], v)
			}
		}
	}
	return out
}

// statesOf returns what a ply is judged in under a case: in the plane c itself,
// of a case that bends its two faces.
func (p *prover) statesOf(plies []ply, i, which int, c *state, b *bent) []*state {
	if b == nil || !b.is(which) {
		return []*state{c}
	}
	faces := p.faces(b, which, &plies[i])
	return faces[:]
}

// stiffnessOf a bent case: the resultant of its loads over the displacement
// along them; 0 where weight or temperature act too.
func (b *bent) stiffnessOf(i int, j *judge) float64 {
	pc, c := &j.in.Part.Cases[i], &b.solution.Cases[i]
	if pc.Heat.Acts() || pc.Acceleration != (geom.Point{}) || pc.Spin.Rate != 0 || pc.Bending.Acceleration != 0 || !(c.Work > 0) {
		return 0
	}
	a := c.Applied
	return (a[0]*a[0] + a[1]*a[1] + a[2]*a[2]) / c.Work
}

// bendAs analyses a design as a plate where some case asks for it, and the
// print as wished.
func (p *prover) bendAs(plies []ply, isPrint bool) (b *bent, err error) {
	if p.anyBends() {
		if b, err = p.bend(plies); err != nil {
			return nil, err
		}
	}
	if isPrint && p.only == "" {
		err = p.wishes(plies, b)
	}
	return b, err
}

// wishes answers what is asked of the print as a plate.
func (p *prover) wishes(plies []ply, b *bent) error {
	w := p.in.Plate
	if b == nil && w.Buckling == 0 && w.Frequencies == 0 && !w.Warp && !w.Fields && !w.Large {
		return nil
	}
	out := &Plate{}
	p.result.Plate = out
	var err error
	if b == nil && (w.Buckling > 0 || w.Frequencies > 0 || w.Fields || w.Large) {
		if b, err = p.bend(plies); err != nil {
			return err
		}
	}
	if b != nil {
		if err := p.plateCases(out, plies, b); err != nil {
			return err
		}
	}
	if w.Warp {
		out.Warp, err = p.warp(plies)
	}
	return err
}

// plateCases fills deflections, buckling and frequencies.
func (p *prover) plateCases(out *Plate, plies []ply, b *bent) error {
	w := p.in.Plate
	readings, err := b.system.Probes(b.solution, b.stack)
	if err != nil {
		return err
	}
	for i := range b.solution.Cases {
		c := PlateCase{Bends: p.bends(i), Probes: readings[i], Error: b.system.Estimate(&b.solution.Cases[i], b.section).Relative}
		c.Deflection, c.At = b.system.Greatest(&b.solution.Cases[i])
		modes, err := p.buckling(b, i)
		if err != nil {
			return fmt.Errorf("buckling under case %q: %w", p.in.Part.Cases[i].Name, err)
		}
		for _, m := range modes[:min(len(modes), w.Buckling)] {
			c.Buckling = append(c.Buckling, m.Value)
		}
		if w.Large {
			if c.Large, err = p.large(b, i, modes); err != nil {
				return fmt.Errorf("large deflections under case %q: %w", p.in.Part.Cases[i].Name, err)
			}
		}
		out.Cases = append(out.Cases, c)
	}
	if w.Frequencies > 0 {
		modes, err := p.frequencies(b)
		for _, m := range modes {
			out.Frequencies = append(out.Frequencies, m.Value)
		}
		if err != nil {
			return fmt.Errorf("natural frequencies: %w", err)
		}
	}
	if w.Fields {
		out.System, out.Solution, out.Section, out.Stack = b.system, b.solution, b.section, b.stack
		for i := range p.in.Part.Cases {
			out.Indices = append(out.Indices, p.indices(plies, i, b))
		}
	}
	return nil
}

// indices returns Plate.Indices of a case.
func (p *prover) indices(plies []ply, which int, b *bent) []plate.Field {
	n := p.n / stress.PointsPerTri
	worstOf := func(at []float64, name string) plate.Field {
		f := plate.Field{Name: name, Components: 1, Values: make([]float64, n)}
		for q, v := range at {
			f.Values[q/stress.PointsPerTri] = math.Max(f.Values[q/stress.PointsPerTri], v)
		}
		return f
	}
	all, c := make([]float64, p.n), p.state(&p.solution.Cases[which])
	var out []plate.Field
	for i := range plies {
		var fibre, rest []float64
		for _, f := range p.caseFields(plies, i, which, c, b) {
			mean := p.mean(&f)
			all = worst(all, mean)
			if f.mode == FibreTension || f.mode == FibreCompression {
				fibre = worst(fibre, mean)
			} else {
				rest = worst(rest, mean)
			}
		}
		if fibre != nil {
			out = append(out, worstOf(fibre, plies[i].title()+": fibre index"))
		}
		out = append(out, worstOf(rest, plies[i].title()+": matrix index"))
	}
	least := worstOf(all, "least reserve factor")
	for t, v := range least.Values {
		least.Values[t] = 1 / math.Max(v, unloaded)
	}
	return append(out, least)
}

// title of a ply in exports.
func (y *ply) title() string {
	switch {
	case y.beads == nil:
		return "plain plastic"
	case len(y.beads.Layers) == 0:
		return "composite"
	}
	text := "composite layer"
	if len(y.beads.Layers) > 1 {
		text += "s"
	}
	for i, k := range y.beads.Layers {
		text += fmt.Sprintf("%s %d", [2]string{"", ","}[min(i, 1)], k+1)
	}
	return text
}

// buckling finds the modes of a case that matter; large deflections need the
// first, wished for or not.
func (p *prover) buckling(b *bent, i int) ([]plate.Mode, error) {
	count := p.in.Plate.Buckling
	if p.in.Plate.Large {
		count = max(1, count)
	}
	if count == 0 {
		return nil, nil
	}
	modes, err := b.system.Buckling(p.ctx, b.section, b.solution, i, count)
	return slices.DeleteFunc(modes, func(m plate.Mode) bool { return m.Value >= everBuckles }), err
}

// flaw is how far off flat a print is taken to be where it may buckle, over
// its thickness, in the shape of its first mode: a print is no flatter than the
// bed and its own warp let it be (common practice for plates: a tenth).
const flaw = 0.1

// largeSteps the load is first cut into; steps that are too long are halved.
const largeSteps = 4

// large follows a case with large deflections.
func (p *prover) large(b *bent, i int, modes []plate.Mode) (*Large, error) {
	set := plate.FollowSettings{Steps: largeSteps}
	if len(modes) > 0 {
		set.Shape = b.system.Shape(modes[0], flaw*p.in.Part.Thickness)
	}
	path, err := b.system.Follow(p.ctx, b.section, i, set)
	if err != nil {
		return nil, err
	}
	out := &Large{Reached: path.Reached, Factor: path.Points[len(path.Points)-1].Factor}
	out.Deflection, out.At = b.system.Greatest(&path.Last)
	return out, nil
}

// frequencies finds those of the print on its supports alone: grips and bolts
// of the cases do not hold it.
func (p *prover) frequencies(b *bent) ([]plate.Mode, error) {
	held := *p.in.Part
	held.Cases = []part.Case{{Name: "swinging", Factor: 1}}
	sys, err := plate.NewSystem(p.sys.Mesh(), &held, plate.Settings{Workers: p.workers, Memory: p.set.Memory, Bedded: p.in.Plate.Foundation > 0})
	if err != nil {
		return nil, err
	}
	return sys.Frequencies(p.ctx, b.section, 0, p.in.Plate.Frequencies)
}

// everBuckles is the factor above which buckling is nobody's concern, and may
// be the work of rounding: a part that is pulled only.
const everBuckles = 1e3

// cool is the print as a plate that cools, free of all supports.
func (p *prover) cool(plies []ply) (*bent, error) {
	if !(p.in.Plate.Cooling > 0) {
		return nil, errors.New("warp needs the temperature range over which the print cools")
	}
	free := part.Part{
		Name: p.in.Part.Name, Region: p.in.Part.Region, Thickness: p.in.Part.Thickness,
		Cases: []part.Case{{Name: "cooling", Factor: 1, Heat: part.Heat{Change: -p.in.Plate.Cooling}}},
	}
	sys, err := plate.NewSystem(p.sys.Mesh(), &free, plate.Settings{Workers: p.workers, Memory: p.set.Memory, Free: true})
	if err != nil {
		return nil, err
	}
	b := &bent{system: sys, stack: p.stackOf(plies, nil)}
	section, err := b.stack.Section(len(sys.Points()))
	if err != nil {
		return nil, err
	}
	b.section = &section
	b.solution, err = sys.Solve(p.ctx, b.section)
	return b, err
}

// warp cools the print and judges what the layers lock in.
func (p *prover) warp(plies []ply) (*Warp, error) {
	b, err := p.cool(plies)
	if err != nil {
		return nil, err
	}
	c := &b.solution.Cases[0]
	b.strain = [][][6]float64{b.system.StrainAt(c, p.judged())}
	out := &Warp{Bow: b.system.Bow(c), Cooling: p.in.Plate.Cooling}
	if p.in.Plate.Large {
		if out.Large, err = p.largeWarp(b.system, b.section, c); err != nil {
			return nil, err
		}
	}
	for i := range plies {
		for _, face := range p.faces(b, 0, &plies[i]) {
			for _, f := range p.fields(plies, i, face) {
				if f.mode != Matrix {
					continue
				}
				for _, v := range p.mean(&f) {
					out.Matrix = math.Max(out.Matrix, v)
				}
			}
		}
	}
	return out, nil
}

// warpFlaw is the share of the linear warp, along x alone, that the print is
// given from the start: it decides to which side a wide print snaps.
const warpFlaw = 0.01

// largeWarp returns the height of the cooled print by large deflections, 0
// where they could not be followed to the end.
func (p *prover) largeWarp(sys *plate.System, section *plate.Section, linear *plate.CaseSolution) (float64, error) {
	curvature := sys.Bow(linear).Curvature[0]
	nodes := sys.Mesh().Nodes
	box := p.in.Part.Region.Outer.Bounds()
	shape := make([]float64, len(nodes))
	for n, at := range nodes {
		x := at.X - (box.Min.X+box.Max.X)/2
		shape[n] = -warpFlaw * curvature * x * x / 2
	}
	path, err := sys.Follow(p.ctx, section, 0, plate.FollowSettings{Shape: shape, Steps: largeSteps})
	if err != nil || !path.Reached {
		return 0, err
	}
	return sys.Bow(&path.Last).Height, nil
}

// coverBelow is the height of the plastic layers under the composite: as
// printed, half of all without a print.
func (p *prover) coverBelow() float64 {
	if p.in.Print == nil {
		return p.in.CoverHeight / 2
	}
	sum := 0.0
	for i := range p.in.Print.Layers {
		if p.in.Print.Layers[i].Kind == strand.Composite {
			break
		}
		sum += p.in.Print.Layers[i].Height
	}
	return sum
}
