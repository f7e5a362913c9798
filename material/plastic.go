package material

import (
	"errors"
	"fmt"
	"math"
	"sort"
)

// Plastic is a printing plastic over temperature and moisture.
type Plastic struct {
	ID, Title string
	Density   float64 // g/mm³
	Nu        float64
	Alpha     float64 // 1/K
	Swelling  float64 // strain per mass share of moisture
	// Conductivity in W/(m K), SpecificHeat in J/(g K); 0 means not known.
	Conductivity, SpecificHeat float64
	// Dry and Wet hold modulus and strengths over temperature: as dried before
	// the print, and conditioned to the moisture of a room. Wet.Modulus nil
	// means that moisture changes nothing worth a figure.
	Dry, Wet Curves
	// Moisture is the mass share of water of the conditioned state.
	Moisture float64
	// AcrossLayers multiplies the strength where the load crosses the layers,
	// AcrossLines where it crosses the printed lines in the layer.
	AcrossLayers, AcrossLines float64
	FailureStrain             float64
	GlassTemperature          float64 // °C
	DeflectionTemperature     float64 // °C, of heat deflection: the design limit
	PrintTemperature          float64 // °C
	BedTemperature            float64 // °C
	PricePerKilo              float64
	Spool                     float64 // mass on a full spool, g; 0: not known
	Sources                   []Provenance
}

// Validate reports figures of a plastic that cannot be.
func (p Plastic) Validate() error {
	var errs []error
	if !(p.Nu > -1 && p.Nu < 0.5) {
		errs = append(errs, broken{"poisson", fmt.Sprintf("poisson = %g breaks -1 < nu < 1/2: the stiffness would not be positive", p.Nu), "most plastics have 0.35 to 0.42"})
	}
	if p.GlassTemperature > 0 && p.PrintTemperature > 0 && p.GlassTemperature >= p.PrintTemperature {
		errs = append(errs, broken{"glass_temperature", fmt.Sprintf("glass temperature %g °C is not below the print temperature %g °C", p.GlassTemperature, p.PrintTemperature), ""})
	}
	if (len(p.Wet.Modulus) == 0) != (len(p.Wet.Tension) == 0) {
		errs = append(errs, broken{"modulus_conditioned", "modulus_conditioned and tensile_strength_conditioned must stand together", "give both, or neither"})
	}
	return errors.Join(errs...)
}

// Curves holds figures over temperature, each a list of {°C, MPa} in rising
// order; between two points the line, outside the nearest point.
type Curves struct {
	Modulus, Tension, Compression, Shear [][2]float64
}

// State is the surroundings a design is judged in; see Room.
type State struct {
	Temperature float64 // °C
	Conditioned bool    // moist as in a room rather than dry
}

// RoomTemperature is the 23 °C of ISO 291, standard atmosphere 23/50.
const RoomTemperature = 23.0

// Room is the dry state at RoomTemperature.
func Room() State { return State{Temperature: RoomTemperature} }

// PlasticState is a plastic at one temperature and moisture.
type PlasticState struct {
	Phase                       Phase
	Tension, Compression, Shear float64 // strengths, MPa
	// Above reports that the temperature lies over the plastic's limit or
	// beyond a curve of the card, Why says which.
	Above bool
	Why   string
	// Notes say where the card has less to tell than was asked.
	Notes []string
}

// In returns the plastic in a state. Compression without data counts as
// tension, shear without data as tension/√3 (von Mises).
func (p Plastic) In(s State) (PlasticState, error) {
	curves := p.curvesIn(s)
	t := s.Temperature
	e, _ := Interpolate(curves.Modulus, t)
	if !isPositive(e) {
		return PlasticState{}, fmt.Errorf("plastic %s has no modulus at %g °C", p.ID, t)
	}
	phase := IsotropicPhase(e, p.Nu)
	phase.Alpha1, phase.Alpha2 = p.Alpha, p.Alpha
	phase.Beta1, phase.Beta2 = p.Swelling, p.Swelling
	phase.K1, phase.K2 = p.Conductivity, p.Conductivity
	phase.Density = p.Density
	if err := phase.Validate(); err != nil {
		return PlasticState{}, fmt.Errorf("plastic %s: %w", p.ID, err)
	}
	r := PlasticState{Phase: phase}
	r.Tension, _ = Interpolate(curves.Tension, t)
	if r.Compression, _ = Interpolate(curves.Compression, t); r.Compression == 0 {
		r.Compression = r.Tension
	}
	if r.Shear, _ = Interpolate(curves.Shear, t); r.Shear == 0 {
		r.Shear = r.Tension / vonMisesShear
	}
	r.judge(p, s, curves)
	return r, nil
}

// curvesIn returns the curves of a state: the conditioned ones where they are
// asked for and known.
func (p Plastic) curvesIn(s State) Curves {
	if s.Conditioned && len(p.Wet.Modulus) > 0 {
		return p.Wet
	}
	return p.Dry
}

// roomBand, K, about RoomTemperature: as near, a single figure of a card needs
// no curve.
const roomBand = 5.0

