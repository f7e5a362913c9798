package workbench

import (
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"sinew/job"
)

// workspace is the folder that the server may read and write: a job's own, or
// one that holds jobs.
type workspace struct {
	root   string // absolute, links resolved
	single bool   // root is itself a job
}

func openWorkspace(dir string) (*workspace, error) {
	if dir == "" {
		dir = "."
	}
	root, err := filepath.Abs(dir)
	if err == nil {
		root, err = filepath.EvalSymlinks(root)
	}
	if err != nil {
		return nil, fmt.Errorf("workspace %s: is not there; make the folder first", dir)
	}
	info, err := os.Stat(root)
	if err != nil || !info.IsDir() {
		return nil, fmt.Errorf("workspace %s: is no folder", dir)
	}
	_, err = os.Stat(filepath.Join(root, job.FileName))
	return &workspace{root: root, single: err == nil}, nil
}

// name is what the workspace is called.
func (w *workspace) name() string { return filepath.Base(w.root) }

// folder returns the folder of a job. An id is the name of a folder directly
// below the workspace, or of the workspace where that is a job. Anything else
// is not there, links included: they could lead out.
func (w *workspace) folder(id string) (string, error) {
	missing := problem(http.StatusNotFound, "there is no job %q", id)
	if w.single {
		if id != w.name() {
			return "", missing
		}
		return w.root, nil
	}
	if checkName(id) != nil {
		return "", missing
	}
	dir := filepath.Join(w.root, id)
	info, err := os.Lstat(dir)
	if err != nil || !info.IsDir() {
		return "", missing
	}
	if info, err = os.Lstat(filepath.Join(dir, job.FileName)); err != nil || !info.Mode().IsRegular() {
		return "", missing
	}
	return dir, nil
}

// jobs lists the ids of all jobs, by name.
func (w *workspace) jobs() ([]string, error) {
	if w.single {
		return []string{w.name()}, nil
	}
	entries, err := os.ReadDir(w.root)
	if err != nil {
		return nil, err
	}
	ids := []string{}
	for _, e := range entries {
		if _, err := w.folder(e.Name()); err == nil {
			ids = append(ids, e.Name())
		}
	}
	slices.Sort(ids)
	return ids, nil
}

// newFolder returns the path of a job that is to be made.
func (w *workspace) newFolder(id string) (string, error) {
	if w.single {
		return "", problem(http.StatusConflict, "this workspace is one job; serve the folder above it to make further ones")
	}
	if err := checkName(id); err != nil {
		return "", problem(http.StatusUnprocessableEntity, "%v", err)
	}
	dir := filepath.Join(w.root, id)
	if _, err := os.Lstat(dir); !errors.Is(err, fs.ErrNotExist) {
		return "", problem(http.StatusConflict, "%q is there already; choose another name", id)
	}
	return dir, nil
}

// maxNameBytes is what common file systems allow a name, less what staging
// adds to it.
const maxNameBytes = 100

// checkName insists on a name that is one path segment on every system.
func checkName(name string) error {
	switch {
	case name == "" || !utf8.ValidString(name) || len(name) > maxNameBytes:
		return fmt.Errorf("a name has 1 to %d bytes of text", maxNameBytes)
	case strings.HasPrefix(name, ".") || strings.HasSuffix(name, ".") || strings.TrimSpace(name) != name:
		return errors.New("a name begins and ends with a letter, a figure or a sign other than a dot or a space")
	case strings.ContainsAny(name, `/\:*?"<>|`) || strings.ContainsFunc(name, unicode.IsControl):
		return errors.New(`a name holds none of / \ : * ? " < > | and no control characters`)
	}
	return nil
}
