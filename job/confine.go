package job

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
)

// confined refuses a path below dir that links lead out of it. What is not
// there yet is judged by the folder it would stand in.
func confined(dir, path string) error {
	root, err := filepath.EvalSymlinks(dir)
	if err != nil {
		return err
	}
	for there := path; ; {
		real, err := filepath.EvalSymlinks(there)
		if errors.Is(err, os.ErrNotExist) && there != dir && there != filepath.Dir(there) {
			switch info, err := os.Lstat(there); {
			case err != nil:
				there = filepath.Dir(there)
			case info.Mode()&os.ModeSymlink != 0:
				return outside(dir, path) // a link to what is not there: it may be made
			} // else another writer has just made it: it is looked at again
			continue
		}
		if err != nil {
			return err
		}
		if rel, err := filepath.Rel(root, real); err != nil || rel == ".." || strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
			return outside(dir, path)
		}
		return nil
	}
}

// CheckConfined refuses a path below a job's folder that links lead out of it.
func CheckConfined(dir, path string) error { return confined(dir, path) }

func outside(dir, path string) error {
	shown, err := filepath.Rel(dir, path)
	if err != nil {
		shown = filepath.Base(path)
	}
	return &InputError{[]Fault{{File: shown, What: "is a link that leads out of the job's folder", Remedy: "put the file itself there"}}}
}

// confine checks everything that a job reads and writes in its folder, where
// the options ask for it.
func (j *Job) confine(path string) error {
	if !j.opt.Confined {
		return nil
	}
	return confined(j.dir, path)
}

// confineAll checks the folders that a run writes to.
func (j *Job) confineAll() error {
	for _, p := range []string{FileName, lockName, "out", filepath.Join("out", stagesFolder), "cards", NotesFolder} {
		if err := j.confine(filepath.Join(j.dir, p)); err != nil {
			return err
		}
	}
	return nil
}

// confineCard checks a card in the job's folder; the user's own folder of
// cards may be anything.
func (j *Job) confineCard(path string) error {
	if strings.HasPrefix(path, filepath.Join(j.dir, "cards")+string(filepath.Separator)) {
		return j.confine(path)
	}
	return nil
}
