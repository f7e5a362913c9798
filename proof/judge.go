package proof

import (
	"math"
	"slices"

	"sinew/geom"
	"sinew/material"
	"sinew/part"
	"sinew/stress"
)

// judge holds what is the same for all designs.
type judge struct {
	in      *Input
	set     Settings
	sys     *stress.System
	points  []geom.Point
	weights []float64
	disc    *stress.Disc
	pocket  *plainPly
	workers int
}

func newJudge(in *Input, sys *stress.System, workers int) *judge {
	j := &judge{in: in, set: in.Settings, sys: sys, points: sys.Points(), weights: sys.Weights(), workers: workers}
	j.disc = stress.NewMaskedDisc(j.points, j.weights, in.Settings.radius(), j.masked())
	j.pocket = plasticPly(in.Plastic)
	return j
}

// masked marks the points near sides that are held or loaded as a whole: the
// clamp's own stress is not the part's. Nil: none.
func (j *judge) masked() []bool {
	if j.set.Mask <= 0 {
		return nil
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
		if s.Kind != part.Sliding {
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
		return nil
	}
	grid := geom.NewGrid(near)
	out := make([]bool, len(j.points))
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

// fields returns the indices of a ply under a case.
func (j *judge) fields(plies []ply, i int, c *stress.CaseSolution) []indexField {
	y := &plies[i]
	if y.beads == nil {
		return j.plainFields(y.plain, i, y.there(), c)
	}
	n := len(j.points)
	ft, fc, m := make([]float64, n), make([]float64, n), make([]float64, n)
	covered := make([]bool, n)
	pockets := false
	for p, e := range c.Strain {
		there := y.shareAt(p) > 0
		covered[p] = there && y.beads.Covered(p)
		pockets = pockets || there && !covered[p]
		if covered[p] {
			ft[p], fc[p], m[p] = j.beadIndices(y.beads, p, e, c.DeltaT)
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

func (j *judge) beadIndices(b *LayerMap, p int, e [3]float64, deltaT float64) (ft, fc, m float64) {
	rho := b.effective(p)
	e = material.TurnStrainBy(e, b.Cos[p], b.Sin[p])
	if deltaT != 0 {
		l := j.in.Law.Lamina(rho)
		e[0] -= deltaT * l.Alpha1
		e[1] -= deltaT * l.Alpha2
	}
	ft, fc, m = j.in.Law.Indices(rho, e)
	if b.Share != nil { // near its end the fibre is strained less than the bead
		ft *= b.Share[p]
		fc *= b.Share[p]
	}
	return ft, fc, m
}

// alongStrand returns the stress of a bead along its strand.
func (j *judge) alongStrand(b *LayerMap, p int, e [3]float64, deltaT float64) float64 {
	rho := b.effective(p)
	e = material.TurnStrainBy(e, b.Cos[p], b.Sin[p])
	r, _ := j.in.Law.Reduced(rho)
	t := r.Turn(0).Mul(e)
	if deltaT != 0 {
		l := j.in.Law.Lamina(rho)
		t[0] -= deltaT * r.Turn(0).Mul([3]float64{l.Alpha1, l.Alpha2, 0})[0]
	}
	return t[0]
}

func (j *judge) plainFields(plain *plainPly, i int, holds []bool, c *stress.CaseSolution) []indexField {
	out := make([]indexField, len(plain.modes))
	for k, mode := range plain.modes {
		out[k] = indexField{mode, i, make([]float64, len(j.points)), holds}
	}
	for p, e := range c.Strain {
		if holds != nil && !holds[p] {
			continue
		}
		x := plain.index(plain.stress(e, c.DeltaT))
		for k := range out {
			out[k].index[p] = x[k]
		}
	}
	return out
}

// mean averages an index over the points of each disc that hold the same
// material, so that a pocket beside a strand does not flatter it.
func (j *judge) mean(f *indexField) []float64 {
	mean := j.disc.Mean(f.index)
	if f.holds == nil {
		return mean
	}
	one := make([]float64, len(f.index))
	for p, h := range f.holds {
		if h {
			one[p] = 1
		}
	}
	share := j.disc.Mean(one)
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
			if l.Kind != part.Bearing || l.Force == (geom.Point{}) {
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

// margins returns the margins of a field: one, or two where fibre is
// compressed before a pin and elsewhere.
func (j *judge) margins(f *indexField, mean []float64, plies []ply, zone []bool) []Margin {
	if f.mode != FibreCompression || zone == nil {
		m, ok := j.margin(f, mean, plies, nil, false)
		return []Margin{m}[:count(ok)]
	}
	out := make([]Margin, 0, 2)
	for _, before := range []bool{true, false} {
		if m, ok := j.margin(f, mean, plies, zone, before); ok {
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
func (j *judge) margin(f *indexField, mean []float64, plies []ply, zone []bool, wanted bool) (m Margin, ok bool) {
	worst, raw := -1, 0.0
	for p, v := range mean {
		if j.disc.IsMasked(p) || zone != nil && zone[p] != wanted {
			continue
		}
		raw = math.Max(raw, f.index[p])
		if v > 0 && (worst < 0 || v > mean[worst]) {
			worst = p
		}
	}
	if worst < 0 || mean[worst] < unloaded {
		return Margin{}, false
	}
	at := j.points[worst]
	m = Margin{Mode: f.mode, Reserve: 1 / mean[worst], Raw: 1 / raw, X: at.X, Y: at.Y, Layer: -1, Feature: j.featureAt(at)}
	if b := plies[f.ply].beads; b != nil && b.Covered(worst) {
		m.Angle = b.Angle(worst)
		if len(b.Layers) > 0 {
			m.Layer = b.Layers[0]
		}
	}
	return m, true
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
			limit = sideReach * math.Max(defaultRadius, j.set.radius())
		}
		for _, n := range j.sys.FeatureNodes(f) {
			if d := j.sys.Mesh().Nodes[n].Dist(p); d < limit && d < nearest {
				best, nearest = f, d
			}
		}
	}
	return best
}

// cases judges a solution: the least margin of each mode under each case.
func (j *judge) cases(plies []ply, sol *stress.Solution, detail *Detail) []CaseMargins {
	out := make([]CaseMargins, len(sol.Cases))
	n := len(plies)
	margins := make([][]Margin, n*len(sol.Cases))
	means := make([][2][]float64, n*len(sol.Cases))
	zones := j.bearingZones()
	forEach(len(margins), j.workers, func(i int) {
		c := &sol.Cases[i/n]
		for _, f := range j.fields(plies, i%n, c) {
			mean := j.mean(&f)
			margins[i] = append(margins[i], j.margins(&f, mean, plies, zones[i/n])...)
			if detail != nil {
				switch f.mode {
				case FibreTension, FibreCompression:
					means[i][0] = worst(means[i][0], mean)
				case Matrix:
					means[i][1] = mean
				}
			}
		}
	})
	for i := range out {
		out[i] = CaseMargins{Case: j.in.Part.Cases[i].Name, Stiffness: sol.Cases[i].Stiffness}
		for k := range n {
			for _, m := range margins[i*n+k] {
				out[i].keep(m)
			}
		}
	}
	if detail != nil {
		detail.Fibre, detail.Matrix = make([][]float64, len(detail.Layers)), make([][]float64, len(detail.Layers))
		for i := range means {
			if k := i % n; k < len(detail.Layers) { // beads come first
				detail.Fibre[k] = worst(detail.Fibre[k], means[i][0])
				detail.Matrix[k] = worst(detail.Matrix[k], means[i][1])
			}
		}
	}
	return out
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
func (c *CaseMargins) keep(m Margin) {
	if old := c.Of(m.Mode); old == nil {
		c.Margins = append(c.Margins, m)
	} else if m.Reserve < old.Reserve {
		*old = m
	}
}

// sort puts the governing margin first.
func (c *CaseMargins) sort() {
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

// addBearing judges the mean pressure P/(d·t) of each pin under a case.
func (j *judge) addBearing(c *CaseMargins, i int, allowable float64) {
	if allowable <= 0 {
		return
	}
	pc := &j.in.Part.Cases[i]
	for _, l := range pc.Loads {
		f := &j.in.Part.Features[l.Feature]
		pressure := l.Force.Norm() * math.Abs(pc.Factor) / (f.Diameter * j.in.Part.FaceThickness(l.Feature))
		if l.Kind != part.Bearing || pressure == 0 {
			continue
		}
		at := f.Center.Add(l.Force.Scale(math.Copysign(f.Diameter/2, pc.Factor) / l.Force.Norm()))
		r := allowable / pressure
		c.keep(Margin{Mode: BearingPin, Reserve: r, Raw: r, X: at.X, Y: at.Y, Layer: -1, Feature: l.Feature})
	}
}
