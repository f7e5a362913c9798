package workbench

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// copyExample copies an example job into a workspace.
func copyExample(t *testing.T, name, workspace string) string {
	t.Helper()
	to := filepath.Join(workspace, name)
	if err := os.CopyFS(to, os.DirFS(filepath.Join("..", "examples", name))); err != nil {
		t.Fatal(err)
	}
	if err := os.RemoveAll(filepath.Join(to, "out")); err != nil {
		t.Fatal(err)
	}
	return to
}

func TestCheckName(t *testing.T) {
	good := []string{"hanger", "two words", "ø 12", "a.b", "link-2"}
	bad := []string{"", ".", "..", ".hidden", "a/b", `a\b`, "a\x00b", "c:d", "end.", " lead", "trail ", "new\nline", strings.Repeat("x", 101), "\xff"}
	for _, n := range good {
		if err := checkName(n); err != nil {
			t.Errorf("%q: %v", n, err)
		}
	}
	for _, n := range bad {
		if checkName(n) == nil {
			t.Errorf("%q was let pass", n)
		}
	}
}

func TestWorkspaceKeepsInside(t *testing.T) {
	outside := t.TempDir()
	copyExample(t, "hanger", outside)
	root := t.TempDir()
	copyExample(t, "open-hole", root)
	if err := os.Symlink(filepath.Join(outside, "hanger"), filepath.Join(root, "linked")); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(root, "half"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(filepath.Join(outside, "hanger", "job.toml"), filepath.Join(root, "half", "job.toml")); err != nil {
		t.Fatal(err)
	}
	w, err := openWorkspace(root)
	if err != nil {
		t.Fatal(err)
	}
	ids, err := w.jobs()
	if err != nil || len(ids) != 1 || ids[0] != "open-hole" {
		t.Errorf("jobs %q, %v", ids, err)
	}
	for _, id := range []string{"linked", "half", "..", "../hanger", "open-hole/../open-hole", "", "."} {
		if dir, err := w.folder(id); err == nil {
			t.Errorf("%q leads to %s", id, dir)
		}
	}
}

func TestSingleWorkspace(t *testing.T) {
	dir := copyExample(t, "hanger", t.TempDir())
	w, err := openWorkspace(dir)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := w.folder("hanger"); err != nil || got != w.root {
		t.Errorf("folder %s, %v", got, err)
	}
	if _, err := w.folder("cards"); err == nil {
		t.Error("a folder inside a job is taken for a job")
	}
	if _, err := w.newFolder("another"); err == nil {
		t.Error("a job may be made inside a job")
	}
}
