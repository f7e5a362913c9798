package job

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sinew/card"
	"sinew/cards"
)

// TestCardsFollowTheirSchema: every built-in card keeps to the form that
// docs/schema/card.schema.json states and dates each of its values; what the
// reader of cards refuses for its form the schema refuses as well.
func TestCardsFollowTheirSchema(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "docs", "schema", "card.schema.json"))
	s := compileSchema(t, data, err)
	seen := 0
	err = fs.WalkDir(cards.Files, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := cards.Files.ReadFile(path)
		if err != nil {
			return err
		}
		seen++
		if err := s.Validate(tree(t, text)); err != nil {
			t.Errorf("%s: %v", path, err)
		}
		c, err := card.Parse(text, path)
		if err != nil {
			return err
		}
		if e := entryOf(c); e.Undated > 0 || e.Origin != "built-in" || e.Over != "" {
			t.Errorf("%s: %+v", path, e)
		}
		return nil
	})
	if err != nil || seen < 15 {
		t.Fatalf("%d cards read: %v", seen, err)
	}
	good, err := cards.Files.ReadFile("knockdown/hot-wet.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, wrong := range []struct{ name, old, new string }{
		{"no source", `, source = "common practice; to be replaced by tests" }`, " }"},
		{"empty source", `source = "common practice; to be replaced by tests"`, `source = ""`},
		{"value twice", `is = "0.95"`, `is = "0.95", points = [["1 mm", "2 mm"]]`},
		{"no value", `is = "0.95", `, ""},
		{"name in capitals", `id = "hot-wet"`, `id = "Hot-Wet"`},
		{"unknown kind", `kind = "knockdown"`, `kind = "cheese"`},
		{"unknown key", `note = `, `remark = `},
		{"date", `date = "2026-11"`, `date = "2026-13"`},
		{"points of three", `is = "0.95"`, `points = [["1 mm", "2 mm", "3 mm"]]`},
		{"template", "[value]", "[template]\nstart = \"G1\"\n[value]"},
	} {
		if !strings.Contains(string(good), wrong.old) {
			t.Fatalf("%s: the card holds no %q", wrong.name, wrong.old)
		}
		text := []byte(strings.Replace(string(good), wrong.old, wrong.new, 1))
		if _, err := card.Parse(text, "x.toml"); err == nil {
			t.Errorf("%s: the reader takes it", wrong.name)
		}
		if err := s.Validate(tree(t, text)); err == nil {
			t.Errorf("%s: the schema takes it", wrong.name)
		}
	}
}
