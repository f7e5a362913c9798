package job

import (
	"errors"
	"strings"
	"testing"
)

// beside is a file such as belongs to a job.
type beside struct {
	Name  string   `toml:"name"`
	Rows  []inner  `toml:"row"`
	Sizes []any    `toml:"sizes"`
	Wall  Length   `toml:"wall"`
	Words []string `toml:"words"`
}

type inner struct {
	named
	Count int `toml:"count"`
}

type named struct {
	Title string `toml:"title"`
}

func TestReadBeside(t *testing.T) {
	for _, row := range []struct{ name, text, want string }{
		{"good", "name = \"n\"\nsizes = [1, [2, \"3 mm\"], { a = 1 }]\nwall = \"2 mm\"\n[[row]]\ntitle = \"t\"\ncount = 2\n", ""},
		{"unknown key", "name = \"n\"\n[[row]]\nnumber = 2\n", "f.toml:3:1: row.number: unknown key; see the guide for the keys of this table, or delete it"},
		{"key of an embedded struct in other letters", "[[row]]\nTitle = \"t\"\n", "f.toml:2:1: row[0].Title: unknown key; write \"title\""},
		{"wrong kind", "[[row]]\ncount = \"many\"\n", "f.toml:2:9: "},
		{"number for a quantity", "wall = 2\n", "f.toml:1:1: wall: 2 has no unit"},
		{"no TOML", "name = \n", "f.toml:1:"},
		{"long", strings.Repeat("\n", maxJobLines+1), "f.toml: the file has more than"},
	} {
		f := new(beside)
		err := ReadBeside([]byte(row.text), "f.toml", "the guide", f).Err()
		switch {
		case row.want == "" && err != nil:
			t.Errorf("%s: %v", row.name, err)
		case row.want != "" && (err == nil || !strings.HasPrefix(err.Error(), row.want)):
			t.Errorf("%s: %v, want %s", row.name, err, row.want)
		}
	}
	f := new(beside)
	b := ReadBeside([]byte("[[row]]\n[[row]]\ncount = 3\n"), "f.toml", "the guide", f)
	b.Fault("row[1].count", "is odd", "make it even")
	var input *InputError
	if !errors.As(b.Err(), &input) || input.Faults[0].Line != 3 || len(f.Rows) != 2 {
		t.Errorf("a fault of the reader's: %v", b.Err())
	}
}

func TestCheckKey(t *testing.T) {
	for _, key := range []string{"layup.family[0].spacing", "part.thickness", "case[1].load[0].force", "layup.refine.steps", "compare.metals"} {
		if err := CheckKey(key); err != nil {
			t.Errorf("%s: %v", key, err)
		}
	}
	for _, key := range []string{"", "layup.spacng", "layup.family[x].spacing", "part.thickness.mm", "part[0].thickness", "layup family"} {
		if CheckKey(key) == nil {
			t.Errorf("%q passes", key)
		}
	}
}
