package proof

import (
	"math"

	"sinew/internal/work"
	"sinew/material"
)

// CriterionMargin is what one failure criterion says of a design's beads under
// one case, judged by the mean over discs.
type CriterionMargin struct {
	Criterion material.Criterion
	Margin
	What     material.Mode // as the criterion names it
	Stress   [3]float64    // in layer axes at the place, MPa
	Fracture float64       // angle of the fracture plane, rad; see material.Failure
}

// criteria asks every criterion about the beads under one case.
func (j *judge) criteria(plies []ply, c *state) []CriterionMargin {
	names := material.CriterionNames()
	perPly := make([][]CriterionMargin, len(plies))
	work.Each(len(plies), j.workers, func(i int) {
		if plies[i].beads != nil {
			perPly[i] = j.criteriaOf(plies, i, c, len(names))
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
func (j *judge) criteriaOf(plies []ply, i int, c *state, criteria int) []CriterionMargin {
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
		for k, f := range j.assess.Assess(b.effective(p), j.layerStrain(b, p, c)) {
			fields[k].index[p] = 1 / f.Reserve
		}
	}
	out := make([]CriterionMargin, criteria)
	for k := range fields {
		m, p, ok := j.discMargin(&fields[k], plies)
		if !ok {
			continue
		}
		f := j.assess.Assess(b.effective(p), j.layerStrain(b, p, c))[k]
		m.Mode = Matrix
		switch f.Mode {
		case material.FibreTension:
			m.Mode = FibreTension
		case material.FibreCompression:
			m.Mode = FibreCompression
		}
		m.KnockDown = j.knockDown(true, m.Mode)
		out[k] = CriterionMargin{Criterion: material.Criterion(k), Margin: m, What: f.Mode, Stress: f.Stress, Fracture: f.Angle}
	}
	return out
}

// discMargin is margin by discs alone, with the point it lies at.
func (j *judge) discMargin(f *indexField, plies []ply) (m Margin, at int, ok bool) {
	mean := j.mean(f)
	at = -1
	for p, v := range mean {
		if !j.masked[p] && (at < 0 || v > mean[at]) {
			at = p
		}
	}
	if at < 0 || mean[at] < unloaded {
		return Margin{}, 0, false
	}
	return j.marginAt(f, at, mean[at], math.Max(f.index[at], mean[at]), plies), at, true
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
