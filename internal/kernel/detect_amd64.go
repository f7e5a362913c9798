package kernel

import "golang.org/x/sys/cpu"

// detect returns the assembly implementations that this processor runs, the
// fastest first.
func detect() []*Kernel {
	var list []*Kernel
	if cpu.X86.HasAVX512F && cpu.X86.HasAVX512DQ && cpu.X86.HasAVX512BW && cpu.X86.HasAVX512VL {
		list = append(list, avx512())
	}
	if cpu.X86.HasAVX2 && cpu.X86.HasFMA {
		list = append(list, avx2())
	}
	return list
}

func avx512() *Kernel {
	return &Kernel{
		name: "avx512",
		strip: [Width + 1]stripFunc{nil, strip512x1, strip512x2, strip512x3, strip512x4,
			strip512x5, strip512x6, strip512x7, strip512x8},
		stripN: [Width + 1]stripFunc{nil, stripN512x1, stripN512x2, stripN512x3, stripN512x4,
			stripN512x5, stripN512x6, stripN512x7, stripN512x8},
		solve: [Width + 1]solveFunc{nil, solve512x1, solve512x2, solve512x3, solve512x4,
			solve512x5, solve512x6, solve512x7, solve512x8},
		dots: [Width + 1]dotsFunc{nil, dots512x1, dots512x2, dots512x3, dots512x4,
			dots512x5, dots512x6, dots512x7, dots512x8},
	}
}

func avx2() *Kernel {
	k := &Kernel{
		name: "avx2",
		solve: [Width + 1]solveFunc{nil, solve256x1, solve256x2, solve256x3, solve256x4,
			solve256x5, solve256x6, solve256x7, solve256x8},
	}
	half := [5]stripFunc{nil, strip256x1, strip256x2, strip256x3, strip256x4}
	dots := [5]dotsFunc{nil, dots256x1, dots256x2, dots256x3, dots256x4}
	halfN := [5]stripFunc{nil, stripN256x1, stripN256x2, stripN256x3, stripN256x4}
	for n := 1; n <= Width; n++ {
		first, second := min(n, 4), n-min(n, 4)
		k.strip[n], k.stripN[n], k.dots[n] = half[first], halfN[first], dots[first]
		if second > 0 {
			k.strip[n] = func(m, kk int, a *float64, lda int, b *float64, ldb int, c *float64, ldc int) {
				strip256x4(m, kk, a, lda, b, ldb, c, ldc)
				half[second](m, kk, a, lda, at(b, 4), ldb, at(c, 4*ldc), ldc)
			}
			k.stripN[n] = func(m, kk int, a *float64, lda int, b *float64, ldb int, c *float64, ldc int) {
				stripN256x4(m, kk, a, lda, b, ldb, c, ldc)
				halfN[second](m, kk, a, lda, at(b, 4*ldb), ldb, at(c, 4*ldc), ldc)
			}
			k.dots[n] = func(m int, a *float64, lda int, w *float64, x *float64) {
				dots256x4(m, a, lda, w, x)
				dots[second](m, at(a, 4*lda), lda, w, at(x, 4))
			}
		}
	}
	return k
}
