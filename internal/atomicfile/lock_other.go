//go:build !unix

package atomicfile

import (
	"errors"
	"fmt"
	"os"
)

// ErrLocked says that another process holds the lock.
var ErrLocked = errors.New("another command is working in this folder; wait for it, or delete the lock file if it died")

// Lock takes the lock file at path, made if missing, and returns the function
// that gives it back.
func Lock(path string) (unlock func(), err error) {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o644)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, ErrLocked)
	}
	return func() { f.Close(); os.Remove(path) }, nil
}
