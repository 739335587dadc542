package sweep

import (
	"context"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/bound"
	"emberquilt/schedule/rotation/internal/model"
)

func TestProbe(t *testing.T) {
	for _, name := range strings.Fields(os.Getenv("PROBE")) {
		var best float64
		x := strings.Split(name, "=")
		fmt.Sscan(x[1], &best)
		file := "/work/shared/bench/problems/" + x[0] + ".json"
		r, _ := os.Open(file)
		p, err := problem.Read(r, file)
		if err != nil {
			t.Fatal(err)
		}
		m, _ := model.New(p)
		for _, states := range []int{1, 300, 3000} {
			for _, years := range []int{0, 1, 2} {
				began := time.Now()
				e := bound.New(m, 1)
				a := bound.NewAscent(e)
				run := func(steps int, first, last float64) {
					a.Rate, a.Decay = first, math.Pow(last/first, 1/float64(steps))
					a.Run(steps, math.Inf(1))
					a.Return()
				}
				run(300, 0.5, 1e-3)
				if states > 1 {
					e.SetBlocks(bound.Layers(m, states, 1))
					a.Reset()
					run(300, 0.1, 1e-3)
				}
				if years > 0 {
					k := bound.YearKinds{Graph: true, MixUnits: 64, CapBurns: 0, Cells: 1000}
					if years == 2 {
						k.CapBurns = 20
					}
					e.SetYears(k)
					a.Extend()
					run(500, 0.1, 1e-3)
				}
				v, _ := e.ClaimValue()
				c, ok := e.Completion()
				if !ok {
					t.Fatal("overlap")
				}
				s, ok := New(m, c)
				if !ok {
					fmt.Println(x[0], "no sweep")
					continue
				}
				ascent := time.Since(began)
				began = time.Now()
				out := s.Run(context.Background(), best, Limit{States: 6_000_000, Work: 100_000_000, Threads: 1})
				fmt.Printf("%s states %d years %d: bound %.1f of %.1f (%.1f s) done %v tuples %d work %.2f M (%.1f s)\n", x[0], states, years, v, best, ascent.Seconds(), out.Done, out.States, float64(out.Work)/1e6, time.Since(began).Seconds())
			}
		}
	}
}
