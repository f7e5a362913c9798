package main

import "fmt"

// strip256 is strip512 for vectors of four: 24 rows at a time as two blocks of
// three vectors; the last rows as a block of two and masked blocks of one.
func (o *out) strip256(n int, transposed bool) {
	name := fmt.Sprintf("strip256x%d", n)
	if transposed {
		name = fmt.Sprintf("stripN256x%d", n)
	}
	o.prologue(name)
	o.label("next")
	o.op("TESTQ CX, CX")
	o.op("JLE done")
	o.op("MOVQ $24, R9") // rows left of this block
	o.op("CMPQ CX, R9")
	o.op("JGE block")
	o.op("MOVQ CX, R9")
	o.label("block")
	o.op("MOVQ SI, DX")
	o.label("part")
	o.op("CMPQ R9, $12")
	o.op("JGE rows12")
	o.op("CMPQ R9, $8")
	o.op("JGE rows8")
	o.op("TESTQ R9, R9")
	o.op("JG rows4")
	o.op("SUBQ $24, CX")
	o.op("ADDQ $192, SI")
	o.op("JMP next")
	for v := 3; v >= 1; v-- {
		o.label(fmt.Sprintf("rows%d", 4*v))
		o.body256(n, v, transposed)
	}
	o.label("done")
	o.op("VZEROUPPER")
	o.op("RET")
}

// tailMasks writes five masks of four words: 0, 1, 2, 3, 4 rows.
func (o *out) tailMasks() {
	for rows := 0; rows <= 4; rows++ {
		for lane := range 4 {
			value := 0
			if lane < rows {
				value = -1
			}
			fmt.Fprintf(o, "DATA tail<>+%d(SB)/8, $%d\n", 32*rows+8*lane, value)
		}
	}
	o.WriteString("GLOBL tail<>(SB), RODATA|NOPTR, $160\n")
}

// loadTail sets Y15 to the mask of the rows in the register, at most four.
func (o *out) loadTail(rows string) {
	o.op("MOVQ %s, AX", rows)
	o.op("CMPQ AX, $4")
	o.op("JLE tailed")
	o.op("MOVQ $4, AX")
	o.label("tailed")
	o.op("SHLQ $5, AX")
	o.op("LEAQ tail<>(SB), R13")
	o.op("VMOVUPD (R13)(AX*1), Y15")
}

func (o *out) body256(n, v int, transposed bool) {
	b := bases{p: "R12", q: "", ld: "R10", ld3: "DI"}
	acc := func(j, r int) string { return fmt.Sprintf("Y%d", j*v+r) }
	load := func(offset int, base, reg string) {
		if v == 1 {
			o.op("VMASKMOVPD %d(%s), Y15, %s", offset, base, reg)
		} else {
			o.op("VMOVUPD %d(%s), %s", offset, base, reg)
		}
	}
	if v == 1 {
		o.loadTail("R9")
	}
	o.op("MOVQ DX, AX")
	o.startB(b, n, transposed)
	o.op("MOVQ k+8(FP), R13")
	for j := range n {
		for r := range v {
			o.op("VXORPD %[1]s, %[1]s, %[1]s", acc(j, r))
		}
	}
	o.op("TESTQ R13, R13")
	o.op("JLE store%d", v)
	o.label(fmt.Sprintf("loop%d", v))
	for r := range v {
		load(32*r, "AX", fmt.Sprintf("Y%d", 12+r))
	}
	o.op("ADDQ R8, AX")
	bj := "Y15"
	if v == 1 {
		bj = "Y14"
	}
	for j := range n {
		o.op("VBROADCASTSD %s, %s", b.at(j, transposed), bj)
		for r := range v {
			o.op("VFMADD231PD %s, Y%d, %s", bj, 12+r, acc(j, r))
		}
	}
	o.stepB(b, n, transposed)
	o.op("DECQ R13")
	o.op("JNE loop%d", v)
	o.label(fmt.Sprintf("store%d", v))
	o.op("MOVQ BX, AX")
	for j := range n {
		for r := range v {
			t := fmt.Sprintf("Y%d", 12+r)
			load(32*r, "AX", t)
			o.op("VSUBPD %s, %[2]s, %[2]s", acc(j, r), t)
			if v == 1 {
				o.op("VMASKMOVPD %s, Y15, %d(AX)", t, 32*r)
			} else {
				o.op("VMOVUPD %s, %d(AX)", t, 32*r)
			}
		}
		if j < n-1 {
			o.op("ADDQ R11, AX")
		}
	}
	o.op("SUBQ $%d, R9", 4*v)
	o.op("ADDQ $%d, BX", 32*v)
	o.op("ADDQ $%d, DX", 32*v)
	o.op("JMP part")
}

