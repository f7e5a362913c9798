package main

import "fmt"

// strip512 writes C -= A·Bᵀ (or A·B, transposed) for n columns of C, 24 rows at
// a time in three vectors; the last rows go through masks.
func (o *out) strip512(n int, transposed bool) {
	name := fmt.Sprintf("strip512x%d", n)
	if transposed {
		name = fmt.Sprintf("stripN512x%d", n)
	}
	o.prologue(name)
	o.label("next")
	o.op("TESTQ CX, CX")
	o.op("JLE done")
	o.masks512()
	o.op("CMPQ CX, $8")
	o.op("JLE rows8")
	o.op("CMPQ CX, $16")
	o.op("JLE rows16")
	for v := 3; v >= 1; v-- {
		o.label(fmt.Sprintf("rows%d", 8*v))
		o.body512(n, v, transposed)
	}
	o.label("done")
	o.op("VZEROUPPER")
	o.op("RET")
}

// masks512 sets K1, K2, K3 to the rows left of the next 24 (CX of them).
func (o *out) masks512() {
	o.op("MOVQ $-1, AX")
	o.op("CMPQ CX, $24")
	o.op("JGE full")
	o.op("NOTQ AX")
	o.op("BTSQ CX, AX")
	o.op("DECQ AX")
	o.label("full")
	for v := 1; v <= 3; v++ {
		o.op("KMOVB AX, K%d", v)
		o.op("SHRQ $8, AX")
	}
}

// body512 is one block of v vectors of rows. Accumulators: Z(8v') .. ; A in
// Z24..Z26; the entry of B in Z27..Z30 in turn.
func (o *out) body512(n, v int, transposed bool) {
	b := bases{p: "R12", q: "R9", ld: "R10", ld3: "DI"}
	acc := func(j, r int) string { return fmt.Sprintf("Z%d", j*v+r) }
	o.op("MOVQ SI, AX")
	o.startB(b, n, transposed)
	o.op("MOVQ k+8(FP), R13")
	o.op("MOVQ BX, DX")
	for j := range n {
		for r := range v {
			o.op("VPXORQ %[1]s, %[1]s, %[1]s", acc(j, r))
		}
	}
	for j := range n {
		for r := range v {
			o.op("PREFETCHT0 %d(DX)", 64*r)
		}
		if j < n-1 {
			o.op("ADDQ R11, DX")
		}
	}
	o.op("TESTQ R13, R13")
	o.op("JLE store%d", v)
	o.label(fmt.Sprintf("loop%d", v))
	for r := range v {
		o.op("VMOVUPD.Z %d(AX), K%d, Z%d", 64*r, r+1, 24+r)
	}
	o.op("ADDQ R8, AX")
	for j := range n {
		if v == 1 {
			o.op("VFMADD231PD.BCST %s, Z24, %s", b.at(j, transposed), acc(j, 0))
			continue
		}
		bj := fmt.Sprintf("Z%d", 27+j%4)
		o.op("VBROADCASTSD %s, %s", b.at(j, transposed), bj)
		for r := range v {
			o.op("VFMADD231PD %s, Z%d, %s", bj, 24+r, acc(j, r))
		}
	}
	o.stepB(b, n, transposed)
	o.op("DECQ R13")
	o.op("JNE loop%d", v)
	o.label(fmt.Sprintf("store%d", v))
	o.op("MOVQ BX, DX")
	for j := range n {
		for r := range v {
			o.op("VMOVUPD.Z %d(DX), K%d, Z%d", 64*r, r+1, 24+r)
			o.op("VSUBPD %s, Z%d, Z%d", acc(j, r), 24+r, 24+r)
			o.op("VMOVUPD Z%d, K%d, %d(DX)", 24+r, r+1, 64*r)
		}
		if j < n-1 {
			o.op("ADDQ R11, DX")
		}
	}
	if v < 3 {
		o.op("JMP done")
		return
	}
	o.op("SUBQ $24, CX")
	o.op("ADDQ $192, BX")
	o.op("ADDQ $192, SI")
	o.op("JMP next")
}

// solve512 writes X := X·L⁻ᵀ for n columns of X; inv holds the reciprocals of
// the diagonal of L.
func (o *out) solve512(n int) {
	o.solvePrologue(fmt.Sprintf("solve512x%d", n))
	o.label("next")
	o.op("TESTQ CX, CX")
	o.op("JLE done")
	o.masks512()
	o.op("CMPQ CX, $8")
	o.op("JLE rows8")
	o.op("CMPQ CX, $16")
	o.op("JLE rows16")
	for v := 3; v >= 1; v-- {
		o.label(fmt.Sprintf("rows%d", 8*v))
		o.solveBody512(n, v)
	}
	o.label("done")
	o.op("VZEROUPPER")
	o.op("RET")
}

