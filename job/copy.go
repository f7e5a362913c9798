package job

import (
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"sinew/internal/atomicfile"
)

// Copy makes a job in a new folder with the same files, without results,
// notes, links and whatever begins with a dot.
func Copy(from, to string) error {
	if _, err := os.Lstat(to); err == nil {
		return &InputError{[]Fault{{File: to, What: "is there already", Remedy: "choose another folder"}}}
	}
	b := atomicfile.NewBatch()
	defer b.Discard()
	err := filepath.WalkDir(from, func(p string, d fs.DirEntry, err error) error {
		if err != nil || p == from {
			return err
		}
		rel, err := filepath.Rel(from, p)
		if err != nil {
			return err
		}
		switch {
		case strings.HasPrefix(d.Name(), ".") || rel == "out":
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		case !d.Type().IsRegular():
			return nil
		}
		data, err := readInput(p, rel, maxSolidBytes)
		if err != nil {
			return err
		}
		return b.Add(filepath.Join(to, rel), data)
	})
	if err != nil {
		return err
	}
	return b.Commit()
}

// DrawingExtensions are those of the files that a part can come from.
func DrawingExtensions() []string { return []string{".dxf", ".svg", ".stl", ".3mf"} }

// MaxUpload is the size of the largest file of a name that is read.
func MaxUpload(name string) int64 {
	if isSolidFile(name) {
		return maxSolidBytes
	}
	return maxDrawingBytes
}

// CheckDrawing reads a file as a job would, for its faults.
func CheckDrawing(name string, data []byte) error {
	ext := strings.ToLower(path.Ext(name))
	if !slices.Contains(DrawingExtensions(), ext) && !isSolidFile(name) { // its reader says what to do
		return &InputError{[]Fault{{File: name, What: fmt.Sprintf("has the extension %q", ext), Remedy: "give a file of " + strings.Join(DrawingExtensions(), ", ")}}}
	}
	read := func(units string) error {
		if isSolidFile(name) {
			_, err := readSolidFile(name, data, units)
			return err
		}
		_, err := readDrawing(name, data, units)
		return err
	}
	err := read("")
	if err == nil || read("mm") == nil {
		return nil // where only its unit is missing, the job file states it
	}
	return asInput(name, "", err)
}

// DrawingFile is a file of the job's folder that a part or paths can come
// from.
type DrawingFile struct {
	Name  string `json:"name"`
	Bytes int64  `json:"bytes"`
}

// Drawings lists those directly in the job's folder.
func Drawings(dir string) ([]DrawingFile, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	out := []DrawingFile{}
	for _, e := range entries {
		if !e.Type().IsRegular() || !slices.Contains(DrawingExtensions(), strings.ToLower(path.Ext(e.Name()))) {
			continue
		}
		if info, err := e.Info(); err == nil {
			out = append(out, DrawingFile{e.Name(), info.Size()})
		}
	}
	return out, nil
}
