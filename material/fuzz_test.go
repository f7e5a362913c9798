package material

import (
	"io/fs"
	"testing"

	"sinew/card"
	"sinew/cards"
)

// FuzzCards: whatever a card says, the readers answer with a value that
// validates or with an error.
func FuzzCards(f *testing.F) {
	err := fs.WalkDir(cards.Files, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := cards.Files.ReadFile(path)
		if err == nil {
			f.Add(data)
		}
		return err
	})
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := card.Parse(data, "fuzz.toml")
		if err != nil {
			return
		}
		if tow, err := TowFromCard(c); err == nil && tow.Validate() != nil {
			t.Errorf("tow read but not valid: %+v", tow)
		}
		if m, err := MetalFromCard(c); err == nil && m.Validate() != nil {
			t.Errorf("metal read but not valid: %+v", m)
		}
		if k, err := KnockDownFromCard(c); err == nil && k.Validate() != nil {
			t.Errorf("knock-down read but not valid: %+v", k)
		}
		if b, err := BeadFromCard(c); err == nil && b.Explicit != nil && b.Explicit.Validate() != nil {
			t.Errorf("bead read but not valid: %+v", b)
		}
		if p, err := PlasticFromCard(c); err == nil {
			if _, err := p.In(Room()); err != nil {
				t.Errorf("plastic read but has no state: %v", err)
			}
		}
	})
}
