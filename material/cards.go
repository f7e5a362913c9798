package material

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"sinew/card"
	"sinew/unit"
)

// Ranges of values that a card may hold: wide enough for any material that
// prints, narrow enough to catch a slipped unit.
const (
	leastModulus, greatestModulus   = 1, 2e6     // MPa
	leastStrength, greatestStrength = 0.1, 2e4   // MPa
	leastDensity, greatestDensity   = 1e-4, 0.03 // g/mm³
	greatestExpansion               = 1e-3       // 1/K
	greatestConductivity            = 3000       // W/(m·K)
	leastTow, greatestTow           = 1e-4, 10   // mm², cross-section
	greatestPrice                   = 1e6
	leastStrain, greatestStrain     = 1e-4, 0.5
	leastTex, greatestTex           = 1e-7, 0.1 // g/mm: 0.1 tex to 100 ktex
	// Poisson's ratio is judged by its inequality, which names itself.
	greatestPoisson = 10
)

// source reads a card and keeps, of each value, where it comes from.
type source struct {
	*card.Reader
	card *card.Card
	list []Provenance
}

func read(c *card.Card, kind string) (*source, error) {
	if c.Kind != kind {
		return nil, fmt.Errorf("%s: card %s is of kind %s where a %s is wanted", c.File, c.ID, c.Kind, kind)
	}
	return &source{Reader: c.Reader(), card: c}, nil
}

// number reads a value that must be there.
func (s *source) number(key string, k unit.Kind, lo, hi float64) float64 {
	v := s.Number(key, k, lo, hi)
	s.note(key, v, k)
	return v
}

// optional reads a value that may be missing.
func (s *source) optional(key string, k unit.Kind, lo, hi, def float64) float64 {
	v := s.Optional(key, k, lo, hi, def)
	if s.Has(key) {
		s.note(key, v, k)
	}
	return v
}

// curve reads figures over temperature, MPa.
func (s *source) curve(key string, lo, hi float64) [][2]float64 {
	c := s.OptionalCurve(key, unit.Temperature, unit.Stress, lo, hi)
	if v, _ := Interpolate(c, RoomTemperature); s.Has(key) {
		s.note(key, v, unit.Stress)
	}
	return c
}

func (s *source) note(key string, v float64, k unit.Kind) {
	shown, symbol := inUnit(v, k)
	from := s.card.Values[key].Source
	s.list = append(s.list, Provenance{
		Key: key, Property: s.card.Title + ": " + strings.ReplaceAll(key, "_", " "),
		Value: shown, Unit: symbol, How: HowOf(from), Source: from, Date: s.card.Values[key].Date,
	})
}

// inUnit returns a value in the unit that people read it in.
func inUnit(v float64, k unit.Kind) (float64, string) {
	switch k {
	case unit.Density:
		return v * 1e3, "g/cm³"
	case unit.LinearDensity:
		return v * 1e6, "tex"
	case unit.Angle:
		return v * 180 / math.Pi, "°"
	}
	return v, map[unit.Kind]string{
		unit.Stress: "MPa", unit.Area: "mm²", unit.Length: "mm", unit.Temperature: "°C", unit.Expansion: "1/K",
		unit.Conductivity: "W/(m·K)", unit.SpecificHeat: "J/(g·K)", unit.PricePerKilo: "/kg", unit.PricePerMetre: "/m",
	}[k]
}

// HowOf reads from a card's source how firm a figure is: "measured …" and
// "estimated …" say so themselves; what is invented, common practice, assumed
// or remembered is Assumed; a publication is Published.
func HowOf(source string) How {
	s := strings.ToLower(strings.TrimSpace(source))
	switch {
	case strings.HasPrefix(s, "measured"):
		return Measured
	case strings.HasPrefix(s, "estimated"):
		return Estimated
	case strings.HasPrefix(s, "invented"), strings.HasPrefix(s, "common practice"), strings.HasPrefix(s, "assumed"),
		strings.Contains(s, "from memory"):
		return Assumed
	}
	return Published
}

// done joins the card's faults with what a type's own Validate finds, each at
// the key whose value breaks the rule: keys says which keys a constant of the
// type may come from, the first that the card gives counts.
func (s *source) done(err error, keys map[string][]string) error {
	s.noteBroken(err, keys)
	return s.Done()
}

