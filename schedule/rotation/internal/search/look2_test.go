package search

import (
	"context"
	"fmt"
	"os"
	"testing"
)

func TestCourse(t *testing.T) {
	name := os.Getenv("COURSE")
	if name == "" {
		t.Skip()
	}
	m := load(t, name)
	for seed := range 3 {
		x := New(m, uint64(seed+1))
		x.settings.chains = 0
		x.hot, x.cold, x.rate0, x.rate1 = env("HOT", 200), env("COLD", 1), env("R0", 1), env("R1", 200)
		x.first = int64(env("MOVES", 10000))
		x.construct(context.Background())
		fmt.Println("construct", x.bestCost)
		x.started = true
		x.cycle = cycle{from: x.steps, steps: x.first * int64(x.N), stage: -1}
		k := 0
		for !x.cool(context.Background(), x.steps+1) {
			k++
			f := float64(x.steps-x.cycle.from) / float64(x.cycle.steps)
			if k%(int(x.cycle.steps)/1000) == 0 {
				fmt.Printf("%.3f total %.1f penalty %.1f violated %d best %.1f\n", f, x.total, x.penalty(), x.violated, x.bestCost)
			}
		}
		fmt.Println("end", x.total, x.penalty(), x.violated, x.bestCost)
		x.settle(context.Background())
		fmt.Println("settled", x.total, x.penalty(), x.violated, x.bestCost)
	}
}
