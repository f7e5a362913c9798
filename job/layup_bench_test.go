package job

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// BenchmarkHanger is what a user waits for who sees the hanger for the first
// time: fields and strands, and then the reserve factors, without refinement
// and with it, nothing kept from before.
func BenchmarkHanger(b *testing.B) {
	text, err := os.ReadFile("../examples/hanger/" + FileName)
	if err != nil {
		b.Fatal(err)
	}
	quick := strings.Replace(string(text), "[layup.refine]", "[layup.refine]\nsteps = 0", 1)
	for _, c := range []struct {
		name, text string
		to         Stage
	}{
		{"quick/lay", quick, Lay}, {"quick/prove", quick, Prove},
		{"refined/lay", string(text), Lay}, {"refined/prove", string(text), Prove},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				dir := filepath.Join(b.TempDir(), "hanger")
				if err := os.CopyFS(dir, os.DirFS("../examples/hanger")); err != nil {
					b.Fatal(err)
				}
				if err := os.WriteFile(filepath.Join(dir, FileName), []byte(c.text), 0o644); err != nil {
					b.Fatal(err)
				}
				j, err := Open(dir, Options{})
				if err != nil {
					b.Fatal(err)
				}
				if _, err := j.Run(context.Background(), c.to, "bench"); err != nil {
					b.Fatal(err)
				}
				j.Close()
			}
		})
	}
}
