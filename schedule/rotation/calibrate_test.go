package rotation

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"emberquilt/schedule/rotation/internal/bound"
	"emberquilt/schedule/rotation/internal/model"
	"emberquilt/schedule/rotation/internal/search"
)

func TestCalibrate(t *testing.T) {
	if os.Getenv("CALIBRATE") == "" {
		t.Skip()
	}
	for _, name := range strings.Fields("tiny-101 small-105 medium-101 paper-101 large-101") {
		m, _ := model.New(read(t, name))
		e := bound.New(m, 1)
		for _, l := range []int{1, 300, 3000, 30000} {
			e.SetBlocks(bound.Cluster(m, l))
			a := bound.NewAscent(e)
			n := max(2, int(3e8/e.Work()))
			s := time.Now()
			a.Run(n, 1e18)
			d := time.Since(s)
			fmt.Printf("%s level %d work %.0f real %.0f\n", name, l, e.Work(), float64(d.Nanoseconds())/float64(n))
		}
		x := search.New(m, 1)
		x.Run(context.Background(), search.Budget{Steps: 1000}, search.Guide{})
		b := x.Steps()
		s := time.Now()
		x.Run(context.Background(), search.Budget{Steps: 100000}, search.Guide{})
		states := float64(len(m.CanBurn)) / float64(max(1, m.N)) * float64(m.T)
		fmt.Printf("%s step est %.0f real %.0f\n", name, 400+20*states, float64(time.Since(s).Nanoseconds())/float64(x.Steps()-b))
	}
}
