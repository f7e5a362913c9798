package atomicfile

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

func names(t *testing.T, dir string) []string {
	t.Helper()
	list, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range list {
		out = append(out, e.Name())
	}
	return out
}

func TestDiscardLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	b := NewBatch()
	if err := b.Add(filepath.Join(dir, "out", "deep", "a.txt"), []byte("a")); err != nil {
		t.Fatal(err)
	}
	b.Discard()
	if got := names(t, dir); len(got) != 0 {
		t.Errorf("left behind: %v", got)
	}
}

func TestDiscardKeepsFoldersOfOthers(t *testing.T) {
	dir := t.TempDir()
	old := filepath.Join(dir, "out", "old.txt")
	if err := WriteFile(old, []byte("old")); err != nil {
		t.Fatal(err)
	}
	b := NewBatch()
	if err := b.Add(old, []byte("new")); err != nil {
		t.Fatal(err)
	}
	b.Discard()
	got, err := os.ReadFile(old)
	if err != nil || string(got) != "old" {
		t.Errorf("got %q, %v; want the old content", got, err)
	}
	if n := names(t, filepath.Join(dir, "out")); len(n) != 1 {
		t.Errorf("staged files left: %v", n)
	}
}

func TestNothingVisibleBeforeCommit(t *testing.T) {
	dir := t.TempDir()
	b := NewBatch()
	path := filepath.Join(dir, "a.txt")
	if err := b.Add(path, []byte("a")); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path); !errors.Is(err, os.ErrNotExist) {
		t.Fatalf("visible before commit: %v", err)
	}
	if err := b.Commit(); err != nil {
		t.Fatal(err)
	}
	b.Discard() // does nothing after a commit
	if got, err := os.ReadFile(path); err != nil || string(got) != "a" {
		t.Errorf("after commit: %q, %v", got, err)
	}
}

func TestLockKeepsOthersOut(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lock")
	unlock, err := Lock(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Lock(path); !errors.Is(err, ErrLocked) {
		t.Errorf("second lock: %v, want ErrLocked", err)
	}
	unlock()
	again, err := Lock(path)
	if err != nil {
		t.Fatalf("after unlock: %v", err)
	}
	again()
}
