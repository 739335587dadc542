package bound

import (
	"math"

	"golang.org/x/sys/cpu"
)

// hasVector says whether the processor has the instructions of stepVector.
var hasVector = cpu.X86.HasAVX2

// stepVector is stepRows for groups of k rows of stride states each, one after
// the other, several states at a time. It gives the same numbers.
//
//go:noescape
func stepVector(v *float64, groups, stride, k, first int, cost *float64)

// sumStepVector is sumStep, f being the cell of none.
//
//go:noescape
func sumStepVector(f *int32, taken *uint8, chunks, k int, value int32)

// lanes is what one instruction works on.
type lanes [4]float64

// mostGrouped is the largest k of stepGroups.
const mostGrouped = 2 * len(lanes{})

//go:noescape
func stepGroups(from, to *float64, groups, k int, vectors *[6]lanes)

// stepOne is stepNarrow for stride 1 and k up to mostGrouped, from one year to
// another. It reads and writes up to pad states before and after.
func stepOne(from, to []float64, k, first int, cost []float64) {
	inf := math.Inf(1)
	var x [6]lanes
	for a := range 2 * len(x[0]) {
		lane, at := a/len(x[0]), a%len(x[0])
		burn, last := &x[lane][at], &x[2+lane][at]
		*burn, *last = inf, inf
		if a >= k {
			continue
		}
		x[4+lane][at] = cost[a]
		if a >= first {
			*burn = 0
		}
		if a == k-1 {
			*last = 0
		}
	}
	stepGroups(&from[0], &to[0], len(from)/k, k, &x)
}
