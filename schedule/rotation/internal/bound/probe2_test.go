package bound

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"time"
)

func TestBlocks(t *testing.T) {
	names := strings.Fields("small-105 medium-101 medium-102 medium-103 medium-104")
	if s := os.Getenv("NAMES"); s != "" {
		names = strings.Fields(s)
	}
	for _, name := range names {
		m := load(t, name)
		e := New(m, 2)
		a := NewAscent(e)
		start := time.Now()
		for a.Rate > 1e-3 {
			a.Run(200, math.Inf(1))
			a.Rate *= 0.8
		}
		fmt.Printf("%s unit %v %.3f\n", name, time.Since(start).Round(time.Millisecond), a.Best)
		for _, most := range []int{100, 1000, 10000, 100000} {
			bl := Cluster(m, most)
			e.SetBlocks(bl)
			a.Reset()
			a.Rate = 0.05
			n := 0
			s2 := time.Now()
			for a.Rate > 1e-3 && time.Since(s2) < 20*time.Second {
				a.Run(20, math.Inf(1))
				n += 20
				a.Rate *= 0.95
			}
			fmt.Printf("%s blocks %d of ≤%d states %v its %d %.3f\n", name, len(bl), most, time.Since(s2).Round(time.Millisecond), n, a.Best)
		}
	}
}
