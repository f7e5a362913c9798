package material

// Assessor judges the beads of a law by the failure criteria, whatever their
// spacing. It is immutable and safe for several goroutines.
type Assessor struct {
	law   *Law
	judge Judge
}

// Assessor returns the criteria made ready for the law's beads.
func (l *Law) Assessor(j Judge) (*Assessor, error) {
	if err := j.validate(); err != nil {
		return nil, err
	}
	return &Assessor{law: l, judge: j}, nil
}

// prepare makes the ply at rho strands per mm from the law's table.
func (a *Assessor) prepare(p *Ply, rho float64) {
	x, _ := a.law.capped(rho)
	var v [nProperties]float64
	a.law.table.at(x, &v)
	p.prepare(Lamina{E1: v[0], E2: v[1], G12: v[2], Nu12: v[3]},
		Strength{Xt: a.law.et * v[0], Xc: v[4], Yt: v[5], Yc: v[6], S: v[7]}, a.judge)
}

// Assess returns the answer of each criterion, indexed by it, for a mechanical
// strain in layer axes at rho strands per mm. It allocates nothing.
func (a *Assessor) Assess(rho float64, strain [3]float64) (list [nCriteria]Failure) {
	var p Ply
	a.prepare(&p, rho)
	t := p.Q.Mul(strain)
	for c := range list {
		list[c] = p.Reserve(Criterion(c), t)
	}
	return list
}

// Between returns 1 over the reserve factor against failure between the fibres
// alone, by a criterion, for a mechanical strain in layer axes at rho strands
// per mm. A criterion that mixes all stresses tells no part apart: its whole
// effort is returned. It allocates nothing.
func (a *Assessor) Between(c Criterion, rho float64, strain [3]float64) float64 {
	var p Ply
	a.prepare(&p, rho)
	t := p.Q.Mul(strain)
	return p.between(c, &t)
}

// between is the effort of what is not the fibres.
func (p *Ply) between(c Criterion, t *[3]float64) float64 {
	switch c {
	case MaxStress:
		e, _ := p.largest(0, t[1], t[2])
		return e
	case MaxStrain:
		e, _ := p.largest(0, t[1]-p.nu21*t[0], t[2])
		return e
	case Hashin:
		e, _ := p.hashin(&[3]float64{0, t[1], t[2]})
		return e
	case Puck:
		e, _ := p.interFibre(t[1], max(t[2], -t[2]))
		return e
	}
	e, _ := p.effort(c, *t)
	return e
}
