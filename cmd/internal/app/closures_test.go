package app

import (
	"context"
	"path/filepath"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
	"emberquilt/store"
)

// TestRandomClosures closes random days of a property to some or all of its units, once
// or every year, and sells and buys some, and holds the problem and the plan against days
// counted one by one with the holidays of 5 U.S.C. 6103: no plan burns a unit in a season
// without a usable day; such a season is closed to the unit in the problem, that year and
// no other; and a season's burn days are at most those on which some unit can burn.
func TestRandomClosures(t *testing.T) {
	closed, open := 0, 0
	for seed := range uint64(12) {
		y := newPlayed(t, 5000+seed)
		for range 3 + y.rng.IntN(6) {
			y.open()
			if y.ban(); y.rng.IntN(4) == 0 {
				y.own()
			}
		}
		y.open()
		y.plan()
		y.open()
		made, err := y.s.Problem(context.Background(), Horizon{})
		y.must(err)
		p := made.Problem
		allowed := p.Allowed()
		for s, season := range p.Seasons {
			for year := p.FirstYear; year < p.FirstYear+p.Years; year++ {
				days := map[date.Day]bool{}
				over := y.n.isOver(ownBurn{"", year, season})
				for i := range p.Units {
					u := y.n.unit(p.Units[i].ID)
					usable := y.n.usable(u, season, year)
					for _, d := range usable {
						days[ofCivil(d)] = true
					}
					if over {
						usable = nil
					}
					if got := allowed(i, year, s); got != (len(usable) > 0) {
						y.fail("%s in %s %d: allowed %v with %d usable days", u.name, season, year, got, len(usable))
					}
					if len(usable) > 0 {
						open++
					} else {
						closed++
					}
				}
				wanted := float64(len(p.Units))
				if most := p.Caps[year-p.FirstYear].BurnDays[s]; !over && float64(len(days)) < wanted && most > float64(len(days)) {
					y.fail("%s %d has %d usable days and a cap of %v", season, year, len(days), most)
				}
			}
		}
		y.close()
	}
	if closed < 10 || open < 50 {
		t.Errorf("%d closed seasons and %d open ones: too few to tell", closed, open)
	}
}

// TestNoUnitIsGivenUp plans the two places at which a flat penalty gave units up, as
// properties with their default weights: an annual unit that burned last in 2023 among
// five annual neighbors, and two annual units that must be apart.
func TestNoUnitIsGivenUp(t *testing.T) {
	for name, c := range map[string]struct {
		units string
		apart bool
	}{"neighbors": {"abcdef", false}, "apart": {"ab", true}} {
		s := annualUnits(t, c.units, c.apart)
		made, err := s.Problem(context.Background(), Horizon{Years: 15})
		if err != nil {
			t.Fatal(err)
		}
		result, err := s.Solve(context.Background(), made.Problem, quick)
		if err != nil {
			t.Fatal(err)
		}
		if result.Answer.Status != problem.Optimal {
			t.Errorf("%s: %s", name, result.Answer.Status)
		}
		for i, u := range made.Problem.Units {
			last, longest := made.Problem.FirstYear-1, 0
			for year := made.Problem.FirstYear; year < made.Problem.FirstYear+15; year++ {
				for _, b := range result.Answer.Burns {
					if b.Unit == i && b.Year == year {
						last = year
					}
				}
				longest = max(longest, year-last)
			}
			if longest > 3 {
				t.Errorf("%s: %s rests %d years on end", name, u.ID, longest)
			}
		}
	}
}

// annualUnits is a property of annual units; the first burned last in 2023 and borders
// each of the others, or is to be apart from them.
func annualUnits(t *testing.T, names string, apart bool) *Session {
	t.Helper()
	ctx := context.Background()
	p := habitat.NewProperty("Annual Ground")
	p.Seasons = []habitat.Season{{Name: "dormant", Span: date.AnnualSpan{First: annual([2]int{11, 15}), Last: annual([2]int{3, 15})}}}
	from := on("2026-10-01")
	file, err := store.Create(ctx, filepath.Join(t.TempDir(), "annual"), store.Making{}, p, from.Moment)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { file.Close() })
	s, err := NewSession(ctx, file, from)
	if err != nil {
		t.Fatal(err)
	}
	err = s.update(ctx, "units", func(tx *store.Tx) error {
		for i, name := range names {
			age, acres := 0, quantity.Acres(12)
			if i == 0 {
				age, acres = 3, 10
			}
			if err := tx.PutUnit(habitat.Unit{ID: string(name), Acres: acres, Interval: habitat.Interval{Min: 1, Max: 1}, BurnDays: 1, EstimatedAge: &age, EstimatedIn: 2026}); err != nil {
				return err
			}
			if i == 0 {
				continue
			}
			kind := habitat.Neighbors
			if apart {
				kind = habitat.Apart
			}
			if err := tx.PutPair(habitat.NewPair(names[:1], string(name), kind)); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return s
}
