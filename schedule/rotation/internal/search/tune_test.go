package search

import (
	"context"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"syscall"
	"testing"
)

func env(k string, d float64) float64 {
	if v, err := strconv.ParseFloat(os.Getenv(k), 64); err == nil {
		return v
	}
	return d
}

func TestTune(t *testing.T) {
	if p := os.Getenv("PICK"); p != "" {
		for k := range pickTable {
			pickTable[k] = int(p[k%len(p)] - '0')
		}
	}
	names := os.Getenv("TUNE")
	if names == "" {
		t.Skip("set TUNE to names of problems")
	}
	logSum := 0.0
	line := ""
	start := cpu()
	for _, name := range strings.Split(names, ",") {
		m := load(t, name)
		sum, low := 0.0, inf
		seeds := int(env("SEEDS", 3))
		for seed := range seeds {
			x := New(m, uint64(seed)+1)
			longest := x.longest
			if os.Getenv("MARKS") == "" {
				x.settings = settings{
					longest: max(longest, int64(env("FIRST", 20))*int64(m.N)),
					stages:  int64(env("STAGES", 100)), maxRuin: int(env("RUIN", 4)), noise: env("NOISE", 1), kick: env("KICK", 1),
					chains: uint64(1024 * env("CHAINS", 0.25)), hot: env("HOT", 200), cold: env("COLD", 1),
					rate0: env("R0", 1), rate1: env("R1", 200), first: int64(env("FIRST", 20)), growth: env("GROWTH", 2),
					etaEnd: env("ETAEND", 1), eta: env("ETA", 0.15), u0: env("U0", 0.2), u1: env("U1", 1), v1: env("V1", 0.03), main: env("MAIN", 0.9),
				}
			}
			t0 := cpu()
			marks := os.Getenv("MARKS")
			if marks != "" {
				if f := env("FIRST", 0); f > 0 {
					x.first = int64(f)
				}
				for _, mark := range strings.Split(marks, ",") {
					sec, _ := strconv.ParseFloat(mark, 64)
					for cpu()-t0 < sec {
						x.Run(context.Background(), Budget{Steps: 5000}, Guide{})
					}
					keep(t, m, name, x.best, x.bestCost)
					fmt.Printf("%s seed %d %4ss %.1f (%d steps a unit, cycle %d)\n", name, seed, mark, x.bestCost, x.steps/int64(m.N), x.cycle.steps/int64(m.N))
				}
			} else {
				x.Run(context.Background(), Budget{Steps: int64(env("MOVES", 1000)) * int64(m.N)}, Guide{})
			}
			sum += x.bestCost
			low = min(low, x.bestCost)
			keep(t, m, name, x.best, x.bestCost)
			if e := m.Evaluate(x.best); !e.Feasible || math.Abs(e.Cost-x.bestCost) > 1e-6 {
				t.Error(name, e, x.bestCost)
			}
		}
		line += fmt.Sprintf(" %.0f/%.0f", sum/float64(seeds), low)
		logSum += math.Log(sum / float64(seeds))
	}
	fmt.Printf("%.4f %.1fs %s\n", logSum/float64(len(strings.Split(names, ","))), cpu()-start, line)
}

// cpu is the processor time of this process in seconds.
func cpu() float64 {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}
