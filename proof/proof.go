package proof

import (
	"sinew/field"
	"sinew/geom"
	"sinew/material"
	"sinew/mesh"
	"sinew/part"
	"sinew/strand"
	"sinew/stress"
)

// Mode names what fails first.
type Mode string

// The modes of a margin.
const (
	FibreTension     Mode = "fibre tension"
	FibreCompression Mode = "fibre compression"
	Matrix           Mode = "matrix"
	Yield            Mode = "yield"
	Ultimate         Mode = "ultimate"
	PlasticBreak     Mode = "plastic strength"
	BearingPin       Mode = "bearing at the pin"
	Interlaminar     Mode = "shear between layers"
)

// Margin is one reserve factor with its place.
type Margin struct {
	Mode    Mode
	Reserve float64 // load at failure / required load
	Raw     float64 // the same from the unaveraged peak
	X, Y    float64
	Layer   int     // composite layer, -1 where the whole thickness or plain plastic is meant
	Angle   float64 // of the layer at the place, rad
	Feature int     // nearest named feature within its diameter, -1: none
	// KnockDown is the product of the knock-downs in the allowable; 1: none.
	KnockDown float64
	// Stress that was judged, MPa, a mean like the index: along, across and in
	// shear of the layer; of plain material in part axes; of shear between layers
	// xz and yz; of bearing the mean pressure. A case that bends is judged at the
	// worse face of the layer, and so is its stress.
	Stress [3]float64
	// Allowable that it met at the place, MPa: of fibre modes and bearing one
	// strength, of the matrix that across the fibres (by the sign of the stress)
	// and that in shear, of plain plastic tension and compression, of a metal and
	// between layers one strength; 0: none.
	Allowable [2]float64

	ply, point int // where it was found; of no meaning in a kept result
}

// CaseMargins holds the margins of one design under one case, governing first.
type CaseMargins struct {
	Case    string
	Margins []Margin
	// ByRule holds the margins by every rule, for all alike; Margins are those
	// of the rule in the settings.
	ByRule []RuleMargins
	// Joints are the loaded holes by the trade's simple formulas.
	Joints []Joint
	// Collapse is the way to the greatest load; nil where it was not asked for.
	Collapse  *Collapse
	Stiffness float64 // work of the case's loads: |F| / displacement along it, N/mm; 0 where no load acts
}

// Of returns the margin of a mode, or nil where nothing of the kind can fail.
func (c *CaseMargins) Of(m Mode) *Margin { return of(c.Margins, m) }

func of(list []Margin, m Mode) *Margin {
	for i := range list {
		if list[i].Mode == m {
			return &list[i]
		}
	}
	return nil
}

// Fibre returns the margin against first fibre failure: the least of tension,
// compression and bearing at a pin; nil where no fibre is loaded.
func (c *CaseMargins) Fibre() *Margin { return fibre(c.Margins) }

// Fibre is that of CaseMargins by the rule.
func (c *RuleMargins) Fibre() *Margin { return fibre(c.Margins) }

// Of is that of CaseMargins by the rule.
func (c *RuleMargins) Of(m Mode) *Margin { return of(c.Margins, m) }

func fibre(list []Margin) *Margin {
	var least *Margin
	for _, mode := range []Mode{FibreTension, FibreCompression, BearingPin} {
		if m := of(list, mode); m != nil && (least == nil || m.Reserve < least.Reserve) {
			least = m
		}
	}
	return least
}

// The designs of every proof, by ID. Metals and plastics bear the ID of their
// card.
const (
	Printed         = "printed"
	Planned         = "planned"
	Drilled         = "quasi-isotropic"
	Straight        = "straight"
	StraightPrinted = "straight-printed"
)

// Design is one way of making the part.
type Design struct {
	ID          string // what stays the same when names change; see the constants
	Name        string // "as printed", "field as planned", "quasi-isotropic, drilled", …
	Mass        float64
	FibreLength float64 // m
	Time        float64 // s, 0 where unknown
	Cost        float64 // of material, in the currency of the cards, 0 where unknown
	Cases       []CaseMargins
	Note        string // what it assumes
}

// Governing returns the least margin over all cases and its case; nil where
// nothing is loaded.
func (d *Design) Governing() (m *Margin, inCase string) {
	for i := range d.Cases {
		c := &d.Cases[i]
		if len(c.Margins) > 0 && (m == nil || c.Margins[0].Reserve < m.Reserve) {
			m, inCase = &c.Margins[0], c.Case
		}
	}
	return m, inCase
}

// leastOfBeads is the least margin of a bead over all cases; nil where none is
// loaded.
func (d *Design) leastOfBeads() *Margin {
	var least *Margin
	for i := range d.Cases {
		if m := d.Cases[i].ofBeads(); m != nil && (least == nil || m.Reserve < least.Reserve) {
			least = m
		}
	}
	return least
}

// ofBeads is the least margin of a bead under a case.
func (c *CaseMargins) ofBeads() *Margin {
	for i := range c.Margins {
		if m := &c.Margins[i]; m.Layer >= 0 && m.Mode != Interlaminar {
			return m
		}
	}
	return nil
}

// Plain is a plastic design to compare with, or the plastic of walls and
// covers.
type Plain struct {
	ID, Title    string
	State        material.PlasticState
	Density      float64 // g/mm³
	PricePerKilo float64
	// AcrossLines and AcrossLayers multiply the strength of a printed plate whose
	// load crosses the printed lines, or the layers; 0 means 1.
	AcrossLines, AcrossLayers float64
	// KnockDown is what the strengths were multiplied by; 0 means 1.
	KnockDown float64
}

