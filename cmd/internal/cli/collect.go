package cli

import (
	"math"
	"runtime"
	"runtime/debug"
)

// firstCollection is how many bytes the runtime may hold before garbage is collected for
// the first time. Most commands end below it, and a collection at the runtime's own four
// megabytes took up to a sixth of their processor time, for no less memory: measured on
// plans, units, show and card.
const firstCollection = 32 << 20

// collectLate puts the first collection off until the runtime holds so many bytes; from
// then on all is as it was. Who sets GOGC=off or GOMEMLIMIT gets what they say.
func collectLate(bytes int64) {
	limit := debug.SetMemoryLimit(-1)
	if limit != math.MaxInt64 {
		return
	}
	percent := debug.SetGCPercent(-1)
	if percent < 0 {
		return
	}
	debug.SetMemoryLimit(bytes)
	runtime.AddCleanup(new([64]byte), func(percent int) {
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(math.MaxInt64)
	}, percent)
}
