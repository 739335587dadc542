package search

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"
)

func TestLook(t *testing.T) {
	name := os.Getenv("LOOK")
	if name == "" {
		t.Skip()
	}
	m := load(t, name)
	x := New(m, uint64(env("SEED", 1)))
	x.first = 2000
	x.settings.chains = 0
	x.Run(context.Background(), Budget{Steps: int64(float64(m.N) * 2100)}, Guide{})
	b, err := os.ReadFile("/tmp/work/plans/" + name + ".plan")
	if err != nil {
		t.Fatal(err)
	}
	r := strings.NewReader(string(b))
	var c float64
	fmt.Fscan(r, &c)
	other := m.NewPlan()
	for k := range other {
		fmt.Fscan(r, &other[k])
	}
	fmt.Println(x.bestCost, m.Evaluate(x.best).Parts)
	fmt.Println(c, m.Evaluate(other).Parts)
	T := m.T
	show := func(i int, p []int8) (string, float64) {
		od := 0.0
		g := x.age0[i]
		line := ""
		for _, q := range p[i*T:][:T] {
			g = min(g+1, x.lastAge[i])
			if q >= 0 {
				g = 0
				line += string(rune('A' + q))
			} else if g >= x.maxRest[i] {
				od += x.overdue[i]
				line += "!"
			} else {
				line += "."
			}
		}
		return line, od
	}
	var byYear [2][64]float64
	diff := 0
	for i := range m.N {
		l1, o1 := show(i, x.best)
		l2, o2 := show(i, other)
		for y := range T {
			if l1[y] == '!' {
				byYear[0][y] += x.overdue[i]
			}
			if l2[y] == '!' {
				byYear[1][y] += x.overdue[i]
			}
			if (x.best[i*T+y] < 0) != (other[i*T+y] < 0) {
				diff++
			}
		}
		if o1 != o2 {
			fmt.Printf("%3d a %5.1f d %.1f M %d ref %2d %s %s %5.0f %5.0f\n", i, m.Acres[i], m.Days[i], x.maxRest[i], m.RefugeOf[i], l1, l2, o1, o2)
		}
	}
	fmt.Println("burn/rest differ", diff, "of", m.N*T)
	for y := range T {
		fmt.Printf("%d: %.0f %.0f\n", y, byYear[0][y], byYear[1][y])
	}
}
