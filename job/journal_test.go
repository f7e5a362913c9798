package job

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"testing"
)

// newJournal makes a folder with a job file of one line.
func newJournal(t *testing.T) (*Journal, string) {
	t.Helper()
	dir := t.TempDir()
	writeText(t, filepath.Join(dir, FileName), "n = 0\n")
	return NewJournal(dir), dir
}

func writeText(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// setTo is a change to a given text.
func setTo(text string) func([]byte) ([]byte, error) {
	return func([]byte) ([]byte, error) { return []byte(text), nil }
}

// TestJournalAgainstStacks draws changes, steps back, steps forth, changes
// from outside and restarts, and compares with two stacks of texts.
func TestJournalAgainstStacks(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for round := range 6 {
		j, dir := newJournal(t)
		path := filepath.Join(dir, FileName)
		back, forth, now := []string{}, []string{}, "n = 0\n"
		if _, err := j.State(); err != nil {
			t.Fatal(err)
		}
		for step := range 30 {
			text := fmt.Sprintf("n = %d\n", 1+round*1000+step)
			var err error
			switch rng.IntN(6) {
			case 0, 1:
				_, err = j.Change(versionOf([]byte(now)), "edit", setTo(text))
				back, forth, now = append(back, now), nil, text
			case 2, 3:
				_, err = j.Undo(versionOf([]byte(now)))
				if n := len(back); n > 0 {
					forth, now, back = append(forth, now), back[n-1], back[:n-1]
				} else if err == nil {
					t.Fatal("a step back from the beginning")
				} else {
					err = nil
				}
			case 4:
				_, err = j.Redo(versionOf([]byte(now)))
				if n := len(forth); n > 0 {
					back, now, forth = append(back, now), forth[n-1], forth[:n-1]
				} else if err == nil {
					t.Fatal("a step forth from the end")
				} else {
					err = nil
				}
			case 5:
				writeText(t, path, text)
				back, forth, now = append(back, now), nil, text
				j = NewJournal(dir) // as after a restart
			}
			if err != nil {
				t.Fatalf("round %d step %d: %v", round, step, err)
			}
			s, err := j.State()
			if err != nil || string(s.Text) != now || (s.Undo != "") != (len(back) > 0) || (s.Redo != "") != (len(forth) > 0) {
				t.Fatalf("round %d step %d: %+v, %v; want %q, %d back, %d forth", round, step, s, err, now, len(back), len(forth))
			}
		}
	}
}

func TestJournalConflict(t *testing.T) {
	j, dir := newJournal(t)
	s, err := j.State()
	if err != nil {
		t.Fatal(err)
	}
	writeText(t, filepath.Join(dir, FileName), "n = 1\n")
	_, err = j.Change(s.Version, "mine", func(text []byte) ([]byte, error) { return append(text, "m = 2\n"...), nil })
	var c *ConflictError
	if !errors.As(err, &c) {
		t.Fatalf("error %v", err)
	}
	if !c.BaseKnown || string(c.Base) != "n = 0\n" || string(c.Yours) != "n = 0\nm = 2\n" || string(c.Theirs) != "n = 1\n" || c.TheirVersion != versionOf(c.Theirs) {
		t.Errorf("conflict %q %q %q", c.Base, c.Yours, c.Theirs)
	}
	if now, _ := os.ReadFile(filepath.Join(dir, FileName)); string(now) != "n = 1\n" {
		t.Errorf("the file became %q", now)
	}
	if _, err := j.Undo(s.Version); !errors.As(err, &c) {
		t.Errorf("a step back from an old version: %v", err)
	}
	if _, err := j.Change("0123", "mine", setTo("x = 1\n")); !errors.As(err, &c) || c.BaseKnown {
		t.Errorf("a base that never was: %v", err)
	}
}

func TestJournalOfOtherFiles(t *testing.T) {
	j, dir := newJournal(t)
	path := filepath.Join(dir, "cards", "tow", "mine.toml")
	if err := j.ChangeFile("cards/tow/mine.toml", "", "copy a card", []byte("a")); err != nil {
		t.Fatal(err)
	}
	if err := j.ChangeFile("cards/tow/mine.toml", versionOf([]byte("a")), "edit a card", []byte("b")); err != nil {
		t.Fatal(err)
	}
	s, err := j.State()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"a", ""} {
		if _, err := j.Undo(s.Version); err != nil {
			t.Fatal(err)
		}
		if got, _ := os.ReadFile(path); string(got) != want {
			t.Errorf("after a step back the card is %q, want %q", got, want)
		}
	}
	for _, want := range []string{"a", "b"} {
		if _, err := j.Redo(s.Version); err != nil {
			t.Fatal(err)
		}
		if got, _ := os.ReadFile(path); string(got) != want {
			t.Errorf("after a step forth the card is %q, want %q", got, want)
		}
	}
	writeText(t, path, "c")
	var c *ConflictError
	if _, err := j.Undo(s.Version); !errors.As(err, &c) {
		t.Errorf("a step back over somebody else's text: %v", err)
	}
	if err := j.ChangeFile("../outside.toml", "", "", []byte("x")); err == nil {
		t.Error("a file outside the folder was written")
	}
}

