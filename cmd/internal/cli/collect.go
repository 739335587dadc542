package cli

import (
	"math"
	"runtime"
	"runtime/debug"
	"sync"
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
	late.Lock()
	late.percent = percent
	late.Unlock()
	debug.SetMemoryLimit(bytes)
	runtime.AddCleanup(new([64]byte), func(struct{}) {
		late.Lock()
		defer late.Unlock()
		debug.SetGCPercent(late.percent)
		late.percent = 0
		debug.SetMemoryLimit(math.MaxInt64)
	}, struct{}{})
}

// late holds the percent that the first collection sets, 0 where it is not awaited.
var late struct {
	sync.Mutex
	percent int
}

// often is the percent of work that keeps close to the memory that it needs, and pays with
// time.
const often = 20

// collectOften has garbage collected often, from the first collection on, until the work is
// done. Where the user wants less garbage or no collection, that holds.
func collectOften() (done func()) {
	late.Lock()
	defer late.Unlock()
	if before := late.percent; before != 0 {
		late.percent = min(before, often)
		return func() {
			late.Lock()
			defer late.Unlock()
			if late.percent != 0 {
				late.percent = before
			} else {
				debug.SetGCPercent(before)
			}
		}
	}
	before := debug.SetGCPercent(often)
	if before < often {
		debug.SetGCPercent(before)
	}
	return func() { debug.SetGCPercent(before) }
}
