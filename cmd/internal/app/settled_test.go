package app

import (
	"context"
	"slices"
	"strings"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/view"
	"emberquilt/store"
)

// A second plan of a year that is under way begins where the year stands: what burned, what
// was missed and what rested through its seasons is not planned otherwise, neither by
// `alternatives` nor by `why`.
func TestSecondPlansLeaveThePastAlone(t *testing.T) {
	ctx := context.Background()
	s := planned(t, "tamsel-bend")
	stored, err := s.Plan(ctx, 0)
	if err != nil {
		t.Fatal(err)
	}
	const year = date.ProgramYear(2027)
	planned := map[string]string{}
	for _, b := range stored.Burns() {
		if b.Year == year {
			planned[b.Unit] = b.Season
		}
	}
	// One burn that was planned is done, another one that was not.
	var burned []string
	for _, isPlanned := range []bool{true, false} {
		for i := range s.Units {
			u := &s.Units[i]
			if season, ok := planned[u.ID]; ok != isPlanned || ok && season != s.Property.Seasons[0].Name {
				continue
			}
			on := s.Property.SeasonSpan(0, year).Last
			err := s.update(ctx, "burn", func(tx *store.Tx) error {
				_, err := tx.AddBurn(habitat.BurnRecord{Unit: u.ID, On: on, Through: on, Kind: habitat.Prescribed, Acres: u.Acres, HasAcres: true})
				return err
			})
			if err != nil {
				t.Fatal(err)
			}
			burned = append(burned, u.ID)
			break
		}
	}
	if len(burned) != 2 {
		t.Fatalf("burned %v; the test needs a planned burn of the first season and a rest", burned)
	}
	s = later(s, s.Property.SeasonSpan(0, year).Last.AddDays(2).String())
	over := s.Property.Seasons[0].Name
	// Neither a unit that burned, nor a planned burn or a season that is over.
	isPast := func(words string) bool {
		for i := range s.Units {
			if unit := s.Units[i].ID; strings.HasPrefix(words, "2027: "+unit+" ") {
				return slices.Contains(burned, unit) || planned[unit] == over || strings.Contains(words, " in "+over)
			}
		}
		return false
	}
	found, err := s.Alternatives(ctx, AlternativeOptions{Solver: fewRounds, Within: 10, Count: 4, FirstYears: 2})
	if err != nil {
		t.Fatal(err)
	}
	if len(found.Plans) == 0 {
		t.Error("no other plan was found; the test needs one")
	}
	for _, plan := range found.Plans {
		for _, d := range plan.Differs {
			if isPast(d) {
				t.Errorf("another plan: %s; that can be no more", d)
			}
		}
	}
	// Whether each unit burns this year is asked as well.
	c, err := s.Contents(ctx, 0)
	if err != nil {
		t.Fatal(err)
	}
	asked := 0
	for i := range s.Units {
		unit := s.Units[i].ID
		if slices.Contains(burned, unit) || asked == 4 {
			continue
		}
		other, err := c.otherwise(ctx, unit, year, fewRounds)
		if err != nil {
			t.Fatal(err)
		}
		asked++
		if other.Answer.Status != stored.Answer.Status && len(other.Answer.Burns) == 0 {
			continue
		}
		for _, b := range other.Answer.Burns {
			of, season := stored.Problem.Units[b.Unit].ID, stored.Problem.Seasons[b.Season]
			if b.Year == int(year) && season == over && planned[of] != over {
				t.Errorf("with %s otherwise, %s burns in the %s, which is over", unit, of, habitat.SeasonWords(season, year))
			}
		}
		v, err := view.NewWhy(c.Plan, unit, year, other)
		if err != nil {
			t.Fatal(err)
		}
		for _, words := range v.Differs {
			if isPast(words) {
				t.Errorf("with %s otherwise: %s; that can be no more", unit, words)
			}
		}
	}
}
