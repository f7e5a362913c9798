//go:build !amd64

package kernel

// detect returns no assembly: this processor has the portable loops only.
func detect() []*Kernel { return nil }
