#include "textflag.h"

// Forty sums of one row, or of two, or up to eight of one, stand in registers while their rows of b pass by. A product is rounded before it
// is added (no fused multiply-add), as in the plain loop.

#define LOAD(at, r0, r1, r2, r3, r4) \
	VMOVUPS 0(at), r0; \
	VMOVUPS 32(at), r1; \
	VMOVUPS 64(at), r2; \
	VMOVUPS 96(at), r3; \
	VMOVUPS 128(at), r4

#define STORE(at, r0, r1, r2, r3, r4) \
	VMOVUPS r0, 0(at); \
	VMOVUPS r1, 32(at); \
	VMOVUPS r2, 64(at); \
	VMOVUPS r3, 96(at); \
	VMOVUPS r4, 128(at)

#define ONE(at, sum, product) \
	VMULPS at(DX), Y10, product; \
	VADDPS product, sum, sum

#define TWO(at, sum0, sum1) \
	VMOVUPS at(DX), Y12; \
	VMULPS Y12, Y10, Y13; \
	VMULPS Y12, Y11, Y14; \
	VADDPS Y13, sum0, sum0; \
	VADDPS Y14, sum1, sum1

// func tileOne(out, a *float32, step int, b *float32, wide, many int)
TEXT ·tileOne(SB), NOSPLIT, $0-48
	MOVQ out+0(FP), DI
	MOVQ a+8(FP), SI
	MOVQ step+16(FP), R10
	MOVQ b+24(FP), DX
	MOVQ wide+32(FP), R11
	MOVQ many+40(FP), CX
	LOAD(DI, Y0, Y1, Y2, Y3, Y4)

next:
	VBROADCASTSS (SI), Y10
	ONE(0, Y0, Y11)
	ONE(32, Y1, Y12)
	ONE(64, Y2, Y13)
	ONE(96, Y3, Y14)
	ONE(128, Y4, Y15)
	ADDQ R10, SI
	ADDQ R11, DX
	DECQ CX
	JNZ  next

	STORE(DI, Y0, Y1, Y2, Y3, Y4)
	VZEROUPPER
	RET

// func tileTwo(out0, out1, a0, a1 *float32, step int, b *float32, wide, many int)
TEXT ·tileTwo(SB), NOSPLIT, $0-64
	MOVQ out0+0(FP), DI
	MOVQ out1+8(FP), R8
	MOVQ a0+16(FP), SI
	MOVQ a1+24(FP), R9
	MOVQ step+32(FP), R10
	MOVQ b+40(FP), DX
	MOVQ wide+48(FP), R11
	MOVQ many+56(FP), CX
	LOAD(DI, Y0, Y1, Y2, Y3, Y4)
	LOAD(R8, Y5, Y6, Y7, Y8, Y9)

next:
	VBROADCASTSS (SI), Y10
	VBROADCASTSS (R9), Y11
	TWO(0, Y0, Y5)
	TWO(32, Y1, Y6)
	TWO(64, Y2, Y7)
	TWO(96, Y3, Y8)
	TWO(128, Y4, Y9)
	ADDQ R10, SI
	ADDQ R10, R9
	ADDQ R11, DX
	DECQ CX
	JNZ  next

	STORE(DI, Y0, Y1, Y2, Y3, Y4)
	STORE(R8, Y5, Y6, Y7, Y8, Y9)
	VZEROUPPER
	RET

// func tilePart(out, a *float32, step int, b *float32, wide, many int, mask *[8]int32)
TEXT ·tilePart(SB), NOSPLIT, $0-56
	MOVQ out+0(FP), DI
	MOVQ a+8(FP), SI
	MOVQ step+16(FP), R10
	MOVQ b+24(FP), DX
	MOVQ wide+32(FP), R11
	MOVQ many+40(FP), CX
	MOVQ mask+48(FP), AX
	VMOVUPS (AX), Y15
	VMASKMOVPS (DI), Y15, Y0

next:
	VBROADCASTSS (SI), Y10
	VMASKMOVPS (DX), Y15, Y11
	VMULPS Y11, Y10, Y11
	VADDPS Y11, Y0, Y0
	ADDQ R10, SI
	ADDQ R11, DX
	DECQ CX
	JNZ  next

	VMASKMOVPS Y0, Y15, (DI)
	VZEROUPPER
	RET