func (o *out) solveBody512(n, v int) {
	x := func(j, r int) string { return fmt.Sprintf("Z%d", j*v+r) }
	o.op("MOVQ SI, AX")
	for j := range n {
		for r := range v {
			o.op("VMOVUPD.Z %d(AX), K%d, %s", 64*r, r+1, x(j, r))
		}
		o.op("ADDQ R8, AX")
	}
	o.op("MOVQ DI, BX")
	o.op("MOVQ SI, AX")
	for j := range n {
		o.op("VBROADCASTSD %d(R11), Z31", 8*j)
		for r := range v {
			o.op("VMULPD Z31, %[1]s, %[1]s", x(j, r))
		}
		for i := j + 1; i < n; i++ {
			t := fmt.Sprintf("Z%d", 24+i%6)
			o.op("VBROADCASTSD %d(BX), %s", 8*i, t)
			for r := range v {
				o.op("VFNMADD231PD %s, %s, %s", t, x(j, r), x(i, r))
			}
		}
		for r := range v {
			o.op("VMOVUPD %s, K%d, %d(AX)", x(j, r), r+1, 64*r)
		}
		if j < n-1 {
			o.op("ADDQ R10, BX")
			o.op("ADDQ R8, AX")
		}
	}
	if v < 3 {
		o.op("JMP done")
		return
	}
	o.op("SUBQ $24, CX")
	o.op("ADDQ $192, SI")
	o.op("JMP next")
}

// dots512 writes x -= Aᵀ·w for n columns of A. A column has eight sums, of every
// eighth row; sum i and i+4 are added first, then i and i+2, then the last two.
func (o *out) dots512(n int) {
	b := o.dotsPrologue(fmt.Sprintf("dots512x%d", n), n)
	for j := range n {
		o.op("VPXORQ Z%[1]d, Z%[1]d, Z%[1]d", j)
	}
	o.label("next")
	o.op("CMPQ CX, $8")
	o.op("JL tail")
	o.op("VMOVUPD (DI), Z24")
	for j := range n {
		o.op("VFMADD231PD %s, Z24, Z%d", b.at(j, true), j)
	}
	o.op("ADDQ $64, SI")
	if n > 4 {
		o.op("ADDQ $64, R9")
	}
	o.op("ADDQ $64, DI")
	o.op("SUBQ $8, CX")
	o.op("JMP next")
	o.label("tail")
	o.op("TESTQ CX, CX")
	o.op("JLE reduce")
	o.op("MOVQ $1, AX")
	o.op("SHLQ CX, AX")
	o.op("DECQ AX")
	o.op("KMOVB AX, K1")
	o.op("VMOVUPD.Z (DI), K1, Z24")
	for j := range n {
		o.op("VMOVUPD.Z %s, K1, Z25", b.at(j, true))
		o.op("VFMADD231PD Z25, Z24, Z%d", j)
	}
	o.label("reduce")
	for j := range n {
		o.op("VEXTRACTF64X4 $1, Z%d, Y8", j)
		o.op("VADDPD Y8, Y%[1]d, Y%[1]d", j)
		o.reduce(j, j)
	}
	o.op("VZEROUPPER")
	o.op("RET")
}

// dotsPrologue loads the arguments of a dots function; the columns of A are
// addressed as those of B in a strip.
func (o *out) dotsPrologue(name string, n int) bases {
	fmt.Fprintf(o, "\n// func %s(m int, a *float64, lda int, w *float64, x *float64)\n", name)
	fmt.Fprintf(o, "TEXT ·%s(SB), NOSPLIT, $0-40\n", name)
	o.op("MOVQ m+0(FP), CX")
	o.op("MOVQ a+8(FP), SI")
	o.op("MOVQ lda+16(FP), R10")
	o.op("SHLQ $3, R10")
	o.op("MOVQ w+24(FP), DI")
	o.op("MOVQ x+32(FP), BX")
	o.op("LEAQ (R10)(R10*2), R8")
	if n > 4 {
		o.op("LEAQ (SI)(R10*4), R9")
	}
	return bases{p: "SI", q: "R9", ld: "R10", ld3: "R8"}
}

func (o *out) solvePrologue(name string) {
	fmt.Fprintf(o, "\n// func %s(m int, x *float64, ldx int, l *float64, ldl int, inv *float64)\n", name)
	fmt.Fprintf(o, "TEXT ·%s(SB), NOSPLIT, $0-48\n", name)
	o.op("MOVQ m+0(FP), CX")
	o.op("MOVQ x+8(FP), SI")
	o.op("MOVQ ldx+16(FP), R8")
	o.op("SHLQ $3, R8")
	o.op("MOVQ l+24(FP), DI")
	o.op("MOVQ ldl+32(FP), R10")
	o.op("SHLQ $3, R10")
	o.op("MOVQ inv+40(FP), R11")
}
