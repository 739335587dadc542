package contradiction

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
)

// place is a problem without wishes or limits, of units with these intervals, all due.
func place(years int, intervals ...[2]int) *problem.Problem {
	p := &problem.Problem{FirstYear: 2027, Years: years, Seasons: []string{"dormant", "growing"}, EvenLo: -problem.NoLimit, EvenHi: problem.NoLimit, Weights: problem.DefaultWeights()}
	for i, iv := range intervals {
		p.Units = append(p.Units, problem.Unit{ID: string(rune('A' + i)), Acres: 10, MinInterval: iv[0], MaxInterval: iv[1], Age: iv[1] - 1, Penalty: []float64{0, 0}, BurnDays: 1, Cost: 100, Mix: -1, Refuge: -1})
	}
	for range years {
		p.Caps = append(p.Caps, problem.YearCaps{Acres: problem.NoLimit, Burns: problem.NoLimit, Cost: problem.NoLimit, BurnDays: []float64{problem.NoLimit, problem.NoLimit}})
	}
	return p
}

// What a manager would call a contradiction is found, and its neighbor that can be
// planned is not.
func TestKinds(t *testing.T) {
	annual := [2]int{1, 1}
	for _, c := range []struct {
		name string
		make func() *problem.Problem
		want string // empty for none
	}{
		{"annual units apart", func() *problem.Problem {
			p := place(5, annual, annual)
			p.Apart = [][2]int{{0, 1}}
			return p
		}, "A (burns every year) and B (every year) are kept apart"},
		{"two units of two years apart, in turn", func() *problem.Problem {
			p := place(5, [2]int{1, 2}, [2]int{1, 2})
			p.Units[1].Age = 0
			p.Apart = [][2]int{{0, 1}}
			return p
		}, ""},
		{"two units of two years apart, both due", func() *problem.Problem {
			p := place(5, [2]int{1, 2}, [2]int{1, 2})
			p.Apart = [][2]int{{0, 1}}
			return p
		}, "kept apart and both due by 2027, so that one of the two ends a year overdue by then in every plan: A and B"},
		{"three units of two years, all apart", func() *problem.Problem {
			p := place(6, [2]int{1, 2}, [2]int{1, 2}, [2]int{1, 2})
			p.Units[1].Age, p.Units[2].Age = 0, 0
			p.Apart = [][2]int{{0, 1}, {0, 2}, {1, 2}}
			return p
		}, "they need 3 burns to stay in time"},
		{"a cap of acres below area regulation", func() *problem.Problem {
			p := place(4, [2]int{1, 2}, [2]int{1, 2}, [2]int{1, 2})
			for t := range p.Caps {
				p.Caps[t].Acres = 10
			}
			return p
		}, "in 2027 to 2030 the longest intervals of 3 units need 60 acres or more, and the caps of acres allow 40 acres: one of them or more is overdue in every plan (15 acres a year in the long run"},
		{"a cap of acres at area regulation", func() *problem.Problem {
			p := place(4, [2]int{1, 2}, [2]int{1, 2})
			p.Units[1].Age = 0
			for t := range p.Caps {
				p.Caps[t].Acres = 10
			}
			return p
		}, ""},
		{"no money in the first year", func() *problem.Problem {
			p := place(4, [2]int{1, 2}, [2]int{1, 2})
			p.Caps[0].Cost = 150
			return p
		}, "in 2027 the longest intervals of 2 units need $200 or more, and the caps of cost allow $150"},
		{"burn days of the only season", func() *problem.Problem {
			p := place(2, annual, annual, annual)
			for i := range 2 {
				p.Units[i].Penalty[1] = -1
			}
			for t := range p.Caps {
				p.Caps[t].BurnDays[0] = 1
			}
			return p
		}, "in 2027 to 2028 the longest intervals of 2 units need 4 burn days or more, and the burn days of dormant allow 2 burn days"},
		{"a refuge share below what its units need", func() *problem.Problem {
			p := place(4, [2]int{1, 2}, [2]int{1, 2}, [2]int{1, 2}, [2]int{1, 2})
			p.Refuges = []problem.Refuge{{Name: "skippers", MaxShare: 0.3}}
			for i := range p.Units {
				p.Units[i].Refuge = 0
			}
			return p
		}, "the share of refuge skippers allows 48 acres"},
		{"an old class that no interval reaches", func() *problem.Problem {
			p := place(4, [2]int{1, 2}, [2]int{1, 3})
			p.Mixes = []problem.Mix{{Name: "prairie", Classes: []problem.Class{{Name: "young", From: 0, To: 3, MaxShare: 1}, {Name: "old", From: 4, To: problem.OpenEnded, MinShare: 0.1, MaxShare: 1}}}}
			p.Units[0].Mix, p.Units[1].Mix = 0, 0
			return p
		}, "mix prairie, class old (age 4 and over): in 2027 to 2030 the intervals let it hold 0 acres or less a year on average, and 2 are wanted at least"},
		{"a fresh class that annual units overfill", func() *problem.Problem {
			p := place(4, annual, [2]int{1, 3})
			p.Mixes = []problem.Mix{{Name: "prairie", Classes: []problem.Class{{Name: "fresh", From: 0, To: 0, MaxShare: 0.3}, {Name: "older", From: 1, To: problem.OpenEnded, MaxShare: 1}}}}
			p.Units[0].Mix, p.Units[1].Mix = 0, 0
			return p
		}, "make it hold 15 acres or more a year on average, and 6 are wanted at most"},
		{"seasons closed until it is late", func() *problem.Problem {
			p := place(4, [2]int{1, 2})
			p.Closed = []problem.Closed{{Unit: 0, Year: 2027, Season: -1}}
			return p
		}, "A ends 2027 overdue in every plan: the seasons that would burn it in time are closed or over"},
		{"locked to rest", func() *problem.Problem {
			p := place(4, [2]int{1, 2}, [2]int{1, 2})
			for i := range p.Units {
				p.Locks = append(p.Locks, problem.Lock{Unit: i, Year: 2027, Season: -1})
			}
			return p
		}, "A and B end 2027 overdue in every plan: the locks leave them no burn in time"},
		{"caps below one unit", func() *problem.Problem {
			p := place(3, [2]int{1, 2})
			p.Caps[0].Acres = 5
			return p
		}, "A ends 2027 overdue in every plan: the caps of the years in which it must burn are below what a burn takes"},
		{"nothing in the way", func() *problem.Problem { return place(6, annual, [2]int{2, 4}, [2]int{3, 3}) }, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := problem.Canonical(c.make())
			if err != nil {
				t.Fatal(err)
			}
			found := Find(p)
			text := strings.Join(Texts(found), "\n")
			if c.want == "" && len(found) > 0 || !strings.Contains(text, c.want) {
				t.Errorf("found %q, want %q", text, c.want)
			}
			for i := range found {
				if fault := wrong(p, &found[i]); fault != "" {
					t.Errorf("%s: %s", found[i].Text, fault)
				}
			}
		})
	}
}

