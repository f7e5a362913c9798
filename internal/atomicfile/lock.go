//go:build unix

package atomicfile

import (
	"errors"
	"fmt"
	"os"
	"syscall"
)

// ErrLocked says that another process holds the lock.
var ErrLocked = errors.New("another command is working in this folder; wait for it or stop it")

// Lock takes the lock file at path, made if missing, and returns the function
// that removes it and gives the lock back. The kernel frees the lock of a
// process that died.
func Lock(path string) (unlock func(), err error) {
	for {
		f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o644)
		if err != nil {
			return nil, fmt.Errorf("lock: %w", err)
		}
		if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
			f.Close()
			return nil, fmt.Errorf("%s: %w", path, ErrLocked)
		}
		if stillThere(f, path) {
			return func() { os.Remove(path); f.Close() }, nil
		}
		f.Close() // its holder removed it between our opening and our locking
	}
}

// stillThere reports whether path still names the open file.
func stillThere(f *os.File, path string) bool {
	mine, err1 := f.Stat()
	there, err2 := os.Stat(path)
	return err1 == nil && err2 == nil && os.SameFile(mine, there)
}
