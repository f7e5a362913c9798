// Package proof analyses the part as it will be printed, and the designs it
// is compared with.
package proof

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
)

// Margin is one reserve factor with its place.
type Margin struct {
	Mode    Mode
	Reserve float64 // load at failure / required load
	Raw     float64 // the same from the unaveraged peak
	X, Y    float64
	Layer   int     // composite layer, -1 where the whole thickness is meant
	Angle   float64 // of the layer at the place, rad
	Feature int     // nearest named feature within its diameter, -1: none
}

// CaseMargins holds the margins of one design under one case, governing first.
type CaseMargins struct {
	Case      string
	Margins   []Margin
	Stiffness float64 // work of the case's loads: |F| / displacement along it, N/mm; 0 where no load acts
}

// Design is one way of making the part.
type Design struct {
	Name        string // "as printed", "field as planned", "quasi-isotropic, drilled", …
	Mass        float64
	FibreLength float64 // m
	Time        float64 // s, 0 where unknown
	Cost        float64 // in the currency of the cards, 0 where unknown
	Cases       []CaseMargins
	Note        string // what it assumes
}
