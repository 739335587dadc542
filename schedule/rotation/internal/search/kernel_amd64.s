#include "textflag.h"

// Sums of a row lie year by year, four years to a register, and are read and written in
// whole registers.

// PASSED(a, limit, used, to, zero): what a of a burn passes the limit by, 0 to a.
#define PASSED(a, limit, used, zero, to) \
	VADDPD (used), a, to \
	VSUBPD (limit), to, to \
	VMAXPD zero, to, to \
	VMINPD a, to, to

// func seasonVector(burnAt *float64, burnIn *int64, own, used, limit, rate, low *float64, chunks int, days float64, season int64)
TEXT ·seasonVector(SB), NOSPLIT, $0-80
	MOVQ burnAt+0(FP), DI
	MOVQ burnIn+8(FP), SI
	MOVQ own+16(FP), AX
	MOVQ used+24(FP), BX
	MOVQ limit+32(FP), CX
	MOVQ rate+40(FP), DX
	MOVQ low+48(FP), R8
	MOVQ chunks+56(FP), R9
	VBROADCASTSD days+64(FP), Y0
	VPBROADCASTQ season+72(FP), Y1
	VXORPD Y2, Y2, Y2

seasonLoop:
	VMULPD (R8), Y0, Y3
	VADDPD (AX), Y3, Y3
	PASSED(Y0, CX, BX, Y2, Y4)
	VMULPD (DX), Y4, Y4
	VADDPD Y4, Y3, Y3
	VMOVUPD (DI), Y5
	VCMPPD $1, Y5, Y3, Y6
	VBLENDVPD Y6, Y3, Y5, Y5
	VMOVUPD Y5, (DI)
	VMOVUPD (SI), Y7
	VBLENDVPD Y6, Y1, Y7, Y7
	VMOVUPD Y7, (SI)
	ADDQ $32, DI
	ADDQ $32, SI
	ADDQ $32, AX
	ADDQ $32, BX
	ADDQ $32, CX
	ADDQ $32, DX
	ADDQ $32, R8
	DECQ R9
	JNZ  seasonLoop
	VZEROUPPER
	RET

// func chargeVector(burnAt, used, limit, rate, low *float64, chunks int, a float64)
TEXT ·chargeVector(SB), NOSPLIT, $0-56
	MOVQ burnAt+0(FP), DI
	MOVQ used+8(FP), BX
	MOVQ limit+16(FP), CX
	MOVQ rate+24(FP), DX
	MOVQ low+32(FP), R8
	MOVQ chunks+40(FP), R9
	VBROADCASTSD a+48(FP), Y0
	VXORPD Y2, Y2, Y2

chargeLoop:
	VMULPD (R8), Y0, Y3
	PASSED(Y0, CX, BX, Y2, Y4)
	VMULPD (DX), Y4, Y4
	VADDPD Y4, Y3, Y3
	VADDPD (DI), Y3, Y3
	VMOVUPD Y3, (DI)
	ADDQ $32, DI
	ADDQ $32, BX
	ADDQ $32, CX
	ADDQ $32, DX
	ADDQ $32, R8
	DECQ R9
	JNZ  chargeLoop
	VZEROUPPER
	RET

// func addVector(burnAt, x *float64, chunks int, factor float64)
TEXT ·addVector(SB), NOSPLIT, $0-32
	MOVQ burnAt+0(FP), DI
	MOVQ x+8(FP), BX
	MOVQ chunks+16(FP), R9
	VBROADCASTSD factor+24(FP), Y0

addLoop:
	VMULPD (BX), Y0, Y3
	VADDPD (DI), Y3, Y3
	VMOVUPD Y3, (DI)
	ADDQ $32, DI
	ADDQ $32, BX
	DECQ R9
	JNZ  addLoop
	VZEROUPPER
	RET

// BAND(sum): turns acres in Y7 into what a more of them cost beside a band: Y0 a, Y1 w,
// Y2 zero, Y5 lo, Y6 hi.
#define BAND \
	VSUBPD Y7, Y5, Y8 \
	VMAXPD Y2, Y8, Y8 \
	VMINPD Y0, Y8, Y8 \
	VADDPD Y0, Y7, Y7 \
	VSUBPD Y6, Y7, Y7 \
	VMAXPD Y2, Y7, Y7 \
	VMINPD Y0, Y7, Y7 \
	VSUBPD Y8, Y7, Y7 \
	VMULPD Y1, Y7, Y7

