//go:build !linux

package sparse

// room returns n zero values.
func room[T any](n int) []T { return make([]T, n) }
