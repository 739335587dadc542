#include "textflag.h"

// One lane of columns: row k−1 stands at DX, rows are R9 bytes apart, R10 is k,
// R11 the first row that may burn, SI the costs. LOAD and STORE move a lane.
// Clobbers AX, R13, Y0 to Y6; Y14 is +Inf.
//
// Each row is read once, before the row above is written.
#define LANE(LOAD, STORE, loop, old, last) \
	LOAD(DX, Y0)                     \
	MOVQ R10, AX                     \
	DECQ AX                          \
	VMOVAPD Y14, Y2                  \
	CMPQ AX, R11                     \
	JLT  2(PC)                       \
	VMOVAPD Y0, Y2                   \
	MOVQ DX, R13                     \
	SUBQ R9, R13                     \
	LOAD(R13, Y1)                    \
	VMINPD Y1, Y0, Y3                \
	VBROADCASTSD (SI)(AX*8), Y4      \
	VADDPD Y4, Y3, Y3                \
	STORE(Y3, DX)                    \
loop:                                \
	DECQ AX                          \
	CMPQ AX, R11                     \
	JLT  old                         \
	VMINPD Y1, Y2, Y2                \
old:                                 \
	TESTQ AX, AX                     \
	JZ   last                        \
	MOVQ R13, R12                    \
	SUBQ R9, R13                     \
	LOAD(R13, Y1)                    \
	VBROADCASTSD (SI)(AX*8), Y4      \
	VADDPD Y4, Y1, Y6                \
	STORE(Y6, R12)                   \
	JMP  loop                        \
last:                                \
	VBROADCASTSD (SI), Y4            \
	VADDPD Y4, Y2, Y2                \
	STORE(Y2, R13)

#define WHOLE_LOAD(from, to) VMOVUPD (from), to
#define WHOLE_STORE(from, to) VMOVUPD from, (to)
#define PART_LOAD(from, to) VMASKMOVPD (from), Y13, to
#define PART_STORE(from, to) VMASKMOVPD from, Y13, (to)

DATA ·infinity+0(SB)/8, $0x7FF0000000000000
GLOBL ·infinity(SB), RODATA, $8

// Masks of 1 to 3 lanes, at 32 − 8·lanes.
DATA ·masks+0(SB)/8, $-1
DATA ·masks+8(SB)/8, $-1
DATA ·masks+16(SB)/8, $-1
DATA ·masks+24(SB)/8, $0
DATA ·masks+32(SB)/8, $0
DATA ·masks+40(SB)/8, $0
DATA ·masks+48(SB)/8, $0
GLOBL ·masks(SB), RODATA, $56

// func stepVector(v *float64, groups, stride, k, first int, cost *float64)
TEXT ·stepVector(SB), NOSPLIT, $0-48
	MOVQ v+0(FP), DI
	MOVQ groups+8(FP), R8
	MOVQ stride+16(FP), R9
	MOVQ k+24(FP), R10
	MOVQ first+32(FP), R11
	MOVQ cost+40(FP), SI
	SHLQ $3, R9
	VBROADCASTSD ·infinity(SB), Y14

	// The mask of what is left of a row beyond whole lanes.
	MOVQ R9, CX
	ANDQ $31, CX
	MOVQ $24, AX
	SUBQ CX, AX
	LEAQ ·masks(SB), BX
	VMOVDQU (BX)(AX*1), Y13
	MOVQ CX, R12
	JMP  group

done:
	VZEROUPPER
	RET

group:
	TESTQ R8, R8
	JZ   done
	DECQ R8
	MOVQ R10, DX
	DECQ DX
	IMULQ R9, DX
	ADDQ DI, DX         // row k−1
	MOVQ R9, BX
	SHRQ $5, BX         // whole lanes
	JZ   part

whole:
	LANE(WHOLE_LOAD, WHOLE_STORE, wholeLoop, wholeOld, wholeLast)
	ADDQ $32, DX
	DECQ BX
	JNZ  whole

part:
	MOVQ R9, CX
	ANDQ $31, CX
	JZ   next
	LANE(PART_LOAD, PART_STORE, partLoop, partOld, partLast)
	ADDQ CX, DX

next:
	MOVQ DX, DI         // the next group begins where row k−1 ends
	JMP  group

// func stepGroups(from, to *float64, groups, k int, vectors *[6]lanes)
//
// A group is k ≤ 8 states of one unit, in two lanes of four. The vectors are, two
// lanes each: 0 where a burn may come from, else +Inf; 0 at the last state, else
// +Inf; and the costs. Lanes beyond k hold what belongs to the next group, which
// is written after.
TEXT ·stepGroups(SB), NOSPLIT, $0-40
	MOVQ from+0(FP), DI
	MOVQ to+8(FP), DX
	MOVQ groups+16(FP), R8
	MOVQ k+24(FP), R9
	MOVQ vectors+32(FP), SI
	SHLQ $3, R9
	VMOVUPD 0(SI), Y6
	VMOVUPD 32(SI), Y7
	VMOVUPD 64(SI), Y8
	VMOVUPD 96(SI), Y9
	VMOVUPD 128(SI), Y10
	VMOVUPD 160(SI), Y11
	JMP  more

again:
	VMOVUPD (DI), Y0
	VMOVUPD 32(DI), Y1
	// The least that may burn, in the first place of X13.
	VADDPD Y6, Y0, Y13
	VADDPD Y7, Y1, Y14
	VMINPD Y14, Y13, Y13
	VEXTRACTF128 $1, Y13, X14
	VMINPD X14, X13, X13
	VPERMILPD $1, X13, X14
	VMINPD X14, X13, X13
	// The last state is reached from itself as well as from the one before.
	VADDPD Y8, Y0, Y0
	VADDPD Y9, Y1, Y1
	VMINPD -8(DI), Y0, Y2
	VMINPD 24(DI), Y1, Y3
	VBLENDPD $1, Y13, Y2, Y2
	VADDPD Y10, Y2, Y2
	VADDPD Y11, Y3, Y3
	VMOVUPD Y2, (DX)
	VMOVUPD Y3, 32(DX)
	ADDQ R9, DI
	ADDQ R9, DX
	DECQ R8

more:
	TESTQ R8, R8
	JNZ  again
	VZEROUPPER
	RET
