package proof

import (
	"math"

	"sinew/internal/work"
	"sinew/material"
)

// CriterionMargin is what one failure criterion says of a design's beads under
// one case.
type CriterionMargin struct {
	Criterion material.Criterion
	Margin
	What     material.Mode // as the criterion names it
	Fracture float64       // angle of the fracture plane, rad; see material.Failure
}

// criteria asks every criterion about the beads under one case, by the mean over
// discs, each at the place that is worst by it. states gives what a ply is
// judged in.
func (j *judge) criteria(plies []ply, states func(ply int) []*state) []CriterionMargin {
	names := material.CriterionNames()
	perPly := make([][]CriterionMargin, len(plies))
	work.Each(len(plies), j.workers, func(i int) {
		if plies[i].beads != nil {
			perPly[i] = j.criteriaOf(plies, i, states(i), len(names))
		}
	})
	var list []CriterionMargin
	for k := range names {
		var least *CriterionMargin
		for i := range perPly {
			if perPly[i] != nil && perPly[i][k].Reserve > 0 && (least == nil || perPly[i][k].Reserve < least.Reserve) {
				least = &perPly[i][k]
			}
		}
		if least != nil {
			list = append(list, *least)
		}
	}
	return list
}

// criteriaOf judges one ply: an entry for each criterion, of zero reserve where
// nothing is loaded.
func (j *judge) criteriaOf(plies []ply, i int, states []*state, criteria int) []CriterionMargin {
	b := plies[i].beads
	fields := make([]indexField, criteria)
	covered := make([]bool, j.n)
	for k := range fields {
		fields[k] = indexField{ply: i, index: make([]float64, j.n), holds: covered}
	}
	for p := range j.n {
		if covered[p] = plies[i].shareAt(p) > 0 && b.Covered(p); !covered[p] {
			continue
		}
		for _, c := range states {
			for k, f := range j.assess.Assess(b.effective(p), j.layerStrain(b, p, c)) {
				fields[k].index[p] = math.Max(fields[k].index[p], 1/f.Reserve)
			}
		}
	}
	out := make([]CriterionMargin, criteria)
	for k := range fields {
		if m, ok := j.discMargin(&fields[k], plies); ok {
			out[k] = j.atPlace(DiscMean, &m, plies, states)[k]
			out[k].Reserve, out[k].Raw = m.Reserve, m.Raw
		}
	}
	return out
}

// discMargin is margin by discs alone.
func (j *judge) discMargin(f *indexField, plies []ply) (m Margin, ok bool) {
	mean := j.mean(f)
	at := -1
	for p, v := range mean {
		if !j.masked[p] && (at < 0 || v > mean[at]) {
			at = p
		}
	}
	if at < 0 || mean[at] < unloaded {
		return Margin{}, false
	}
	return j.marginAt(f, at, mean[at], math.Max(f.index[at], mean[at]), plies), true
}

// named sets what a criterion's answer at one point means for a margin.
func (j *judge) named(c material.Criterion, m Margin, f material.Failure) CriterionMargin {
	m.Mode = Matrix
	switch f.Mode {
	case material.FibreTension:
		m.Mode = FibreTension
	case material.FibreCompression:
		m.Mode = FibreCompression
	}
	m.KnockDown = j.knockDown(true, m.Mode)
	return CriterionMargin{Criterion: c, Margin: m, What: f.Mode, Fracture: f.Angle}
}

// atPlace asks every criterion about the beads of one ply where a margin lies,
// by the rule that found it.
func (j *judge) atPlace(r Rule, m *Margin, plies []ply, states []*state) []CriterionMargin {
	y := &plies[m.ply]
	var worst []CriterionMargin
	for _, c := range states {
		efforts := make([]float64, len(material.CriterionNames()))
		var stress [3]float64
		alike := func(q int) bool { return y.shareAt(q) > 0 && y.beads.Covered(q) }
		j.through(r, m.point, alike, func(q int, weight float64) {
			for k, f := range j.assess.Assess(y.beads.effective(q), j.layerStrain(y.beads, q, c)) {
				efforts[k] += weight / f.Reserve
			}
			for k, v := range j.stressOf(y, q, c) {
				stress[k] += weight * v
			}
		})
		here := j.assess.Assess(y.beads.effective(m.point), j.layerStrain(y.beads, m.point, c))
		for k, effort := range efforts {
			one := *m
			one.Reserve, one.Raw, one.Stress = 1/effort, math.Min(here[k].Reserve, 1/effort), stress
			found := j.named(material.Criterion(k), one, here[k])
			found.Allowable = j.allowable(y, found.Mode, m.point, stress)
			if len(worst) <= k {
				worst = append(worst, found)
			} else if found.Reserve < worst[k].Reserve {
				worst[k] = found
			}
		}
	}
	return worst
}

// layerStrain is the mechanical strain of a bead in its own axes.
func (j *judge) layerStrain(b *LayerMap, p int, c *state) [3]float64 {
	e := material.TurnStrainBy(c.strain[p], b.Cos[p], b.Sin[p])
	if warm := c.warmAt(p); warm != 0 {
		a1, a2 := j.in.Law.Expansion(b.effective(p))
		e[0] -= warm * a1
		e[1] -= warm * a2
	}
	return e
}
