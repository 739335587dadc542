package rotation

import (
	"context"
	"math"
	"testing"

	"emberquilt/schedule/problem"
)

// given makes a problem of annual units without any cap.
func given(years int, acres ...float64) *problem.Problem {
	p := &problem.Problem{FirstYear: 2026, Years: years, Seasons: []string{"dormant"}, EvenLo: math.Inf(-1), EvenHi: problem.NoLimit, Weights: problem.DefaultWeights()}
	for i, a := range acres {
		p.Units = append(p.Units, problem.Unit{ID: string(rune('a' + i)), Acres: a, MinInterval: 1, MaxInterval: 1, Age: 0,
			Penalty: []float64{0}, BurnDays: 1, Mix: -1, Refuge: -1})
	}
	for range years {
		p.Caps = append(p.Caps, problem.YearCaps{Acres: problem.NoLimit, Burns: problem.NoLimit, Cost: problem.NoLimit, BurnDays: []float64{problem.NoLimit}})
	}
	return p
}

// longestRest gives the most years that a unit of a plan goes without a burn.
func longestRest(p *problem.Problem, burns []problem.Burn, unit int) int {
	last, longest := p.FirstYear-1-p.Units[unit].Age, 0
	for _, b := range burns {
		if b.Unit == unit {
			longest, last = max(longest, b.Year-last-1), b.Year
		}
	}
	return max(longest, p.FirstYear+p.T()-1-last)
}

// An annual unit whose five neighbors burn every year costs five times its acres
// when it burns, and three times its acres when it does not: where overdue does not grow it is given up for good. Two annual units
// that must be apart cost the same however the years are shared out, one burn in
// each: only growth shares them out evenly.
func TestGrowthGivesNoUnitUp(t *testing.T) {
	crowd := given(15, 10, 12, 12, 12, 12, 12)
	crowd.Units[0].Age = 3
	for i := 1; i < 6; i++ {
		crowd.Neighbors = append(crowd.Neighbors, [2]int{0, i})
	}
	pair := given(15, 20, 20)
	pair.Apart = [][2]int{{0, 1}}
	pair.Units[0].Age = 3
	for _, c := range []struct {
		name string
		p    *problem.Problem
		// flat is the least cost without growth, by hand; least bounds the longest
		// rest of the first unit without growth from below, most with it from above.
		flat        float64
		least, most int
	}{
		{"neighbors", crowd, 15 * 3 * 10, 18, 3},
		{"apart", pair, 15 * 3 * 20, 3, 3},
	} {
		solve := func(p *problem.Problem) *problem.Answer {
			p, err := problem.Canonical(p)
			if err != nil {
				t.Fatal(err)
			}
			r, err := Solve(context.Background(), p, Settings{})
			if err != nil {
				t.Fatal(err)
			}
			check(t, p, r)
			if r.Answer.Status != problem.Optimal {
				t.Errorf("%s: %s with gap %v", c.name, r.Answer.Status, r.Answer.Gap)
			}
			return r.Answer
		}
		flat := solve(c.p)
		if math.Abs(flat.Cost-c.flat) > 1e-9*c.flat || longestRest(c.p, flat.Burns, 0) < c.least {
			t.Errorf("%s: without growth the cost is %v, by hand %v, and the longest rest %d years, at least %d",
				c.name, flat.Cost, c.flat, longestRest(c.p, flat.Burns, 0), c.least)
		}
		c.p.OverdueGrowth, c.p.OverdueGrowthYears = 1, 3
		grown := solve(c.p)
		for i := range c.p.Units {
			if rest := longestRest(c.p, grown.Burns, i); rest > c.most {
				t.Errorf("%s: with growth unit %d rests %d years on end", c.name, i, rest)
			}
		}
	}
}

// A season that is closed takes no burn, and where all are closed the year
// passes.
func TestClosedSeasonsTakeNoBurn(t *testing.T) {
	p := given(6, 10)
	p.Seasons = []string{"dormant", "late"}
	p.Units[0].Penalty = []float64{0, 1}
	for y := range p.Caps {
		p.Caps[y].BurnDays = []float64{problem.NoLimit, problem.NoLimit}
	}
	p.Closed = []problem.Closed{{Unit: 0, Year: 2028, Season: 0}, {Unit: 0, Year: 2030, Season: -1}}
	p, err := problem.Canonical(p)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Solve(context.Background(), p, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	check(t, p, r)
	// One late burn at half its acres, one overdue year at three times them.
	if r.Answer.Status != problem.Optimal || r.Answer.Cost != 5+30 {
		t.Errorf("%s: cost %v", r.Answer.Status, r.Answer.Cost)
	}
	for _, b := range r.Answer.Burns {
		if b.Year == 2030 || b.Year == 2028 && b.Season != 1 {
			t.Errorf("burns in %d, season %d", b.Year, b.Season)
		}
	}
}
