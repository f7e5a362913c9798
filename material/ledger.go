package material

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"sinew/unit"
)

// account says how a recipe came to a figure.
type account struct {
	how  How
	text string
}

// worth is one figure of the bead: its name, its unit, and the knock-down
// factor that multiplies it, "" for none.
type worth struct {
	figure
	groups []string
}

// worths lists what the bead is worth at rho strands per mm.
func (l *Law) worths(rho float64) []worth {
	e, s := l.Lamina(rho), l.Strength(rho)
	stiff, matrix, between := []string{"stiffness"}, []string{"matrix"}, []string{"interlaminar"}
	return []worth{
		{figure{"E1", e.E1, "MPa"}, stiff}, {figure{"E2", e.E2, "MPa"}, stiff}, {figure{"G12", e.G12, "MPa"}, stiff},
		{figure{"G23", e.G23, "MPa"}, stiff}, {figure{"nu12", e.Nu12, ""}, nil}, {figure{"nu23", e.Nu23, ""}, nil},
		{figure{"alpha1", e.Alpha1, "1/K"}, nil}, {figure{"alpha2", e.Alpha2, "1/K"}, nil},
		{figure{"beta1", e.Beta1, ""}, nil}, {figure{"beta2", e.Beta2, ""}, nil},
		{figure{"k1", e.K1, "W/(m·K)"}, nil}, {figure{"k2", e.K2, "W/(m·K)"}, nil},
		{figure{"Xt", s.Xt, "MPa"}, []string{"fibre_tension", "stiffness"}}, {figure{"Xc", s.Xc, "MPa"}, []string{"fibre_compression", "stiffness"}},
		{figure{"Yt", s.Yt, "MPa"}, matrix}, {figure{"Yc", s.Yc, "MPa"}, matrix}, {figure{"S", s.S, "MPa"}, matrix},
		{figure{"Sis", s.Sis, "MPa"}, between}, {figure{"Zt", s.Zt, "MPa"}, between},
	}
}

// Provenance lists where each figure of the law comes from: first what the
// bead is worth at its densest, then what went in.
func (l *Law) Provenance() []Provenance { return l.ProvenanceAt(l.rhoMax) }

// ProvenanceAt is Provenance with the bead's worth at rho strands per mm. The
// source of an estimated figure is its formula with the numbers put in; bounds
// stand with the constants that have them, and every knock-down that a figure
// holds is named with its factor.
func (l *Law) ProvenanceAt(rho float64) []Provenance {
	x, _ := l.capped(rho)
	accounts, bounds := l.make.accounts(x), l.Bounds(rho)
	bare, _ := l.make.(scaledRecipe).recipe.at(x)
	var list []Provenance
	for _, w := range l.worths(rho) {
		a := accounts[w.name]
		if low, high, ok := bounds.of(w.name); ok && a.how == Estimated {
			a.text += boundText(constantOf(bare, w.name), low, high)
		}
		if l.settings.Measured.has(w.name) {
			a = l.measuredAccount(w.name, rho)
		}
		list = append(list, Provenance{Property: w.name, Value: w.value, Unit: w.unit, How: a.how, Source: a.text + l.knockText(w.groups)})
	}
	if r, ok := l.make.(scaledRecipe).recipe.(estimateRecipe); ok {
		list = append(list, r.choices()...)
	}
	list = append(list, l.settings.Tow.Sources...)
	list = append(list, l.settings.Plastic.provenance(l.settings.State)...)
	if x := l.settings.Explicit; x != nil {
		list = append(list, x.Sources...)
	}
	list = append(list, l.settings.Measured.Sources...)
	for _, k := range l.settings.KnockDowns {
		list = append(list, k.Sources...)
	}
	return list
}

// boundText tells the bounds of a constant, and whether the estimate keeps them:
// methods that are no arrangement of phases need not.
func boundText(v, low, high float64) string {
	text := fmt.Sprintf("; bounds %s to %s", plain(low), plain(high))
	if v < low*(1-boundSlack) {
		text += ": the estimate lies below them"
	} else if v > high*(1+boundSlack) {
		text += ": the estimate lies above them"
	}
	return text
}

