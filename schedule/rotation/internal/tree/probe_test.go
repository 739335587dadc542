package tree

import (
	"context"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/bound"
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

func best(name string) float64 {
	b, _ := os.ReadFile("../../../../../shared/bench/results.tsv")
	for _, l := range strings.Split(string(b), "\n") {
		f := strings.Split(l, "\t")
		if f[0] == name {
			v, err := strconv.ParseFloat(f[1], 64)
			if err == nil {
				return v
			}
		}
	}
	return math.Inf(1)
}

func TestProbe(t *testing.T) {
	names := strings.Fields("tiny-101 tiny-102 tiny-103 tiny-104 small-101 small-102 small-103 small-104 small-106 small-107 small-108")
	if s := os.Getenv("NAMES"); s != "" {
		names = strings.Fields(s)
	}
	most := 300
	if s := os.Getenv("MOST"); s != "" {
		most, _ = strconv.Atoi(s)
	}
	limit := 20.0
	if s := os.Getenv("LIMIT"); s != "" {
		limit, _ = strconv.ParseFloat(s, 64)
	}
	for _, name := range names {
		m := load(t, name)
		start := time.Now()
		e := bound.New(m, 2)
		a := bound.NewAscent(e)
		for a.Rate > 1e-2 {
			a.Run(50, math.Inf(1))
			a.Rate *= 0.8
		}
		v0 := a.Best
		e.SetBlocks(bound.Cluster(m, most))
		a.Reset()
		a.Rate = 0.1
		for a.Rate > 1e-3 {
			a.Run(50, math.Inf(1))
			a.Rate *= 0.85
		}
		v, _ := e.ClaimValue()
		ub := best(name)
		tr := New(e, v, Settings{Threads: 2, Steps: 30, TrySteps: 6, Try: 6, Batch: 8, Rate: 0.03})
		tr.Aim(ub, 5e-7)
		rt := time.Since(start)
		for !tr.IsDone() && time.Since(start).Seconds() < limit {
			tr.Round(context.Background())
		}
		fmt.Printf("%s ub %.3f unit %.3f root %.3f (%v) tree %.3f gap %.4f nodes %d open %d time %v\n", name, ub, v0, v, rt.Round(time.Millisecond), tr.Bound(), problem.GapOf(ub, tr.Bound()), tr.Nodes, len(tr.open), time.Since(start).Round(time.Millisecond))
	}
}
