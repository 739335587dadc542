package bound

import (
	"fmt"
	"math"
	"os"
	"testing"
	"time"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/model"
)

func load(t testing.TB, name string) *model.Model {
	f, err := os.Open("../../../../../shared/bench/problems/" + name + ".json")
	if err != nil {
		t.Skip(err)
	}
	defer f.Close()
	p, err := problem.Read(f, name)
	if err != nil {
		t.Fatal(err)
	}
	m, err := model.New(p)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestProbe(t *testing.T) {
	for _, name := range []string{"small-105", "medium-101", "medium-102", "medium-103", "medium-104", "paper-101", "large-101"} {
		m := load(t, name)
		for _, r0 := range []float64{0.1} {
			e := New(m, 2)
			a := NewAscent(e)
			start := time.Now()
			n := 0
			a.Rate = r0
			for time.Since(start) < 8*time.Second && a.Rate > 1e-4 {
				v := a.Run(200, math.Inf(1))
				n += 200
				if n%1000 == 0 || a.Rate < 0.002 {
					fmt.Printf("%s rate %.4f n=%d t=%v %.3f\n", name, a.Rate, n, time.Since(start).Round(time.Millisecond), v)
				}
				a.Rate *= 0.8
			}
		}
	}
}
