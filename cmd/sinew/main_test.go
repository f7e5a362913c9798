package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"sinew": main})
}

// TestScripts runs the command as a user does. Each script finds the folder
// small, a job that runs in a second, and the built-in cards as files.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:   filepath.Join("testdata", "script"),
		Setup: prepare,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"code": exitCode, "onejson": oneJSON, "field": jsonField, "replace": replaceText,
		},
	})
}

func prepare(e *testscript.Env) error {
	return errors.Join(
		copyFolder(filepath.Join(e.WorkDir, "small"), filepath.Join("testdata", "small")),
		copyFolder(filepath.Join(e.WorkDir, "pocketed-link"), filepath.Join("..", "..", "examples", "pocketed-link")),
		copyFolder(filepath.Join(e.WorkDir, "cards"), filepath.Join("..", "..", "cards")))
}

func copyFolder(to, from string) error { return os.CopyFS(to, os.DirFS(from)) }

// exitCode runs a command and holds it to its exit code: code 2 sinew run job.
func exitCode(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: code number command…")
	}
	err := ts.Exec(args[1], args[2:]...)
	got := 0
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		got = exit.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if strconv.Itoa(got) != args[0] {
		ts.Fatalf("exit code %d, want %s\n%s%s", got, args[0], ts.ReadFile("stdout"), ts.ReadFile("stderr"))
	}
}

// oneJSON holds a file, or stdout, to be one JSON document and nothing else.
func oneJSON(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: onejson file")
	}
	decode(ts, args[0])
}

func decode(ts *testscript.TestScript, file string) any {
	d := json.NewDecoder(strings.NewReader(ts.ReadFile(file)))
	var v any
	ts.Check(d.Decode(&v))
	if _, err := d.Token(); err != io.EOF {
		ts.Fatalf("%s holds more than one JSON document (%v)", file, err)
	}
	return v
}

// jsonField compares a value in a JSON file: field file a.b.0 want. The value
// is compared as JSON; "some" wants anything but nothing.
func jsonField(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: field file path want")
	}
	v := decode(ts, args[0])
	for _, part := range strings.Split(args[1], ".") {
		switch at := v.(type) {
		case map[string]any:
			v = at[part]
		case []any:
			i, err := strconv.Atoi(part)
			ts.Check(err)
			if i >= len(at) {
				ts.Fatalf("%s: only %d elements", args[1], len(at))
			}
			v = at[i]
		default:
			ts.Fatalf("%s: nothing below %v", args[1], v)
		}
	}
	got, err := json.Marshal(v)
	ts.Check(err)
	empty := string(got) == "null" || string(got) == "[]" || string(got) == `""` || string(got) == "0"
	if args[2] == "some" && !empty {
		return
	}
	if string(got) != args[2] {
		ts.Fatalf("%s in %s is %s, want %s", args[1], args[0], got, args[2])
	}
}

// replaceText changes the first place of a text in a file: replace file old
// new.
func replaceText(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: replace file old new")
	}
	text := ts.ReadFile(args[0])
	if !strings.Contains(text, args[1]) {
		ts.Fatalf("%s does not hold %q", args[0], args[1])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Replace(text, args[1], args[2], 1)), 0o644))
}

// TestStoppedCommand: a command stopped by the user says so, writes nothing,
// and ends with its own exit code.
func TestStoppedCommand(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "small")
	if err := copyFolder(dir, filepath.Join("testdata", "small")); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var out, errs bytes.Buffer
	code := run(&terminal{ctx: ctx, out: &out, err: &errs}, []string{"run", dir})
	if code != exitOther || out.Len() != 0 || !strings.Contains(errs.String(), "nothing was written") {
		t.Errorf("exit code %d, output %q, errors %q", code, &out, &errs)
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 2 {
		t.Errorf("the folder holds %v (%v)", left, err)
	}
}
