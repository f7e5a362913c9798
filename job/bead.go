package job

import (
	"fmt"

	"sinew/material"
	"sinew/unit"
)

// CardQuestion names the materials that a question is about, by their cards,
// and the state they are in. Quantities are text with units, as in a job file.
type CardQuestion struct {
	Tow, Plastic, Bead, Printer string
	TowMethod, BeadMethod       string
	Temperature                 string // "" means 23 °C
	Conditioned                 bool
	Knockdowns                  []string
}

// open reads the cards into a job that has nothing else; faults of the question
// itself are added to asked.
func (q CardQuestion) open(dir string, asked *faultList) (*Job, error) {
	j := cardFolder(dir)
	j.file.Material = MaterialTable{
		Tow: q.Tow, Plastic: q.Plastic, Bead: q.Bead, Printer: q.Printer, TowMethod: q.TowMethod, BeadMethod: q.BeadMethod,
		Conditioned: q.Conditioned, Knockdowns: q.Knockdowns,
	}
	temperature := asked.quantity("--temperature", q.Temperature, unit.Temperature, defaultTemperature)
	j.file.Material.Temperature = Temperature(temperature)
	j.file.Material.check(asked)
	if err := asked.err(); err != nil {
		return nil, err
	}
	j.file.Compare.Metals = []string{}
	j.in = &inputs{cardKeys: map[string]key{}}
	return j, j.loadCardsAt(j.in, material.State{Temperature: temperature, Conditioned: q.Conditioned})
}

// BeadQuestion asks what a bead is made of and worth.
type BeadQuestion struct {
	CardQuestion
	// Spacing at which the bead is described; "" means 1 mm.
	Spacing string
	// FibreShare, Modulus and Strength along the fibres ask for the spacing that
	// gives them; "" asks nothing.
	FibreShare, Modulus, Strength string
}

// BeadAnswer describes the bead and answers the reverse questions.
type BeadAnswer struct {
	Bead      *BeadRecord   `json:"bead"`
	LeastMM   float64       `json:"least_spacing_mm" jsonschema_description:"below it beads no longer fit"`
	MostMM    float64       `json:"greatest_spacing_mm" jsonschema_description:"of the printer"`
	Densest   *BeadRecord   `json:"at_least_spacing" jsonschema_description:"the ceiling of what tow, plastic and printer can reach"`
	Reverse   []BeadReverse `json:"reverse"`
	PlasticOK bool          `json:"plastic_within_its_limit"`
	PlasticIs string        `json:"plastic_limit,omitempty"`
	Notes     []string      `json:"notes" jsonschema_description:"where the cards have less to tell than was asked"`
}

// BeadReverse is the spacing that gives a wanted figure.
type BeadReverse struct {
	Wanted    string      `json:"wanted"`
	SpacingMM float64     `json:"spacing_mm"`
	Bead      *BeadRecord `json:"bead"`
}

// AskBead answers a question about a bead from cards alone; dir holds cards of
// the user's own, "" for none.
func AskBead(dir string, q BeadQuestion) (*BeadAnswer, error) {
	var asked faultList
	j, err := q.open(dir, &asked)
	if err != nil {
		return nil, err
	}
	return j.answer(q, "--")
}

// AskJobBead answers a question about the bead of a job file's text; of the
// question only spacing and what is wanted count.
func AskJobBead(dir string, text []byte, o Options, q BeadQuestion) (*BeadAnswer, error) {
	j, err := jobWithCards(dir, text, o)
	if err != nil {
		return nil, err
	}
	return j.answer(q, "")
}

// jobWithCards reads the cards of a job file's text, whose other tables may be at
// fault.
func jobWithCards(dir string, text []byte, o Options) (*Job, error) {
	f, fl := decodeLenient(text)
	if f == nil {
		return nil, fl.err()
	}
	j := jobIn(dir, o)
	j.file, j.faults = f, &faultList{file: FileName, places: fl.places}
	j.in = &inputs{cardKeys: map[string]key{}}
	return j, j.loadCards(j.in)
}

// answer describes the bead of the loaded cards; dashes go before the names of
// what is asked for in messages.
func (j *Job) answer(q BeadQuestion, dashes string) (*BeadAnswer, error) {
	law := j.in.law
	least, most := 1/law.RhoMax(), 1/law.RhoMin()
	var asked faultList
	spacing := asked.quantity(dashes+"spacing", q.Spacing, unit.Length, min(max(defaultSpacing, least), most))
	if s := spacing * (1 + spacingSlack); s < least || spacing > most*(1+spacingSlack) {
		asked.add(dashes+"spacing", fmt.Sprintf("is %g mm", spacing), fmt.Sprintf("give %.4g mm to %.4g mm, what tow and printer allow", least, most))
	}
	if err := asked.err(); err != nil {
		return nil, err
	}
	out := &BeadAnswer{
		Bead: j.beadAt(spacing), LeastMM: least, MostMM: most, Densest: j.beadAt(least), Reverse: []BeadReverse{},
		PlasticOK: !law.PlasticState().Above, PlasticIs: law.PlasticState().Why, Notes: append([]string{}, law.PlasticState().Notes...),
	}
	return out, j.reverse(out, q, dashes)
}

// spacingSlack lets the very limit of spacing pass.
const spacingSlack = 1e-9

// reverse answers the questions that ask for a spacing.
func (j *Job) reverse(out *BeadAnswer, q BeadQuestion, dashes string) error {
	law := j.in.law
	var asked faultList
	for _, r := range []struct {
		asked, name, text string
		kind              unit.Kind
		solve             func(float64) (float64, error)
	}{
		{"fibre-share", "dry fibre", q.FibreShare, unit.Share, law.SpacingForShare},
		{"modulus", "E1", q.Modulus, unit.Stress, law.SpacingForE1},
		{"strength", "Xt", q.Strength, unit.Stress, law.SpacingForXt},
	} {
		if r.text == "" {
			continue
		}
		want := asked.quantity(dashes+r.asked, r.text, r.kind, 0)
		spacing, err := r.solve(want)
		if err != nil {
			asked.add(dashes+r.asked, err.Error(), "ask for less, or choose another tow, plastic or printer")
			continue
		}
		out.Reverse = append(out.Reverse, BeadReverse{Wanted: r.name + " " + r.text, SpacingMM: spacing, Bead: j.beadAt(spacing)})
	}
	return asked.err()
}

// quantity parses a quantity that a flag gives; a fault leaves the default.
func (l *faultList) quantity(flag, text string, kind unit.Kind, def float64) float64 {
	if text == "" {
		return def
	}
	v, err := unit.Parse(text, kind)
	if err != nil {
		l.add(flag, err.Error(), "write a number with its unit")
		return def
	}
	return v
}