// boundSlack is the share within which an estimate counts as at its bound: no
// figure here is known better.
const boundSlack = 1e-3

// constantOf returns a constant of a layer by the name that bounds go by.
func constantOf(e Lamina, name string) float64 {
	return map[string]float64{"E1": e.E1, "E2": e.E2, "G12": e.G12, "G23": e.G23, "nu12": e.Nu12}[name]
}

// plain writes a figure with four digits.
func plain(v float64) string { return unit.FormatDigits(v, unit.Share, 4) }

// measuredAccount says from which coupons a measured figure comes.
func (l *Law) measuredAccount(name string, rho float64) account {
	m := l.settings.Measured
	a := account{Measured, "measured bead"}
	for _, p := range m.Sources {
		if p.Key == cardKey(name) {
			a = account{p.How, p.Source}
		}
	}
	a.text += fmt.Sprintf("; figure of %s mm spacing", plain(m.Spacing))
	if m.State != nil {
		a.text += ", " + m.State.String()
	}
	elsewhere := m.State != nil && *m.State != l.settings.State
	if elsewhere {
		a.how = Estimated // from what was measured
	}
	if elsewhere || math.Abs(rho*m.Spacing-1) > spacingSlack {
		a.text += fmt.Sprintf(", carried to %s mm and %s by the estimate", plain(1/rho), l.settings.State)
	}
	return a
}

// cardKey is the key under which a bead card gives a figure.
func cardKey(name string) string {
	if key, ok := map[string]string{
		"alpha1": "expansion_along", "alpha2": "expansion_across", "beta1": "swelling_along", "beta2": "swelling_across",
		"k1": "conductivity_along", "k2": "conductivity_across",
	}[name]; ok {
		return key
	}
	return name
}

// knockText names every knock-down in a figure with its factor.
func (l *Law) knockText(groups []string) string {
	var parts []string
	for _, k := range l.settings.KnockDowns {
		for _, g := range groups {
			if f := k.factor(g); f != 1 {
				parts = append(parts, fmt.Sprintf("× %s (%s: %s)", plain(f), cmp.Or(k.Title, k.ID), strings.ReplaceAll(g, "_", " ")))
			}
		}
	}
	if parts == nil {
		return ""
	}
	return "; " + strings.Join(parts, " ")
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
	case "G23":
		return b.Lower.G23, b.Upper.G23, true
	case "nu12":
		return b.Lower.Nu12, b.Upper.Nu12, true
	}
	return 0, 0, false
}

// accounts writes out the formulas of the estimate.
func (r estimateRecipe) accounts(rho float64) map[string]account {
	t := r.terms(rho)
	p := t.bead
	method := fmt.Sprintf("%s for the tow, %s for the bead", r.s.Estimate.TowMethod, r.s.Estimate.BeadMethod)
	expansion := "Schapery in both steps"
	if r.s.Estimate.TowMethod == Chamis || r.s.Estimate.BeadMethod == Chamis {
		expansion = method + "; Schapery unless chamis"
	}
	across := func(strength float64, what, bond string) string {
		return fmt.Sprintf("%s MPa (%s of the plastic)%s · %s (voids) · %s/%s (E2 over that of the plastic) / %s (strain concentration, Kies)",
			plain(strength), what, bond, plain(t.pores), plain(p.E2), plain(r.plastic.E2), plain(t.kies))
	}
	out := map[string]account{
		"Xt": {Estimated, fmt.Sprintf("%s (realisation) · %s %% (failure strain of the filaments) · E1", plain(r.e.Realisation), plain(100*r.s.Tow.FailureStrain))},
		"Xc": {Estimated, compressionText(r.compression(t))},
		"Yt": {Estimated, across(r.state.Tension, "tensile strength", fmt.Sprintf(" · %s (bond)", plain(t.bond)))},
		"Yc": {Estimated, across(r.state.Compression, "compressive strength", "")},
		"S": {Estimated, fmt.Sprintf("%s MPa (shear strength of the plastic) · %s (voids) · %s/%s (G12 over that of the plastic) / %s (strain concentration, Kies)",
			plain(r.state.Shear), plain(t.pores), plain(p.G12), plain(r.plastic.G12), plain(t.kiesShear))},
		"Sis": {Estimated, fmt.Sprintf("%s (across layers, plastic's card) · S before knock-downs", plain(r.across()))},
		"Zt":  {Estimated, fmt.Sprintf("%s (across layers, plastic's card) · Yt before knock-downs", plain(r.across()))},
		"k1":  {Estimated, "mixture in both steps"}, "k2": {Estimated, "cylinder assemblage in both steps"},
	}
	for _, name := range []string{"E1", "E2", "G12", "G23", "nu12"} {
		out[name] = account{Estimated, method}
	}
	out["nu23"] = account{Estimated, "E2/(2·G23) - 1"}
	for _, name := range []string{"alpha1", "alpha2", "beta1", "beta2"} {
		out[name] = account{Estimated, expansion}
	}
	if p.Beta2 == 0 {
		out["beta1"], out["beta2"] = account{Assumed, "the cards give no swelling"}, account{Assumed, "the cards give no swelling"}
	}
	return out
}

