package material

// How tells where a figure comes from.
type How string

// The ways to a figure, from the firmest to the weakest.
const (
	Measured  How = "measured"  // on the user's own prints
	Published How = "published" // from a card with a publication as source
	Estimated How = "estimated" // computed from other figures by a named method
	Assumed   How = "assumed"   // invented, common practice, or a default of ours
)

// Provenance says of one figure what it is and where it comes from.
type Provenance struct {
	Key      string // of the card, "" for a figure of the bead
	Property string // "E1", "fibre modulus", …
	Value    float64
	Unit     string // "MPa", "g/mm³", "" for a plain number
	How      How
	Source   string // publication, method, or 'invented'
	Date     string // of the card's value, "" for a computed one
}
