package proof

import (
	"math"

	"sinew/stress"
)

// interlaminar judges the shear between and within the layers of a design of
// beads that a case bends: that which equilibrium asks for, xz and yz together,
// over the interlaminar shear strength of the weaker layer, a mean over discs.
// It is what a short-beam test measures. ok is false where nothing is sheared.
func (p *prover) interlaminar(plies []ply, i int, b *bent) (m Margin, ok bool) {
	tau := b.system.Sheared(&b.solution.Cases[i], b.section, b.stack)
	worst := 0.0
	for k, of := range b.of {
		for _, top := range []bool{false, true} {
			at, under := tau.Middle[k], k
			if top {
				at, under = tau.Top[k], min(k+1, len(b.of)-1)
			}
			f := indexField{mode: Interlaminar, ply: of.ply, index: make([]float64, p.n), holds: make([]bool, p.n)}
			stress := make([][2]float64, p.n)
			for q := range p.n {
				strength := math.Min(p.between(plies, of.ply, q), p.between(plies, b.of[under].ply, q))
				if f.holds[q] = strength > 0; f.holds[q] {
					stress[q] = toPoint(at, q)
					f.index[q] = math.Hypot(stress[q][0], stress[q][1]) / strength
				}
			}
			found, loaded := p.discMargin(&f, plies)
			if !loaded || 1/found.Reserve <= worst {
				continue
			}
			worst, m = 1/found.Reserve, found
			p.through(DiscMean, m.point, func(q int) bool { return f.holds[q] }, func(q int, weight float64) {
				m.Stress[0] += weight * stress[q][0]
				m.Stress[1] += weight * stress[q][1]
			})
			m.Allowable = [2]float64{math.Min(p.between(plies, of.ply, m.point), p.between(plies, b.of[under].ply, m.point))}
			if beads := plies[of.ply].beads; m.Layer >= 0 && of.layer < len(beads.Layers) {
				m.Layer = beads.Layers[of.layer]
			}
		}
	}
	return m, worst > 0
}

// addInterlaminar adds that margin by every rule alike: it does not peak at
// edges.
func (p *prover) addInterlaminar(c *CaseMargins, plies []ply, i int, b *bent) {
	if m, ok := p.interlaminar(plies, i, b); ok {
		for k := range c.ByRule {
			c.ByRule[k].keep(m)
		}
	}
}

// between is the shear strength of a ply along its layers at a point, MPa; 0
// where it has none of its thickness there.
func (p *prover) between(plies []ply, i, point int) float64 {
	y := &plies[i]
	if y.shareAt(point) == 0 {
		return 0
	}
	if y.beads != nil && y.beads.Covered(point) {
		return p.in.Law.Strength(y.beads.effective(point)).Sis
	}
	return p.plainOf(y).between
}

// toPoint reads values at the plate's six integration points of an element at
// one of the plane's three, linearly: both lie on the line from a corner to the
// middle of the side ahead of it. See spread for their order.
func toPoint(six [][2]float64, q int) (v [2]float64) {
	const (
		near   = 0.816847572980459 // from the far side, of the six points' inner three
		beside = 0.445948490915965 // of the two next to it
		at     = 2.0 / 3           // of the three
		share  = (at - beside) / (near - beside)
	)
	t, corner := q/stress.PointsPerTri, q%stress.PointsPerTri
	e := six[2*stress.PointsPerTri*t:]
	left, right := e[(corner+1)%stress.PointsPerTri], e[(corner+2)%stress.PointsPerTri]
	for k := range v {
		v[k] = share*e[stress.PointsPerTri+corner][k] + (1-share)*(left[k]+right[k])/2
	}
	return v
}