// Input is all that Prove needs. Without a print and a lay-up only metals and
// plastics are judged.
type Input struct {
	Part *part.Part
	// Mesh covers the part; the same mesh serves every design. Nil: the
	// system's.
	Mesh *mesh.Mesh
	// System is the prepared analysis of Part on Mesh; nil: made here.
	System *stress.System
	Law    *material.Law
	// Plastic fills walls, covers and pockets.
	Plastic Plain
	// CoverHeight is the height of all plastic layers under and over the
	// composite together, mm.
	CoverHeight float64
	// CoverFill is the share of their volume that is under beads over a place of
	// the plan, and the share of their stiffness that this keeps, all of these
	// layers together; nil: all of it. Stresses are those of the beads.
	CoverFill func(geom.Point) (volume, keeps float64)
	// Print is the print to prove; nil leaves the design out.
	Print *strand.Print
	// StraightPrint is a print of straight strands of the same fibre mass, judged
	// beside the even one; nil leaves it out.
	StraightPrint *strand.Print
	// Layup is the field as planned; nil leaves the design out.
	Layup *field.Layup
	// StraightAngle of the straight-fibre design, rad; nil: the direction that
	// takes most of the load.
	StraightAngle *float64
	Metals        []material.Metal
	// Plastics are further plain designs: the print's own plastic first.
	Plastics []Plain
	// PrintTime and PrintCost of the print where they are known: s, and the
	// currency of the cards.
	PrintTime, PrintCost float64
	// Before, where not nil, is an examination of the same print in the same part,
	// mesh and materials, under other loads, supports or judging: what the change
	// does not touch is taken from it. The numbers are the same without it.
	Before *Examination
	// Progress, where not nil, is told now and then what goes on.
	Progress func(what string)
	// Plate says what is asked of the designs as plates that bend.
	Plate    PlateWish
	Settings Settings
}

// Settings says how failure is judged. The zero value of a field means its
// default.
type Settings struct {
	Radius float64 // of the disc over which indices are averaged, mm; default 1; below 0: none
	// Rule by which edges are judged; default DiscMean.
	Rule Rule
	// Notch holds the distances of the other two rules.
	Notch material.Notch
	// Criterion of failure between the fibres; default Hashin. Fibres fail by
	// strain whatever the criterion.
	Criterion *material.Criterion
	// Mask is the distance from gripped, fixed and evenly loaded sides within
	// which failure is not judged, mm; default 0. Holes are never masked.
	Mask float64
	// Transfer is the length over which a strand's end takes up its load, mm;
	// default 0: at once. Within it the fibre counts by the share of the way.
	Transfer float64
	// Bearing is the mean pressure P/(d·t) that the composite stands at a pin,
	// MPa; 0: not known, and not judged apart.
	Bearing float64
	// CoolDown is the change of temperature from where the plastic sets to where
	// the part works, K: it warps an unsymmetric stack.
	CoolDown float64
	// Collapse asks for the way to the greatest load of the fibre designs.
	Collapse bool
	// Alone leaves out every design that the print is compared with.
	Alone bool
	// Memory is how many bytes the factorisation of a system of equations may
	// take; 0: any.
	Memory  int
	Workers int // default one for each processor. Results do not depend on it
}

// defaultRadius is the judging distance, of the order of the characteristic
// distance of Whitney & Nuismer, J. Compos. Mater. 8 (1974) 253 (their point
// criterion: 1.02 mm).
const defaultRadius = 1.0

// DiscRadius is Radius with its default, mm.
func (s Settings) DiscRadius() float64 {
	switch {
	case s.Radius == 0:
		return defaultRadius
	case s.Radius < 0:
		return 0
	}
	return s.Radius
}

// EdgeRule is Rule with its default.
func (s Settings) EdgeRule() Rule {
	if s.Rule == "" {
		return DiscMean
	}
	return s.Rule
}

// MatrixCriterion is Criterion with its default.
func (s Settings) MatrixCriterion() material.Criterion {
	if s.Criterion == nil {
		return material.Hashin
	}
	return *s.Criterion
}

// Result holds all designs, the print first.
type Result struct {
	Designs []Design
	// Printed is what lies behind the first design; nil without a print.
	Printed *Detail
	// Plate is the print as a plate; nil unless a case bends it or Input.Plate asks.
	Plate *Plate
	// Angle of the straight-fibre design, rad.
	Angle float64
	Notes []string
}

// Detail is the analysis of a design point by point, for drawings and probes.
type Detail struct {
	System   *stress.System
	Sheet    stress.Sheet
	Solution *stress.Solution
	Layers   []LayerMap
	// Fibre and Matrix are the disc means of the indices, the worst of all
	// cases, per entry of Layers and integration point: 1 is failure at the
	// required load.
	Fibre, Matrix [][]float64
	// Criteria holds, per case, what each failure criterion says at the place
	// that is worst by it, AtGoverning what all of them say at the one place where
	// the beads' governing margin lies.
	Criteria, AtGoverning [][]CriterionMargin
	// Equations says how the solution was found.
	Equations stress.Equations
	// Ends is the most loaded end of a strand; nil where none ends.
	Ends *Ends
	// Stacks looks at the pile of layers at the places that matter.
	Stacks []Stack
}
