//go:build !amd64

package search

const hasVector = false

const noVector = "search: no vector instructions"

func seasonVector(burnAt *float64, burnIn *int64, own, used, limit, rate, low *float64, chunks int, days float64, season int64) {
	panic(noVector)
}

func chargeVector(burnAt, used, limit, rate, low *float64, chunks int, a float64) { panic(noVector) }

func addVector(burnAt, x *float64, chunks int, factor float64) { panic(noVector) }

func bandVector(burnAt, used *float64, chunks int, lo, hi, w, a float64) { panic(noVector) }

func classVector(out, sum *float64, years, chunks int, band *[2 * vectorClasses]float64, w, a float64) {
	panic(noVector)
}

func respondVector8(costs *float64, stride, years int, unit *float64, index *int32, classAt, burnAt, restAt, start *float64) {
	panic(noVector)
}

func respondVector16(costs *float64, stride, years int, unit *float64, index *int32, classAt, burnAt, restAt, start *float64) {
	panic(noVector)
}
