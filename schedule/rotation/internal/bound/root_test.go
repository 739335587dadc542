package bound

import (
	"fmt"
	"math"
	"os"
	"strings"
	"syscall"
	"testing"
	"time"
)

func TestRoot(t *testing.T) {
	for _, name := range strings.Fields(os.Getenv("ROOT")) {
		m := load(t, name)
		e := New(m, 1)
		a := NewAscent(e)
		run := func(rate, last float64, steps int) string {
			c0 := cpu()
			a.Reset()
			a.Rate, a.Decay = rate, math.Pow(last/rate, 1/float64(steps))
			a.Run(steps, math.Inf(1))
			a.Return()
			return fmt.Sprintf("%.2f its %d cpu %v", a.Best, steps, (cpu() - c0).Milliseconds())
		}
		fmt.Println(name, "units", run(0.5, 1e-3, 2000))
		save := e.Save()
		for _, l := range []int{300, 1000} {
			for _, n := range []int{1, 2} {
				for _, r := range []float64{0.3, 0.1, 0.03} {
					e.SetBlocks(nil)
					e.Load(save)
					e.SetBlocks(Layers(m, l, n))
					fmt.Println(name, l, "layers", n, r, run(r, 1e-3, 800))
				}
			}
		}
	}
}

func cpu() time.Duration {
	var u syscall.Rusage
	_ = syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
