#include "textflag.h"

// Forty sums of one row, or of two, stand in registers while their rows of b pass by. A product is rounded before it is added (no fused
// multiply-add), as in the plain loop.

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

#define ADD(by, r0, r1, r2, r3, r4) \
	VMULPS 0(DX), by, Y12; \
	VMULPS 32(DX), by, Y13; \
	VMULPS 64(DX), by, Y14; \
	VMULPS 96(DX), by, Y15; \
	VADDPS Y12, r0, r0; \
	VMULPS 128(DX), by, Y12; \
	VADDPS Y13, r1, r1; \
	VADDPS Y14, r2, r2; \
	VADDPS Y15, r3, r3; \
	VADDPS Y12, r4, r4

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
	ADD(Y10, Y0, Y1, Y2, Y3, Y4)
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
	ADD(Y10, Y0, Y1, Y2, Y3, Y4)
	ADD(Y11, Y5, Y6, Y7, Y8, Y9)
	ADDQ R10, SI
	ADDQ R10, R9
	ADDQ R11, DX
	DECQ CX
	JNZ  next

	STORE(DI, Y0, Y1, Y2, Y3, Y4)
	STORE(R8, Y5, Y6, Y7, Y8, Y9)
	VZEROUPPER
	RET
