package job

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"sinew/internal/atomicfile"
)

// NotesFolder holds what editors keep beside a job: what was edited and how to
// take it back, earlier runs. Deleting it loses only that.
const NotesFolder = ".sinew"

// Names below it.
const (
	journalName  = "edits.json"
	textsFolder  = "texts"
	journalLock  = "edits.lock"
	journalRules = "sinew-edits/1"
)

// maxEntries bounds how far back edits can be taken; older ones are forgotten.
const maxEntries = 500

// Journal changes the files of a job, its job file above all, so that every
// change can be taken back, also after a crash, and none overwrites what
// somebody else wrote meanwhile. Changes that others make to the job file are
// noticed and stand in the journal as such. The zero value is of no use; a
// Journal holds no open file and may be used by several goroutines and
// processes at once.
type Journal struct{ dir string }

// NewJournal returns the journal of the job in a folder.
func NewJournal(dir string) *Journal { return &Journal{dir} }

// journalFile is edits.json.
type journalFile struct {
	Rules   string         `json:"rules"`
	Known   string         `json:"known"` // version of the job file when last looked at
	At      int            `json:"at"`    // entries before it are carried out, the others taken back
	Entries []JournalEntry `json:"entries"`
}

// JournalEntry is one step of the journal.
type JournalEntry struct {
	Label   string       `json:"label" doc:"what was done"`
	When    string       `json:"when" doc:"RFC 3339"`
	Outside bool         `json:"outside,omitempty" doc:"not done here: the job file was changed by somebody else"`
	Changes []FileChange `json:"changes"`
}

// FileChange is what a step did to one file; hashes are SHA-256 in
// hexadecimal, empty where the file was not there.
type FileChange struct {
	File   string `json:"file" doc:"path in the job's folder, with slashes"`
	Before string `json:"before"`
	After  string `json:"after"`
}

// ConflictError says that a change was based on a version that is no longer
// the present one. Nothing was changed.
type ConflictError struct {
	File         string
	BaseKnown    bool
	Base, Theirs []byte
	Yours        []byte // the change on its own base; nil where that is not known
	TheirVersion string
}

// Error says so.
func (e *ConflictError) Error() string {
	return e.File + " has been changed meanwhile by another page, command or editor; compare the two versions, then make the change again on the present one"
}

// JournalState is how the journal stands.
type JournalState struct {
	Text       []byte
	Version    string // of the text
	Undo, Redo string // labels of what can be taken back or done again; "" for none
}

// versionOf is the version of a text.
func versionOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// lockTries and lockWait bound the wait for another process that is editing.
const (
	lockTries = 100
	lockWait  = 20 * time.Millisecond
)

// open reads the journal under its lock and notes what others did to the job
// file since.
func (j *Journal) open() (*journalFile, []byte, func(), error) {
	for _, p := range []string{FileName, NotesFolder, filepath.Join(NotesFolder, textsFolder)} {
		if err := confined(j.dir, filepath.Join(j.dir, p)); err != nil {
			return nil, nil, nil, err
		}
	}
	if err := os.MkdirAll(filepath.Join(j.dir, NotesFolder, textsFolder), 0o755); err != nil {
		return nil, nil, nil, err
	}
	unlock, err := j.lock()
	if err != nil {
		return nil, nil, nil, err
	}
	text, err := readInput(filepath.Join(j.dir, FileName), FileName, maxJobBytes)
	if err != nil {
		unlock()
		return nil, nil, nil, err
	}
	f := j.read()
	if now := versionOf(text); f.Known != now {
		if f.Known != "" {
			f.push(JournalEntry{Label: "changed outside", When: clock(), Outside: true, Changes: []FileChange{{FileName, f.Known, now}}})
		}
		f.Known = now
		if err := j.commit(f, map[string][]byte{now: text}, nil); err != nil {
			unlock()
			return nil, nil, nil, err
		}
	}
	return f, text, unlock, nil
}

func (j *Journal) lock() (func(), error) {
	for try := 0; ; try++ {
		unlock, err := atomicfile.Lock(filepath.Join(j.dir, NotesFolder, journalLock))
		if err == nil || !errors.Is(err, ErrLocked) || try == lockTries {
			return unlock, err
		}
		time.Sleep(lockWait)
	}
}

// read reads edits.json; one that is missing, damaged, or of other rules
// counts as empty.
func (j *Journal) read() *journalFile {
	fresh := &journalFile{Rules: journalRules, Entries: []JournalEntry{}}
	data, err := os.ReadFile(filepath.Join(j.dir, NotesFolder, journalName))
	f := new(journalFile)
	if err != nil || json.Unmarshal(data, f) != nil || f.Rules != journalRules || f.At < 0 || f.At > len(f.Entries) {
		return fresh
	}
	return f
}

func clock() string { return time.Now().UTC().Format(time.RFC3339) }

// push adds a step; what was taken back is forgotten.
func (f *journalFile) push(e JournalEntry) {
	f.Entries = append(f.Entries[:f.At:f.At], e)
	if n := len(f.Entries); n > maxEntries {
		f.Entries = slices.Clone(f.Entries[n-maxEntries:])
	}
	f.At = len(f.Entries)
}

