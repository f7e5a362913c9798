package job

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// keptHanger runs the hanger once to the proof and opens what it left.
func keptHanger(b *testing.B) (dir string, text []byte) {
	b.Helper()
	dir = filepath.Join(b.TempDir(), "hanger")
	if err := os.CopyFS(dir, os.DirFS("../examples/hanger")); err != nil {
		b.Fatal(err)
	}
	j, err := Open(dir, Options{})
	if err != nil {
		b.Fatal(err)
	}
	defer j.Close()
	res, err := j.Run(context.Background(), Prove, "prove")
	if err == nil {
		err = res.Save(context.Background())
	}
	if err != nil {
		b.Fatal(err)
	}
	if text, err = os.ReadFile(filepath.Join(dir, FileName)); err != nil {
		b.Fatal(err)
	}
	return dir, text
}

// BenchmarkQuick is what a user waits for who edits a load of the hanger, again
// and again: the file read and the strands analysed under the new load.
func BenchmarkQuick(b *testing.B) {
	dir, text := keptHanger(b)
	v, err := KeptViews(dir, Options{})
	if err != nil {
		b.Fatal(err)
	}
	for i := 0; b.Loop(); i++ {
		edited := strings.Replace(string(text), "1.1 kN", fmt.Sprintf("1.%d kN", 3+i%2), 1)
		if err := os.WriteFile(filepath.Join(dir, FileName), []byte(edited), 0o644); err != nil {
			b.Fatal(err)
		}
		if _, _, err := v.Quick(context.Background(), dir, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkFirstLook is what the board waits for after the server was started:
// kept results read, one field and all strands.
func BenchmarkFirstLook(b *testing.B) {
	dir, _ := keptHanger(b)
	for b.Loop() {
		v, err := KeptViews(dir, Options{})
		if err == nil {
			_, err = v.Field(context.Background(), FieldQuery{Quantity: "index.worst", Case: -1, Layer: -1})
		}
		if err == nil {
			_, err = v.Strands(context.Background(), -1)
		}
		if err != nil {
			b.Fatal(err)
		}
	}
}
