package main

/*
#cgo CFLAGS: -O2
#cgo LDFLAGS: -lcholmod -ldmumps_seq -lopenblas
#include "reference.h"
*/
import "C"

import "unsafe"

// reference is a library's factorisation of one matrix. The arrays are C memory.
type reference struct{ r *C.reference }

// cmatrix is a matrix in memory that C may keep.
type cmatrix struct {
	n           int
	colptr, row *C.int
	val         *C.double
}

func newReference(library, ordering, threads int, m cmatrix) reference {
	return reference{C.reference_new(C.int(library), C.int(ordering), C.int(threads), C.int(m.n), m.colptr, m.row, m.val)}
}

func (r reference) analyze() { must(C.reference_analyze(r.r)) }
func (r reference) factor()  { must(C.reference_factor(r.r)) }
func (r reference) solve(b []float64, columns int) {
	must(C.reference_solve(r.r, (*C.double)(unsafe.Pointer(&b[0])), C.int(columns)))
}
func (r reference) fill() float64 { return float64(C.reference_fill(r.r)) }
func (r reference) free()         { C.reference_free(r.r) }

func must(status C.int) {
	if status != 0 {
		panic("a reference library failed")
	}
}

func blasKernel() string { return C.GoString(C.reference_kernel()) }

func toC(colptr []int, row []int32, val []float64) cmatrix {
	m := cmatrix{n: len(colptr) - 1}
	p := unsafe.Slice((*int32)(alloc(4*len(colptr))), len(colptr))
	for i, v := range colptr {
		p[i] = int32(v)
	}
	i := unsafe.Slice((*int32)(alloc(4*len(row))), len(row))
	copy(i, row)
	x := unsafe.Slice((*float64)(alloc(8*len(val))), len(val))
	copy(x, val)
	m.colptr, m.row, m.val = (*C.int)(&p[0]), (*C.int)(&i[0]), (*C.double)(&x[0])
	return m
}
