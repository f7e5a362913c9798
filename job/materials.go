package job

import (
	"cmp"
	"errors"
	"fmt"

	"sinew/card"
	"sinew/material"
	"sinew/printer"
)

// defaultTemperature is that of standard test rooms, °C (ISO 291).
const defaultTemperature = 23.0

// defaultMetals are compared with where the job names none.
func defaultMetals() []string { return []string{"aluminium-6061-t6", "aluminium-7075-t6"} }

// loadCards reads every card that the job names.
func (j *Job) loadCards(in *inputs) error {
	state := material.State{Temperature: defaultTemperature, Conditioned: j.file.Material.Conditioned}
	if j.faults.places["material.temperature"].line > 0 {
		state.Temperature = float64(j.file.Material.Temperature)
	}
	return j.loadCardsAt(in, state)
}

// loadCardsAt is loadCards in given surroundings.
func (j *Job) loadCardsAt(in *inputs, state material.State) error {
	m := j.file.Material
	in.state = state
	var err error
	if in.printer, err = readAs(j, in, "printer", m.Printer, "material.printer", printer.FromCard); err != nil {
		return err
	}
	if in.plastic, err = readAs(j, in, "plastic", m.Plastic, "material.plastic", material.PlasticFromCard); err != nil {
		return err
	}
	if err := j.loadComparison(in); err != nil {
		return err
	}
	for i, id := range m.Knockdowns {
		k, err := readAs(j, in, "knockdown", id, fmt.Sprintf("material.knockdowns[%d]", i), material.KnockDownFromCard)
		if err != nil {
			return err
		}
		in.knockdowns = append(in.knockdowns, k)
	}
	return j.loadLaw(in)
}

// loadComparison reads the cards of the designs to compare with.
func (j *Job) loadComparison(in *inputs) error {
	metals := j.file.Compare.Metals
	if metals == nil {
		metals = defaultMetals()
	}
	for i, id := range metals {
		m, err := readAs(j, in, "metal", id, fmt.Sprintf("compare.metals[%d]", i), material.MetalFromCard)
		if err != nil {
			return err
		}
		in.metals = append(in.metals, m)
	}
	for i, id := range j.file.Compare.Printers {
		if _, err := readAs(j, in, "printer", id, fmt.Sprintf("compare.printers[%d]", i), printer.FromCard); err != nil {
			return err
		}
	}
	if id := j.file.Compare.ShortFibre; id != "" {
		p, err := readAs(j, in, "plastic", id, "compare.short_fibre", material.PlasticFromCard)
		if err != nil {
			return err
		}
		in.shortFibre = &p
	}
	return nil
}

// loadLaw builds the law of the bead from tow, plastic and printer, or from a
// bead card that replaces some or all of it.
func (j *Job) loadLaw(in *inputs) error {
	m := j.file.Material
	s := material.LawSettings{
		Plastic: in.plastic, State: in.state, KnockDowns: in.knockdowns,
		Height: in.printer.CompositeHeight, SpacingMin: in.printer.SpacingMin, SpacingMax: in.printer.SpacingMax, TowShareMax: in.printer.TowShareMax,
	}
	towID := m.Tow
	if m.Bead != "" {
		b, err := readAs(j, in, "bead", m.Bead, "material.bead", material.BeadFromCard)
		if err != nil {
			return err
		}
		b.Apply(&s)
		if towID == "" {
			towID = b.TowID
		}
	}
	if towID == "" {
		j.faults.add("material.tow", "is missing, and the bead card names no tow", "name a tow card")
		return j.faults.err()
	}
	if err := j.chooseMethods(&s); err != nil {
		return err
	}
	var err error
	if s.Tow, err = readAs(j, in, "tow", towID, "material.tow", material.TowFromCard); err != nil {
		return err
	}
	if in.law, err = material.NewLaw(s); err != nil {
		return asInput(FileName, "material", err)
	}
	return nil
}

// chooseMethods lets the job choose how the bead is estimated.
func (j *Job) chooseMethods(s *material.LawSettings) error {
	m := j.file.Material
	if m.TowMethod == "" && m.BeadMethod == "" {
		return nil
	}
	if s.Explicit != nil {
		j.faults.add("material", "chooses a method of estimate, but the bead card states the bead's law", "leave tow_method and bead_method out, or name a bead card that is estimated")
		return j.faults.err()
	}
	for _, c := range []struct {
		name string
		to   *material.Method
	}{{cmp.Or(m.TowMethod, s.Estimate.TowMethod.String()), &s.Estimate.TowMethod}, {cmp.Or(m.BeadMethod, m.TowMethod), &s.Estimate.BeadMethod}} {
		method, err := material.ParseMethod(c.name)
		if err != nil {
			return asInput(FileName, "material", err)
		}
		*c.to = method
	}
	return nil
}

// readAs reads a card and turns it into what the engine works with.
func readAs[T any](j *Job, in *inputs, kind, id, jobKey string, convert func(*card.Card) (T, error)) (T, error) {
	var none T
	c, err := j.readCard(in, kind, id, jobKey)
	if err != nil {
		return none, err
	}
	v, err := convert(c)
	if err != nil {
		return none, cardFaults(err)
	}
	return v, nil
}

// cardFaults turns a card's faults into those of the job's input.
func cardFaults(err error) error {
	var bad *card.Error
	if !errors.As(err, &bad) {
		return asInput("", "", err)
	}
	list := make([]Fault, len(bad.Faults))
	for i, f := range bad.Faults {
		list[i] = Fault(f)
	}
	return &InputError{list}
}
