package proof

import (
	"math"
	"slices"

	"sinew/geom"
	"sinew/internal/work"
	"sinew/material"
	"sinew/part"
	"sinew/stress"
)

// judge holds what is the same for all designs.
type judge struct {
	in      *Input
	set     Settings
	sys     *stress.System
	n       int          // number of integration points
	points  []geom.Point // the integration points, then those of spots
	masked  []bool       // by point
	weights []float64    // areas of the integration points
	disc    *stress.Disc // over the integration points
	notch   material.Notch
	spots   *spots
	inner   map[Rule][]bool // see interior
	assess  *material.Assessor
	pocket  *plainPly
	around  map[int][]bool // of each loaded hole, the points around it
	grid    *geom.Grid     // of the integration points
	clip    *geom.Clipper  // of the part's region
	workers int
}

func newJudge(in *Input, sys *stress.System, workers int) (*judge, error) {
	j := &judge{in: in, set: in.Settings, sys: sys, weights: sys.Weights(), workers: workers, inner: map[Rule][]bool{}}
	at := sys.Points()
	j.n = len(at)
	j.notch = in.Settings.Notch.OrDefault()
	j.spots = newSpots(sys, j.notch)
	j.points = append(slices.Clone(at), j.spots.points...)
	j.masked = j.mask()
	j.disc = stress.NewMaskedDisc(at, j.weights, in.Settings.DiscRadius(), j.masked[:j.n])
	b := geom.NewBoundary(sys.Part().Region)
	fromEdge := make([]float64, j.n)
	share(j.n, workers, func(p int) { fromEdge[p] = b.Nearest(at[p]).Distance })
	for _, r := range Rules()[1:] {
		j.inner[r] = j.interior(r, fromEdge)
	}
	j.pocket = plasticPly(in.Plastic)
	j.around = j.lookAround()
	j.grid, j.clip = geom.NewGrid(at), geom.NewClipper(sys.Part().Region.Flatten(flatness))
	var err error
	if in.Law != nil {
		j.assess, err = in.Law.Assessor(material.Judge{})
	}
	return j, err
}

// flatness of the outline on which ligaments are measured, mm.
const flatness = 0.01

// mask marks the points near sides that are held or loaded as a whole: the
// clamp's own stress is not the part's.
func (j *judge) mask() []bool {
	out := make([]bool, len(j.points))
	if j.set.Mask <= 0 {
		return out
	}
	var near []geom.Point
	add := func(feature int) {
		if j.in.Part.Features[feature].Kind == part.Side {
			for _, n := range j.sys.FeatureNodes(feature) {
				near = append(near, j.sys.Mesh().Nodes[n])
			}
		}
	}
	for _, s := range j.in.Part.Supports {
		if s.Kind < part.Sliding {
			add(s.Feature)
		}
	}
	for i := range j.in.Part.Cases {
		for _, l := range j.in.Part.Cases[i].Loads {
			if l.Kind != part.Pressure {
				add(l.Feature)
			}
		}
	}
	if len(near) == 0 {
		return out
	}
	grid := geom.NewGrid(near)
	for i, p := range j.points {
		_, d := grid.Nearest(p)
		out[i] = d < j.set.Mask
	}
	return out
}

// field is the index of one mode over the points of one ply that it is about.
type indexField struct {
	mode  Mode
	ply   int
	index []float64
	holds []bool // nil: everywhere
}

// state is what a case makes of the part: the strain at the judge's points.
type state struct {
	strain [][3]float64
	warm   []float64 // change of temperature at each point, K; nil: none
}

// warmAt returns the change of temperature at a point.
func (s *state) warmAt(p int) float64 {
	if s.warm == nil {
		return 0
	}
	return s.warm[p]
}

// state of a case at all of the judge's points.
func (j *judge) state(c *stress.CaseSolution) *state {
	return j.stateOf(append(slices.Clone(c.Strain), j.sys.StrainsAt(j.spots.places, c.U)...), c.Heat)
}

// stateOf strains at the first of the judge's points, in the middle plane.
func (j *judge) stateOf(strain [][3]float64, h part.Heat) *state {
	s := &state{strain: strain}
	if h.InPlane() {
		s.warm = make([]float64, len(strain))
		for p := range s.warm {
			s.warm[p] = h.At(j.points[p])
		}
	}
	return s
}

