//go:build !amd64

package bound

const (
	hasVector   = false
	mostGrouped = 0
)

func stepVector(v *float64, groups, stride, k, first int, cost *float64) {
	panic("bound: no vector instructions")
}

func stepOne(from, to []float64, k, first int, cost []float64) {
	panic("bound: no vector instructions")
}

func sumStepVector(f *int32, taken *uint8, chunks, k int, value int32) {
	panic("bound: no vector instructions")
}
