// Package atomicfile writes files so that a reader, a crash or a cancelled
// command never sees half of one: everything is staged beside its target and
// renamed at the end. It also holds the lock of a folder.
package atomicfile

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// stagePattern names staged files; they start with a dot so that nothing
// takes them for results.
const stagePattern = ".staged-*"

// WriteFile writes data to path: the file is there whole or not at all.
func WriteFile(path string, data []byte) error {
	b := NewBatch()
	defer b.Discard()
	if err := b.Add(path, data); err != nil {
		return err
	}
	return b.Commit()
}

// Batch collects files that belong together. Nothing is visible under its
// name before Commit; Discard after Commit does nothing.
type Batch struct {
	staged []staged
	made   []string // folders made for the batch, outermost first
}

type staged struct{ temp, path string }

// NewBatch returns an empty batch.
func NewBatch() *Batch { return &Batch{} }

// Add stages data for path.
func (b *Batch) Add(path string, data []byte) error {
	f, err := b.Create(path)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Close())
}

// Create stages a file for path and returns a writer for it. The caller
// closes the writer before Commit.
func (b *Batch) Create(path string) (io.WriteCloser, error) {
	dir := filepath.Dir(path)
	if err := b.makeDir(dir); err != nil {
		return nil, err
	}
	f, err := os.CreateTemp(dir, stagePattern)
	if err != nil {
		return nil, fmt.Errorf("stage %s: %w", path, err)
	}
	b.staged = append(b.staged, staged{f.Name(), path})
	return syncedFile{f}, nil
}

// makeDir makes dir and remembers what it had to make.
func (b *Batch) makeDir(dir string) error {
	var missing []string
	for d := dir; ; d = filepath.Dir(d) {
		if _, err := os.Stat(d); err == nil {
			break
		}
		missing = append([]string{d}, missing...)
		if filepath.Dir(d) == d {
			break
		}
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("make folder: %w", err)
	}
	b.made = append(b.made, missing...)
	return nil
}

// syncedFile flushes to the disk before it closes: a rename must not overtake
// the data.
type syncedFile struct{ *os.File }

func (f syncedFile) Close() error {
	return errors.Join(f.Chmod(0o644), f.Sync(), f.File.Close())
}

// Commit gives every staged file its name.
func (b *Batch) Commit() error {
	for i, s := range b.staged {
		if err := os.Rename(s.temp, s.path); err != nil {
			b.staged = b.staged[i:]
			return fmt.Errorf("write %s: %w", s.path, err)
		}
	}
	b.staged, b.made = nil, nil
	return nil
}

// Discard removes what is still staged, and folders that were made for it.
func (b *Batch) Discard() {
	for _, s := range b.staged {
		os.Remove(s.temp)
	}
	for i := len(b.made) - 1; i >= 0; i-- {
		os.Remove(b.made[i]) // fails where something else moved in: then it stays
	}
	b.staged, b.made = nil, nil
}