// unless keeps silent about rules while values are missing or out of range: one
// slip would only be told twice.
func (s *source) unless(validate func() error) error {
	if s.Done() != nil {
		return nil
	}
	return validate()
}

func (s *source) noteBroken(err error, keys map[string][]string) {
	var b broken
	if many, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range many.Unwrap() {
			s.noteBroken(e, keys)
		}
	} else if errors.As(err, &b) {
		candidates := keys[b.of]
		if candidates == nil {
			candidates = []string{b.of}
		}
		key := candidates[0]
		for _, k := range candidates {
			if s.Has(k) {
				key = k
				break
			}
		}
		s.Fault(key, b.what, b.remedy)
	} else if err != nil {
		panic("material: a rule of a card names no value: " + err.Error())
	}
}

// Keys that the constants of a type come from, for the place of a fault.
var (
	towKeys = map[string][]string{
		"fibre.E1": {"fibre_modulus"}, "fibre.E2": {"fibre_modulus_across", "fibre_modulus"},
		"fibre.G12": {"fibre_shear_modulus", "fibre_poisson"}, "fibre.G13": {"fibre_shear_modulus", "fibre_poisson"},
		"fibre.G23": {"fibre_shear_modulus_across", "fibre_poisson"}, "fibre.nu12": {"fibre_poisson"},
		"fibre.nu23": {"fibre_shear_modulus_across", "fibre_poisson"},
		"resin.E1":   {"resin_modulus"}, "resin.G12": {"resin_poisson"}, "resin.G13": {"resin_poisson"}, "resin.G23": {"resin_poisson"},
		"resin.nu12": {"resin_poisson"}, "resin.nu23": {"resin_poisson"}, "area": {"tow_area", "fibre_share"},
	}
	metalKeys = map[string][]string{
		"E1": {"modulus"}, "G12": {"poisson"}, "G13": {"poisson"}, "G23": {"poisson"}, "nu12": {"poisson"}, "nu23": {"poisson"},
	}
)

// TowFromCard reads a tow. It needs linear_density (of the dry fibre) or
// fibre_area, and fibre_share (of the tow) or tow_area.
func TowFromCard(c *card.Card) (Tow, error) {
	s, err := read(c, "tow")
	if err != nil {
		return Tow{}, err
	}
	t := Tow{ID: c.ID, Title: c.Title, Fibre: s.fibre(), Resin: s.resin()}
	if s.Has("fibre_area") == s.Has("linear_density") {
		s.Fault("linear_density", "must stand alone or fibre_area instead", "give one of linear_density and fibre_area")
	}
	if t.FibreArea = s.optional("fibre_area", unit.Area, leastTow, greatestTow, 0); s.Has("linear_density") {
		t.FibreArea = AreaOfTex(s.number("linear_density", unit.LinearDensity, leastTex, greatestTex), t.Fibre.Density)
	}
	if s.Has("tow_area") == s.Has("fibre_share") {
		s.Fault("fibre_share", "must stand alone or tow_area instead", "give one of fibre_share and tow_area")
	}
	if t.Area = s.optional("tow_area", unit.Area, leastTow, greatestTow, 0); s.Has("fibre_share") {
		t.Area = t.FibreArea / s.number("fibre_share", unit.Share, 0.05, maxPacking)
	}
	t.VoidShare = s.optional("void_share", unit.Share, 0, maxVoids, 0)
	t.Strength = s.number("fibre_strength", unit.Stress, leastStrength, greatestStrength)
	t.FailureStrain = s.optional("fibre_failure_strain", unit.Share, leastStrain, greatestStrain, t.Strength/t.Fibre.E1)
	t.Crush = s.optional("fibre_crush_strain", unit.Share, 0, greatestStrain, 0)
	t.MinRadius = s.optional("min_radius", unit.Length, 0, 1e4, 0)
	t.PricePerMetre = s.optional("price", unit.PricePerMetre, 0, greatestPrice, 0)
	t.PricePerKilo = s.optional("price_per_kilo", unit.PricePerKilo, 0, greatestPrice, 0)
	t.Spool = s.optional("spool", unit.Length, 1e3, 1e8, 0)
	t.Sources = s.list
	return t, s.done(s.unless(t.Validate), towKeys)
}

