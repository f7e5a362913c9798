package main

// #include <stdlib.h>
import "C"

import "unsafe"

func alloc(bytes int) unsafe.Pointer { return C.malloc(C.size_t(bytes)) }

func release(p unsafe.Pointer) { C.free(p) }
