package material

// ByMethod is the bead as one method of micromechanics estimates it.
type ByMethod struct {
	Method Method
	Phase  Phase
}

// Methods returns what each method, used for both steps, makes of the bead at
// rho strands per mm, before measured figures and knock-downs. How far they lie
// apart says how much an estimate can be trusted.
func (l *Law) Methods(rho float64) []ByMethod {
	x, _ := l.capped(rho)
	s := l.settings
	plastic := porous(l.plastic.Phase, s.Estimate.VoidShare)
	list := make([]ByMethod, 0, len(methodNames))
	for m := range methodNames {
		m := Method(m)
		list = append(list, ByMethod{m, m.Combine(s.Tow.Phase(m), plastic, s.Tow.Area*x/s.Height)})
	}
	return list
}