// fields returns the indices of a ply in a state.
func (j *judge) fields(plies []ply, i int, c *state) []indexField {
	y := &plies[i]
	if y.beads == nil {
		return j.plainFields(y.plain, i, y.there(), c)
	}
	n := len(j.points)
	ft, fc, m := make([]float64, n), make([]float64, n), make([]float64, n)
	covered := make([]bool, n)
	pockets := false
	for p := range c.strain {
		there := y.shareAt(p) > 0
		covered[p] = there && y.beads.Covered(p)
		pockets = pockets || there && !covered[p]
		if covered[p] {
			ft[p], fc[p], m[p] = j.beadIndices(y.beads, p, c)
		}
	}
	out := []indexField{{FibreTension, i, ft, covered}, {FibreCompression, i, fc, covered}, {Matrix, i, m, covered}}
	if pockets {
		bare := make([]bool, n)
		for p := range bare {
			bare[p] = !covered[p] && y.shareAt(p) > 0
		}
		out = append(out, j.plainFields(j.pocket, i, bare, c)...)
	}
	return out
}

func (j *judge) beadIndices(b *LayerMap, p int, s *state) (ft, fc, m float64) {
	rho, e := b.effective(p), j.layerStrain(b, p, s)
	ft, fc, m = j.in.Law.Indices(rho, e)
	if c := j.set.MatrixCriterion(); c != material.Hashin { // whose matrix index is the law's own
		m = j.assess.Between(c, rho, e)
	}
	if b.Share != nil { // near its end the fibre is strained less than the bead
		ft *= b.Share[p]
		fc *= b.Share[p]
	}
	return ft, fc, m
}

func (j *judge) plainFields(plain *plainPly, i int, holds []bool, c *state) []indexField {
	out := make([]indexField, len(plain.modes))
	for k, mode := range plain.modes {
		out[k] = indexField{mode, i, make([]float64, len(j.points)), holds}
	}
	for p, e := range c.strain {
		if holds != nil && !holds[p] {
			continue
		}
		x := plain.index(plain.stress(e, c.warmAt(p)))
		for k := range out {
			out[k].index[p] = x[k]
		}
	}
	return out
}

// mean averages an index over the points of each disc that hold the same
// material, so that a pocket beside a strand does not flatter it.
func (j *judge) mean(f *indexField) []float64 { return j.meanOver(f, j.shareOf(f.holds)) }

// shareOf returns the share of each disc that holds; nil for everywhere.
func (j *judge) shareOf(holds []bool) []float64 {
	if holds == nil {
		return nil
	}
	one := make([]float64, j.n)
	for p := range one {
		if holds[p] {
			one[p] = 1
		}
	}
	return j.disc.Mean(one)
}

// meanOver is mean where the share of the discs is known.
func (j *judge) meanOver(f *indexField, share []float64) []float64 {
	mean := j.disc.Mean(f.index[:j.n])
	if f.holds == nil {
		return mean
	}
	for p := range mean {
		if f.holds[p] && share[p] > 0 {
			mean[p] /= share[p]
		} else {
			mean[p] = 0
		}
	}
	return mean
}

// bearingZones marks, per case, the points before a loaded pin: in the half of
// the plane that the pin presses on, up to half a diameter from the hole's
// edge. Fibre that fails there in compression fails by bearing. Nil: no pin.
func (j *judge) bearingZones() [][]bool {
	zones := make([][]bool, len(j.in.Part.Cases))
	for i := range zones {
		c := &j.in.Part.Cases[i]
		for _, l := range c.Loads {
			if !j.isPin(l) || l.Force == (geom.Point{}) {
				continue
			}
			if zones[i] == nil {
				zones[i] = make([]bool, len(j.points))
			}
			f := &j.in.Part.Features[l.Feature]
			push := l.Force.Scale(c.Factor)
			for p, at := range j.points {
				arm := at.Sub(f.Center)
				zones[i][p] = zones[i][p] || arm.Norm() < f.Diameter && arm.Dot(push) > 0
			}
		}
	}
	return zones
}

// margins returns the margins of a field by a rule: one, or two where fibre is
// compressed before a pin and elsewhere. mean is the field's mean over discs.
func (j *judge) margins(r Rule, f *indexField, mean []float64, plies []ply, zone []bool) []Margin {
	if f.mode != FibreCompression || zone == nil {
		m, ok := j.margin(r, f, mean, plies, nil, false)
		return []Margin{m}[:count(ok)]
	}
	out := make([]Margin, 0, 2)
	for _, before := range []bool{true, false} {
		if m, ok := j.margin(r, f, mean, plies, zone, before); ok {
			if before {
				m.Mode = BearingPin
			}
			out = append(out, m)
		}
	}
	return out
}

