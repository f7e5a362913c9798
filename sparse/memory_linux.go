package sparse

import (
	"unsafe"

	"golang.org/x/sys/unix"
)

// hugePage is the size of a large page, in bytes, and hugeLeast the smallest
// array worth the call.
const (
	hugePage  = 2 << 20
	hugeLeast = 4 * hugePage / 8
)

// numbers returns n zeros. Large arrays ask for large pages, which makes their
// first use several times cheaper; it is a hint, so its failure is no error.
func numbers(n int) []float64 {
	s := make([]float64, n)
	if n < hugeLeast {
		return s
	}
	at := uintptr(unsafe.Pointer(&s[0]))
	from := (at + hugePage - 1) &^ (hugePage - 1)
	bytes := unsafe.Slice((*byte)(unsafe.Add(unsafe.Pointer(&s[0]), from-at)), (uintptr(n)*8-(from-at))&^(hugePage-1))
	_ = unix.Madvise(bytes, unix.MADV_HUGEPAGE)
	return s
}
