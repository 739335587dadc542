package rehearsal

import "math/rand/v2"

// future is what comes, whatever the rule.
type future struct {
	number int
	// drawn indexes the record's years, one a rehearsed year.
	drawn []int
	// lost holds the days lost in each year; nil where none are.
	lost []DaySet
	// wild holds, year by year, the units that a wildfire burns; nil where it has
	// no chance.
	wild [][]bool
}

// draw gives a future by its number. What each of its parts draws from is a
// source of its own, so that a share of lost days leaves the years as they were.
func (in *Input) draw(set *Settings, number int) *future {
	source := func(part uint64) *rand.Rand { return rand.New(rand.NewPCG(set.Seed, uint64(number)<<2|part)) }
	f := &future{number: number}
	years := len(in.Record.Years)
	for r := source(0); len(f.drawn) < in.Years; {
		begin := r.IntN(years)
		for n := 0; n < set.Blocks && len(f.drawn) < in.Years; n++ {
			f.drawn = append(f.drawn, (begin+n)%years)
		}
	}
	if set.Lost != nil {
		r := source(1)
		f.lost = make([]DaySet, in.Years)
		for k := range f.lost {
			for _, s := range in.SeasonOrder {
				var any DaySet
				for i := range in.Problem.Units {
					any = any.Or(in.Calendar.Usable[k][s][i])
				}
				any.each(placeOf(in.Calendar.First[k][s]), func(place int) {
					if r.Float64() < set.Lost[s] {
						f.lost[k].add(place)
					}
				})
			}
		}
	}
	if set.Wildfire > 0 {
		r := source(2)
		f.wild = make([][]bool, in.Years)
		for k := range f.wild {
			f.wild[k] = make([]bool, len(in.Problem.Units))
			for i := range f.wild[k] {
				f.wild[k][i] = r.Float64() < set.Wildfire
			}
		}
	}
	return f
}

// open gives the days on which a unit can burn in a season of a year.
func (in *Input) open(f *future, k, season, unit int) DaySet {
	days := in.Calendar.Usable[k][season][unit].And(in.Record.Candidates[f.drawn[k]][unit][season])
	if f.lost != nil {
		days = days.without(f.lost[k])
	}
	return days
}
