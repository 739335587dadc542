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
	for seed := range int(env("SEEDS", 2)) {
		x := New(m, uint64(seed+1))
		x.settings = settings{
			stages: 100, maxRuin: int(env("RUIN", 4)), noise: env("NOISE", 1), kick: env("KICK", 1),
			hot: env("HOT", 50), cold: env("COLD", 8), rate0: env("R0", 3), rate1: env("R1", 10),
			first: int64(env("MOVES", 3000)), growth: 1, etaEnd: env("ETAEND", 1), eta: env("ETA", 0.08), u0: env("U0", 0.2), u1: env("U1", 1), v1: env("V1", 0.03), main: env("MAIN", 0.9),
		}
		x.construct(context.Background())
		fmt.Println("construct", x.bestCost)
		x.started = true
		x.cycle = cycle{from: x.steps, steps: x.first * int64(x.N), stage: -1}
		k := 0
		for !x.cool(context.Background(), x.steps+1) {
			k++
			f := float64(x.steps-x.cycle.from) / float64(x.cycle.steps)
			if k%(int(x.cycle.steps)/1000) == 0 {
				over := 0.0
				for row, u := range x.used {
					over += max(0, u-x.limit[row]) * x.natural(row)
				}
				fmt.Printf("%.3f cost %.1f over %.1f violated %d best %.1f\n", f, x.cost(), over, x.violated, x.bestCost)
			}
		}
		fmt.Println("end", x.total, x.penalty(), x.violated, x.bestCost)
		x.settle(context.Background())
		fmt.Println("settled", x.total, x.penalty(), x.violated, x.bestCost)
	}
}
