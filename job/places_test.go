package job

import (
	"strings"
	"testing"
)

// TestKeyPlaces: each key is found by line and column, in arrays of tables and
// inline tables too.
func TestKeyPlaces(t *testing.T) {
	text := "a = 1\n[[case]]\nname = \"é\"\n  [[case.load]]\n  at = \"x\"\n[[case]]\n  [[case.load]]\n  [[case.load]]\n  at = \"y\"\n[layup]\ncovers = { bottom = 1, top = 2 }\n\"walls\" = 3\nmesh.size = 4\n"
	got := keyPlaces([]byte(text))
	for key, want := range map[string]place{
		"a":                  {1, 1},
		"case[0]":            {2, 3},
		"case[0].name":       {3, 1},
		"case[0].load[0]":    {4, 5},
		"case[0].load[0].at": {5, 3},
		"case[1].load[1].at": {9, 3},
		"layup":              {10, 2},
		"layup.covers":       {11, 1},
		"layup.covers.top":   {11, 24},
		"layup.walls":        {12, 1},
		"layup.mesh.size":    {13, 1},
	} {
		if got[key] != want {
			t.Errorf("%s stands at %v, want %v", key, got[key], want)
		}
	}
}

// BenchmarkDecode reads files of growing length.
func BenchmarkDecode(b *testing.B) {
	for _, c := range []struct {
		name  string
		lines int
	}{{"100 lines", 100}, {"1000 lines", 1000}, {"4000 lines", 4000}} {
		text := []byte(smallText + strings.Repeat("[[feature]]\nname = \"a\"\n", c.lines/2))
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Decode(text, FileName); err == nil {
					b.Fatal("features of one name accepted")
				}
			}
		})
	}
}
