//go:build !linux

package sparse

import "runtime"

// room returns n zero values.
func room[T any](n int) []T { return make([]T, n) }

// yield lets others run.
func yield() { runtime.Gosched() }
