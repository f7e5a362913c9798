package job

import (
	"bytes"
	"crypto/sha256"
	"encoding/gob"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"
)

// stagesFolder holds kept results below the folder of results.
const stagesFolder = "stages"

// key is the hash of everything that a stage's result depends on.
type key [sha256.Size]byte

// String returns the key in hexadecimal.
func (k key) String() string { return hex.EncodeToString(k[:]) }

// keyOf hashes the stage's name, the program's version, and what goes in.
// Values are hashed as JSON, which follows pointers and holds every digit of a
// number.
func keyOf(stage string, inputs ...any) key {
	h := sha256.New()
	fmt.Fprintf(h, "%s\n%s\n", stage, Version)
	for _, in := range inputs {
		switch v := in.(type) {
		case key:
			h.Write(v[:])
		case []byte:
			sum := sha256.Sum256(v)
			h.Write(sum[:])
		default:
			text, err := json.Marshal(v)
			if err != nil {
				panic("job: key of stage " + stage + ": " + err.Error())
			}
			h.Write(append(text, '\n'))
		}
	}
	return key(h.Sum(nil))
}

// keep is what a stage's file holds: the key, then the result.
type keep[T any] struct {
	Key    key
	Result T
}

// once returns the kept result of a stage where its key still holds; else it
// makes the result and stages it for the next time.
func once[T any](j *Job, stage string, k key, make func() (T, error)) (T, error) {
	return onceWhile(j, stage, k, func(T) bool { return true }, make)
}

// onceWhile is once for a result that stands only as long as something else does.
func onceWhile[T any](j *Job, stage string, k key, stands func(T) bool, make func() (T, error)) (T, error) {
	path := filepath.Join(j.out, stagesFolder, stage+".gob")
	if r, ok := load[T](path, k); ok && stands(r) {
		j.run.Reused = append(j.run.Reused, stage)
		return r, nil
	}
	start := time.Now()
	r, err := make()
	if err != nil {
		return r, err
	}
	j.run.Seconds[stage] += time.Since(start).Seconds()
	return r, keepStage(j, stage, k, r)
}

// keepStage stages a result for the next time.
func keepStage[T any](j *Job, stage string, k key, r T) error {
	var b bytes.Buffer
	if err := gob.NewEncoder(&b).Encode(keep[T]{k, r}); err != nil {
		return fmt.Errorf("keep result of stage %s: %w", stage, err)
	}
	j.files = append(j.files, outFile{filepath.Join(stagesFolder, stage+".gob"), b.Bytes()})
	return nil
}

// load reads a kept result. A file that is missing, of another version, or
// damaged counts as none: the stage is made again.
func load[T any](path string, k key) (T, bool) {
	var kept keep[T]
	data, err := os.ReadFile(path)
	if err != nil {
		return kept.Result, false
	}
	if err := gob.NewDecoder(bytes.NewReader(data)).Decode(&kept); err != nil || kept.Key != k {
		var none T
		return none, false
	}
	return kept.Result, true
}

// readInput reads a file that the user names; one that cannot be read is a
// fault of the input.
func readInput(path, shown string, limit int64) ([]byte, error) {
	fault := func(what, remedy string) error {
		return &InputError{[]Fault{{File: shown, What: what, Remedy: remedy}}}
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, fault("is not there", "check the name; paths are relative to the job's folder")
	case err != nil:
		return nil, fault("cannot be read", "check its permissions")
	case info.IsDir():
		return nil, fault("is a folder", "name a file")
	case info.Size() > limit:
		return nil, fault(fmt.Sprintf("has %d bytes, more than %d", info.Size(), limit), "simplify it")
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fault("cannot be read", "check its permissions")
	}
	return data, nil
}