// TestJournalAfterCrash leaves the disk as a crash between two renames would.
func TestJournalAfterCrash(t *testing.T) {
	j, dir := newJournal(t)
	s, err := j.State()
	if err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(filepath.Join(dir, NotesFolder, journalName))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := j.Change(s.Version, "edit", setTo("n = 5\n")); err != nil {
		t.Fatal(err)
	}
	for _, journal := range [][]byte{before, before[:len(before)/2], nil} {
		if err := os.WriteFile(filepath.Join(dir, NotesFolder, journalName), journal, 0o644); err != nil {
			t.Fatal(err)
		}
		got, err := NewJournal(dir).State()
		if err != nil || string(got.Text) != "n = 5\n" {
			t.Errorf("after a crash: %+v, %v", got, err)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, NotesFolder, journalName), before, 0o644); err != nil {
		t.Fatal(err)
	}
	back, err := NewJournal(dir).Undo(versionOf([]byte("n = 5\n")))
	if err != nil || string(back.Text) != "n = 0\n" {
		t.Errorf("the edit before the crash cannot be taken back: %+v, %v", back, err)
	}
}

// TestJournalManyWriters has several editors append a line each, again on each
// conflict: none may be lost.
func TestJournalManyWriters(t *testing.T) {
	j, _ := newJournal(t)
	const writers, lines = 4, 5
	var wait sync.WaitGroup
	for w := range writers {
		wait.Go(func() {
			for k := range lines {
				line := fmt.Sprintf("w%d_%d = 1\n", w, k)
				for {
					s, err := j.State()
					if err == nil {
						_, err = j.Change(s.Version, "line", func(text []byte) ([]byte, error) { return append(bytes.Clone(text), line...), nil })
					}
					var c *ConflictError
					if err == nil {
						break
					}
					if !errors.As(err, &c) {
						t.Error(err)
						return
					}
				}
			}
		})
	}
	wait.Wait()
	s, err := j.State()
	if err != nil || bytes.Count(s.Text, []byte("\n")) != 1+writers*lines {
		t.Errorf("%q, %v", s.Text, err)
	}
}

func TestJournalForgets(t *testing.T) {
	j, dir := newJournal(t)
	s, err := j.State()
	if err != nil {
		t.Fatal(err)
	}
	f := j.read()
	for i := range maxEntries + 10 {
		f.push(JournalEntry{Label: fmt.Sprint(i)})
	}
	if len(f.Entries) != maxEntries || f.At != maxEntries || f.Entries[0].Label != "10" {
		t.Fatalf("%d entries, at %d, first %q", len(f.Entries), f.At, f.Entries[0].Label)
	}
	if err := j.commit(f, map[string][]byte{versionOf([]byte("old")): []byte("old")}, nil); err != nil {
		t.Fatal(err)
	}
	kept, err := os.ReadDir(filepath.Join(dir, NotesFolder, textsFolder))
	if err != nil || len(kept) != 1 || kept[0].Name() != s.Version {
		t.Errorf("kept %v, %v", kept, err)
	}
}
