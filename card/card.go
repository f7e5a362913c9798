package card

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// Schema is the value of a card's schema key: which rules it follows.
const Schema = "sinew-card/1"

// Limits of a card: far above any that a person writes.
const (
	maxBytes  = 1 << 20
	maxPoints = 10_000 // of one curve
)

// Card is a card as read. It must not be changed.
type Card struct {
	Kind      string // one of Kinds
	ID        string // lower-case words with hyphens
	Title     string
	Version   string
	Note      string
	Date      string // of every value that states none
	File      string // as given to Parse, for messages
	Hash      string // SHA-256 of the file, hexadecimal
	Values    map[string]Value
	Templates map[string]string // of a printer card, by name
	lines     map[string]place
}

// Value is one value of a card: Text or Points, never both.
type Value struct {
	Text   string      // "230 GPa", or a word
	Points [][2]string // of a curve: {x, y} each with its unit
	Source string      // a publication, "common practice", "invented" …
	Date   string      // when it was measured or looked up, the card's where the value states none; may be empty
	Line   int         // in the file, from 1
}

// Kinds returns the kinds of card.
func Kinds() []string {
	return []string{"tow", "plastic", "metal", "bead", "printer", "knockdown"}
}

// cardFile is the file's form.
type cardFile struct {
	Schema   string               `toml:"schema"`
	Kind     string               `toml:"kind"`
	ID       string               `toml:"id"`
	Title    string               `toml:"title"`
	Version  string               `toml:"version"`
	Note     string               `toml:"note"`
	Date     string               `toml:"date"`
	Value    map[string]valueForm `toml:"value"`
	Template map[string]string    `toml:"template"`
}

type valueForm struct {
	Is     *string    `toml:"is"`
	Points [][]string `toml:"points"`
	Source string     `toml:"source"`
	Date   string     `toml:"date"`
}

// Parse reads a card. The error is an *Error with all faults of the form; file
// is the name that messages use.
func Parse(data []byte, file string) (*Card, error) {
	l := &faults{file: file}
	if len(data) > maxBytes {
		l.add("", "the file is larger than 1 MiB", "a card holds text only")
		return nil, l.err()
	}
	var f cardFile
	dec := toml.NewDecoder(strings.NewReader(string(data)))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&f); err != nil {
		l.addTOML(err)
		return nil, l.err()
	}
	l.lines = keyLines(data)
	f.check(l)
	if err := l.err(); err != nil {
		return nil, err
	}
	sum := sha256.Sum256(data)
	c := &Card{
		Kind: f.Kind, ID: f.ID, Title: f.Title, Version: f.Version, Note: f.Note, Date: f.Date,
		File: file, Hash: hex.EncodeToString(sum[:]),
		Values: map[string]Value{}, Templates: f.Template, lines: l.lines,
	}
	for key, v := range f.Value {
		value := v.value(l.lines["value."+key].line)
		value.Date = cmp.Or(value.Date, f.Date)
		c.Values[key] = value
	}
	return c, nil
}

// value is the checked form of v.
func (v valueForm) value(line int) Value {
	r := Value{Source: v.Source, Date: v.Date, Line: line}
	if v.Is != nil {
		r.Text = *v.Is
	}
	for _, p := range v.Points {
		r.Points = append(r.Points, [2]string{p[0], p[1]})
	}
	return r
}

var (
	idForm   = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	dateForm = regexp.MustCompile(`^\d{4}(-(0[1-9]|1[0-2])(-(0[1-9]|[12]\d|3[01]))?)?$`)
)

func (f *cardFile) check(l *faults) {
	if f.Schema != Schema {
		l.add("schema", fmt.Sprintf("is %q", f.Schema), fmt.Sprintf("write schema = %q", Schema))
	}
	if !slices.Contains(Kinds(), f.Kind) {
		l.add("kind", fmt.Sprintf("is %q", f.Kind), "write one of "+strings.Join(Kinds(), ", "))
	}
	if !idForm.MatchString(f.ID) {
		l.add("id", fmt.Sprintf("is %q", f.ID), "write small letters, digits and single hyphens, such as \"carbon-tow\"")
	}
	for key, text := range map[string]string{"title": f.Title, "version": f.Version} {
		if strings.TrimSpace(text) == "" {
			l.add(key, "is missing", "state it")
		}
	}
	checkDate("date", f.Date, l)
	for key, v := range f.Value {
		v.check("value."+key, l)
	}
	if len(f.Template) > 0 && f.Kind != "printer" {
		l.add("template", "does not go with kind "+f.Kind, "delete it; only printer cards have templates")
	}
}

func checkDate(key, date string, l *faults) {
	if date != "" && !dateForm.MatchString(date) {
		l.add(key, fmt.Sprintf("is %q", date), "write year, month and day as \"2026\", \"2026-11\" or \"2026-11-25\"")
	}
}

func (v valueForm) check(key string, l *faults) {
	if (v.Is == nil) == (v.Points == nil) {
		l.add(key, "needs one value", "write is = \"…\" or points = [[\"…\", \"…\"], …]")
	}
	if v.Is != nil && strings.TrimSpace(*v.Is) == "" {
		l.add(key+".is", "is empty", "write the value with its unit")
	}
	if strings.TrimSpace(v.Source) == "" {
		l.add(key, "has no source", "add source = \"…\": a publication, \"common practice\", \"measured\" or \"invented\"")
	}
	checkDate(key+".date", v.Date, l)
	if v.Points != nil && len(v.Points) == 0 || len(v.Points) > maxPoints {
		l.add(key+".points", fmt.Sprintf("has %d points", len(v.Points)), fmt.Sprintf("give 1 to %d points", maxPoints))
	}
	for i, p := range v.Points {
		if len(p) != 2 {
			l.add(key+".points", fmt.Sprintf("point %d has %d values", i+1, len(p)), "write each point as [\"x\", \"y\"] with units")
		}
	}
}
