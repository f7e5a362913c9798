package job

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"sinew/card"
)

// CardKinds lists the kinds of card.
func CardKinds() []string { return card.Kinds() }

// JobCards lists the cards that a job can name, of a kind or of all. One that
// cannot be read is listed with its fault as its title.
func JobCards(dir string, o Options, kind string) ([]CardEntry, error) {
	kinds := card.Kinds()
	if kind != "" {
		kinds = []string{kind}
	}
	j := cardReader(dir, o)
	out := []CardEntry{}
	for _, k := range kinds {
		for _, id := range j.cardIDs(k) {
			c, err := j.readCard(&inputs{cardKeys: map[string]key{}}, k, id, "card")
			if err != nil {
				out = append(out, CardEntry{Kind: k, ID: id, Title: err.Error(), Origin: "own"})
				continue
			}
			out = append(out, entryOf(c))
		}
	}
	return out, nil
}

// cardReader reads the cards of a job's folder without its job file.
func cardReader(dir string, o Options) *Job {
	j := jobIn(dir, o)
	j.file, j.faults = &File{}, &faultList{}
	return j
}

// CardState is a card as an editor shows it.
type CardState struct {
	ShownCard
	Text        string  `json:"text"`
	Editable    bool    `json:"editable" doc:"it lies in the job's folder; others are edited as copies"`
	TextVersion string  `json:"text_version" doc:"SHA-256 of the text: the base of a change"`
	Faults      []Fault `json:"faults"`
}

// JobCard shows a card that a job can name.
func JobCard(dir string, o Options, kind, id string) (*CardState, error) {
	j := cardReader(dir, o)
	text, _, err := j.cardFile(kind, id)
	if errors.Is(err, fs.ErrNotExist) || !slices.Contains(card.Kinds(), kind) {
		return nil, noCard(kind, id)
	}
	if err != nil {
		return nil, err
	}
	s := &CardState{ShownCard: ShownCard{CardEntry: CardEntry{Kind: kind, ID: id, Origin: "own"}, Values: []CardValue{}}, Text: string(text), TextVersion: versionOf(text), Faults: []Fault{}}
	_, err = os.Stat(filepath.Join(dir, filepath.FromSlash(ownCard(kind, id))))
	s.Editable = err == nil
	c, err := card.Parse(text, id+".toml")
	if err == nil {
		s.ShownCard = *shown(c)
		err = convert(c)
	}
	var bad *InputError
	if errors.As(cardFaults(err), &bad) {
		s.Faults = append(s.Faults, bad.Faults...)
	}
	return s, nil
}

func noCard(kind, id string) error {
	return missing(fmt.Sprintf("there is no %s card %q", kind, id), "see cards for what there is")
}

// ownCard is the file of a job's own card.
func ownCard(kind, id string) string { return path.Join("cards", kind, id+".toml") }

// CopyCard copies a card under a new id into the job's folder, as a step of
// its journal.
func CopyCard(dir string, o Options, kind, id, newID string) (*CardState, error) {
	s, err := JobCard(dir, o, kind, id)
	if err != nil {
		return nil, err
	}
	if slices.Contains(cardReader(dir, o).cardIDs(kind), newID) {
		return nil, &InputError{[]Fault{{Key: "name", What: fmt.Sprintf("there is a %s card %q already", kind, newID), Remedy: "choose another name"}}}
	}
	text, err := copiedCard(s, newID)
	if err != nil {
		return nil, err
	}
	if err := checkCardText(kind, newID, text); err != nil {
		return nil, err
	}
	if err := NewJournal(dir).ChangeFile(ownCard(kind, newID), "", fmt.Sprintf("copy card %s as %s", id, newID), text); err != nil {
		return nil, err
	}
	return JobCard(dir, o, kind, newID)
}

// copiedCard gives a card's text a new id, and a title that says what it is a
// copy of.
func copiedCard(s *CardState, newID string) ([]byte, error) {
	d := cutTOML([]byte(s.Text))
	for key, value := range map[string]string{"id": newID, "title": s.Title + ", copy"} {
		p, _ := d.findPair(key)
		if p == nil {
			return nil, &InputError{s.Faults}
		}
		word, err := wordText(value)
		if err != nil {
			return nil, err
		}
		d = cutTOML(d.splice(d.valueStart(p), p.end, word))
	}
	return d.data, nil
}

// PutCard replaces the text of a job's own card. What is no valid card of its
// kind and id is refused with all that is wrong.
func PutCard(dir string, o Options, kind, id, base string, text []byte) (*CardState, error) {
	s, err := JobCard(dir, o, kind, id)
	if err != nil {
		return nil, err
	}
	if !s.Editable {
		return nil, &InputError{[]Fault{{What: fmt.Sprintf("card %s/%s is not in the job's folder", kind, id), Remedy: "copy it first"}}}
	}
	if err := checkCardText(kind, id, text); err != nil {
		return nil, err
	}
	if err := NewJournal(dir).ChangeFile(ownCard(kind, id), base, "edit card "+id, text); err != nil {
		return nil, err
	}
	return JobCard(dir, o, kind, id)
}