func (j *Journal) textPath(hash string) string {
	return filepath.Join(j.dir, NotesFolder, textsFolder, hash)
}

// text returns a kept text.
func (j *Journal) text(hash string) ([]byte, bool) {
	if len(hash) != 2*sha256.Size || strings.Trim(hash, "0123456789abcdef") != "" {
		return nil, false
	}
	data, err := os.ReadFile(j.textPath(hash))
	return data, err == nil && versionOf(data) == hash
}

// commit writes texts, then the files, then the journal: a crash in between
// leaves a change that is then noticed as one from outside, and can be taken
// back.
func (j *Journal) commit(f *journalFile, texts map[string][]byte, files []fileText) error {
	b := atomicfile.NewBatch()
	defer b.Discard()
	for hash, text := range texts {
		if _, err := os.Stat(j.textPath(hash)); err == nil {
			continue
		}
		if err := b.Add(j.textPath(hash), text); err != nil {
			return err
		}
	}
	for _, t := range files {
		if t.text == nil {
			continue
		}
		if err := b.Add(filepath.Join(j.dir, filepath.FromSlash(t.file)), t.text); err != nil {
			return err
		}
	}
	data, err := marshal(f)
	if err != nil {
		return err
	}
	if err := b.Add(filepath.Join(j.dir, NotesFolder, journalName), data); err != nil {
		return err
	}
	if err := b.Commit(); err != nil {
		return err
	}
	for _, t := range files {
		if t.text != nil {
			continue
		}
		if err := os.Remove(filepath.Join(j.dir, filepath.FromSlash(t.file))); err != nil && !errors.Is(err, os.ErrNotExist) {
			return err
		}
	}
	j.forget(f)
	return nil
}

// forget removes texts that no step refers to any more. One that cannot be
// removed costs room, nothing else.
func (j *Journal) forget(f *journalFile) {
	if len(f.Entries) < maxEntries {
		return
	}
	wanted := map[string]bool{f.Known: true}
	for _, e := range f.Entries {
		for _, c := range e.Changes {
			wanted[c.Before], wanted[c.After] = true, true
		}
	}
	entries, _ := os.ReadDir(filepath.Join(j.dir, NotesFolder, textsFolder))
	for _, e := range entries {
		if !wanted[e.Name()] {
			os.Remove(j.textPath(e.Name()))
		}
	}
}

// fileText is a file with the text it is to have; nil: it is to go.
type fileText struct {
	file string
	text []byte
}

func (f *journalFile) state(text []byte) *JournalState {
	s := &JournalState{Text: text, Version: versionOf(text)}
	if f.At > 0 {
		s.Undo = f.Entries[f.At-1].Label
	}
	if f.At < len(f.Entries) {
		s.Redo = f.Entries[f.At].Label
	}
	return s
}

// State returns the job file as it is on disk, and what can be taken back.
func (j *Journal) State() (*JournalState, error) {
	f, text, unlock, err := j.open()
	if err != nil {
		return nil, err
	}
	defer unlock()
	return f.state(text), nil
}

// Entries lists all steps, oldest first; those before at are carried out.
func (j *Journal) Entries() (list []JournalEntry, at int, err error) {
	f, _, unlock, err := j.open()
	if err != nil {
		return nil, 0, err
	}
	defer unlock()
	return f.Entries, f.At, nil
}

// Change gives the job file another text: what change makes of the present
// one, which must have the version base. A change that leaves the text as it
// is makes no step.
func (j *Journal) Change(base, label string, change func(text []byte) ([]byte, error)) (*JournalState, error) {
	f, next, unlock, err := j.changed(base, change)
	if err != nil {
		return nil, err
	}
	defer unlock()
	if len(next) > maxJobBytes {
		return nil, &InputError{[]Fault{{File: FileName, What: "would be larger than 1 MiB", Remedy: "a job file holds text only; put drawings beside it"}}}
	}
	after := versionOf(next)
	if after == base {
		return f.state(next), nil
	}
	f.push(JournalEntry{Label: label, When: clock(), Changes: []FileChange{{FileName, base, after}}})
	f.Known = after
	if err := j.commit(f, map[string][]byte{after: next}, []fileText{{FileName, next}}); err != nil {
		return nil, err
	}
	return f.state(next), nil
}

// Try tells what Change would make, and makes nothing.
func (j *Journal) Try(base string, change func(text []byte) ([]byte, error)) (*JournalState, error) {
	f, next, unlock, err := j.changed(base, change)
	if err != nil {
		return nil, err
	}
	defer unlock()
	return f.state(next), nil
}

// changed opens the journal, which the caller must unlock, and makes the next
// text of one that has the version base.
func (j *Journal) changed(base string, change func(text []byte) ([]byte, error)) (f *journalFile, next []byte, unlock func(), err error) {
	f, text, unlock, err := j.open()
	if err != nil {
		return nil, nil, nil, err
	}
	if base != f.Known {
		err = j.conflict(base, text, change)
	} else {
		next, err = change(text)
	}
	if err != nil {
		unlock()
		return nil, nil, nil, err
	}
	return f, next, unlock, nil
}

