//go:build unix

package search

import (
	"context"
	"os"
	"strconv"
	"strings"
	"syscall"
	"testing"
)

// TestCourse prints cost against processor time for the problems named in
// COURSE, at the seconds named in MARKS, and notes the best plans in the folder
// KEEP. It is a tool for tuning and is skipped otherwise.
func TestCourse(t *testing.T) {
	names := os.Getenv("COURSE")
	if names == "" {
		t.Skip("set COURSE to names of problems, such as small-101,medium-101")
	}
	marks := os.Getenv("MARKS")
	if marks == "" {
		marks = "0.1,1,10"
	}
	for _, name := range strings.Split(names, ",") {
		m := load(t, name)
		start := processor(t)
		x := New(m, 1, 0)
		for _, mark := range strings.Split(marks, ",") {
			seconds, err := strconv.ParseFloat(mark, 64)
			if err != nil {
				t.Fatal(err)
			}
			for processor(t)-start < seconds {
				x.Run(context.Background(), 5000, 1)
			}
			t.Logf("%s: %.3f after %s s, %d steps a unit", name, x.found.cost, mark, x.steps/int64(m.N))
			if x.found.cost < inf {
				keep(t, m, name, x.found.plan, x.found.cost)
			}
		}
	}
}

// processor is the processor time of this process in seconds.
func processor(t *testing.T) float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Skip("no processor time:", err)
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}
