package job

import (
	"github.com/invopop/jsonschema"

	"sinew/unit"
)

// The quantities of a job file: text with a unit in the file, a number in
// sinew's units inside.
type (
	// Length is in mm.
	Length float64
	// Force is in N.
	Force float64
	// Stress is in MPa.
	Stress float64
	// Angle is in radians.
	Angle float64
	// Temperature is in °C.
	Temperature float64
	// TempDifference is in K.
	TempDifference float64
	// Acceleration is in mm/s².
	Acceleration float64
	// Mass is in g.
	Mass float64
	// Moment is in N mm.
	Moment float64
	// Memory is in bytes.
	Memory float64
	// Share is a plain number; "5 %" is 0.05.
	Share float64
)

// UnmarshalText reads "4.8 mm".
func (q *Length) UnmarshalText(b []byte) error { return parseTo((*float64)(q), b, unit.Length) }

// UnmarshalText reads "2.4 kN".
func (q *Force) UnmarshalText(b []byte) error { return parseTo((*float64)(q), b, unit.Force) }

// UnmarshalText reads "12 MPa".
func (q *Stress) UnmarshalText(b []byte) error { return parseTo((*float64)(q), b, unit.Stress) }

// UnmarshalText reads "45 °".
func (q *Angle) UnmarshalText(b []byte) error { return parseTo((*float64)(q), b, unit.Angle) }

// UnmarshalText reads "40 °C".
func (q *Temperature) UnmarshalText(b []byte) error {
	return parseTo((*float64)(q), b, unit.Temperature)
}

// UnmarshalText reads "-20 K".
func (q *TempDifference) UnmarshalText(b []byte) error {
	return parseTo((*float64)(q), b, unit.TemperatureDifference)
}

// UnmarshalText reads "9.81 m/s²".
func (q *Acceleration) UnmarshalText(b []byte) error {
	return parseTo((*float64)(q), b, unit.Acceleration)
}

// UnmarshalText reads "750 g".
func (q *Mass) UnmarshalText(b []byte) error { return parseTo((*float64)(q), b, unit.Mass) }

// UnmarshalText reads "250 N mm".
func (q *Moment) UnmarshalText(b []byte) error { return parseTo((*float64)(q), b, unit.Moment) }

// UnmarshalText reads "4 GiB".
func (q *Memory) UnmarshalText(b []byte) error { return parseTo((*float64)(q), b, unit.Memory) }

// UnmarshalText reads "5 %".
func (q *Share) UnmarshalText(b []byte) error { return parseTo((*float64)(q), b, unit.Share) }

func parseTo(q *float64, text []byte, kind unit.Kind) error {
	v, err := unit.Parse(string(text), kind)
	if err != nil {
		return err
	}
	*q = v
	return nil
}

// JSONSchema describes the quantity as text with an example.
func (Length) JSONSchema() *jsonschema.Schema { return quantitySchema("length", "4.8 mm") }

// JSONSchema describes the quantity as text with an example.
func (Force) JSONSchema() *jsonschema.Schema { return quantitySchema("force", "2.4 kN") }

// JSONSchema describes the quantity as text with an example.
func (Stress) JSONSchema() *jsonschema.Schema { return quantitySchema("stress", "12 MPa") }

// JSONSchema describes the quantity as text with an example.
func (Angle) JSONSchema() *jsonschema.Schema { return quantitySchema("angle", "45 °") }

// JSONSchema describes the quantity as text with an example.
func (Temperature) JSONSchema() *jsonschema.Schema { return quantitySchema("temperature", "40 °C") }

// JSONSchema describes the quantity as text with an example.
func (TempDifference) JSONSchema() *jsonschema.Schema {
	return quantitySchema("temperature difference", "-20 K")
}

// JSONSchema describes the quantity as text with an example.
func (Acceleration) JSONSchema() *jsonschema.Schema {
	return quantitySchema("acceleration", "9.81 m/s²")
}

// JSONSchema describes the quantity as text with an example.
func (Mass) JSONSchema() *jsonschema.Schema { return quantitySchema("mass", "750 g") }

// JSONSchema describes the quantity as text with an example.
func (Moment) JSONSchema() *jsonschema.Schema { return quantitySchema("moment", "250 N mm") }

// JSONSchema describes the quantity as text with an example.
func (Memory) JSONSchema() *jsonschema.Schema { return quantitySchema("amount of memory", "4 GiB") }

// JSONSchema describes the quantity as text with an example.
func (Share) JSONSchema() *jsonschema.Schema { return quantitySchema("share", "5 %") }

func quantitySchema(title, example string) *jsonschema.Schema {
	return &jsonschema.Schema{Type: "string", Title: title, Examples: []any{example}}
}

// Quantity is a text with a unit, read.
type Quantity struct {
	Value float64 `json:"value" doc:"in the unit given"`
	Unit  string  `json:"unit" doc:"sinew's own: mm, N, MPa, degrees for angles …"`
	Text  string  `json:"text" doc:"the same, written the usual way"`
}

// ReadQuantity reads a text of a kind as the job file names kinds. Angles come
// back in degrees.
func ReadQuantity(kind, text string) (*Quantity, error) {
	kinds := []struct {
		name, unit string
		kind       unit.Kind
	}{
		{"length", "mm", unit.Length}, {"force", "N", unit.Force}, {"stress", "MPa", unit.Stress}, {"angle", "°", unit.Angle},
		{"temperature", "°C", unit.Temperature}, {"temperature difference", "K", unit.TemperatureDifference}, {"acceleration", "mm/s²", unit.Acceleration}, {"share", "", unit.Share},
		{"mass", "g", unit.Mass}, {"moment", "N·mm", unit.Moment}, {"amount of memory", "B", unit.Memory},
	}
	for _, k := range kinds {
		if k.name != kind {
			continue
		}
		v, err := unit.Parse(text, k.kind)
		if err != nil {
			return nil, asInput("", "", err)
		}
		q := &Quantity{Value: v, Unit: k.unit, Text: unit.Format(v, k.kind)}
		if k.kind == unit.Angle {
			q.Value = degrees(v)
		}
		return q, nil
	}
	return nil, &InputError{[]Fault{{Key: "kind", What: "\"" + kind + "\" is no kind of quantity in a job file", Remedy: "see the job-file reference"}}}
}