// compressionText writes out the mechanisms of compression, the governing one
// first.
func compressionText(m CompressionMechanisms) string {
	var parts []string
	for i, k := range m.List() {
		text := ""
		switch k.Name {
		case "kinking":
			text = fmt.Sprintf("G12/(1 + φ·G12/τ) = %s/(1 + %s·%s/%s)", plain(m.Shear), plain(m.Misalignment), plain(m.Shear), plain(m.YieldShear))
		case "buckling":
			text = fmt.Sprintf("Gm/(1 - c) = %s/(1 - %s)", plain(m.MatrixShear), plain(m.Share))
		case "crushing":
			text = "crushing strain of the filaments · E1"
		}
		name := k.Name
		if i == 0 {
			name += " governs"
		}
		parts = append(parts, fmt.Sprintf("%s: %s = %s MPa", name, text, plain(k.Stress)))
	}
	if m.Crush <= 0 {
		parts = append(parts, "crushing: not on the tow's card")
	}
	return strings.Join(parts, "; ")
}

// choices lists the settings of the estimate.
func (r estimateRecipe) choices() []Provenance {
	given := r.s.Estimate.Sources
	pick := func(key, property string, value float64, unit, otherwise string) Provenance {
		for _, p := range given {
			if p.Key == key {
				return Provenance{Key: key, Property: property, Value: value, Unit: unit, How: p.How, Source: p.Source, Date: p.Date}
			}
		}
		return Provenance{Key: key, Property: property, Value: value, Unit: unit, How: Assumed, Source: "default: " + otherwise}
	}
	return []Provenance{
		pick("fibre_realisation", "share of the filaments' failure strain reached", r.e.Realisation, "", "printed carbon/polyamide, 700–990 MPa at 60–70 GPa, from memory"),
		pick("fibre_misalignment", "fibre misalignment φ", r.e.Misalignment*180/math.Pi, "°", "printed carbon/polyamide, 220–430 MPa in compression, from memory"),
		pick("bond", "bond between tow and plastic at the widest spacing", r.e.Bond, "", "printed carbon/polyamide, 15–20 MPa across, from memory"),
		pick("void_share", "void share of the plastic between tows", r.e.VoidShare, "", "none; a bead card states it"),
	}
}

