package sparse

import (
	"unsafe"

	"golang.org/x/sys/unix"
)

// hugePage is the size of a large page, in bytes, and hugeLeast the smallest
// array worth the call.
const (
	hugePage  = 2 << 20
	hugeLeast = 2 * hugePage
)

// room returns n zero values. Large arrays ask for large pages, which makes their
// first use several times cheaper; it is a hint, so its failure is no error.
func room[T any](n int) []T {
	s := make([]T, n)
	size := uintptr(n) * unsafe.Sizeof(*new(T))
	if size < hugeLeast {
		return s
	}
	at := uintptr(unsafe.Pointer(&s[0]))
	from := (at + hugePage - 1) &^ (hugePage - 1)
	bytes := unsafe.Slice((*byte)(unsafe.Add(unsafe.Pointer(&s[0]), from-at)), (size-(from-at))&^(hugePage-1))
	_ = unix.Madvise(bytes, unix.MADV_HUGEPAGE)
	return s
}

// yield lets another thread that waits for this processor run: two threads of a
// team may have to share one.
func yield() { _, _, _ = unix.Syscall(unix.SYS_SCHED_YIELD, 0, 0, 0) }
