package job

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"sinew/internal/atomicfile"
)

// ErrLocked says that another command is working in the job's folder.
var ErrLocked = atomicfile.ErrLocked

// Brief says in a line what a folder's job is and how it stands.
type Brief struct {
	Name    string `json:"name" doc:"what the job is called"`
	Part    string `json:"part,omitempty" doc:"drawing or solid, and thickness"`
	Problem string `json:"problem,omitempty" doc:"first fault of the job file"`
	Verdict string `json:"verdict" enum:",passes,fails" doc:"of the results kept; empty: none"`
	Changed string `json:"changed" doc:"when the job file was last written (RFC 3339)"`
}

// ReadBrief reads the brief of the job in a folder; ErrNotExist where there
// is none.
func ReadBrief(dir string) (Brief, error) {
	path := filepath.Join(dir, FileName)
	info, err := os.Lstat(path)
	if err != nil {
		return Brief{}, err
	}
	b := Brief{Name: filepath.Base(dir), Changed: info.ModTime().UTC().Format("2006-01-02T15:04:05Z")}
	data, err := readInput(path, FileName, maxJobBytes)
	if err != nil {
		return Brief{}, err
	}
	f, fl, err := decode(data, FileName)
	var bad *InputError
	if errors.As(err, &bad) {
		b.Problem = bad.Faults[0].String()
	}
	if f != nil && fl.places != nil {
		if strings.TrimSpace(f.Name) != "" {
			b.Name = f.Name
		}
		b.Part = fmt.Sprintf("%s, %g mm", f.Part.Drawing, float64(f.Part.Thickness))
		if f.Part.Solid != "" {
			b.Part = f.Part.Solid
		}
	}
	b.Verdict = keptVerdict(filepath.Join(dir, "out"))
	return b, nil
}

// keptVerdict reads the verdict of the kept record.
func keptVerdict(out string) string {
	data, err := os.ReadFile(filepath.Join(out, resultName))
	var r struct {
		Verdict *VerdictRecord `json:"verdict"`
	}
	switch {
	case err != nil || json.Unmarshal(data, &r) != nil || r.Verdict == nil:
		return ""
	case r.Verdict.Passes:
		return "passes"
	}
	return "fails"
}
