package search

import "golang.org/x/sys/cpu"

// hasVector says whether the processor has the instructions of the functions below. Each
// does what the function of state without Vector in its name does, and gives the same
// numbers. They go through so many chunks of years, and read and write whole ones.
var hasVector = cpu.X86.HasAVX2

//go:noescape
func seasonVector(burnAt *float64, burnIn *int64, own, used, limit, rate, low *float64, chunks int, days float64, season int64)

//go:noescape
func chargeVector(burnAt, used, limit, rate, low *float64, chunks int, a float64)

//go:noescape
func addVector(burnAt, x *float64, chunks int, factor float64)

//go:noescape
func bandVector(burnAt, used *float64, chunks int, lo, hi, w, a float64)

//go:noescape
func classVector(out, sum *float64, years, chunks int, band *[2 * vectorClasses]float64, w, a float64)

// respondVector8 is for units of up to 8 ages, respondVector16 for those of up to 16.
//
//go:noescape
func respondVector8(costs *float64, stride, years int, unit *float64, index *int32, classAt, burnAt, restAt, start *float64)

//go:noescape
func respondVector16(costs *float64, stride, years int, unit *float64, index *int32, classAt, burnAt, restAt, start *float64)