// accounts says which constants of the card a stated figure follows from.
func (r explicitRecipe) accounts(float64) map[string]account {
	x := r.s.Explicit
	weakest := func(keys ...string) How {
		order := []How{Measured, Published, Estimated, Assumed}
		worst := -1
		for _, p := range x.Sources {
			if slices.Contains(keys, p.Key) {
				worst = max(worst, slices.Index(order, p.How))
			}
		}
		if worst < 0 {
			return Assumed
		}
		return order[worst]
	}
	stated := func(text string, factor float64, keys ...string) account {
		if factor != 1 {
			text += fmt.Sprintf("; the plastic's part × %s, from %s to %s", plain(factor), x.State, r.s.State)
		}
		return account{weakest(keys...), text}
	}
	then := r.then
	_, compression := r.strains()
	out := map[string]account{
		"E1":   stated("stated: k·v·Ef + (1 - v)·M", then.modulus, "fibre_modulus", "fibre_efficiency", "matrix_modulus"),
		"E2":   stated("stated: M(1 + ηv)/(1 - ηv)", then.modulus, "matrix_modulus", "inclusion_modulus"),
		"G12":  stated("stated: as E2 with the matrix's shear modulus", then.modulus, "matrix_shear_modulus", "inclusion_modulus"),
		"G23":  {Assumed, fmt.Sprintf("E2/(2(1 + nu23)), nu23 = %g", statedNu23)},
		"nu12": stated("stated", 1, "poisson"), "nu23": {Assumed, "0.4 of the published failure exercise, Soden, Hinton, Kaddour (1998)"},
		"Xt": stated("stated: failure strain · E1", 1, "fibre_strain_tension"),
		"Xc": stated(fmt.Sprintf("stated: failure strain %s %% · E1", plain(100*compression)), math.Min(1, then.kinking), "fibre_strain_compression"),
		"Yt": stated("stated", then.tension, "Yt"), "Yc": stated("stated", then.compression, "Yc"), "S": stated("stated", then.shear, "S"),
		"Sis": stated("stated", then.shear, "Sis"), "Zt": stated("stated", then.tension, "Zt"),
	}
	if x.Sis == 0 {
		out["Sis"] = account{Assumed, "not stated: S stands for it"}
	}
	if x.Zt == 0 {
		out["Zt"] = account{Assumed, "not stated: Yt stands for it"}
	}
	method := fmt.Sprintf("not stated: %s in both steps from tow and plastic", HalpinTsai)
	for _, name := range []string{"alpha1", "alpha2", "beta1", "beta2", "k1", "k2"} {
		out[name] = account{Estimated, method}
	}
	return out
}

// provenance lists the plastic's figures, those over temperature as they are in
// a state.
func (p Plastic) provenance(s State) []Provenance {
	state, err := p.In(s)
	if err != nil {
		return p.Sources
	}
	suffix := ""
	if s.Conditioned && len(p.Wet.Modulus) > 0 {
		suffix = "_conditioned"
	}
	value := map[string]float64{"modulus": state.Phase.E1, "tensile_strength": state.Tension, "compressive_strength": state.Compression, "shear_strength": state.Shear}
	instead := map[string]string{"compressive_strength": "not on the card: the tensile strength", "shear_strength": "not on the card: tensile strength/√3, von Mises"}
	var list []Provenance
	for _, c := range p.curvesIn(s).named() {
		out := Provenance{Key: c.key, Property: fmt.Sprintf("%s: %s, %s", p.Title, c.name, s), Value: value[c.key], Unit: "MPa", How: Assumed, Source: instead[c.key]}
		for _, from := range p.Sources {
			if from.Key == c.key+suffix && len(c.points) > 0 {
				out.How, out.Source, out.Date = from.How, from.Source+readBetween(c.points, s.Temperature), from.Date
			}
		}
		list = append(list, out)
	}
	for _, from := range p.Sources {
		if _, over := value[strings.TrimSuffix(from.Key, "_conditioned")]; !over {
			list = append(list, from)
		}
	}
	return list
}

// readBetween says between which points of a curve a figure was read.
func readBetween(points [][2]float64, t float64) string {
	n := len(points)
	i := slices.IndexFunc(points, func(p [2]float64) bool { return p[0] >= t })
	at := func(p [2]float64) string { return fmt.Sprintf("%s MPa at %g °C", plain(p[1]), p[0]) }
	switch {
	case n == 1:
		return "; one figure for every temperature"
	case i < 0:
		return "; last point, " + at(points[n-1])
	case i == 0 && points[0][0] > t:
		return "; first point, " + at(points[0])
	case points[i][0] == t:
		return ""
	}
	return "; between " + at(points[i-1]) + " and " + at(points[i])
}

// String says the state in words: "23 °C, dry".
func (s State) String() string {
	return unit.FormatDigits(s.Temperature, unit.Temperature, 4) + ", " + s.Moisture()
}

// Moisture is the state's as a bead card writes it.
func (s State) Moisture() string {
	if s.Conditioned {
		return moistState
	}
	return dryState
}
