package material

import "fmt"

// Provenance lists where each figure of the law comes from: first what the
// bead is worth at its densest, then what went in.
func (l *Law) Provenance() []Provenance { return l.ProvenanceAt(l.rhoMax) }

// ProvenanceAt is Provenance with the bead's worth at rho strands per mm.
func (l *Law) ProvenanceAt(rho float64) []Provenance {
	e, s := l.Lamina(rho), l.Strength(rho)
	how, source := Estimated, fmt.Sprintf("%s for the tow, %s for the bead",
		l.settings.Estimate.TowMethod, l.settings.Estimate.BeadMethod)
	if l.settings.Explicit != nil {
		how, source = Assumed, "stated law of the bead"
	}
	bounds := l.Bounds(rho)
	measured := map[string]bool{}
	for _, f := range l.settings.Measured.figures() {
		measured[f.name] = f.value != 0
	}
	var list []Provenance
	for _, f := range []figure{
		{"E1", e.E1, "MPa"}, {"E2", e.E2, "MPa"}, {"G12", e.G12, "MPa"}, {"nu12", e.Nu12, ""},
		{"Xt", s.Xt, "MPa"}, {"Xc", s.Xc, "MPa"}, {"Yt", s.Yt, "MPa"}, {"Yc", s.Yc, "MPa"}, {"S", s.S, "MPa"},
	} {
		p := Provenance{Property: f.name, Value: f.value, Unit: f.unit, How: how, Source: source}
		if low, high, ok := bounds.of(f.name); ok && how == Estimated {
			p.Source = fmt.Sprintf("%s; bounds %.4g to %.4g", source, low, high)
		}
		if measured[f.name] {
			p.How, p.Source = Measured, "measured bead"
		}
		list = append(list, p)
	}
	list = append(list, l.make.sources()...)
	list = append(list, l.settings.Tow.Sources...)
	list = append(list, l.settings.Plastic.Sources...)
	list = append(list, l.settings.Measured.Sources...)
	for _, k := range l.settings.KnockDowns {
		list = append(list, k.Sources...)
	}
	return list
}

// of returns the bounds on a constant by name.
func (b Bounds) of(name string) (low, high float64, ok bool) {
	switch name {
	case "E1":
		return b.Lower.E1, b.Upper.E1, true
	case "E2":
		return b.Lower.E2, b.Upper.E2, true
	case "G12":
		return b.Lower.G12, b.Upper.G12, true
	case "nu12":
		return b.Lower.Nu12, b.Upper.Nu12, true
	}
	return 0, 0, false
}

// estimated lists the choices of the estimate.
func (r estimateRecipe) estimated() []Provenance {
	return []Provenance{
		{"share of the filaments' failure strain reached", r.e.Realisation, "", Assumed, "printed carbon/polyamide, 700–990 MPa at 60–70 GPa, from memory"},
		{"fibre misalignment", r.e.Misalignment, "rad", Assumed, "printed carbon/polyamide, 220–430 MPa in compression, from memory"},
		{"bond between tow and plastic", r.e.Bond, "", Assumed, "printed carbon/polyamide, 15–20 MPa across, from memory"},
		{"void share between tows", r.e.VoidShare, "", Assumed, "setting of the job"},
	}
}
