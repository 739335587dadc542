package cli

import (
	"math"
	"runtime"
	"runtime/debug"
	"testing"
	"time"
)

// settings of the collector, as they are.
func collector() (percent int, limit int64) {
	percent = debug.SetGCPercent(-1)
	debug.SetGCPercent(percent)
	return percent, debug.SetMemoryLimit(-1)
}

// The first collection comes late, and after it the collector works as it did before.
func TestTheFirstCollectionComesLate(t *testing.T) {
	percent, limit := collector()
	if percent < 0 || limit != math.MaxInt64 {
		t.Skipf("GOGC or GOMEMLIMIT is set: %d, %d", percent, limit)
	}
	collectLate(1 << 40)
	if late, bound := collector(); late != -1 || bound != 1<<40 {
		t.Errorf("before the first collection: percent %d, limit %d", late, bound)
	}
	for end := time.Now().Add(10 * time.Second); ; time.Sleep(time.Millisecond) {
		runtime.GC()
		now, bound := collector()
		if now == percent && bound == limit {
			return
		}
		if time.Now().After(end) {
			t.Fatalf("after a collection: percent %d, limit %d; want %d, %d", now, bound, percent, limit)
		}
	}
}

// What the user says of the collector holds.
func TestTheUsersCollectorHolds(t *testing.T) {
	percent, limit := collector()
	defer debug.SetMemoryLimit(limit)
	defer debug.SetGCPercent(percent)
	for _, user := range []struct {
		percent int
		limit   int64
	}{{-1, math.MaxInt64}, {100, 1 << 30}} {
		debug.SetGCPercent(user.percent)
		debug.SetMemoryLimit(user.limit)
		collectLate(1 << 40)
		if now, bound := collector(); now != user.percent || bound != user.limit {
			t.Errorf("percent %d, limit %d became %d, %d", user.percent, user.limit, now, bound)
		}
	}
}

// Work that needs much memory has garbage collected often, before and after the first
// collection, but never less often than the user says.
func TestCollectOften(t *testing.T) {
	percent, limit := collector()
	defer debug.SetMemoryLimit(limit)
	defer debug.SetGCPercent(percent)
	debug.SetMemoryLimit(math.MaxInt64)
	for _, test := range []struct{ user, during int }{{100, often}, {10, 10}, {-1, -1}} {
		debug.SetGCPercent(test.user)
		done := collectOften()
		if now, _ := collector(); now != test.during {
			t.Errorf("percent %d became %d, want %d", test.user, now, test.during)
		}
		done()
		if now, _ := collector(); now != test.user {
			t.Errorf("after the work: percent %d, want %d", now, test.user)
		}
	}
	debug.SetGCPercent(100)
	collectLate(1 << 40)
	done := collectOften()
	if now, _ := collector(); now != -1 {
		t.Errorf("the first collection is no longer put off: percent %d", now)
	}
	wait := func(want int) {
		for end := time.Now().Add(10 * time.Second); ; time.Sleep(time.Millisecond) {
			runtime.GC()
			now, _ := collector()
			if now == want {
				return
			}
			if time.Now().After(end) {
				t.Fatalf("after the first collection: percent %d, want %d", now, want)
			}
		}
	}
	wait(often)
	done()
	wait(100)
	collectLate(1 << 40)
	collectOften()()
	wait(100)
}