// fibre reads the filament; what is not given across it follows from a body
// alike in all directions.
func (s *source) fibre() Phase {
	e := s.number("fibre_modulus", unit.Stress, leastModulus, greatestModulus)
	p := IsotropicPhase(e, s.number("fibre_poisson", unit.Share, -greatestPoisson, greatestPoisson))
	p.E2 = s.optional("fibre_modulus_across", unit.Stress, leastModulus, greatestModulus, p.E2)
	p.G12 = s.optional("fibre_shear_modulus", unit.Stress, leastModulus, greatestModulus, p.G12)
	p.G23 = s.optional("fibre_shear_modulus_across", unit.Stress, leastModulus, greatestModulus, p.E2/(2*(1+p.Nu12)))
	p.Density = s.number("fibre_density", unit.Density, leastDensity, greatestDensity)
	p.Alpha1 = s.optional("fibre_expansion", unit.Expansion, -greatestExpansion, greatestExpansion, 0)
	p.Alpha2 = s.optional("fibre_expansion_across", unit.Expansion, -greatestExpansion, greatestExpansion, p.Alpha1)
	p.K1 = s.optional("fibre_conductivity", unit.Conductivity, 0, greatestConductivity, 0)
	p.K2 = s.optional("fibre_conductivity_across", unit.Conductivity, 0, greatestConductivity, p.K1)
	return p
}

func (s *source) resin() Phase {
	p := IsotropicPhase(s.number("resin_modulus", unit.Stress, leastModulus, greatestModulus), s.number("resin_poisson", unit.Share, -greatestPoisson, greatestPoisson))
	p.Density = s.number("resin_density", unit.Density, leastDensity, greatestDensity)
	p.Alpha1 = s.optional("resin_expansion", unit.Expansion, -greatestExpansion, greatestExpansion, 0)
	p.Beta1 = s.optional("resin_swelling", unit.Share, 0, 2, 0)
	p.K1 = s.optional("resin_conductivity", unit.Conductivity, 0, greatestConductivity, 0)
	p.Alpha2, p.Beta2, p.K2 = p.Alpha1, p.Beta1, p.K1
	return p
}

// PlasticFromCard reads a printing plastic.
func PlasticFromCard(c *card.Card) (Plastic, error) {
	s, err := read(c, "plastic")
	if err != nil {
		return Plastic{}, err
	}
	p := Plastic{
		ID: c.ID, Title: c.Title,
		Density:               s.number("density", unit.Density, leastDensity, greatestDensity),
		Nu:                    s.number("poisson", unit.Share, -greatestPoisson, greatestPoisson),
		Dry:                   s.curves(""),
		Wet:                   s.curves("_conditioned"),
		Alpha:                 s.number("expansion", unit.Expansion, -greatestExpansion, greatestExpansion),
		Swelling:              s.optional("swelling", unit.Share, 0, 2, 0),
		Moisture:              s.optional("moisture", unit.Share, 0, 0.2, 0),
		Conductivity:          s.optional("conductivity", unit.Conductivity, 0, greatestConductivity, 0),
		SpecificHeat:          s.optional("specific_heat", unit.SpecificHeat, 0, 10, 0),
		FailureStrain:         s.optional("failure_strain", unit.Share, 0, 10, 0),
		GlassTemperature:      s.optional("glass_temperature", unit.Temperature, -150, 400, 0),
		DeflectionTemperature: s.number("deflection_temperature", unit.Temperature, 20, 400),
		PrintTemperature:      s.number("print_temperature", unit.Temperature, 100, 500),
		BedTemperature:        s.optional("bed_temperature", unit.Temperature, 0, 250, 0),
		AcrossLayers:          s.optional("across_layers", unit.Share, 0.01, 1, 1),
		AcrossLines:           s.optional("across_lines", unit.Share, 0.01, 1, 1),
		PricePerKilo:          s.optional("price", unit.PricePerKilo, 0, greatestPrice, 0),
		Spool:                 s.optional("spool", unit.Mass, 1, 1e5, 0),
	}
	if len(p.Dry.Modulus) == 0 || len(p.Dry.Tension) == 0 {
		s.Fault("modulus", "and tensile_strength are needed", "add both below [value], over temperature or as one figure")
	}
	p.Sources = s.list
	return p, s.done(s.unless(p.Validate), nil)
}