// checkCardText insists on a card that the engine can work with.
func checkCardText(kind, id string, text []byte) error {
	c, err := card.Parse(text, id+".toml")
	if err == nil {
		err = convert(c)
	}
	if err != nil {
		return cardFaults(err)
	}
	if c.Kind != kind || c.ID != id {
		return &InputError{[]Fault{{File: id + ".toml", Key: "id", What: fmt.Sprintf("says %s/%s where %s/%s is meant", c.Kind, c.ID, kind, id), Remedy: "leave kind and id as they are; copy the card for another id"}}}
	}
	return nil
}

// Curve is a plot: series over a common axis.
type Curve struct {
	Title  string   `json:"title"`
	X      Axis     `json:"x"`
	Y      Axis     `json:"y"`
	Series []Series `json:"series"`
}

// Axis names what a plot's axis measures.
type Axis struct {
	Name string `json:"name"`
	Unit string `json:"unit"`
}

// Series is one line of a plot.
type Series struct {
	Name string    `json:"name"`
	X    []float64 `json:"x"`
	Y    []float64 `json:"y"`
}

// CardCurves plots every value of a card that is given by points.
func CardCurves(dir string, o Options, kind, id string) ([]Curve, error) {
	j := cardReader(dir, o)
	if !slices.Contains(j.cardIDs(kind), id) {
		return nil, noCard(kind, id)
	}
	c, err := j.readCard(&inputs{cardKeys: map[string]key{}}, kind, id, "card")
	if err != nil {
		return nil, err
	}
	out := []Curve{}
	for _, v := range shown(c).Values {
		points := c.Values[v.Key].Points
		if len(points) < 2 {
			continue
		}
		curve := Curve{Title: strings.ReplaceAll(v.Key, "_", " ")}
		s := Series{Name: v.Source}
		for _, p := range points {
			x, xu, okX := splitQuantity(p[0])
			y, yu, okY := splitQuantity(p[1])
			if !okX || !okY || len(s.X) > 0 && (xu != curve.X.Unit || yu != curve.Y.Unit) {
				s.X = nil
				break // units change along the curve: the table beside it shows them
			}
			curve.X, curve.Y = Axis{axisOf(xu), xu}, Axis{curve.Title, yu}
			s.X, s.Y = append(s.X, x), append(s.Y, y)
		}
		if len(s.X) > 0 {
			curve.Series = []Series{s}
			out = append(out, curve)
		}
	}
	return out, nil
}

// axisOf names the axis that a unit speaks of.
func axisOf(unit string) string {
	switch unit {
	case "°C":
		return "temperature"
	case "mm":
		return "length"
	}
	return "x"
}

// splitQuantity parts a number from its unit.
func splitQuantity(text string) (v float64, unit string, ok bool) {
	text = strings.TrimSpace(text)
	end := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("+-0123456789.eE", r) })
	if end < 0 {
		end = len(text)
	}
	v, err := strconv.ParseFloat(text[:end], 64)
	return v, strings.TrimSpace(text[end:]), err == nil
}

// beadSteps is how many spacings a curve of the bead shows.
const beadSteps = 49

// BeadCurves plots what a bead of the job's cards is worth over the distance
// of strands.
func BeadCurves(dir string, text []byte, o Options) ([]Curve, error) {
	j, err := jobWithCards(dir, text, o)
	if err != nil {
		return nil, err
	}
	law := j.in.law
	spacing := Axis{"distance of strands", "mm"}
	share := Curve{Title: "what the bead is made of", X: spacing, Y: Axis{"share of the volume", "1"}, Series: make([]Series, 4)}
	modulus := Curve{Title: "modulus", X: spacing, Y: Axis{"modulus", "MPa"}, Series: make([]Series, 3)}
	strength := Curve{Title: "strength", X: spacing, Y: Axis{"strength", "MPa"}, Series: make([]Series, 5)}
	lo, hi := 1/law.RhoMax(), 1/law.RhoMin()
	for i := range beadSteps {
		s := lo + (hi-lo)*float64(i)/(beadSteps-1)
		rho := min(max(1/s, law.RhoMin()), law.RhoMax())
		c, l, x := law.Composition(rho), law.Lamina(rho), law.Strength(rho)
		share.add(s, []string{"dry fibre", "thermoset", "plastic", "void"}, c.Fibre, c.Resin, c.Plastic, c.Void)
		modulus.add(s, []string{"along, E1", "across, E2", "shear, G12"}, l.E1, l.E2, l.G12)
		strength.add(s, []string{"tension along", "compression along", "tension across", "compression across", "shear"}, x.Xt, x.Xc, x.Yt, x.Yc, x.S)
	}
	return []Curve{share, modulus, strength}, nil
}

// add adds one place to every series.
func (c *Curve) add(x float64, names []string, y ...float64) {
	for i := range c.Series {
		s := &c.Series[i]
		s.Name, s.X, s.Y = names[i], append(s.X, x), append(s.Y, y[i])
	}
}