// func bandVector(burnAt, used *float64, chunks int, lo, hi, w, a float64)
TEXT ·bandVector(SB), NOSPLIT, $0-56
	MOVQ burnAt+0(FP), DI
	MOVQ used+8(FP), BX
	MOVQ chunks+16(FP), R9
	VBROADCASTSD lo+24(FP), Y5
	VBROADCASTSD hi+32(FP), Y6
	VBROADCASTSD w+40(FP), Y1
	VBROADCASTSD a+48(FP), Y0
	VXORPD Y2, Y2, Y2

bandLoop:
	VMOVUPD (BX), Y7
	BAND
	VADDPD (DI), Y7, Y7
	VMOVUPD Y7, (DI)
	ADDQ $32, DI
	ADDQ $32, BX
	DECQ R9
	JNZ  bandLoop
	VZEROUPPER
	RET

// func classVector(out, sum *float64, years, chunks int, band *[2 * vectorClasses]float64, w, a float64)
TEXT ·classVector(SB), NOSPLIT, $0-56
	MOVQ out+0(FP), DI
	MOVQ sum+8(FP), BX
	MOVQ years+16(FP), R8
	MOVQ chunks+24(FP), R9
	MOVQ band+32(FP), SI
	VBROADCASTSD w+40(FP), Y1
	VBROADCASTSD a+48(FP), Y0
	VXORPD Y2, Y2, Y2
	SHLQ $3, R8
	LEAQ (R8)(R8*2), R10

classLoop:
	VMOVUPD (BX), Y7
	VBROADCASTSD (SI), Y5
	VBROADCASTSD 32(SI), Y6
	BAND
	VMOVAPD Y7, Y9
	VMOVUPD (BX)(R8*1), Y7
	VBROADCASTSD 8(SI), Y5
	VBROADCASTSD 40(SI), Y6
	BAND
	VMOVAPD Y7, Y10
	VMOVUPD (BX)(R8*2), Y7
	VBROADCASTSD 16(SI), Y5
	VBROADCASTSD 48(SI), Y6
	BAND
	VMOVAPD Y7, Y11
	VMOVUPD (BX)(R10*1), Y7
	VBROADCASTSD 24(SI), Y5
	VBROADCASTSD 56(SI), Y6
	BAND

	// From years of a class to classes of a year.
	VUNPCKLPD Y10, Y9, Y12
	VUNPCKHPD Y10, Y9, Y13
	VUNPCKLPD Y7, Y11, Y14
	VUNPCKHPD Y7, Y11, Y15
	VPERM2F128 $0x20, Y14, Y12, Y3
	VPERM2F128 $0x20, Y15, Y13, Y4
	VPERM2F128 $0x31, Y14, Y12, Y5
	VPERM2F128 $0x31, Y15, Y13, Y6
	VMOVUPD Y3, (DI)
	VMOVUPD Y4, 32(DI)
	VMOVUPD Y5, 64(DI)
	VMOVUPD Y6, 96(DI)
	ADDQ $128, DI
	ADDQ $32, BX
	DECQ R9
	JNZ  classLoop
	VZEROUPPER
	RET

// Ages are in registers, four each, Y0 the youngest. REACH leaves in every lane of Y4 the
// least of what Y4 holds, and a burn.
#define REACH \
	VEXTRACTF128 $1, Y4, X5 \
	VMINPD X5, X4, X4 \
	VPERMILPD $1, X4, X5 \
	VMINPD X5, X4, X4 \
	VADDSD (BX), X4, X4 \
	VBROADCASTSD X4, Y4

// AGED(younger, may, stay, to): the ages of a register a year later, but for the cost of
// the year: those of to, moved up by one lane, the first from younger, both rotated.
#define AGED(rotated, younger, old, stay, to) \
	VBLENDPD $1, younger, rotated, to \
	VADDPD stay, old, old \
	VMINPD old, to, to \
	VADDPD Y6, to, to

// CLASS(index, late, to) adds what ages cost in the year; Y7 holds its classes.
#define CLASS(index, late, to) \
	VMOVDQU index, Y5 \
	VPERMD Y7, Y5, Y5 \
	VADDPD late, Y5, Y5 \
	VADDPD Y5, to, to