func (j *Journal) conflict(base string, theirs []byte, change func([]byte) ([]byte, error)) error {
	e := &ConflictError{File: FileName, Theirs: theirs, TheirVersion: versionOf(theirs)}
	if e.Base, e.BaseKnown = j.text(base); e.BaseKnown {
		if yours, err := change(e.Base); err == nil {
			e.Yours = yours
		}
	}
	return e
}

// ChangeFile gives another file of the job's folder a text, as one step; nil
// takes it away. base is its present hash, empty where it is not there.
func (j *Journal) ChangeFile(file, base, label string, text []byte) error {
	f, _, unlock, err := j.open()
	if err != nil {
		return err
	}
	defer unlock()
	before, err := j.fileNow(file)
	if err != nil {
		return err
	}
	texts := map[string][]byte{}
	c := FileChange{File: file}
	if before != nil {
		c.Before = versionOf(before)
		texts[c.Before] = before
	}
	if c.Before != base {
		return &ConflictError{File: file, Theirs: before, TheirVersion: c.Before, Yours: text}
	}
	if text != nil {
		c.After = versionOf(text)
		texts[c.After] = text
	}
	if c.Before == c.After {
		return nil
	}
	f.push(JournalEntry{Label: label, When: clock(), Changes: []FileChange{c}})
	return j.commit(f, texts, []fileText{{file, text}})
}

// maxKept bounds the texts of files that can be taken back.
const maxKept = 16 << 20

// PutFile writes another file of the job's folder whole, as one step; one that
// is there is replaced only where replace says so. Very large files, solids
// above all, are written without a way back.
func (j *Journal) PutFile(file, label string, text []byte, replace bool) error {
	before, err := j.fileNow(file)
	if err != nil {
		return err
	}
	if before != nil && !replace {
		return &ConflictError{File: file, TheirVersion: versionOf(before)}
	}
	if len(before) > maxKept || len(text) > maxKept {
		return atomicfile.WriteFile(filepath.Join(j.dir, filepath.FromSlash(file)), text)
	}
	return j.ChangeFile(file, hashOrNone(before), label, text)
}

// fileNow reads a file of the folder; nil where it is not there.
func (j *Journal) fileNow(file string) ([]byte, error) {
	name := filepath.FromSlash(file)
	if !filepath.IsLocal(name) {
		return nil, fmt.Errorf("%q lies outside the job's folder", file)
	}
	path := filepath.Join(j.dir, name)
	if err := confined(j.dir, path); err != nil {
		return nil, err
	}
	if _, err := os.Lstat(path); errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	return readInput(path, file, maxSolidBytes)
}

// Undo takes the last step back; base is the version that the asker sees.
func (j *Journal) Undo(base string) (*JournalState, error) { return j.step(base, -1) }

// Redo carries out again what Undo took back.
func (j *Journal) Redo(base string) (*JournalState, error) { return j.step(base, 1) }

func (j *Journal) step(base string, direction int) (*JournalState, error) {
	f, text, unlock, err := j.open()
	if err != nil {
		return nil, err
	}
	defer unlock()
	if base != f.Known {
		return nil, j.conflict(base, text, func(b []byte) ([]byte, error) { return b, nil })
	}
	i := f.At
	if direction < 0 {
		i--
	}
	if i < 0 || i >= len(f.Entries) {
		return nil, &InputError{[]Fault{{What: "there is nothing to take back or to do again"}}}
	}
	files, err := j.stepFiles(f.Entries[i].Changes, direction)
	if err != nil {
		return nil, err
	}
	for _, t := range files {
		if t.file == FileName {
			text, f.Known = t.text, versionOf(t.text)
		}
	}
	f.At += direction
	if err := j.commit(f, nil, files); err != nil {
		return nil, err
	}
	return f.state(text), nil
}

// stepFiles finds the texts that a step back or forth needs; each file must be
// as the step left it.
func (j *Journal) stepFiles(changes []FileChange, direction int) ([]fileText, error) {
	var out []fileText
	for _, c := range changes {
		from, to := c.Before, c.After
		if direction < 0 {
			from, to = to, from
		}
		now, err := j.fileNow(c.File)
		if err != nil {
			return nil, err
		}
		if hash := hashOrNone(now); hash != from {
			return nil, &ConflictError{File: c.File, Theirs: now, TheirVersion: hash}
		}
		t := fileText{file: c.File}
		if to != "" {
			text, ok := j.text(to)
			if !ok {
				return nil, &InputError{[]Fault{{File: c.File, What: "its earlier text is not kept any more", Remedy: "edit it by hand"}}}
			}
			t.text = text
		}
		out = append(out, t)
	}
	return out, nil
}

func hashOrNone(text []byte) string {
	if text == nil {
		return ""
	}
	return versionOf(text)
}