// wrong proves a finding by the reference optimum, a dynamic program over the ages of
// all units at once that shares no code with what found it: with everything else taken
// out of the cost, what the finding says is missed costs something in every plan. It
// gives what is not so.
func wrong(p *problem.Problem, f *Finding) string {
	for _, set := range f.Sets {
		q := p.Clone()
		q.EvenLo, q.EvenHi, q.Neighbors, q.KeepYears, q.Previous = -problem.NoLimit, problem.NoLimit, nil, 0, nil
		q.Weights, q.OverdueGrowth, q.OverdueGrowthYears = problem.Weights{Overdue: 1}, 0, 0
		in := map[int]bool{}
		for _, i := range set {
			in[i] = true
		}
		for i := range q.Units {
			for s := range q.Units[i].Penalty {
				q.Units[i].Penalty[s] = min(q.Units[i].Penalty[s], 0)
			}
			if !in[i] { // never overdue
				q.Units[i].MaxInterval += 100
			}
		}
		for m := range q.Mixes {
			for c := range q.Mixes[m].Classes {
				if f.Kind != Mix || m != f.Mix || c != f.Class {
					q.Mixes[m].Classes[c].MinShare, q.Mixes[m].Classes[c].MaxShare = 0, 1
				}
			}
		}
		if f.Kind == Mix {
			q.Weights.Mix = 1
		}
		// Later years than those named may not be what is late.
		if years := f.Last - p.FirstYear + 1; years < q.T() {
			q.Years, q.Lookahead, q.Caps = years, 0, q.Caps[:years]
			var locks []problem.Lock
			for _, l := range q.Locks {
				if l.Year <= f.Last {
					locks = append(locks, l)
				}
			}
			q.Locks = locks
			var closed []problem.Closed
			for _, c := range q.Closed {
				if c.Year <= f.Last {
					closed = append(closed, c)
				}
			}
			q.Closed = closed
		}
		best, ok := reference.Optimum(q)
		if ok && best.Cost <= 1e-9 {
			return fmt.Sprintf("set %v: a plan without it exists: %v", set, best.Burns)
		}
	}
	return ""
}

// No warning is false: on random small problems with every feature, each finding is
// proven by the reference optimum. The units, years and sizes are those with which
// that comes back at once.
func TestNoFindingIsFalse(t *testing.T) {
	const problems = 4000
	kinds := map[Kind]int{}
	for seed := range uint64(problems) {
		r := rand.New(rand.NewPCG(seed, 614))
		p := reference.Random(r, reference.Size{MinUnits: 1, MaxUnits: 5, MinYears: 2, MaxYears: 6, Locks: 25})
		found := Find(p)
		for i := range found {
			kinds[found[i].Kind]++
			if fault := wrong(p, &found[i]); fault != "" {
				t.Fatalf("seed %d: %s: %s", seed, found[i].Text, fault)
			}
			if strings.Contains(found[i].Text, "THEM") || strings.Contains(found[i].Text, "%!") {
				t.Errorf("seed %d: %q", seed, found[i].Text)
			}
		}
	}
	for _, kind := range []Kind{Alone, Apart, Acres, Burns, Cost, BurnDays, Refuge, Mix} {
		if kinds[kind] < 20 {
			t.Errorf("only %d findings of kind %s were tried", kinds[kind], kind)
		}
	}
	t.Logf("findings that were proven: %v", kinds)
}
