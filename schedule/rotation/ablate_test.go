package rotation

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"
)

func TestAblate(t *testing.T) {
	name := os.Getenv("ABLATE")
	if name == "" {
		t.Skip()
	}
	for _, keep := range strings.Fields(os.Getenv("KEEP")) {
		p := read(t, name)
		if !strings.Contains(keep, "r") {
			for i := range p.Units {
				p.Units[i].Refuge = -1
			}
			p.Refuges = nil
		}
		if !strings.Contains(keep, "n") {
			p.Neighbours = nil
		}
		if !strings.Contains(keep, "a") {
			p.Apart = nil
		}
		if !strings.Contains(keep, "d") {
			for y := range p.Caps {
				for s := range p.Caps[y].BurnDays {
					p.Caps[y].BurnDays[s] = 1e9
				}
			}
		}
		if !strings.Contains(keep, "c") {
			for y := range p.Caps {
				p.Caps[y].Acres, p.Caps[y].Burns, p.Caps[y].Cost = 1e9, 1e9, 1e9
			}
		}
		if !strings.Contains(keep, "e") {
			p.Weights.Evenness = 0
		}
		if !strings.Contains(keep, "m") {
			p.Weights.Mix = 0
		}
		r, err := Solve(context.Background(), p, Settings{TimeLimit: 12 * time.Second, Threads: 2})
		if err != nil {
			t.Fatal(err)
		}
		a := r.Answer
		fmt.Printf("%s keep %s cost %.2f bound %.2f gap %.4f unit %.2f parts %+v\n", name, keep, a.Cost, a.Bound, a.Gap, r.Stats.UnitBound, a.Parts)
	}
}
