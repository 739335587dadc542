#include "textflag.h"

// func sumStepVector(f *int32, taken *uint8, chunks, k int, value int32)
//
// Chunks of 8 cells from the last to the first: what a cell has, or what the one
// k below has and value, whichever is more.
TEXT ·sumStepVector(SB), NOSPLIT, $0-36
	MOVQ f+0(FP), DI
	MOVQ taken+8(FP), DX
	MOVQ chunks+16(FP), CX
	MOVQ k+24(FP), AX
	MOVL value+32(FP), R9
	VMOVD R9, X3
	VPBROADCASTD X3, Y3
	MOVQ CX, BX
	SHLQ $5, BX
	ADDQ BX, DI          // behind the last chunk
	SHLQ $2, AX
	MOVQ DI, SI
	SUBQ AX, SI
	ADDQ CX, DX
next:
	SUBQ $32, DI
	SUBQ $32, SI
	DECQ DX
	VMOVDQU (SI), Y0
	VPADDD Y3, Y0, Y0
	VMOVDQU (DI), Y1
	VPCMPGTD Y1, Y0, Y2
	VPMAXSD Y1, Y0, Y0
	VMOVDQU Y0, (DI)
	VMOVMSKPS Y2, R8
	MOVB R8, (DX)
	DECQ CX
	JNZ  next
	VZEROUPPER
	RET
