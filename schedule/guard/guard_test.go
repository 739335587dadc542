package guard

import (
	"fmt"
	"strings"
	"sync/atomic"
	"testing"
)

func TestAFaultReachesWhoWaits(t *testing.T) {
	var g Group
	var done atomic.Int32
	for i := range 8 {
		g.Go(func() {
			if i == 3 {
				panic("no path")
			}
			done.Add(1)
		})
	}
	defer func() {
		text := fmt.Sprint(recover())
		if !strings.HasPrefix(text, "no path\n") || !strings.Contains(text, "guard_test.go") || done.Load() != 7 {
			t.Errorf("%d of the others ended, and it said %s", done.Load(), text)
		}
	}()
	g.Wait()
	t.Error("nobody heard of it")
}

func TestWaitWithoutAFault(t *testing.T) {
	var g Group
	var sum atomic.Int32
	for i := range 10 {
		g.Go(func() { sum.Add(int32(i)) })
	}
	if g.Wait(); sum.Load() != 45 {
		t.Errorf("the sum is %d", sum.Load())
	}
}