func (s *source) curves(suffix string) Curves {
	return Curves{
		Modulus:     s.curve("modulus"+suffix, leastModulus, greatestModulus),
		Tension:     s.curve("tensile_strength"+suffix, leastStrength, greatestStrength),
		Compression: s.curve("compressive_strength"+suffix, leastStrength, greatestStrength),
		Shear:       s.curve("shear_strength"+suffix, leastStrength, greatestStrength),
	}
}

// MetalFromCard reads a metal.
func MetalFromCard(c *card.Card) (Metal, error) {
	s, err := read(c, "metal")
	if err != nil {
		return Metal{}, err
	}
	m := Metal{
		ID: c.ID, Title: c.Title,
		E:            s.number("modulus", unit.Stress, leastModulus, greatestModulus),
		Nu:           s.number("poisson", unit.Share, -greatestPoisson, greatestPoisson),
		Yield:        s.number("yield_strength", unit.Stress, leastStrength, greatestStrength),
		Ultimate:     s.number("ultimate_strength", unit.Stress, leastStrength, greatestStrength),
		Shear:        s.optional("shear_strength", unit.Stress, leastStrength, greatestStrength, 0),
		Bearing:      s.optional("bearing_strength", unit.Stress, leastStrength, greatestStrength, 0),
		Alpha:        s.optional("expansion", unit.Expansion, -greatestExpansion, greatestExpansion, 0),
		Conductivity: s.optional("conductivity", unit.Conductivity, 0, greatestConductivity, 0),
		Density:      s.number("density", unit.Density, leastDensity, greatestDensity),
		PricePerKilo: s.optional("price", unit.PricePerKilo, 0, greatestPrice, 0),
	}
	m.Sources = s.list
	return m, s.done(s.unless(m.Validate), metalKeys)
}

// KnockDownFromCard reads a knock-down.
func KnockDownFromCard(c *card.Card) (KnockDown, error) {
	s, err := read(c, "knockdown")
	if err != nil {
		return KnockDown{}, err
	}
	factor := func(key string) float64 { return s.optional(key, unit.Share, leastFactor, 1, 1) }
	k := KnockDown{
		ID: c.ID, Title: c.Title,
		FibreTension: factor("fibre_tension"), FibreCompression: factor("fibre_compression"),
		Matrix: factor("matrix"), Interlaminar: factor("interlaminar"), Stiffness: factor("stiffness"),
	}
	k.Sources = s.list
	return k, s.Done()
}

// leastFactor of a knock-down: below it the part has no strength worth a
// figure, and a slipped per cent sign is the likelier story.
const leastFactor = 0.01

// StatedBead is a bead card: a bead given by a law of its own, or figures that
// were measured on printed beads and replace the estimate.
type StatedBead struct {
	ID, Title string
	// TowID is the card of the tow in it, "" where the card is silent.
	TowID    string
	Explicit *Explicit // nil unless the method is explicit
	Estimate Estimate
	Measured MeasuredBead
	Notch    Notch
	Sources  []Provenance
}

// Apply writes what the card states into settings.
func (b StatedBead) Apply(s *LawSettings) {
	s.Explicit, s.Estimate, s.Measured, s.Notch = b.Explicit, b.Estimate, b.Measured, b.Notch
}

// BeadFromCard reads a bead. method = "explicit" asks for a whole law (see
// Explicit); "estimated", the default, for choices of the estimate and for
// figures measured at a spacing.
func BeadFromCard(c *card.Card) (StatedBead, error) {
	s, err := read(c, "bead")
	if err != nil {
		return StatedBead{}, err
	}
	b := StatedBead{ID: c.ID, Title: c.Title, TowID: s.OptionalText("tow", "")}
	b.Notch.Point = s.optional("point_distance", unit.Length, 0.01, 100, 0)
	b.Notch.Average = s.optional("average_distance", unit.Length, 0.01, 100, 0)
	state := &State{
		Temperature: s.optional("temperature", unit.Temperature, -100, 400, RoomTemperature),
		Conditioned: s.OptionalChoice("moisture", dryState, dryState, moistState) == moistState,
	}
	var validate func() error
	if s.OptionalChoice("method", "estimated", "explicit", "estimated") == "explicit" {
		b.Explicit = s.explicit()
		b.Explicit.State, b.Explicit.Sources = state, s.list
		validate = b.Explicit.Validate
	} else {
		b.Estimate = s.estimate()
		b.Measured = s.measured()
		for _, p := range s.list {
			if estimateKeys[p.Key] {
				b.Estimate.Sources = append(b.Estimate.Sources, p)
			} else {
				b.Measured.Sources = append(b.Measured.Sources, p)
			}
		}
		b.Measured.State = state
		validate = b.Measured.Validate
	}
	b.Sources = s.list
	return b, s.done(s.unless(validate), nil)
}

