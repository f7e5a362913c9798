package study

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"sinew/job"
)

// maxPackBytes bounds the files that travel with a study.
const maxPackBytes = 256 << 20

// packed is a file that points need beside the job file: a drawing or a solid in
// the job's folder, a card in it or in the user's own folder of cards.
type packed struct {
	Path   string `json:"path"` // job/… or cards/…, with slashes
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
	data   []byte
}

// Folders of a pack.
const (
	packJob   = "job"
	packCards = "cards"
)

// readPack reads all of them, by name, as they are now: what changes while the
// study runs does not count.
func readPack(dir, cards string) ([]packed, error) {
	var list []packed
	left := int64(maxPackBytes)
	add := func(root, under string, wanted func(rel string) bool) error {
		return filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
			if err != nil || p == root {
				return err
			}
			rel, err := filepath.Rel(root, p)
			if err != nil {
				return err
			}
			rel = filepath.ToSlash(rel)
			if strings.HasPrefix(d.Name(), ".") || rel == "out" {
				if d.IsDir() {
					return fs.SkipDir
				}
				return nil
			}
			if info, err := os.Stat(p); err != nil || !info.Mode().IsRegular() || !wanted(rel) {
				return nil // a link to nothing is missed by the job, if it needs it
			}
			data, err := readLimited(p, left)
			if err != nil {
				return &job.InputError{Faults: []job.Fault{{File: p, What: "cannot travel with the study: " + plainError(err), Remedy: fmt.Sprintf("leave beside the job what it needs: drawings, solids and cards, %d MiB in all", maxPackBytes>>20)}}}
			}
			left -= int64(len(data))
			list = append(list, packed{path.Join(under, rel), int64(len(data)), hashOf(data), data})
			return nil
		})
	}
	err := add(dir, packJob, func(rel string) bool {
		return strings.HasPrefix(rel, "cards/") && isCard(rel) || slices.Contains(job.DrawingExtensions(), strings.ToLower(path.Ext(rel)))
	})
	if err == nil && cards != "" {
		err = add(cards, packCards, isCard)
	}
	return list, err
}

func isCard(rel string) bool { return path.Ext(rel) == ".toml" }

// hashOf is the SHA-256 of data in hexadecimal.
func hashOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// keyOf is the hash of everything that a point's answer depends on.
func keyOf(text []byte, stage job.Stage, files []packed) string {
	h := sha256.New()
	fmt.Fprintf(h, "sinew point\n%s\n%d\n%s\n", job.Version, stage, hashOf(text))
	for _, f := range files {
		fmt.Fprintf(h, "%q %s\n", f.Path, f.SHA256)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// readLimited reads a file of a limited size.
func readLimited(name string, limit int64) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return readAll(f, limit)
}

// readAll reads up to a limit; more is an error.
func readAll(r io.Reader, limit int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err == nil && int64(len(data)) > limit {
		err = fmt.Errorf("it has more than %d bytes", limit)
	}
	return data, err
}

// plainError is what an error says, without the path that a message names
// already.
func plainError(err error) string {
	var input *job.InputError
	if errors.As(err, &input) {
		_, what, ok := strings.Cut(input.Faults[0].What, "): ") // "edit 1 (set): …"
		if !ok {
			what = input.Faults[0].What
		}
		return what
	}
	var file *fs.PathError
	if errors.As(err, &file) {
		return file.Err.Error()
	}
	return err.Error()
}