// solve256 is solve512 four rows at a time.
func (o *out) solve256(n int) {
	o.solvePrologue(fmt.Sprintf("solve256x%d", n))
	o.label("next")
	o.op("TESTQ CX, CX")
	o.op("JLE done")
	o.loadTail("CX")
	o.op("MOVQ SI, AX")
	for j := range n {
		o.op("VMASKMOVPD (AX), Y15, Y%d", j)
		if j < n-1 {
			o.op("ADDQ R8, AX")
		}
	}
	o.op("MOVQ DI, BX")
	o.op("MOVQ SI, AX")
	for j := range n {
		o.op("VBROADCASTSD %d(R11), Y14", 8*j)
		o.op("VMULPD Y14, Y%[1]d, Y%[1]d", j)
		for i := j + 1; i < n; i++ {
			t := fmt.Sprintf("Y%d", 8+i%6)
			o.op("VBROADCASTSD %d(BX), %s", 8*i, t)
			o.op("VFNMADD231PD %s, Y%d, Y%d", t, j, i)
		}
		o.op("VMASKMOVPD Y%d, Y15, (AX)", j)
		if j < n-1 {
			o.op("ADDQ R10, BX")
			o.op("ADDQ R8, AX")
		}
	}
	o.op("SUBQ $4, CX")
	o.op("ADDQ $32, SI")
	o.op("JMP next")
	o.label("done")
	o.op("VZEROUPPER")
	o.op("RET")
}

// dots256 is dots512 with the eight sums of a column in two vectors.
func (o *out) dots256(n int) {
	b := o.dotsPrologue(fmt.Sprintf("dots256x%d", n), n)
	for j := range 2 * n {
		o.op("VXORPD Y%[1]d, Y%[1]d, Y%[1]d", j)
	}
	o.label("next")
	o.op("CMPQ CX, $8")
	o.op("JL tail")
	o.op("VMOVUPD (DI), Y8")
	o.op("VMOVUPD 32(DI), Y9")
	for j := range n {
		o.op("VFMADD231PD %s, Y8, Y%d", b.at(j, true), 2*j)
		o.op("VFMADD231PD 32%s, Y9, Y%d", b.at(j, true), 2*j+1)
	}
	o.op("ADDQ $64, SI")
	o.op("ADDQ $64, DI")
	o.op("SUBQ $8, CX")
	o.op("JMP next")
	o.label("tail")
	o.op("TESTQ CX, CX")
	o.op("JLE reduce")
	o.op("LEAQ tail<>(SB), R13")
	o.op("XORQ DX, DX") // rows of the second half
	o.op("MOVQ CX, AX")
	o.op("CMPQ AX, $4")
	o.op("JLE half")
	o.op("LEAQ -4(AX), DX")
	o.op("MOVQ $4, AX")
	o.label("half")
	o.op("SHLQ $5, AX")
	o.op("SHLQ $5, DX")
	o.op("VMOVUPD (R13)(AX*1), Y12")
	o.op("VMOVUPD (R13)(DX*1), Y13")
	o.op("VMASKMOVPD (DI), Y12, Y8")
	o.op("VMASKMOVPD 32(DI), Y13, Y9")
	for j := range n {
		o.op("VMASKMOVPD %s, Y12, Y10", b.at(j, true))
		o.op("VFMADD231PD Y10, Y8, Y%d", 2*j)
		o.op("VMASKMOVPD 32%s, Y13, Y11", b.at(j, true))
		o.op("VFMADD231PD Y11, Y9, Y%d", 2*j+1)
	}
	o.label("reduce")
	for j := range n {
		o.op("VADDPD Y%d, Y%d, Y%d", 2*j+1, 2*j, 2*j)
		o.reduce(j, 2*j)
	}
	o.op("VZEROUPPER")
	o.op("RET")
}

// reduce adds the four sums in a register and subtracts them from entry j of x.
func (o *out) reduce(j, sum int) {
	o.op("VEXTRACTF128 $1, Y%d, X8", sum)
	o.op("VADDPD X8, X%[1]d, X%[1]d", sum)
	o.op("VPERMILPD $1, X%d, X8", sum)
	o.op("VADDSD X8, X%[1]d, X%[1]d", sum)
	o.op("VMOVSD %d(BX), X9", 8*j)
	o.op("VSUBSD X%d, X9, X9", sum)
	o.op("VMOVSD X9, %d(BX)", 8*j)
}