// What a bead card calls the moisture of its coupons.
const dryState, moistState = "dry", "conditioned"

// estimateKeys of a bead card choose the estimate; the others are figures.
var estimateKeys = map[string]bool{"fibre_realisation": true, "fibre_misalignment": true, "bond": true, "void_share": true}

func (s *source) explicit() *Explicit {
	stress := func(key string) float64 { return s.number(key, unit.Stress, leastStrength, greatestStrength) }
	modulus := func(key string) float64 { return s.number(key, unit.Stress, leastModulus, greatestModulus) }
	return &Explicit{
		FibreArea:        s.optional("fibre_area", unit.Area, leastTow, greatestTow, 0),
		TowArea:          s.optional("tow_area", unit.Area, leastTow, greatestTow, 0),
		FibreModulus:     modulus("fibre_modulus"),
		Efficiency:       s.optional("fibre_efficiency", unit.Share, 0.01, 1, 1),
		MatrixModulus:    modulus("matrix_modulus"),
		MatrixShear:      modulus("matrix_shear_modulus"),
		InclusionModulus: modulus("inclusion_modulus"),
		Nu12:             s.number("poisson", unit.Share, -greatestPoisson, greatestPoisson),
		FibreTension:     s.number("fibre_strain_tension", unit.Share, leastStrain, greatestStrain),
		FibreCompression: s.number("fibre_strain_compression", unit.Share, leastStrain, greatestStrain),
		Yt:               stress("Yt"), Yc: stress("Yc"), S: stress("S"),
		Sis: s.optional("Sis", unit.Stress, leastStrength, greatestStrength, 0),
		Zt:  s.optional("Zt", unit.Stress, leastStrength, greatestStrength, 0),
	}
}

func (s *source) estimate() Estimate {
	method := func(key string) Method {
		m, err := ParseMethod(s.OptionalChoice(key, HalpinTsai.String(), MethodNames()...))
		if err != nil {
			return HalpinTsai // the reader has noted the fault
		}
		return m
	}
	return Estimate{
		TowMethod: method("tow_method"), BeadMethod: method("bead_method"),
		VoidShare:    s.optional("void_share", unit.Share, 0, maxVoids, 0),
		Realisation:  s.optional("fibre_realisation", unit.Share, 0.01, 1, 0),
		Misalignment: s.optional("fibre_misalignment", unit.Angle, 0.1*math.Pi/180, 45*math.Pi/180, 0),
		Bond:         s.optional("bond", unit.Share, 0.01, 1, 0),
	}
}

func (s *source) measured() MeasuredBead {
	stress := func(key string) float64 { return s.optional(key, unit.Stress, leastStrength, greatestStrength, 0) }
	modulus := func(key string) float64 { return s.optional(key, unit.Stress, leastModulus, greatestModulus, 0) }
	free := func(key string, k unit.Kind, most float64) *float64 {
		if !s.Has(key) {
			return nil
		}
		v := s.number(key, k, -most, most)
		return &v
	}
	return MeasuredBead{
		Spacing: s.optional("spacing", unit.Length, 0.01, 100, 0),
		E1:      modulus("E1"), E2: modulus("E2"), G12: modulus("G12"), G23: modulus("G23"),
		Nu12: s.optional("nu12", unit.Share, 0, greatestPoisson, 0),
		Xt:   stress("Xt"), Xc: stress("Xc"), Yt: stress("Yt"), Yc: stress("Yc"), S: stress("S"), Sis: stress("Sis"), Zt: stress("Zt"),
		K1:     s.optional("conductivity_along", unit.Conductivity, 0, greatestConductivity, 0),
		K2:     s.optional("conductivity_across", unit.Conductivity, 0, greatestConductivity, 0),
		Alpha1: free("expansion_along", unit.Expansion, greatestExpansion), Alpha2: free("expansion_across", unit.Expansion, greatestExpansion),
		Beta1: free("swelling_along", unit.Share, 2), Beta2: free("swelling_across", unit.Share, 2),
	}
}