// func respondVector8(costs *float64, stride, years int, unit *float64, index *int32, classAt, burnAt, restAt *float64, start *float64)
TEXT ·respondVector8(SB), NOSPLIT, $0-72
	MOVQ costs+0(FP), DI
	MOVQ stride+8(FP), R8
	MOVQ years+16(FP), R9
	MOVQ unit+24(FP), SI
	MOVQ index+32(FP), R10
	MOVQ classAt+40(FP), CX
	MOVQ burnAt+48(FP), BX
	MOVQ restAt+56(FP), DX
	MOVQ start+64(FP), AX
	SHLQ $3, R8
	VMOVUPD (AX), Y0
	VMOVUPD 32(AX), Y1
	VMOVUPD 64(SI), Y10
	VMOVUPD 96(SI), Y11
	VMOVUPD 128(SI), Y12
	VMOVUPD 160(SI), Y13

year8:
	VADDPD Y10, Y0, Y4
	VADDPD Y11, Y1, Y5
	VMINPD Y5, Y4, Y4
	REACH
	VBROADCASTSD (DX), Y6
	VMOVUPD (CX), Y7
	VPERMPD $0x93, Y0, Y8
	VPERMPD $0x93, Y1, Y9
	AGED(Y9, Y8, Y1, Y13, Y3)
	AGED(Y8, Y8, Y0, Y12, Y2)
	VBLENDPD $1, Y4, Y2, Y0
	VMOVAPD Y3, Y1
	CLASS((R10), (SI), Y0)
	CLASS(32(R10), 32(SI), Y1)
	VMOVUPD Y0, (DI)
	VMOVUPD Y1, 32(DI)
	ADDQ R8, DI
	ADDQ $32, CX
	ADDQ $8, BX
	ADDQ $8, DX
	DECQ R9
	JNZ  year8
	VZEROUPPER
	RET

// func respondVector16(costs *float64, stride, years int, unit *float64, index *int32, classAt, burnAt, restAt *float64, start *float64)
TEXT ·respondVector16(SB), NOSPLIT, $0-72
	MOVQ costs+0(FP), DI
	MOVQ stride+8(FP), R8
	MOVQ years+16(FP), R9
	MOVQ unit+24(FP), SI
	MOVQ index+32(FP), R10
	MOVQ classAt+40(FP), CX
	MOVQ burnAt+48(FP), BX
	MOVQ restAt+56(FP), DX
	MOVQ start+64(FP), AX
	SHLQ $3, R8
	VMOVUPD (AX), Y0
	VMOVUPD 32(AX), Y1
	VMOVUPD 64(AX), Y2
	VMOVUPD 96(AX), Y3

year16:
	VADDPD 128(SI), Y0, Y4
	VADDPD 160(SI), Y1, Y5
	VMINPD Y5, Y4, Y4
	VADDPD 192(SI), Y2, Y5
	VMINPD Y5, Y4, Y4
	VADDPD 224(SI), Y3, Y5
	VMINPD Y5, Y4, Y4
	REACH
	VBROADCASTSD (DX), Y6
	VMOVUPD (CX), Y7
	VPERMPD $0x93, Y0, Y8
	VPERMPD $0x93, Y1, Y9
	VPERMPD $0x93, Y2, Y10
	VPERMPD $0x93, Y3, Y11
	AGED(Y11, Y10, Y3, 352(SI), Y15)
	AGED(Y10, Y9, Y2, 320(SI), Y14)
	AGED(Y9, Y8, Y1, 288(SI), Y13)
	AGED(Y8, Y8, Y0, 256(SI), Y12)
	VBLENDPD $1, Y4, Y12, Y0
	VMOVAPD Y13, Y1
	VMOVAPD Y14, Y2
	VMOVAPD Y15, Y3
	CLASS((R10), (SI), Y0)
	CLASS(32(R10), 32(SI), Y1)
	CLASS(64(R10), 64(SI), Y2)
	CLASS(96(R10), 96(SI), Y3)
	VMOVUPD Y0, (DI)
	VMOVUPD Y1, 32(DI)
	VMOVUPD Y2, 64(DI)
	VMOVUPD Y3, 96(DI)
	ADDQ R8, DI
	ADDQ $32, CX
	ADDQ $8, BX
	ADDQ $8, DX
	DECQ R9
	JNZ  year16
	VZEROUPPER
	RET
