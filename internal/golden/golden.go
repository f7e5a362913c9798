// Package golden compares output with files under testdata; tests only.
package golden

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"
)

var update = flag.Bool("update", false, "rewrite golden files")

// Compare fails the test when got differs from the named file under testdata;
// with -update it writes the file instead.
func Compare(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs (run with -update and read the diff):\n%s", path, firstDifference(got, want))
	}
}

func firstDifference(got, want []byte) []byte {
	g, w := bytes.Split(got, []byte("\n")), bytes.Split(want, []byte("\n"))
	for i := range min(len(g), len(w)) {
		if !bytes.Equal(g[i], w[i]) {
			return []byte("got:  " + string(g[i]) + "\nwant: " + string(w[i]))
		}
	}
	return []byte("one is longer than the other")
}
