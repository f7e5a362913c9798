package proof

// explain puts the stress that a margin was found from, and the allowable that
// it met, beside its reserve. Of several states, the faces of a ply, the one
// that is worse at the place counts.
func (j *judge) explain(r Rule, m *Margin, plies []ply, states []*state) {
	y := &plies[m.ply]
	c, worst := states[0], -1.0
	for _, s := range states {
		if v := j.indexAt(y, m.Mode, m.point, s); v > worst {
			c, worst = s, v
		}
	}
	bead := y.beads != nil && y.beads.Covered(m.point)
	alike := func(q int) bool { return y.shareAt(q) > 0 && (y.beads != nil && y.beads.Covered(q)) == bead }
	j.through(r, m.point, alike, func(q int, weight float64) {
		for k, v := range j.stressOf(y, q, c) {
			m.Stress[k] += weight * v
		}
	})
	m.Allowable = j.allowable(y, m.Mode, m.point, m.Stress)
}

// through calls use for each point whose values make up what a rule finds at a
// point, of those that are alike to it, with weights that add up to 1.
func (j *judge) through(r Rule, point int, alike func(q int) bool, use func(q int, weight float64)) {
	var list []int
	var weights []float64
	sum := 0.0
	add := func(q int, w float64) {
		if alike(q) {
			list, weights, sum = append(list, q), append(weights, w), sum+w
		}
	}
	switch {
	case point < j.n:
		around, weight := j.disc.Around(point)
		for _, q := range around {
			add(int(q), weight(q))
		}
	case r == PointStress:
		add(point, 1)
	default:
		for k, w := range j.spots.weight {
			add(point+k, w)
		}
	}
	for i, q := range list {
		use(q, weights[i]/sum)
	}
}

// indexAt is the index of a mode at one point.
func (j *judge) indexAt(y *ply, mode Mode, point int, c *state) float64 {
	if y.beads != nil && y.beads.Covered(point) {
		ft, fc, m := j.beadIndices(y.beads, point, c)
		switch mode {
		case FibreTension:
			return ft
		case FibreCompression, BearingPin:
			return fc
		}
		return m
	}
	plain := j.plainOf(y)
	x := plain.index(plain.stress(c.strain[point], c.warmAt(point)))
	for k, of := range plain.modes {
		if of == mode {
			return x[k]
		}
	}
	return 0
}

// plainOf is the material of a ply where it holds no bead.
func (j *judge) plainOf(y *ply) *plainPly {
	if y.plain != nil {
		return y.plain
	}
	return j.pocket
}

// stressOf is the stress of a ply at a point: of a bead in its own axes, the
// fibre counted by what of it is strained near its end; of plain material in
// part axes.
func (j *judge) stressOf(y *ply, point int, c *state) [3]float64 {
	if y.beads == nil || !y.beads.Covered(point) {
		return j.plainOf(y).stress(c.strain[point], c.warmAt(point))
	}
	q, _ := j.in.Law.Reduced(y.beads.effective(point))
	return q.Mul(j.layerStrain(y.beads, point, c))
}

// allowable is what a mode is held against at a point; see Margin.
func (j *judge) allowable(y *ply, mode Mode, point int, stress [3]float64) [2]float64 {
	if y.beads == nil || !y.beads.Covered(point) {
		return j.plainOf(y).allowable(mode)
	}
	x := j.in.Law.Strength(y.beads.effective(point))
	switch mode {
	case FibreTension:
		return [2]float64{x.Xt}
	case FibreCompression, BearingPin:
		return [2]float64{x.Xc}
	}
	if stress[1] < 0 {
		return [2]float64{x.Yc, x.S}
	}
	return [2]float64{x.Yt, x.S}
}

// allowable of plain material.
func (p *plainPly) allowable(mode Mode) [2]float64 {
	if mode == PlasticBreak {
		return [2]float64{p.strength.Xt, p.strength.Xc}
	}
	return [2]float64{p.limit[mode]}
}
