package rotation

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"emberquilt/schedule/rotation/internal/model"
	"emberquilt/schedule/rotation/internal/search"
)

func TestAblateSearch(t *testing.T) {
	name := os.Getenv("ABLATES")
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
		m, _ := model.New(p)
		x := search.New(m, 1)
		s := time.Now()
		for k := 0; k < 9; k++ {
			x.Run(context.Background(), search.Budget{Steps: 10000 << k}, search.Guide{})
		}
		_, c, _ := x.Best()
		fmt.Printf("%s keep %s cost %.2f time %v\n", name, keep, c, time.Since(s).Round(time.Millisecond))
	}
}