func count(ok bool) int {
	if ok {
		return 1
	}
	return 0
}

// margin returns the reserve of a field over the points for which zone (nil:
// all) is as wanted; ok is false where nothing is loaded.
func (j *judge) margin(r Rule, f *indexField, mean []float64, plies []ply, zone []bool, wanted bool) (m Margin, ok bool) {
	worst, value, raw := -1, 0.0, 0.0
	take := func(p int, v float64) {
		if v > value && (zone == nil || zone[p] == wanted) {
			worst, value = p, v
		}
	}
	inner := j.inner[r]
	for p, v := range mean {
		if j.masked[p] || zone != nil && zone[p] != wanted {
			continue
		}
		raw = math.Max(raw, f.index[p])
		if inner == nil || inner[p] {
			take(p, v)
		}
	}
	if inner != nil {
		for _, l := range j.spots.lines {
			if v, p, ok := j.along(r, l, f); ok {
				take(p, v)
			}
		}
	}
	if worst < 0 || value < unloaded {
		return Margin{}, false
	}
	return j.marginAt(f, worst, value, math.Max(raw, value), plies), true
}

// marginAt words the margin of a field at a point.
func (j *judge) marginAt(f *indexField, p int, value, raw float64, plies []ply) Margin {
	at := j.points[p]
	m := Margin{Mode: f.mode, Reserve: 1 / value, Raw: 1 / raw, X: at.X, Y: at.Y, Layer: -1, Feature: j.featureAt(at), ply: f.ply, point: p}
	b := plies[f.ply].beads
	bead := b != nil && b.Covered(p)
	m.KnockDown = j.knockDown(bead, m.Mode)
	if y := plies[f.ply].plain; y != nil {
		m.KnockDown = y.knockDown
	} else if !bead {
		m.KnockDown = j.pocket.knockDown
	}
	if bead {
		m.Angle = b.Angle(p)
		if len(b.Layers) > 0 {
			m.Layer = b.Layers[0]
		}
	}
	return m
}

// knockDown is the product of the knock-downs in the allowable of a mode.
func (j *judge) knockDown(bead bool, m Mode) float64 {
	if j.in.Law == nil || !bead {
		return 1
	}
	_, k := j.in.Law.KnockDowns()
	switch m {
	case FibreTension:
		return k.FibreTension
	case FibreCompression, BearingPin:
		return k.FibreCompression
	case Matrix:
		return k.Matrix
	case Interlaminar:
		return k.Interlaminar
	}
	return 1
}

// unloaded is the index below which a mode counts as not called on at all: a
// reserve above a million is rounding, not mechanics.
const unloaded = 1e-6

// sideReach is how near a side without a diameter must be to be named, in
// radii of the disc.
const sideReach = 3

func (j *judge) featureAt(p geom.Point) int {
	best, nearest := -1, math.Inf(1)
	for f := range j.in.Part.Features {
		limit := j.in.Part.Features[f].Diameter
		if limit == 0 {
			limit = sideReach * math.Max(defaultRadius, j.set.DiscRadius())
		}
		for _, n := range j.sys.FeatureNodes(f) {
			if d := j.sys.Mesh().Nodes[n].Dist(p); d < limit && d < nearest {
				best, nearest = f, d
			}
		}
	}
	return best
}