// judge says where a state lies above the plastic's limit or outside of what
// its card tells.
func (r *PlasticState) judge(p Plastic, s State, curves Curves) {
	t := s.Temperature
	if p.DeflectionTemperature > 0 && t > p.DeflectionTemperature {
		r.Above = true
		r.Why = fmt.Sprintf("%g °C is above the heat-deflection limit of %s, %g °C", t, p.Title, p.DeflectionTemperature)
	}
	if s.Conditioned && len(p.Wet.Modulus) == 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("the card of %s has no conditioned figures: those of the dry plastic are used", p.Title))
	}
	for _, c := range curves.named() {
		switch n := len(c.points); {
		case n == 1 && t > RoomTemperature+roomBand:
			r.Notes = append(r.Notes, fmt.Sprintf("the card of %s gives one %s for every temperature: at %g °C it is likely lower", p.Title, c.name, t))
		case n > 1 && t > c.points[n-1][0] && !r.Above:
			r.Above = true
			r.Why = fmt.Sprintf("%g °C is beyond the last %s on the card of %s, at %g °C", t, c.name, p.Title, c.points[n-1][0])
		case n > 1 && t < c.points[0][0]:
			r.Notes = append(r.Notes, fmt.Sprintf("the card of %s begins at %g °C: its %s there is used at %g °C", p.Title, c.points[0][0], c.name, t))
		}
	}
}

// namedCurve is a curve as messages and cards call it.
type namedCurve struct {
	name, key string
	points    [][2]float64
}

func (c Curves) named() []namedCurve {
	return []namedCurve{
		{"modulus", "modulus", c.Modulus}, {"tensile strength", "tensile_strength", c.Tension},
		{"compressive strength", "compressive_strength", c.Compression}, {"shear strength", "shear_strength", c.Shear},
	}
}

// vonMisesShear is √3, tension over shear yield of a ductile body.
const vonMisesShear = 1.7320508075688772

// Interpolate returns the value of a curve of {x, y} in rising x at x, held at
// its ends; inside is false beyond them. A curve without points is 0. A curve
// of one point holds everywhere.
func Interpolate(curve [][2]float64, x float64) (y float64, inside bool) {
	switch len(curve) {
	case 0:
		return 0, false
	case 1:
		return curve[0][1], true
	}
	i := sort.Search(len(curve), func(i int) bool { return curve[i][0] >= x })
	switch {
	case i == 0:
		return curve[0][1], x >= curve[0][0]
	case i == len(curve):
		return curve[i-1][1], false
	}
	a, b := curve[i-1], curve[i]
	return a[1] + (b[1]-a[1])*(x-a[0])/(b[0]-a[0]), true
}

// Lamina returns a plastic in its state as a layer.
func (s PlasticState) Lamina() Lamina { return s.Phase.Lamina() }

// Strength returns the strengths of that layer, alike along and across; the
// compressive one counts as no less than the tensile one. Between its layers it
// has none: see Plastic.AcrossLayers.
func (s PlasticState) Strength() Strength {
	c := math.Max(s.Tension, s.Compression)
	return Strength{Xt: s.Tension, Yt: s.Tension, Xc: c, Yc: c, S: s.Shear}
}

// Reserve returns the factor on a stress at which the plastic breaks: von
// Mises with the tensile strength, and the strength of the sign of the mean
// stress where compression is the greater.
func (s PlasticState) Reserve(t [3]float64) float64 {
	limit := s.Tension
	if t[0]+t[1] < 0 {
		limit = math.Max(s.Tension, s.Compression)
	}
	return limit / Mises(t)
}

// Index is the inverse of Reserve, 1 is failure, with its derivatives by the
// stress, for optimisers. Where the mean stress changes its sign the slope is
// that of the side at hand; without stress it is zero. It allocates nothing.
func (s PlasticState) Index(t [3]float64) (v float64, slope [3]float64) {
	m := Mises(t)
	if m == 0 {
		return 0, slope
	}
	v = 1 / s.Reserve(t)
	limit := m / v
	return v, [3]float64{(t[0] - t[1]/2) / m / limit, (t[1] - t[0]/2) / m / limit, 3 * t[2] / m / limit}
}

// Knocked returns a state whose tensile and shear strengths are multiplied by a
// factor of the card: AcrossLines for load across printed lines, AcrossLayers
// across layers.
func (s PlasticState) Knocked(factor float64) PlasticState {
	if factor > 0 {
		s.Tension *= factor
		s.Shear *= factor
	}
	return s
}

// Weakened returns a state whose strengths are all multiplied by a factor: a
// knock-down.
func (s PlasticState) Weakened(factor float64) PlasticState {
	s.Tension, s.Compression, s.Shear = factor*s.Tension, factor*s.Compression, factor*s.Shear
	return s
}

// InfillKeeps is the share of a solid layer's stiffness and strength that one
// keeps of which a share of the area is under beads: see Infill.
func InfillKeeps(share float64) float64 { return share / (3 - 2*share) }

// Infill returns a state of plastic printed with sparse infill: share of the
// inner volume filled (0..1) with lines in three directions, walls the share
// of the section in solid walls. The inner part takes the upper bound of
// Hashin & Shtrikman for plane porous bodies, share/(3-2·share), which such a
// lattice comes near to (Gibson & Ashby, Cellular Solids, 2nd ed. 1997, ch. 4:
// share/3 for a thin triangular lattice).
func (s PlasticState) Infill(share, walls float64) PlasticState {
	keep := walls + (1-walls)*InfillKeeps(share)
	s.Tension, s.Compression, s.Shear = keep*s.Tension, keep*s.Compression, keep*s.Shear
	p := &s.Phase
	nu := walls*p.Nu12 + (1-walls)*(share*p.Nu12+(1-share)/3)
	q := IsotropicPhase(keep*p.E1, nu)
	p.E1, p.E2, p.G12, p.G23, p.Nu12 = q.E1, q.E2, q.G12, q.G23, q.Nu12
	solid := walls + (1-walls)*share
	p.Density *= solid
	p.K1, p.K2 = p.K1*solid, p.K2*solid
	return s
}
