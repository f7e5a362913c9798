package job

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"sinew/card"
	"sinew/cards"
	"sinew/material"
	"sinew/printer"
)

// CardEntry is a card in a list.
type CardEntry struct {
	Kind    string `json:"kind"`
	ID      string `json:"id"`
	Title   string `json:"title"`
	Version string `json:"version"`
	Origin  string `json:"origin" jsonschema:"enum=built-in,enum=own"`
	Over    string `json:"over,omitempty" jsonschema_description:"version of the built-in card that an own card of the same name stands in for"`
	SHA256  string `json:"sha256"`
	Count   int    `json:"values"`
	Undated int    `json:"values_without_date"`
}

// ShownCard is a card with all its values.
type ShownCard struct {
	CardEntry
	Note   string      `json:"note"`
	Values []CardValue `json:"card_values"`
}

// CardValue is one value of a card as written.
type CardValue struct {
	Key    string `json:"key"`
	Is     string `json:"is"`
	Source string `json:"source"`
	Date   string `json:"date,omitempty"`
}

// cardFolder is a reader of cards without a job.
func cardFolder(dir string) *Job {
	return &Job{dir: dir, opt: Options{Cards: dir}, faults: &faultList{}, file: &File{}}
}

// ListCards lists built-in cards and those of the given folder, of one kind or
// of all.
func ListCards(dir, kind string) ([]CardEntry, error) {
	kinds := card.Kinds()
	if kind != "" {
		if !slices.Contains(kinds, kind) {
			return nil, &InputError{[]Fault{{Key: "kind", What: fmt.Sprintf("%q is no kind of card", kind), Remedy: "name one of " + strings.Join(kinds, ", ")}}}
		}
		kinds = []string{kind}
	}
	j := cardFolder(dir)
	out := []CardEntry{}
	for _, k := range kinds {
		for _, id := range j.cardIDs(k) {
			c, err := j.readCard(&inputs{cardKeys: map[string]key{}}, k, id, "card")
			if err != nil {
				return nil, err
			}
			out = append(out, entryOf(c))
		}
	}
	return out, nil
}

func entryOf(c *card.Card) CardEntry {
	e := CardEntry{Kind: c.Kind, ID: c.ID, Title: c.Title, Version: c.Version, Origin: "own", SHA256: c.Hash, Count: len(c.Values)}
	for _, v := range c.Values {
		if v.Date == "" {
			e.Undated++
		}
	}
	if built := builtIn(c.Kind, c.ID); built != nil {
		if built.Hash == c.Hash {
			e.Origin = "built-in"
		} else {
			e.Over = built.Version
		}
	}
	return e
}

// versionText says which version of a card this is and what it stands in for.
func (e CardEntry) versionText() string {
	text := "version " + e.Version + ", " + e.Origin
	if e.Over != "" {
		text += ", in place of the built-in version " + e.Over
	}
	return text
}

// builtIn is the built-in card of a name, nil where there is none.
func builtIn(kind, id string) *card.Card {
	data, err := cards.Files.ReadFile(kind + "/" + id + ".toml")
	if err != nil {
		return nil
	}
	c, err := card.Parse(data, id+".toml")
	if err != nil {
		panic("job: built-in card: " + err.Error())
	}
	return c
}

// ShowCard returns a card by "id" or "kind/id".
func ShowCard(dir, name string) (*ShownCard, error) {
	kind, id, ok := strings.Cut(name, "/")
	j := cardFolder(dir)
	kinds := []string{kind}
	if !ok {
		id, kinds = name, card.Kinds()
	}
	for _, k := range kinds {
		if !slices.Contains(j.cardIDs(k), id) {
			continue
		}
		c, err := j.readCard(&inputs{cardKeys: map[string]key{}}, k, id, "card")
		if err != nil {
			return nil, err
		}
		return shown(c), nil
	}
	return nil, &InputError{[]Fault{{Key: "card", What: fmt.Sprintf("there is no card %q", name), Remedy: "sinew card list shows what there is"}}}
}

func shown(c *card.Card) *ShownCard {
	s := &ShownCard{CardEntry: entryOf(c), Note: c.Note}
	keys := make([]string, 0, len(c.Values))
	for k := range c.Values {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b string) int { return c.Values[a].Line - c.Values[b].Line })
	for _, k := range keys {
		v := c.Values[k]
		is := v.Text
		if v.Points != nil {
			is = fmt.Sprint(v.Points)
		}
		s.Values = append(s.Values, CardValue{k, is, v.Source, v.Date})
	}
	return s
}

// CheckCard reads a card file and everything that its kind asks for.
func CheckCard(path string) (CardEntry, error) {
	data, err := readInput(path, path, maxCardBytes)
	if err != nil {
		return CardEntry{}, err
	}
	c, err := card.Parse(data, filepath.Base(path))
	if err == nil {
		err = convert(c)
	}
	if err != nil {
		return CardEntry{}, cardFaults(err)
	}
	return entryOf(c), nil
}

// convert turns a card into what the engine works with, for the faults.
func convert(c *card.Card) (err error) {
	switch c.Kind {
	case "tow":
		_, err = material.TowFromCard(c)
	case "plastic":
		_, err = material.PlasticFromCard(c)
	case "metal":
		_, err = material.MetalFromCard(c)
	case "bead":
		_, err = material.BeadFromCard(c)
	case "knockdown":
		_, err = material.KnockDownFromCard(c)
	case "printer":
		_, err = printer.FromCard(c)
	}
	return err
}
