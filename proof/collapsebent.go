package proof

import (
	"math"

	"sinew/geom"
	"sinew/part"
	"sinew/plate"
)

// layerByLayer splits plies into their single layers: bent, each has strains of
// its own, and fails on its own.
func (p *prover) layerByLayer(plies []ply) []ply {
	var out []ply
	for _, y := range plies {
		for k, at := range y.at {
			if at[1]-at[0] < sameHeight {
				continue
			}
			one := y
			one.at, one.thickness = [][2]float64{at}, at[1]-at[0]
			one.share = p.over([]float64{(at[0]+at[1])/2 + p.in.Part.Thickness/2})
			if y.beads != nil && k < len(y.beads.Layers) {
				m := *y.beads
				m.Layers = m.Layers[k : k+1]
				one.beads = &m
			}
			out = append(out, one)
		}
	}
	return out
}

// bending returns what solves a case that bends. A layer fails where it does at
// one of its faces.
func (w *wreck) bending() (func() (*trial, error), error) {
	sys, err := plate.NewSystem(w.sys.Mesh(), &w.one, plate.Settings{Workers: w.workers, Memory: w.set.Memory, Bedded: w.in.Plate.Foundation > 0})
	if err != nil {
		return nil, err
	}
	spots := w.judged()[:w.n]
	return func() (*trial, error) {
		section, err := w.stackOf(w.plies, w.state).Section(len(sys.Points()))
		if err != nil {
			return nil, err
		}
		if k := w.in.Plate.Foundation; k > 0 {
			section.Foundation = []float64{k}
		}
		sol, err := sys.Solve(w.ctx, &section)
		if err != nil {
			return nil, err
		}
		c := &sol.Cases[0]
		b := &bent{solution: sol, strain: [][][6]float64{sys.StrainAt(c, spots)}, is: func(int) bool { return true }}
		t := &trial{fields: func(y int) []indexField { return w.caseFields(w.plies, y, 0, nil, b) }}
		if size := loadSize(&w.one, c.Applied); size > 0 && c.Work > 0 {
			t.movement, t.stiffness = c.Work/size, size*size/c.Work
		}
		return t, nil
	}, nil
}

// loadSize adds up the sizes of the forces of a part's one case, stresses on
// faces by their resultant, or where it has none of its moments; 0 where
// temperature or inertia act too, whose work is not that of loads.
func loadSize(p *part.Part, applied [6]float64) float64 {
	c := &p.Cases[0]
	b := &c.Bending
	if c.Heat.Acts() || c.Acceleration != (geom.Point{}) || b.Acceleration != 0 || c.Spin.Rate != 0 {
		return 0
	}
	force, moment := math.Abs(b.Pressure)*p.Region.Area(), 0.0
	for _, q := range b.Points {
		force += math.Abs(q.Out)
	}
	for _, l := range c.Loads {
		if l.Kind == part.Traction || l.Kind == part.Pressure {
			return math.Sqrt(applied[0]*applied[0] + applied[1]*applied[1] + applied[2]*applied[2])
		}
		force += math.Hypot(l.Force.Norm(), l.Out)
		moment += l.Moment.Norm()
	}
	if force == 0 {
		force = moment
	}
	return force * math.Abs(c.Factor)
}