// cases judges a solution: the least margin of each mode under each case, by
// each rule.
func (j *prover) cases(plies []ply, sol *stress.Solution, b *bent, detail *Detail) ([]CaseMargins, []judgedCase) {
	out := make([]CaseMargins, len(sol.Cases))
	n := len(plies)
	rules := Rules()
	zones := j.bearingZones()
	judged := make([]judgedCase, len(sol.Cases))
	var open [][2]int // case and ply still to be judged
	for i := range judged {
		judged[i] = judgedCase{state: j.state(&sol.Cases[i]), zone: zones[i], margins: make([][][]Margin, n), means: make([][2][]float64, n), holes: make([]map[int]Margin, n)}
		if old := j.caseBefore(&judged[i], plies); b == nil && old != nil {
			judged[i] = *old
			continue
		}
		for y := range n {
			open = append(open, [2]int{i, y})
		}
	}
	work.Each(len(open), j.workers, func(k int) {
		i, y := open[k][0], open[k][1]
		judged[i].take(j.judge, plies, y, j.caseFields(plies, y, i, judged[i].state, b))
	})
	if j.found != nil && b == nil { // bent cases have more to them than the strain of the sheet
		j.found.cases = judged
	}
	for i := range out {
		out[i] = CaseMargins{Case: j.in.Part.Cases[i].Name, Stiffness: sol.Cases[i].Stiffness, ByRule: make([]RuleMargins, len(rules))}
		if b != nil && b.is(i) {
			out[i].Stiffness = b.stiffnessOf(i, j.judge)
		}
		for k, r := range rules {
			c := &out[i].ByRule[k]
			c.Rule = r
			for y := range n {
				for _, m := range judged[i].margins[y][k] {
					c.keep(m)
				}
			}
			for m := range c.Margins {
				j.explain(r, &c.Margins[m], plies, j.statesOf(plies, c.Margins[m].ply, i, judged[i].state, b))
			}
		}
	}
	if detail != nil {
		detail.Fibre, detail.Matrix = make([][]float64, len(detail.Layers)), make([][]float64, len(detail.Layers))
		for i := range judged {
			for k := range detail.Layers { // beads come first among the plies
				detail.Fibre[k] = worst(detail.Fibre[k], judged[i].means[k][0])
				detail.Matrix[k] = worst(detail.Matrix[k], judged[i].means[k][1])
			}
		}
	}
	return out, judged
}

// leastAround is the least margin around a hole; nil where there is none.
func (c *judgedCase) leastAround(feature int) *Margin {
	var least *Margin
	for y := range c.holes {
		if m, ok := c.holes[y][feature]; ok && (least == nil || m.Reserve < least.Reserve) {
			least = &m
		}
	}
	return least
}

// settle adds what does not depend on the rule, sorts, and takes the margins of
// the rule that the part is judged by.
func (j *judge) settle(c *CaseMargins, i int, bearing float64) {
	for k := range c.ByRule {
		j.addBearing(&c.ByRule[k], i, bearing)
		c.ByRule[k].sort()
		if c.ByRule[k].Rule == j.set.EdgeRule() {
			c.Margins = slices.Clone(c.ByRule[k].Margins)
		}
	}
}

// worst returns the greater of two fields point by point; a nil one is none.
func worst(a, b []float64) []float64 {
	if a == nil {
		return slices.Clone(b)
	}
	for i, v := range b {
		a[i] = math.Max(a[i], v)
	}
	return a
}

// keep adds a margin, or replaces one of its mode that is greater.
func (c *RuleMargins) keep(m Margin) {
	if old := of(c.Margins, m.Mode); old == nil {
		c.Margins = append(c.Margins, m)
	} else if m.Reserve < old.Reserve {
		*old = m
	}
}

// sort puts the governing margin first.
func (c *RuleMargins) sort() {
	slices.SortStableFunc(c.Margins, func(a, b Margin) int {
		switch {
		case a.Reserve < b.Reserve:
			return -1
		case a.Reserve > b.Reserve:
			return 1
		}
		return 0
	})
}

// isPin reports whether a load comes through a pin or bolt in a round hole.
func (j *judge) isPin(l part.Load) bool {
	round := j.in.Part.Features[l.Feature].Diameter > 0
	return l.Kind == part.Bearing || round && (l.Kind == part.HalfPin || l.Kind == part.Bolt)
}

// addBearing judges the mean pressure P/(d·t) of each pin under a case.
func (j *judge) addBearing(c *RuleMargins, i int, allowable float64) {
	if allowable <= 0 {
		return
	}
	pc := &j.in.Part.Cases[i]
	for _, l := range pc.Loads {
		f := &j.in.Part.Features[l.Feature]
		pressure := l.Force.Norm() * math.Abs(pc.Factor) / (f.Diameter * j.in.Part.FaceThickness(l.Feature))
		if !j.isPin(l) || pressure == 0 {
			continue
		}
		at := f.Center.Add(l.Force.Scale(math.Copysign(f.Diameter/2, pc.Factor) / l.Force.Norm()))
		r := allowable / pressure
		c.keep(Margin{Mode: BearingPin, Reserve: r, Raw: r, X: at.X, Y: at.Y, Layer: -1, Feature: l.Feature, KnockDown: 1,
			Stress: [3]float64{-pressure}, Allowable: [2]float64{allowable}})
	}
}
