package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestStudyWithAWorker: the study prints where and with what token a worker comes
// in; what is computed elsewhere gives the bytes of what is computed here.
func TestStudyWithAWorker(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "tie")
	if err := copyFolder(dir, filepath.Join("..", "..", "study", "testdata", "tie")); err != nil {
		t.Fatal(err)
	}
	errs, said := io.Pipe()
	code := make(chan int, 1)
	go func() {
		defer said.Close()
		code <- run(&terminal{ctx: t.Context(), out: io.Discard, err: said}, []string{"study", dir, "--workers", "0", "--listen", "127.0.0.1:0"})
	}()
	var told strings.Builder
	find := func(pattern string) string {
		re, buf := regexp.MustCompile(pattern), make([]byte, 512)
		for re.FindStringSubmatch(told.String()) == nil {
			n, err := errs.Read(buf)
			if told.Write(buf[:n]); err != nil {
				t.Fatalf("%v in %q", err, told.String())
			}
		}
		return re.FindStringSubmatch(told.String())[1]
	}
	url, token := find(`sinew work (http://\S+)`), find(`token, for that file: (\S+)\n`)
	go io.Copy(io.Discard, errs)

	file := filepath.Join(t.TempDir(), "token")
	if err := os.WriteFile(file, []byte(token+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if c := run(&terminal{ctx: t.Context(), out: &out, err: &out}, []string{"work", url, "--token-file", file, "--workers", "2"}); c != exitDone || !strings.Contains(out.String(), "joined the study") {
		t.Errorf("the worker ends with %d: %s", c, &out)
	}
	if c := <-code; c != exitDone {
		t.Errorf("the study ends with %d", c)
	}
	here := filepath.Join(t.TempDir(), "here")
	if c := run(&terminal{ctx: t.Context(), out: io.Discard, err: io.Discard}, []string{"study", dir, "--out", here}); c != exitDone {
		t.Errorf("the study here ends with %d", c)
	}
	for _, name := range []string{"study.json", "study.csv", "study.html"} {
		a, err1 := os.ReadFile(filepath.Join(dir, "out", name))
		b, err2 := os.ReadFile(filepath.Join(here, name))
		if err1 != nil || err2 != nil || !bytes.Equal(a, b) {
			t.Errorf("%s differs (%v, %v)", name, err1, err2)
		}
	}
}
